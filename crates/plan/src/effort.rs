//! How sure the minutes of a dent are: what is not measured makes them wide. What measuring it would change is told by `job::worth`.

use dent::Assessment;
use reach::Method;
use std::collections::BTreeMap;
use units::figure::Z90;
use units::{Figure, Source, ThreePoint};

/// Where the exponents come from: the time of a dent grows with the root of its depth and the fourth root of its area, as
/// in the methods' own minutes (`reach`), and somewhat with the force.
pub const EXPONENTS: Source =
    Source::common_practice("time of a dent in proportion to depth^0.5 · (length · width)^0.25 · force^0.15; no source");

/// The force that the methods' own minutes are meant for, N.
const USUAL_FORCE_N: f64 = 1000.0;

/// How much longer a wall takes that asks for more force than the usual one: the methods' own minutes hold depth and area, this
/// adds the force, by [`EXPONENTS`]. Where a method counts its strokes, they have come of the force already.
pub fn force_factor(method: &Method, a: &Assessment) -> f64 {
    if method.strokes.is_some() {
        return 1.0;
    }
    let ratio = method.force_times() * a.force_inside(method.annealed).value / USUAL_FORCE_N;
    if ratio.is_finite() && ratio > 0.0 { ratio.powf(0.15).clamp(reach::STRETCHED.0, reach::STRETCHED.1) } else { 1.0 }
}

/// How widely the effort on a dent is known.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Spread {
    /// Variance of the logarithm of the effort.
    variance: f64,
}

/// No spread of the effort beyond this counts: a factor of e either way is a guess already.
const MOST_LOG_SD: f64 = 1.0;

/// Standard deviation of the logarithm of a positive figure.
fn log_sd(f: &Figure) -> f64 {
    let sd = if f.low > 0.0 && f.high > f.low {
        (f.high / f.low).ln() / (2.0 * Z90)
    } else if f.value > 0.0 {
        (f.high - f.low) / (2.0 * Z90 * f.value)
    } else {
        0.0
    };
    if sd.is_finite() { sd.clamp(0.0, MOST_LOG_SD) } else { MOST_LOG_SD }
}

impl Spread {
    /// From an assessment: each leaf measurement moves depth, widths and force together, so its parts add before they are
    /// squared.
    pub fn of(a: &Assessment) -> Self {
        let mut leaves: BTreeMap<&str, f64> = BTreeMap::new();
        let mut rest = 0.0;
        for (figure, exponent) in [(&a.depth_mm, 0.5), (&a.width_along_mm, 0.25), (&a.width_across_mm, 0.25), (&a.force_inside_n, 0.15)] {
            let sd = exponent * log_sd(figure);
            let mut explained = 0.0;
            for i in &figure.reason.inputs {
                if i.share > 0.0 && i.share.is_finite() {
                    explained += i.share;
                    *leaves.entry(i.known.name.as_ref()).or_default() += sd * i.share.min(1.0).sqrt();
                }
            }
            rest += sd * sd * (1.0 - explained.min(1.0));
        }
        Self { variance: rest + leaves.values().map(|sd| sd * sd).sum::<f64>() }
    }

    /// Standard deviation of the logarithm of the effort.
    pub fn log_sd(&self) -> f64 {
        self.variance.max(0.0).sqrt().min(MOST_LOG_SD)
    }
}

/// Minutes widened by a spread of the effort: the least and the most move out by its 90 % points.
pub fn widen(minutes: ThreePoint, log_sd: f64) -> ThreePoint {
    let k = (Z90 * log_sd.max(0.0)).exp();
    ThreePoint::new(minutes.least / k, minutes.likely, minutes.most * k)
}
