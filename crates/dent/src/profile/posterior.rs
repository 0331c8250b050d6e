//! The profile's posterior about one shape, cell by cell of its hyperparameters.
//!
//! z = Ψa + e, e normal of sd σ. Depth, shift and widening of the shape have a flat prior; the Hermite functions zero mean
//! and sd σ·ω·τ^k; offset and tilt of the gauge's seat a few per cent of the depth. For a cell (ω, τ) everything is closed
//! form (linear Bayesian regression, σ integrated out with prior 1/σ: Student posteriors; the evidence is the restricted
//! likelihood, REML). Shapes and cells are averaged with their evidence, so that neither noise nor smoothness is
//! anybody's choice and the interval stays honest where points are few. Source: Bayesian linear model, closed form.

use super::basis::{self, HERMITE};
use super::family::Shape;
use super::start::Start;
use nalgebra::{Cholesky, Const, DMatrix, SMatrix, SVector};

/// Columns of the shape: depth, shift, widening; their prior is flat.
pub const FREE: usize = 3;
/// Columns of the gauge's seat: offset and tilt.
const SEAT_COLUMNS: usize = 2;
/// All columns.
pub const COLUMNS: usize = FREE + HERMITE + SEAT_COLUMNS;

/// Offset and tilt (over the gauge's half length) of a gauge's seat as a part of the depth, one sd. Common practice, no source.
const SEAT: f64 = 0.03;
/// How far a dent deviates from the nearest shape, as a part of its depth: median and log sd of a lognormal prior. Common
/// practice, no source.
const DEVIATION: (f64, f64) = (0.10, 0.7);
/// Least noise: what a gauge's reading is rounded to, as a part of the depth. Common practice, no source.
const ROUNDING: f64 = 2e-4;
/// Noise of a bridge gauge on a curved tube, mm, and for how many readings this counts: the scale and the degrees of
/// freedom of an inverse χ² prior, weak enough that a dozen points overrule it. Common practice, no source.
const GAUGE_MM: f64 = 0.02;
const READINGS: f64 = 2.0;
/// Steps of ω.
const OMEGAS: [f64; 7] = [0.05, 0.4, 1.2, 4.0, 12.0, 40.0, 200.0];
/// Steps of τ.
const TAUS: [f64; 2] = [0.6, 0.85];

/// A functional: what it takes of each column.
pub type Functional = [f64; COLUMNS];

/// The points about one shape.
pub struct About<'a> {
    pub shape: &'a Shape,
    pub start: Start,
    gram: SMatrix<f64, COLUMNS, COLUMNS>,
    right: SVector<f64, COLUMNS>,
    squares: f64,
    count: f64,
    /// What the plain shape leaves over, mm: scale of the seat's prior.
    noise_mm: f64,
}

/// One cell.
pub struct Cell {
    /// Logarithm of evidence times prior.
    pub log_weight: f64,
    /// Posterior mean of the coefficients.
    pub a: SVector<f64, COLUMNS>,
    /// Estimated noise sd, mm.
    pub noise_mm: f64,
    chol: Cholesky<f64, Const<COLUMNS>>,
}

impl<'a> About<'a> {
    /// Sets up the normal equations. `noise_mm` is the noise that the best plain shape leaves, the same for all shapes.
    pub fn new(points: &[(f64, f64)], shape: &'a Shape, start: Start, noise_mm: f64) -> Self {
        let half = (points.last().map_or(1.0, |p| p.0) - points.first().map_or(0.0, |p| p.0)).abs().max(1e-9) / 2.0;
        let mut psi = DMatrix::zeros(points.len(), COLUMNS);
        for (i, (x, _)) in points.iter().enumerate() {
            let xi = (x - start.centre_mm) / start.s_mm;
            for (k, c) in shape.columns(xi).iter().enumerate() {
                psi[(i, k)] = *c;
            }
            for (k, jet) in basis::hermite(xi * Self::per(shape)).iter().enumerate() {
                psi[(i, FREE + k)] = jet[0];
            }
            psi[(i, FREE + HERMITE)] = 1.0;
            psi[(i, FREE + HERMITE + 1)] = (x - start.centre_mm) / half;
        }
        let z = nalgebra::DVector::from_iterator(points.len(), points.iter().map(|p| p.1));
        let gram = psi.tr_mul(&psi).fixed_view::<COLUMNS, COLUMNS>(0, 0).into_owned();
        let right = psi.tr_mul(&z).fixed_view::<COLUMNS, 1>(0, 0).into_owned();
        Self { shape, start, gram, right, squares: z.norm_squared(), count: points.len() as f64, noise_mm }
    }

    /// From the shape's ξ to that of the Hermite functions: a Gaussian of the same width at half depth.
    fn per(shape: &Shape) -> f64 {
        1.177_41 / shape.half
    }

    /// Degrees of freedom of the noise.
    pub fn freedom(&self) -> f64 {
        self.count - FREE as f64 + READINGS
    }

