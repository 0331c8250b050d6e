//! What the open end does: the impedance that the air outside shows to the bell's mouth.

use crate::air::Gas;
use crate::radiation_table::{LENGTH, ROWS, SIZE, STEP};
use num_complex::Complex64 as C;
use units::Source;

/// Source of [`Radiation::Unflanged`].
pub const UNFLANGED: Source = Source::from_memory(
    "Levine & Schwinger, Phys. Rev. 73 (1948) 383, their integrals tabled to ka = 3.8 by benches/peers/levine_schwinger.py (between rows within 3e-6 of |R|, 1e-4 of the length); beyond, where 8 % comes back and waves with rings travel too, |R| falls on at the last rate and the length stays (common practice)",
);
/// Source of [`Radiation::Flanged`].
pub const SILVA: Source = Source::from_memory(
    "Silva, Guillemain, Kergomard, Mallaroni & Norris, J. Sound Vib. 322 (2009) 255: fit of Norris & Sheng, J. Sound Vib. 135 (1989)",
);

/// How the bell's end stands in the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Radiation {
    /// A thin-walled end in the open.
    #[default]
    Unflanged,
    /// An end in an endless wall.
    Flanged,
    /// Closed by a stiff plate: no end of an instrument; for tests and for measuring a tube.
    Closed,
    /// No pressure at the end: for closed forms only.
    Ideal,
}

/// |R| and the end correction over the radius, at ka.
pub fn reflection(radiation: Radiation, ka: f64) -> (f64, f64) {
    let table = STEP * (ROWS - 1) as f64;
    match radiation {
        Radiation::Unflanged if ka <= table => (between(&SIZE, ka), between(&LENGTH, ka)),
        Radiation::Unflanged => {
            let (last, before) = (SIZE[ROWS - 1], SIZE[ROWS - 2]);
            (last * (last / before).powf((ka - table) / STEP), LENGTH[ROWS - 1])
        }
        Radiation::Flanged => silva(FLANGED_FIT, ka),
        Radiation::Closed => (1.0, 0.0),
        Radiation::Ideal => (1.0, 0.0),
    }
}

/// The impedance at an end of radius a, Pa s/m³; none where nothing flows (closed).
pub fn impedance(radiation: Radiation, gas: &Gas, radius_m: f64, hz: f64) -> Option<C> {
    let ka = std::f64::consts::TAU * hz / gas.speed * radius_m;
    let wave = gas.density * gas.speed / (std::f64::consts::PI * radius_m * radius_m);
    match radiation {
        Radiation::Closed => None,
        Radiation::Ideal => Some(C::new(0.0, 0.0)),
        _ => {
            let (size, length) = reflection(radiation, ka);
            let r = -C::from_polar(size, -2.0 * ka * length);
            Some(wave * (1.0 + r) / (1.0 - r))
        }
    }
}

/// (a₁, a₂, a₃, b₁, b₂, b₃, b₄, η, β): |R| = (1 + a₁k²)/(1 + (β + a₁)k² + a₂k⁴ + a₃k⁶),
/// l/a = η(1 + b₁k²)/(1 + b₂k² + b₃k⁴ + b₄k⁶), k = ka. See [`SILVA`].
type Fit = [f64; 9];
const FLANGED_FIT: Fit = [0.730, 0.372, 0.0231, 0.244, 0.723, -0.0198, 0.003_66, 0.8216, 1.0];

fn silva([a1, a2, a3, b1, b2, b3, b4, eta, beta]: Fit, ka: f64) -> (f64, f64) {
    let k = ka * ka;
    ((1.0 + a1 * k) / (1.0 + k * (beta + a1 + k * (a2 + k * a3))), eta * (1.0 + b1 * k) / (1.0 + k * (b2 + k * (b3 + k * b4))))
}

/// Cubic through the four rows about ka (Lagrange).
fn between(table: &[f64; ROWS], ka: f64) -> f64 {
    let at = ka.max(0.0) / STEP;
    let first = (at.floor() as usize).saturating_sub(1).min(ROWS - 4);
    let x = at - first as f64;
    let t = &table[first..first + 4];
    -t[0] * (x - 1.0) * (x - 2.0) * (x - 3.0) / 6.0 + t[1] * x * (x - 2.0) * (x - 3.0) / 2.0 - t[2] * x * (x - 1.0) * (x - 3.0) / 2.0
        + t[3] * x * (x - 1.0) * (x - 2.0) / 6.0
}
