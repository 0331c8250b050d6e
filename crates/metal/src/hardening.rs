//! Stress against plastic strain of an alloy at a temper: Swift's law, fitted to yield, tensile strength and elongation.
//!
//! σ = K (ε₀ + ε_p)ⁿ. Swift's law is chosen over Ludwik's and Voce's because it has the three constants that three data
//! can fix, because ε₀ stands for work done before (a temper is just that), and because it does not saturate: the rolled
//! tempers themselves show that brass goes on hardening to strains above 1. Source of the law: Swift, J. Mech. Phys. Solids 1
//! (1952), from memory. Source of the maximum load condition dσ/dε = σ, so ε_u = n − ε₀: Considère (1885), closed form.
//!
//! The fit is the least squares one, each datum weighed by its scatter. K drops out in closed form, so one root is left to
//! find; it takes well under a microsecond (`benches/metal.rs`).

use crate::{Alloy, Temper, Value};
use roots::{SimpleConvergency, find_root_brent};
use units::Source;

/// Source of the law and its fit.
pub const SWIFT: Source = Source::from_memory(
    "Swift, J. Mech. Phys. Solids 1 (1952), fitted to yield, tensile strength and elongation with Considère's condition",
);

/// Source of [`uniform_elongation`].
pub const UNIFORM: Source = Source::common_practice(
    "uniform elongation = elongation in 51 mm less the neck's share of 3 points (0.5 √S/L of a 12.5 × 0.75 mm strip; form of the law: Unwin 1903, from memory), at least half of it",
);

/// Offset strain at which yield strength is read (definition of the 0.2 % proof stress).
pub const PROOF_STRAIN: f64 = 0.002;

/// Least ε₀: with it the elastic limit stays above zero, so that the slope is finite everywhere.
const LEAST_OFFSET: f64 = 1e-6;

/// What the fit leaves over: fitted less tabulated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residuals {
    /// 0.2 % yield strength, N/mm².
    pub yield_mpa: f64,
    /// Tensile strength, N/mm².
    pub tensile_mpa: f64,
    /// True strain at maximum load.
    pub uniform_strain: f64,
}

/// A stress–strain curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Young's modulus, N/mm².
    pub e_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Swift's K, N/mm².
    pub k_mpa: f64,
    /// Swift's ε₀.
    pub offset: f64,
    /// Swift's n.
    pub n: f64,
    /// What the fit leaves over; zero for a curve that was given, not fitted.
    pub residuals: Residuals,
}

/// Uniform elongation (before necking) from the elongation in 51 mm, both fractions; with its scatter.
pub fn uniform_elongation(elongation: Value) -> Value {
    let neck = 0.03;
    let value = (elongation.value - neck).max(0.5 * elongation.value).max(1e-4);
    // The neck's share is itself known to about two thirds of its size, and is never more than the elongation.
    Value::new(value, elongation.sd.hypot((0.02_f64).min(0.25 * elongation.value)))
}

impl Curve {
    /// The curve of an alloy at a temper.
    pub fn fit(alloy: Alloy, temper: Temper) -> Self {
        let physical = alloy.physical();
        Self::through(
            physical.e_mpa.value,
            physical.poisson.value,
            alloy.yield_mpa(temper),
            alloy.tensile_mpa(temper),
            uniform_elongation(alloy.elongation(temper)),
        )
    }

    /// The least-squares curve through a yield strength and a tensile strength (N/mm²) and a uniform elongation
    /// (fraction), each weighed by its scatter.
    pub fn through(e_mpa: f64, poisson: f64, yield_mpa: Value, tensile_mpa: Value, uniform: Value) -> Self {
        // A tensile strength below the yield strength cannot be; it is lifted to it.
        let strength = tensile_mpa.value.max(yield_mpa.value * 1.001);
        let u = uniform.value.ln_1p();
        let sd_u = (uniform.sd / (1.0 + uniform.value)).max(1e-6);
        let log_ratio = (strength / yield_mpa.value).ln();
        let var_yield = (yield_mpa.sd / yield_mpa.value).powi(2).max(1e-12);
        let var_tensile = (tensile_mpa.sd / strength).powi(2).max(1e-12);

        let mut convergency = SimpleConvergency { eps: 1e-10, max_iter: 60 };
        // With u met exactly, the ratio falls steadily as ε₀ grows: one root, or none.
        let at = |offset: f64| log_strength_ratio(offset + u, offset) - log_ratio;
        let least = LEAST_OFFSET;
        let (n, offset) = if at(least) >= 0.0 {
            // From ratio ≥ 1 the root lies below ε₀ = 10: there the ratio is below 1 by the proof strain's own share.
            match find_root_brent(least, 10.0, at, &mut convergency) {
                Ok(offset) => (offset + u, offset),
                Err(_) => (u + least, least),
            }
        } else {
            // The tables ask for more hardening than so short a uniform strain can hold: ε₀ goes to its least value and
            // the three data share the misfit by their scatter.
            let var_ratio = var_yield + var_tensile;
            let slope = |n: f64| {
                let d_ratio = (n / (least + PROOF_STRAIN)).ln();
                (log_strength_ratio(n, least) - log_ratio) * d_ratio / var_ratio + (n - least - u) / (sd_u * sd_u)
            };
            let (a, b) = (u.max(PROOF_STRAIN + 2.0 * least), u.max(0.0) + 1.0);
            match find_root_brent(a, b, slope, &mut convergency) {
                Ok(n) => (n, least),
                Err(_) => (a, least),
            }
        };
        let misfit = log_strength_ratio(n, offset) - log_ratio;
        let log_yield = yield_mpa.value.ln() - misfit * var_yield / (var_yield + var_tensile);
        let fitted_yield = log_yield.exp();
        let k_mpa = fitted_yield / (offset + PROOF_STRAIN).powf(n);
        let mut curve = Self { e_mpa, poisson, k_mpa, offset, n, residuals: NONE };
        curve.residuals = Residuals {
            yield_mpa: fitted_yield - yield_mpa.value,
            tensile_mpa: curve.tensile_mpa() - tensile_mpa.value,
            uniform_strain: curve.uniform_strain() - u,
        };
        curve
    }