    fn cell(&self, omega: f64, tau: f64) -> Option<Cell> {
        let depth = self.start.depth_mm;
        let floor = ROUNDING * depth;
        let seat = (SEAT * depth / self.noise_mm.max(floor)).powi(-2);
        let mut a_matrix = self.gram;
        let mut log_prior = 0.0;
        for k in FREE..COLUMNS {
            let p = if k < FREE + HERMITE { (omega * tau.powi((k - FREE) as i32)).powi(-2) } else { seat };
            a_matrix[(k, k)] += p;
            log_prior += 0.5 * p.ln();
        }
        let chol = a_matrix.cholesky()?;
        let a = chol.solve(&self.right);
        // Residual and penalty together: zᵀz − bᵀA⁻¹b.
        let s = (self.squares - self.right.dot(&a)).max(0.0) + self.count * floor * floor + READINGS * GAUGE_MM * GAUGE_MM;
        let log_det: f64 = (0..COLUMNS).map(|k| chol.l_dirty()[(k, k)].ln()).sum();
        let freedom = self.freedom();
        let noise_mm = (s / freedom).sqrt();
        // Root mean square over the dent of the deviation that this cell expects, over the depth.
        let deviation = omega * noise_mm * 0.5 / (1.0 - tau * tau).sqrt() / depth;
        let from_median = (deviation / DEVIATION.0).ln() / DEVIATION.1;
        let log_weight = log_prior - log_det - freedom / 2.0 * s.ln() - from_median * from_median / 2.0;
        log_weight.is_finite().then_some(Cell { log_weight, a, noise_mm, chol })
    }

    /// The cells of the grid.
    pub fn cells(&self) -> impl Iterator<Item = Cell> {
        OMEGAS.iter().flat_map(move |o| TAUS.iter().filter_map(move |t| self.cell(*o, *t)))
    }

    /// What value and first three derivatives (per mm) of the dent, without the gauge's seat, take of each column.
    pub fn jets(&self, x_mm: f64) -> [Functional; 4] {
        let xi = (x_mm - self.start.centre_mm) / self.start.s_mm;
        let per = Self::per(self.shape);
        let (shape, hermite) = (self.shape.jets(xi), basis::hermite(xi * per));
        let s = self.start.s_mm;
        std::array::from_fn(|order| {
            let (of_shape, of_hermite) = (s.powi(-(order as i32)), (per / s).powi(order as i32));
            std::array::from_fn(|k| match k {
                k if k < FREE => shape[k][order] * of_shape,
                k if k < FREE + HERMITE => hermite[k - FREE][order] * of_hermite,
                _ => 0.0,
            })
        })
    }
}

impl Cell {
    /// Mean and scale of a linear functional of the coefficients.
    pub fn functional(&self, h: &Functional) -> (f64, f64) {
        let v = SVector::<f64, COLUMNS>::from_column_slice(h);
        // hᵀA⁻¹h = |L⁻¹h|².
        let solved = self.chol.l_dirty().solve_lower_triangular(&v).map_or(f64::INFINITY, |y| y.norm_squared());
        (v.dot(&self.a), self.noise_mm * solved.sqrt())
    }
}

/// Logarithm of a sum of exponentials.
pub fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if !most.is_finite() {
        return most;
    }
    most + logs.map(|l| (l - most).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::super::family::ROUND;
    use super::*;

    /// Points out where only a shape's long tails reach say nothing of the Hermite functions, which fall off as exp(−ξ²/2): what is
    /// left of those is their prior, σ·ω·τᵏ (precisions add, C). The evidence of two cells then differs by their prior alone, a
    /// lognormal of the deviation ½ωσ/√(1 − τ²) over the depth (geometric sum, C) about a tenth, log sd 0.7 (common practice).
    #[test]
    fn what_no_point_sees_keeps_its_prior() {
        let start = Start { depth_mm: 2.0, centre_mm: 0.0, s_mm: 1.0, noise_mm: 0.01 };
        let wave = |x: f64| 0.01 * (7.0 * x).sin();
        let far = (12..60).rev().map(|i| -f64::from(i)).chain((12..60).map(f64::from));
        let points: Vec<(f64, f64)> = far.map(|x| (x, 2.0 * (ROUND[2].f)(x) + wave(x))).collect();
        let about = About::new(&points, &ROUND[2], start, 0.01);
        let expected = |omega: f64, tau: f64, noise_mm: f64| {
            let deviation = 0.5 * omega * noise_mm / (1.0 - tau * tau).sqrt() / 2.0;
            -0.5 * ((deviation / 0.10).ln() / 0.7).powi(2)
        };
        let first = about.cell(1.2, 0.6).unwrap();
        for (omega, tau) in [(0.4, 0.6), (1.2, 0.85), (12.0, 0.85)] {
            let cell = about.cell(omega, tau).unwrap();
            for k in 0..HERMITE {
                let mut h = [0.0; COLUMNS];
                h[FREE + k] = 1.0;
                let (mean, sd) = cell.functional(&h);
                let prior = omega * tau.powi(i32::try_from(k).unwrap());
                assert!(mean.abs() < 1e-6 && (sd / cell.noise_mm / prior - 1.0).abs() < 1e-6, "{omega} {tau} {k}: {mean} {sd}");
            }
            let (got, want) =
                (cell.log_weight - first.log_weight, expected(omega, tau, cell.noise_mm) - expected(1.2, 0.6, first.noise_mm));
            assert!((got - want).abs() < 1e-6, "{omega} {tau}: {got} {want}");
        }
        // The noise is that of the sine, 0.01/√2, on 96 points, within what a prior of two readings of 0.02 mm adds.
        assert!((0.006..0.009).contains(&first.noise_mm), "{}", first.noise_mm);
        assert_eq!(about.freedom(), 95.0);
    }

    /// ln(e³ + e¹ + e⁻²) by hand: 3 + ln(1 + e⁻² + e⁻⁵) = 3.132 845.
    #[test]
    fn a_sum_of_exponentials() {
        assert!((log_sum([3.0, 1.0, -2.0].into_iter()) - 3.132_845).abs() < 1e-5);
        assert!((log_sum([-1000.0, -1000.0].into_iter()) - (-1000.0 + std::f64::consts::LN_2)).abs() < 1e-9);
        assert_eq!(log_sum([f64::NEG_INFINITY].into_iter()), f64::NEG_INFINITY);
    }
}
