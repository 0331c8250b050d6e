//! The force from inside: which way it moves, that it has no jump where the table ends, and what its reason says.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{dent, mm, site};
use dent::force::{self, Inside, force_inside};
use dent::{Assessment, assess, force_table};
use instrument::{Dent, Kind, Run, Shape, Site};
use metal::{Alloy, Curve, Temper};
use proptest::prelude::*;

fn inside(alloy: Alloy, temper: f64, diameter_mm: f64, wall_mm: f64, depth_mm: f64) -> Inside {
    let c = Curve::fit(alloy, Temper(temper));
    let (near_mpa, far_mpa) = (c.stress_mpa(force::NEAR), c.stress_mpa(force::FAR));
    Inside { e_mpa: c.e_mpa, near_mpa, far_mpa, diameter_mm, wall_mm, depth_mm, bend_factor: 1.0 }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Everything a brass instrument can be and more: D/t 6 to 600, d/D 0.001 to 0.9.
    #[test]
    fn deeper_thicker_harder_asks_for_no_less_and_nothing_jumps(
        alloy in 0..4_usize, temper in 0.0..8.0_f64, diameter in 5.0..120.0_f64, wall in 0.2..1.2_f64, part in -6.9..-0.1_f64, more in 0.001..0.5_f64,
    ) {
        let (alloy, depth) = (Alloy::ALL[alloy], diameter * part.exp());
        let base = force_inside(&inside(alloy, temper, diameter, wall, depth));
        prop_assert!(base.n.is_finite() && base.n > 0.0);
        prop_assert!((force::DOUBT - 1e-12..=force::DOUBT_BEYOND).contains(&base.doubt()));
        let moved = [
            ("deeper", inside(alloy, temper, diameter, wall, depth * (1.0 + more))),
            ("thicker", inside(alloy, temper, diameter, wall * (1.0 + more), depth)),
            ("harder", inside(alloy, (temper + 4.0 * more).min(8.0), diameter, wall, depth)),
        ];
        for (what, other) in moved {
            // A hair for the rounding of the table's four digits. Above hard, brass hardens less while its yield stress passes the table's
            // end: there the force stands still; it fell by 0.75 % at worst in 200,000 throws. In thin held walls (D/t from 47) the exponent
            // tells more and the table ends at a lower yield stress: there it falls by up to 3.5 % (60,000 throws; 2.1 % with the table before, of fewer lines), a third of the table's error there.
            // Beyond D/t 160 the model's own rows are not smooth (a wall so thin snaps; the table is within a third there).
            let thin = diameter / wall > 155.0;
            let hair = match (what, base.held > 0.0) {
                ("harder", true) => if thin { 0.8 } else { 0.965 },
                ("harder", false) => 0.99,
                _ => 0.999,
            };
            // (The over-push in thin held walls likewise.)
            let less = if thin { 0.8 } else if base.held > 0.0 { 0.98 } else { 0.998 };
            prop_assert!(what != "harder" || force_inside(&other).over_push_part >= base.over_push_part * less, "{base:?} {:?}", force_inside(&other));
            prop_assert!(force_inside(&other).n >= base.n * hair, "{what}: {base:?} {:?}", force_inside(&other));
        }
        // No jump: a millionth more of anything changes the force and its doubt by some millionths.
        let h = 1.0 + 1e-6;
        for other in [
            inside(alloy, temper * h, diameter, wall, depth), inside(alloy, temper, diameter * h, wall, depth),
            inside(alloy, temper, diameter, wall * h, depth), inside(alloy, temper, diameter, wall, depth * h),
        ] {
            let f = force_inside(&other);
            prop_assert!((f.n / base.n - 1.0).abs() < 1e-4 && (f.doubt() - base.doubt()).abs() < 1e-4 && (f.over_push_part / base.over_push_part - 1.0).abs() < 1e-4, "{base:?} {f:?}");
        }
    }
}

/// A head of 0.62 D is the one that the assessment is given for; a smaller one asks for less, down to the table's edge.
#[test]
fn the_head_that_is_used_changes_the_force() {
    let i = inside(Alloy::YellowBrass, 2.0, 20.0, 0.5, 2.0);
    let usual = force::head_factor(&i, force::BALL_PART * 20.0);
    assert!((usual.force - 1.0).abs() < 1e-12 && (usual.over_push - 1.0).abs() < 1e-12 && !usual.outside);
    let small = force::head_factor(&i, 6.0);
    // The own model at D/t 40, σ₀/E 0.002, n 0.2, 0.1 D deep: a ball of 0.3 D asks for 0.7 to 0.95 of one of 0.62 D (docs/validation.md).
    assert!((0.7..0.95).contains(&small.force) && !small.outside, "{small:?}");
    let edge = force::head_factor(&i, 0.01);
    assert!(edge.outside && edge.force <= small.force && force::head_factor(&i, 19.0).outside);
    assert_eq!(force::head_factor(&i, f64::NAN).force, 1.0);
    // The case of a surveyed dent is the one its own assessment was asked with.
    let (d, s) = (dent(), site());
    let f = force_inside(&dent::force_case(&d, &s));
    assert!((f.n / assess(&d, &s).force_inside_n.value - 1.0).abs() < 0.2);
}