    /// A curve with given constants (K in N/mm²).
    pub fn given(e_mpa: f64, poisson: f64, k_mpa: f64, offset: f64, n: f64) -> Self {
        Self { e_mpa, poisson, k_mpa, offset: offset.max(LEAST_OFFSET), n, residuals: NONE }
    }

    /// The same metal, stronger or weaker by a factor (scatter from piece to piece).
    #[must_use]
    pub fn times(mut self, factor: f64) -> Self {
        self.k_mpa *= factor;
        self
    }

    /// True stress at a plastic strain (≥ 0), N/mm².
    pub fn stress_mpa(&self, plastic_strain: f64) -> f64 {
        self.k_mpa * (self.offset + plastic_strain.max(0.0)).powf(self.n)
    }

    /// 0.2 % yield strength, N/mm².
    pub fn yield_mpa(&self) -> f64 {
        self.stress_mpa(PROOF_STRAIN)
    }

    /// Tensile (engineering) strength, N/mm².
    pub fn tensile_mpa(&self) -> f64 {
        let u = self.uniform_strain();
        self.stress_mpa(u) * (-u).exp()
    }

    /// True plastic strain at maximum load.
    pub fn uniform_strain(&self) -> f64 {
        (self.n - self.offset).max(0.0)
    }

    /// Mean stress between two plastic strains, N/mm²: what a limit load takes as flow stress when the wall is strained
    /// from one to the other (equal work; closed form).
    pub fn flow_mpa(&self, from_strain: f64, to_strain: f64) -> f64 {
        let (a, b) = (from_strain.max(0.0).min(to_strain.max(0.0)), from_strain.max(0.0).max(to_strain.max(0.0)));
        if b - a < 1e-9 {
            return self.stress_mpa(a);
        }
        let m = self.n + 1.0;
        self.k_mpa * ((self.offset + b).powf(m) - (self.offset + a).powf(m)) / (m * (b - a))
    }
}

const NONE: Residuals = Residuals { yield_mpa: 0.0, tensile_mpa: 0.0, uniform_strain: 0.0 };

/// Logarithm of tensile strength over yield strength of Swift's law (closed form).
fn log_strength_ratio(n: f64, offset: f64) -> f64 {
    n * (n / (offset + PROOF_STRAIN)).ln() - (n - offset)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_made_from_constants_is_found_again() {
        let made = Curve::given(112_000.0, 0.34, 700.0, 0.03, 0.25);
        let exact = |v: f64| Value::new(v, 0.05 * v);
        let found =
            Curve::through(112_000.0, 0.34, exact(made.yield_mpa()), exact(made.tensile_mpa()), exact(made.uniform_strain().exp_m1()));
        assert!((found.k_mpa / 700.0 - 1.0).abs() < 1e-6, "{found:?}");
        assert!((found.n - 0.25).abs() < 1e-7 && (found.offset - 0.03).abs() < 1e-7);
    }

    #[test]
    fn the_flow_stress_is_the_mean_of_the_curve() {
        let c = Curve::fit(Alloy::YellowBrass, Temper::HALF_HARD);
        let steps = 20_000;
        let mean: f64 =
            (0..steps).map(|i| c.stress_mpa(0.01 + 0.09 * (f64::from(i) + 0.5) / f64::from(steps))).sum::<f64>() / f64::from(steps);
        assert!((c.flow_mpa(0.01, 0.10) / mean - 1.0).abs() < 1e-6);
    }

    #[test]
    fn the_fit_is_where_no_neighbour_is_better() {
        // Least squares by brute force about the fit, for tempers where the data cannot all be met.
        for (alloy, temper) in [(Alloy::YellowBrass, Temper::SPRING), (Alloy::NickelSilver, Temper::HARD)] {
            let (y, t, u) = (alloy.yield_mpa(temper), alloy.tensile_mpa(temper), uniform_elongation(alloy.elongation(temper)));
            let cost = |c: &Curve| {
                ((c.yield_mpa() / y.value).ln() * y.value / y.sd).powi(2)
                    + ((c.tensile_mpa() / t.value).ln() * t.value / t.sd).powi(2)
                    + ((c.uniform_strain() - u.value.ln_1p()) * (1.0 + u.value) / u.sd).powi(2)
            };
            let best = Curve::fit(alloy, temper);
            for dk in [-0.01, 0.0, 0.01] {
                for dn in [-0.01, 0.0, 0.01] {
                    for offset in [LEAST_OFFSET, 1e-4, 1e-3] {
                        let other = Curve { n: best.n * (1.0 + dn), offset, ..best }.times(1.0 + dk);
                        assert!(cost(&other) >= cost(&best) - 1e-9, "{alloy:?} {temper:?}: {other:?} beats {best:?}");
                    }
                }
            }
        }
    }
}
