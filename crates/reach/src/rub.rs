//! A dent of the bench as `dent::stroke` asks for it, and the force of a stroke over it.

use crate::Strokes;
use crate::bench::Case;
use crate::strokes::{self, Head, Motion};
use dent::force::{FAR, NEAR};
use dent::stroke::{self, Hold, Stroke};
use metal::{Curve, Temper};
use units::Figure;

/// σ₀/E and n of the model's curve, laid through the metal's.
pub fn laid_through(curve: &Curve) -> (f64, f64) {
    let (first_mpa, n) = dent::force::laid_through(curve.stress_mpa(NEAR), curve.stress_mpa(FAR));
    (first_mpa / curve.e_mpa, n)
}

/// The dent under a head of some diameter; the lift is still to be set.
pub fn stroke(case: &Case, head_mm: f64, hold: Hold) -> Stroke {
    let curve = Curve::fit(case.site.alloy, Temper(case.site.temper.value.clamp(0.0, 8.0)));
    let (yield_strain, hardening_n) = laid_through(&curve);
    Stroke {
        mean_diameter_mm: case.bore_mm() + case.site.wall_mm.value,
        wall_mm: case.site.wall_mm.value,
        yield_strain,
        hardening_n,
        depth_mm: case.depth_mm(),
        width_along_mm: case.assessment.width_along_mm.value.max(0.5),
        width_across_mm: case.assessment.width_across_mm.value.max(0.5),
        head_mm,
        lift_mm: case.depth_mm(),
        hold,
    }
}

/// The stroke with the largest lift up to `most` of the depth that `limit_n` gives; or the least force at which anything
/// stays, N, where that is more.
pub fn within(case: &Case, head_mm: f64, hold: Hold, limit_n: f64, most: f64) -> Result<Stroke, f64> {
    let s = stroke(case, head_mm, hold);
    let lift = stroke::lift_within(&s, limit_n / case.force_n().max(1e-6)).ok_or_else(|| stroke::least_part(&s) * case.force_n())?;
    Ok(Stroke { lift_mm: lift.min(most * s.depth_mm), ..s })
}

/// The force of a stroke, N: the head's own factor and doubt as for every tool that moves.
pub fn force(case: &Case, s: &Stroke) -> Figure {
    let working = strokes::with_lift(case, Head::new(s.head_mm, s.hold, Motion::Lines), s.lift_mm);
    working.at_hand(case, "F = F(wall)·part, the part of the whole force that a stroke of this lift asks", &[], |_| 1.0)
}

/// The strokes of a way that is rubbed or struck: lift, passes, and how far past true the wall stands under the last.
pub fn told(case: &Case, s: &Stroke, strokes: f64) -> Strokes {
    let mut told = strokes::with_lift(case, Head::new(s.head_mm, s.hold, Motion::Places), s.lift_mm).strokes;
    told.strokes = strokes;
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    /// C: the model's curve meets the metal's at both strains, for a metal that hardens and for one that does not.
    #[test]
    fn the_model_s_curve_meets_the_metal_s() {
        for curve in [Curve::given(112_000.0, 0.35, 900.0, 0.02, 0.49), Curve::given(112_000.0, 0.35, 580.0, 0.005, 0.34)] {
            let (first, n) = laid_through(&curve);
            let first = first * curve.e_mpa;
            for strain in [NEAR, FAR] {
                let model = first * (1.0 + strain / 0.02).powf(n);
                assert!((model / curve.stress_mpa(strain) - 1.0).abs() < 1e-12, "{model}");
            }
        }
        let (first, n) = laid_through(&Curve::perfectly_plastic(112_000.0, 0.35, 400.0));
        assert!(n.abs() < 1e-9 && (first * 112_000.0 / 400.0 - 1.0).abs() < 1e-6);
    }
}