#[test]
fn the_reason_names_formula_source_and_error() {
    let a = assess(&dent(), &site()).force_inside_n;
    // The page's and the code's figures are the same.
    let [cradle, held, thin] = force_table::ERROR.map(|e| (100.0 * e.force_out_rms).round());
    let said = format!("within {cradle} % in the cradle (D/t to 47), {held} % held round (80 to 160) and {thin} % in thinner walls");
    assert!(a.reason.formula.contains("table(D/t") && !a.reason.formula.contains("outside"), "{}", a.reason.formula);
    assert!(format!("{:?}", a.reason.source).contains(&said), "{said}: {:?}", a.reason.source);
    assert!(
        a.reason
            .inputs
            .iter()
            .any(|i| i.known.name.contains("over the table's") && i.known.sd == force_table::ERROR[0].force_out_rms && i.share > 0.0)
    );
    // Outside: said, by its name, and wider.
    let mut thin = site();
    thin.wall_mm = mm("wall", 0.02, 0.001);
    let b = assess(&dent(), &thin).force_inside_n;
    assert!(b.reason.formula.contains("outside the table (diameter over wall"), "{}", b.reason.formula);
    assert!(format!("{:?}", b.reason.source).contains("Wierzbicki"));
    let doubt = |f: &units::Figure| f.reason.inputs.iter().find(|i| i.known.name.contains("over the model's")).map(|i| i.known.sd).unwrap();
    assert!(doubt(&b) > doubt(&a));
}

/// The order for which docs/validation.md gives the reasons, from the one that fights back most to the one that a rod in the hand moves: place,
/// pattern, run, bend radius.
const PLACES: [(&str, Kind, &str, Option<f64>); 5] = [
    ("tuba branch", Kind::Tuba, "first-branch", None),
    ("tuning slide, inner leg", Kind::Trumpet, "tuning-slide-first-inner", None),
    ("leadpipe", Kind::Trumpet, "leadpipe", None),
    ("bell stem", Kind::Trumpet, "bell-stem", None),
    ("bow", Kind::Trumpet, "bell-bow", Some(37.0)),
];

/// A dent of 3 mm, no width measured, in the middle of the pattern's run.
fn three_mm(place: &(&str, Kind, &str, Option<f64>)) -> (Run, Assessment) {
    let (run, d, s) = three_mm_in(place);
    let a = assess(&d, &s);
    (run, a)
}

fn three_mm_in(&(_, kind, run, bend): &(&str, Kind, &str, Option<f64>)) -> (Run, Dent, Site) {
    let (mut d, mut s) = (dent(), site());
    d.depth_mm = Some(mm("depth", 3.0, 0.1));
    (d.width_across_mm, d.width_along_mm) = (None, None);
    let pattern = instrument::patterns::pattern(kind).unwrap();
    let run = pattern.runs.iter().find(|r| r.id.0 == run).unwrap().clone();
    let at = run.length_mm() / 2.0;
    (s.role, s.alloy, s.bore_mm, s.wall_mm, s.temper) = (run.role, run.alloy, run.bore_at(at), run.wall_at(at), run.temper_at(at));
    s.shape = bend.map_or(Shape::Straight, |radius_mm| Shape::Bent { radius_mm });
    (run, d, s)
}

/// Peak plastic strains of a 3 mm dent in these places by an audit's own runs of the model, in the order of `PLACES`: other balls
/// and sizes, read at the outermost integration point. The table reads the surface, which lies up to a fifth above that point where
/// the wall is bent only. They reach the reasons of strain and of accumulated strain.
#[test]
fn the_model_s_peak_strains_stand_in_the_reasons() {
    for (place, audited) in PLACES.iter().zip([0.14, 0.26, 0.26, 0.15, 0.175]) {
        let (_, d, s) = three_mm_in(place);
        let f = force::force_inside(&dent::force_case(&d, &s));
        println!("{}: dent {:.3} ({audited} audited), back {:.3}, both {:.3}", place.0, f.strain_dent, f.strain_back, f.strain_both);
        assert!((0.9..1.5).contains(&(f.strain_dent / audited)), "{}: {} against {audited}", place.0, f.strain_dent);
        assert!(f.strain_both > f.strain_dent.max(f.strain_back) && f.strain_both <= f.strain_dent + f.strain_back + 1e-9);
        let a = assess(&d, &s);
        assert!(a.strain_effective.reason.formula.contains(&format!("{:.3}", f.strain_dent)), "{}", a.strain_effective.reason.formula);
        assert!(a.strain_accumulated.reason.formula.contains(&format!("{:.3}", f.strain_both)));
    }
}

/// The order, as the page shows it and tells how it came about: this holds it against change, it does not prove the trade's order.
#[test]
fn three_millimetres_in_five_places() {
    let all = PLACES.map(|p| (p.0, three_mm(&p)));
    let mut page = String::new();
    for ((name, (run, a)), place) in all.iter().zip(&PLACES) {
        let (f, at) = (&a.force_inside_n, run.length_mm() / 2.0);
        let (bore, wall, temper) = (run.bore_at(at).value, run.wall_at(at).value, run.temper_at(at).value);
        page += &format!(
            "| {name} | {}, {temper:.1} | {:.0} | {bore:.1} × {wall:.2} | {:.2} | {:.0} | {:.2} | {:.0} ({:.0} to {:.0}) | {:.2} ({:.2} to {:.2}) |\n",
            run.alloy.name(),
            Curve::fit(run.alloy, Temper(temper)).stress_mpa(0.05),
            place.3.map_or(1.0, |r| force::bend_factor(bore, r).0),
            (bore + wall) / wall,
            3.0 / (bore + wall),
            f.value,
            f.low,
            f.high,
            a.overpush_mm.value,
            a.overpush_mm.low,
            a.overpush_mm.high
        );
    }
    println!("{page}");
    assert!(all.windows(2).all(|w| w[0].1.1.force_inside_n.value > w[1].1.1.force_inside_n.value), "{page}");
    let shown = include_str!("../../../docs/validation.md");
    assert!(shown.contains(&page), "docs/validation.md should hold\n{page}");
}
