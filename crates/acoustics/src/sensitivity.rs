//! By how many cents each resonance moves when the bore changes a little somewhere: the adjoint of the impedance.
//!
//! Of a reciprocal line (every matrix has the determinant 1) the adjoint state is the state itself: a change δT of one
//! cone's matrix between the states v and v' moves the input impedance by (u δp − p δu)/u₀², (δp, δu) = δT v', with p and
//! u at the cone's mouthpiece side. So one sweep that keeps its states gives the derivative by every cone at once. The
//! peak of |Z| moves by δf = −∂f(δ ln|Z|)/∂²f ln|Z| (implicit function).

use crate::losses::{self, Losses};
use crate::resonance::{NODES, Near, derivatives, nodes};
use crate::segments::Segment;
use crate::tube::Tube;
use num_complex::Complex64 as C;
use rayon::prelude::*;
use units::Source;

/// Source of the method.
pub const ADJOINT: Source = Source::closed_form(
    "adjoint of a reciprocal line: δZ = ∫(δZ' u² − δY' p²)dx/u₀² (Wronskian of the perturbed and the unperturbed wave), discretely; Rayleigh's perturbation is its limit without losses. Held against finite differences to 1e-6 in tests/sensitivity.rs",
);

/// How one resonance depends on the bore.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// The resonance, Hz.
    pub hz: f64,
    /// For every cone of the tube, from the mouthpiece: cents of the resonance by the logarithm of the cone's area, if it
    /// changes by the same part all along.
    pub cents: Vec<f64>,
}

impl Sensitivity {
    /// Cents for a change of area between two stations: `log_area(station_mm)` is ln(S'/S) there. Simpson's rule, over no more than a
    /// sixteenth of the stretch at a time, whatever the cones' lengths: along a cone the sensitivity hardly changes.
    pub fn of(&self, tube: &Tube, (from_mm, to_mm): (f64, f64), log_area: impl Fn(f64) -> f64) -> f64 {
        let first = tube.segments.partition_point(|s| s.station_mm + s.length_mm < from_mm);
        let last = tube.segments.partition_point(|s| s.station_mm <= to_mm).max(first);
        let most = (to_mm - from_mm) / 16.0;
        let part = |s: &Segment| {
            let (a, b) = (from_mm.max(s.station_mm), to_mm.min(s.station_mm + s.length_mm));
            if !(b > a) {
                return 0.0;
            }
            let count = ((b - a) / most).ceil().clamp(1.0, 16.0);
            let h = (b - a) / count;
            let each = |i: u32| {
                let x = a + h * f64::from(i);
                log_area(x) + 4.0 * log_area(x + h / 2.0) + log_area(x + h)
            };
            (0..count as u32).map(each).sum::<f64>() * h / (6.0 * s.length_mm)
        };
        tube.segments[first..last].iter().zip(&self.cents[first..last]).map(|(s, c)| c * part(s)).sum()
    }
}

/// Points about a peak where a thousandth is enough: see [`NODES`].
const COARSE: usize = 9;

/// z, y₁ and y₂ of a cone (see [`crate::sweep`]), and their derivatives by ln S.
struct Cone {
    z: C,
    y1: C,
    y2: C,
    dz: C,
    dy: C,
    dtilt: C,
}

