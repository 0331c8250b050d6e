//! A dent that is rubbed or struck: the stroke that a force gives, and its force.

use crate::Strokes;
use crate::bench::Case;
use crate::case_stroke;
use crate::strokes::{self, Head, Motion};
use dent::stroke::{self, Hold, Stroke};
use units::Figure;

/// The stroke with the largest lift up to `most` of the depth that `limit_n` gives; or the least force at which anything
/// stays, N, where that is more.
pub fn within(case: &Case, head_mm: f64, hold: Hold, limit_n: f64, most: f64) -> Result<Stroke, f64> {
    let s = case_stroke::stroke(case, head_mm, hold);
    let lift = stroke::lift_within(&s, limit_n / case.force_n().max(1e-6)).ok_or_else(|| stroke::least_part(&s) * case.force_n())?;
    Ok(Stroke { lift_mm: lift.min(most * s.depth_mm), ..s })
}

/// The force of a stroke, N: the head's own factor and doubt as for every tool that moves.
pub fn force(case: &Case, s: &Stroke) -> Figure {
    let working = strokes::with_lift(case, Head::new(s.head_mm, s.hold, Motion::Lines), s.lift_mm);
    working.at_hand(case, "F = F(wall)·part, the part of the whole force that a stroke of this lift needs", &[], |_| 1.0)
}

/// The strokes of a method that is rubbed or struck: lift, passes, and how far past true the wall stands under the last.
pub fn summary(case: &Case, s: &Stroke, strokes: f64) -> Strokes {
    let mut summary = strokes::with_lift(case, Head::new(s.head_mm, s.hold, Motion::Places), s.lift_mm).strokes;
    summary.strokes = strokes;
    summary
}
