//! Odd input gives figures, not panics and not NaN.

mod common;
#[allow(dead_code, reason = "each test uses its part of the common shapes")]
#[path = "common/gauge.rs"]
mod gauge;

use dent::{Assessment, assess};
use instrument::{Crack, Crease, Direction, ProfilePoint, Shape};
use metal::Alloy;
use proptest::prelude::*;
use units::{Figure, Known, Origin, Unit};

fn odd() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -5.0..80.0_f64,
        2 => 0.0..1.0_f64,
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0, f64::MAX, f64::MIN_POSITIVE, 1e-300, 1e12]),
    ]
}

fn known() -> impl Strategy<Value = Known> {
    (odd(), odd(), prop::sample::select(vec![Origin::Measured, Origin::ByEye, Origin::Pattern, Origin::Assumed]))
        .prop_map(|(value, sd, origin)| Known::new("odd", value, sd, Unit::Mm, origin))
}

fn figures(a: &Assessment) -> [(&'static str, &Figure); 20] {
    [
        ("depth", &a.depth_mm),
        ("along", &a.width_along_mm),
        ("across", &a.width_across_mm),
        ("part", &a.depth_over_diameter),
        ("r1", &a.radius_across_mm),
        ("r2", &a.radius_along_mm),
        ("sharpness", &a.sharpness),
        ("passage", &a.passage_mm),
        ("area", &a.area_left),
        ("e1", &a.strain_across),
        ("e2", &a.strain_along),
        ("e3", &a.strain_membrane),
        ("effective", &a.strain_effective),
        ("accumulated", &a.strain_accumulated),
        ("used", &a.ductility_used),
        ("crack", &a.crack_likelihood),
        ("annealed", &a.crack_likelihood_annealed),
        ("overpush", &a.overpush_mm),
        ("passes", &a.passes),
        ("force", &a.force_inside_n),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_nan_from_any_dent(
        depth in prop::option::of(known()), along in prop::option::of(known()), across in prop::option::of(known()),
        edge in prop::option::of(known()), hardness in prop::option::of(known()),
        bore in known(), wall in known(), temper in known(), alloy in 0..4_usize, shape in 0..3_usize, bend in odd(), crease in 0..4_usize, cracked in any::<bool>(),
    ) {
        let mut d = common::dent();
        (d.depth_mm, d.width_along_mm, d.width_across_mm, d.edge_radius_mm, d.hardness_hv) = (depth, along, across, edge, hardness);
        d.crease = [None, Some(Direction::Along), Some(Direction::Across), Some(Direction::Oblique)][crease].map(|direction| Crease { direction, length_mm: None });
        d.crack = cracked.then(|| Crack { direction: Some(Direction::Along), length_mm: Some(Known::new("l", bend, 0.0, Unit::Mm, Origin::Measured)), through: None });
        let mut s = common::site();
        (s.bore_mm, s.wall_mm, s.temper, s.alloy) = (bore, wall, temper, Alloy::ALL[alloy]);
        s.shape = [Shape::Straight, Shape::Bent { radius_mm: bend }, Shape::Unsure { bent_part: bend, radius_mm: bend }][shape];
        let a = assess(&d, &s);
        for (name, f) in figures(&a) {
            prop_assert!(f.value.is_finite() && f.low.is_finite() && f.high.is_finite(), "{name}: {} {} {}", f.value, f.low, f.high);
            prop_assert!(f.low <= f.value && f.value <= f.high, "{name}: {} {} {}", f.value, f.low, f.high);
            let shares: f64 = f.reason.inputs.iter().map(|i| i.share).sum();
            prop_assert!(shares.abs() < 1e-9 || (shares - 1.0).abs() < 1e-6, "{name}: shares {shares}");
        }
        for p in [&a.crack_likelihood, &a.crack_likelihood_annealed, &a.area_left] {
            prop_assert!(p.low >= 0.0 && p.high <= 1.0);
        }
        prop_assert!(!a.effects.is_empty() && !a.advice_because.is_empty() && !a.advice_because.metric().contains("NaN"));
        prop_assert!(a.missing.iter().all(|m| m.share >= 0.0 && m.share <= 1.0 + 1e-9));
    }

    #[test]
    fn no_nan_from_any_profile(points in prop::collection::vec((odd(), odd()), 0..40), both in any::<bool>()) {
        let points: Vec<ProfilePoint> = points.into_iter().map(|(x_mm, depth_mm)| ProfilePoint { x_mm, depth_mm }).collect();
        if let Ok(fit) = dent::profile::fit(&points) {
            for f in [&fit.depth_mm, &fit.width_mm, &fit.bottom_per_mm, &fit.sharpest_per_mm, &fit.noise_mm] {
                prop_assert!(f.value.is_finite() && f.low <= f.value && f.value <= f.high);
            }
            prop_assert!(!fit.log_evidence_kink.is_nan());
            prop_assert!(fit.section.iter().all(|s| s.f.is_finite() && s.slope.is_finite() && s.bend.is_finite()));
        }
        let mut d = common::dent();
        if both { d.profile_along = points.clone(); }
        d.profile_across = points;
        let a = assess(&d, &common::site());
        for (name, f) in figures(&a) {
            prop_assert!(f.value.is_finite() && f.low <= f.value && f.value <= f.high, "{name}: {} {} {}", f.value, f.low, f.high);
        }
    }
}

#[test]
fn a_profile_goes_before_depth_and_width() {
    let mut dice = fixtures::Dice(99);
    let mut d = common::dent();
    d.depth_mm = Some(common::mm("depth", 5.0, 0.1));
    d.profile_across = gauge::readings(&mut dice, gauge::SHAPES[0].1, 31, 0.01);
    let a = assess(&d, &common::site());
    assert!((a.depth_mm.value - 2.0).abs() < 0.1, "{}", a.depth_mm.value);
    assert!((a.width_across_mm.value - 17.2).abs() < 1.5, "{}", a.width_across_mm.value);
}

#[test]
fn a_bad_profile_is_named_and_the_widths_stand_in() {
    let mut d = common::dent();
    d.profile_along = vec![ProfilePoint { x_mm: 0.0, depth_mm: 2.0 }; 9];
    let a = assess(&d, &common::site());
    assert!(a.missing.iter().any(|m| m.what.contains("profile along") && m.instead.metric().contains("too few")));
    assert_eq!(a.depth_mm.value, 2.0);
}