impl Cone {
    fn of(tube: &Tube, s: &Segment, hz: f64) -> Self {
        let omega = std::f64::consts::TAU * hz;
        let r = s.radius * tube.wall_number() * hz.sqrt();
        let f = losses::factors(tube.losses, &tube.gas, &tube.series, r);
        let j = C::new(0.0, 1.0);
        let stiff = omega * s.volume / (tube.gas.density * tube.gas.speed * tube.gas.speed);
        let a = j * omega * tube.gas.density * s.slender;
        let b = j * stiff;
        let (za, yb) = (a * f.inertia, b * f.compliance);
        // d/d ln S: r grows by half of it, ∫dx/S falls with it, ∫S dx rises with it.
        let dza = a * (f.inertia_slope * r / 2.0 - f.inertia);
        let dyb = b * (f.compliance_slope * r / 2.0 + f.compliance);
        // The fast sweep takes w as if it were real.
        let (w, dw) = if tube.losses == Losses::Fast {
            let real = |x: C, y: C| C::from(-(x / j).re * (y / j).re);
            (real(za, yb), real(dza, yb) + real(za, dyb))
        } else {
            (za * yb, dza * yb + za * dyb)
        };
        let (c3, k3) = if tube.losses == Losses::Fast { (0.0, 0.0) } else { (1.0 / 5040.0, -17.0 / 40_320.0) };
        let sinh = 1.0 + w * (1.0 / 6.0 + w * (1.0 / 120.0 + w * c3));
        let tanh = 0.5 + w * (-1.0 / 24.0 + w * (1.0 / 240.0 + w * k3));
        let dsinh = dw * (1.0 / 6.0 + w * (2.0 / 120.0 + w * 3.0 * c3));
        let dtanh = dw * (-1.0 / 24.0 + w * (2.0 / 240.0 + w * 3.0 * k3));
        let tilt = b * s.lean;
        Self {
            z: za * sinh,
            y1: yb * tanh - tilt,
            y2: yb * tanh + tilt,
            dz: dza * sinh + za * dsinh,
            dy: dyb * tanh + yb * dtanh,
            dtilt: tilt,
        }
    }
}

/// d ln|Z| by ln S of every cone, at one frequency.
fn log_slopes(tube: &Tube, hz: f64) -> Vec<f64> {
    let (mut p, mut u) = tube.end_state(hz);
    let mut raw = vec![C::new(0.0, 0.0); tube.segments.len()];
    for (s, out) in tube.segments.iter().zip(&mut raw).rev() {
        let c = Cone::of(tube, s, hz);
        // Derivatives of the state by this cone, carried along the three steps.
        let mut du = (c.dy + c.dtilt) * p;
        let u2 = u + c.y2 * p;
        let dp = c.dz * u2 + c.z * du;
        let p1 = p + c.z * u2;
        du += (c.dy - c.dtilt) * p1 + c.y1 * dp;
        let u1 = u2 + c.y1 * p1;
        *out = u1 * dp - p1 * du;
        (p, u) = (p1, u1);
    }
    // δ ln|Z| = Re(δZ/Z), δZ = out/u₀², Z = p₀/u₀.
    raw.iter().map(|o| (o / (u * p)).re).collect()
}

impl Tube {
    /// How the resonances between two frequencies depend on the bore.
    pub fn sensitivities(&self, from_hz: f64, to_hz: f64) -> Vec<Sensitivity> {
        self.peaks(from_hz, to_hz).par_iter().map(|near| self.sensitivity::<NODES>(near)).collect()
    }

    /// How the resonances near known ones depend on the bore, to a thousandth of it (nine points about each peak instead of 21); none where
    /// one is not there.
    pub fn sensitivities_near(&self, known_hz: &[f64]) -> Vec<Option<Sensitivity>> {
        known_hz.par_iter().map(|hz| Near::find(self, *hz, 0.01 * hz).map(|near| self.sensitivity::<COARSE>(&near))).collect()
    }

    fn sensitivity<const N: usize>(&self, near: &Near) -> Sensitivity {
        let x = (near.hz - near.middle) / near.half;
        // The derivative by f of a function that is known at the nodes is a weighted sum of its values there.
        let weights: [f64; N] = std::array::from_fn(|i| {
            let mut one = [0.0; N];
            one[i] = 1.0;
            derivatives(&one, x).0 / near.half
        });
        let mut slopes = vec![0.0; self.segments.len()];
        for (node, weight) in nodes::<N>().into_iter().zip(weights) {
            for (sum, value) in slopes.iter_mut().zip(log_slopes(self, near.middle + near.half * node)) {
                *sum += weight * value;
            }
        }
        let curvature = near.curvature();
        // Cents by hertz: 1200/(f ln 2).
        let per_hz = 1200.0 / (near.hz * std::f64::consts::LN_2);
        Sensitivity { hz: near.hz, cents: slopes.into_iter().map(|s| -s / curvature * per_hz).collect() }
    }
}
