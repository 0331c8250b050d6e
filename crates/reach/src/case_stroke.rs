//! A dent of the bench as `dent::stroke` asks for it.

use crate::bench::Case;
use dent::force::{FAR, NEAR};
use dent::stroke::{Hold, Stroke};
use metal::{Curve, Temper};

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
        let (first, n) = laid_through(&Curve::given(112_000.0, 0.35, 400.0, 0.0, 0.0));
        assert!(n.abs() < 1e-9 && (first * 112_000.0 / 400.0 - 1.0).abs() < 1e-6);
    }
}
