//! What an assessment says, against closed forms worked out here from what was surveyed. Source beside each check.

mod common;

use common::{dent, mm, site};
use dent::assess;
use dent::force::{self, Inside, force_inside};
use dent::stroke::{self, Hold, Stroke};
use instrument::{Crack, Crease, Dent, Direction, EarlierRepair};
use metal::{Alloy, Curve, Temper};
use units::{Known, Origin, Unit};

fn close(got: f64, want: f64, part: f64) {
    assert!((got - want).abs() <= part * want.abs().max(1e-12), "{got} is not {want}");
}

fn creased(direction: Direction, radius_mm: Option<f64>) -> Dent {
    let mut d = dent();
    d.crease = Some(Crease { direction, length_mm: Some(mm("crease", 8.0, 0.5)) });
    d.edge_radius_mm = radius_mm.map(|r| mm("edge", r, 0.1));
    d
}

/// Incompressible plasticity, (2/√3)√(x² + xy + y² + γ²/4) (closed form).
fn effective(x: f64, y: f64, shear: f64) -> f64 {
    2.0 / 3.0_f64.sqrt() * (x * x + x * y + y * y + 0.25 * shear * shear).sqrt()
}

/// Curvature d/s² at the bottom of a Gaussian dent of which a tenth is left at its width, 2 s √(2 ln 10) (C).
fn gaussian(depth: f64, width: f64) -> f64 {
    let s = width / (2.0 * (2.0 * 10.0_f64.ln()).sqrt());
    depth / (s * s)
}

/// Depth 2, bore 16, wall 0.5: R₀ 8.25; a fold of inside radius 0.6 has its middle on 0.85 (C). Along the tube it bends the round, across
/// it the length, slanting each by half and twists by half (Mohr's circle, C). Strains by ASME B31.8, Appendix R.
#[test]
fn a_fold_of_known_radius_strains_as_its_radius_says() {
    let (r0, t, d) = (8.25, 0.5, 2.0);
    let fold = 1.0 / (0.6 + 0.25);
    let smooth_round = gaussian(d, 12.0);
    let membrane = 0.5 * (d / 16.0) * (d / 16.0);
    let now = |k: f64| 1.0 / r0 + d / (r0 * r0) - k;
    let round = |k: f64| 0.5 * t * (1.0 / r0 - now(k));

    let along = assess(&creased(Direction::Along, Some(0.6)), &site());
    close(along.radius_across_mm.value, 1.0 / now(fold), 1e-3);
    close(along.strain_across.value, round(fold), 1e-3);
    close(along.strain_membrane.value, membrane, 1e-6);
    close(along.sharpness.value, t * fold, 1e-6);

    let across = assess(&creased(Direction::Across, Some(0.6)), &site());
    close(across.radius_along_mm.value, 1.0 / fold, 1e-6);
    close(across.strain_along.value, 0.5 * t * fold, 1e-6);
    close(across.strain_across.value, round(smooth_round), 0.01);
    close(across.strain_effective.value, effective(across.strain_across.value, 0.5 * t * fold + membrane, 0.0), 1e-6);

    let slanting = assess(&creased(Direction::Oblique, Some(0.6)), &site());
    close(slanting.radius_across_mm.value, 1.0 / now(0.5 * fold), 1e-3);
    close(slanting.radius_along_mm.value, 2.0 / fold, 1e-6);
    close(slanting.strain_effective.value, effective(round(0.5 * fold), 0.25 * t * fold + membrane, 0.5 * t * fold), 1e-3);

    // Not measured: 1.5 walls inside (common practice), 1.0 mm at the middle.
    close(assess(&creased(Direction::Across, None), &site()).strain_along.value, 0.25, 1e-6);

    // An edge whose radius was measured bends the way in which the dent is tighter.
    let edged = |along: f64, across: f64| {
        let mut d = creased(Direction::Along, Some(0.6));
        d.crease = None;
        (d.width_along_mm, d.width_across_mm) = (Some(mm("along", along, 0.5)), Some(mm("across", across, 0.5)));
        assess(&d, &site())
    };
    close(edged(16.0, 12.0).radius_across_mm.value, 1.0 / now(fold), 1e-3);
    close(edged(10.0, 12.0).radius_along_mm.value, 1.0 / fold, 1e-6);
}

/// Strain of a bent wall falls straight to nothing at its middle: its mean is half the surface's (C). Here by the dent's own widths
/// (16 and 12, depth 2, wall 0.5), the dent Gaussian.
fn mean_strain() -> f64 {
    0.5 * effective(0.25 * gaussian(2.0, 12.0), 0.25 * gaussian(2.0, 16.0) + 0.5 * (2.0 / 16.0_f64).powi(2), 0.0)
}

/// A dent that was worked before has hardened: its wall's stress is that of the tension curve, moved by what that work left, which is
/// a dent like this one and its way back, each with the mean over the wall (C).
#[test]
fn earlier_work_moves_the_wall_along_its_curve() {
    let curve = Curve::fit(Alloy::YellowBrass, Temper(2.0));
    let fresh = dent::force_case(&dent(), &site());
    close(fresh.near_mpa, curve.stress_mpa(force::NEAR), 1e-9);
    close(fresh.far_mpa, curve.stress_mpa(force::FAR), 1e-9);
    let mut worked = dent();
    worked.earlier_repair = Some(EarlierRepair { note: "pushed out before".to_owned(), thinned_mm: None });
    let worked = dent::force_case(&worked, &site());
    close(worked.near_mpa, curve.stress_mpa(2.0 * mean_strain() + force::NEAR), 0.005);
    close(worked.far_mpa, curve.stress_mpa(2.0 * mean_strain() + force::FAR), 0.005);
    close(worked.diameter_mm, 16.5, 1e-12);
}

/// A hardness taken at the dent holds the dent's own work: the metal before it is softer by what the mean strain added (C).
#[test]
fn a_hardness_at_the_dent_holds_its_work_already() {
    let mut hard = dent();
    hard.hardness_hv = Some(Known::new("hardness", 140.0, 4.0, Unit::Hv, Origin::Measured));
    let a = assess(&hard, &site());
    let case = dent::force_case(&hard, &site());
    // The temper that the hardness stands for, from what the assessment says of it: forming is its rolling strain less the dent's.
    let rolled = a.strain_forming.value + a.strain_effective.value;
    let curve = Curve::fit(Alloy::YellowBrass, Temper(rolled / Temper(1.0).rolling_strain()));
    let before = curve.stress_mpa(0.0) / curve.stress_mpa(mean_strain());
    assert!(before < 0.97, "{before}");
    close(case.near_mpa, before * curve.stress_mpa(force::NEAR), 0.005);
    close(case.far_mpa, before * curve.stress_mpa(force::FAR), 0.005);
}

/// A crack beside a dent sees the dent's strain where it lies: a Gaussian dent's falls off as exp(−x²/2s²), s = width/4.29 (C).
#[test]
fn a_crack_sees_less_of_a_dent_further_off() {
    let near = |mm_away: f64| {
        let mut s = site();
        s.crack_near = Some(instrument::CrackNear { id: "c".into(), hole: false, through: Some(false), distance_mm: Some(mm_away) });
        assess(&dent(), &s).crack_likelihood.value
    };
    let mut own = dent();
    own.crack = Some(Crack { direction: Some(Direction::Along), length_mm: Some(mm("crack", 3.0, 0.2)), through: Some(false) });
    let none = assess(&dent(), &site()).crack_likelihood.value;
    let all = [assess(&own, &site()).crack_likelihood.value, near(0.0), near(2.0), near(4.0), near(12.0)];
    assert!(all.windows(2).all(|w| w[1] <= w[0] + 1e-12) && all[1] > all[2] && all[2] > all[3], "{all:?}");
    close(all[4], none, 1e-9);
}

/// One force in newtons, however it is written: the part of the one push times the one push (its own table, asked here) is the law's
/// number times 4π M₀, M₀ = σ t²/4 by the flow stress after 5 % strain (yield lines about a point load, C).
#[test]
fn parts_of_the_one_push_are_the_laws_force() {
    for (bore, wall, sigma, n, depth) in [(24.5, 0.6, 383.0, 0.151, 2.0), (14.4, 0.5, 217.4, 0.2831, 1.5), (18.69, 0.5, 351.5, 0.1675, 2.5)]
    {
        let e_mpa = 112_000.0;
        let s = Stroke {
            mean_diameter_mm: bore + wall,
            wall_mm: wall,
            yield_strain: sigma / e_mpa,
            hardening_n: n,
            depth_mm: depth,
            width_along_mm: 16.0,
            width_across_mm: 10.0,
            head_mm: 0.45 * bore,
            lift_mm: 0.2,
            hold: Hold::Hand,
        };
        let after = |strain: f64| sigma * (1.0 + strain / 0.02_f64).powf(n);
        let one = force_inside(&Inside {
            e_mpa,
            near_mpa: after(force::NEAR),
            far_mpa: after(force::FAR),
            diameter_mm: bore + wall,
            wall_mm: wall,
            depth_mm: depth,
            bend_factor: 1.0,
        });
        let collapse_n = std::f64::consts::PI * after(0.05) * wall * wall;
        let law = stroke::over_collapse(&s);
        for (left, law) in stroke::LEFT.into_iter().zip(law).take(4).skip(1) {
            let newtons = stroke::part_to(&s, left) * one.n;
            assert!(newtons < one.n);
            close(newtons, law * collapse_n, 1e-6);
        }
    }
}

/// The names that the source of the sharpness gives: below 0.05, to 0.2, to 0.5, above.
#[test]
fn a_form_is_called_what_its_source_calls_it() {
    let called = |sharpness: f64| dent::form::words(dent::form::form(sharpness, false));
    assert_eq!([0.04, 0.06, 0.19, 0.21, 0.49, 0.51].map(called), ["smooth", "rounded", "rounded", "sharp", "sharp", "V-shaped"]);
    for name in ["smooth", "rounded", "sharp", "V-shaped"] {
        assert!(dent::form::SHARPNESS.text.contains(name));
    }
    // Wall 0.5 mm, curvature 2/2.8² a millimetre: 0.13 is rounded.
    let said = assess(&dent(), &site()).advice_because;
    assert!(said.metric().starts_with("rounded dent in half hard"), "{}", said.metric());
}

/// An answer of which a part is the held wall's errs by the two errors in that proportion (C).
#[test]
fn errors_of_two_walls_mix_in_proportion() {
    use dent::force_table::{ERROR, mixed};
    let (cradle, held) = (ERROR[0].force_out_rms, ERROR[1].force_out_rms);
    for part in [0.0, 0.25, 1.0] {
        close(mixed(part, 0.0, |e| e.force_out_rms), cradle + part * (held - cradle), 1e-12);
    }
}

/// The worst place is the worst place, in whatever order the places are looked at: a Gaussian dent's is its bottom, inside, where
/// bending and stretching add (shell theory, C).
#[test]
fn the_worst_place_does_not_hang_on_the_order() {
    use dent::strain::{Field, gaussian_section};
    let field = Field { wall_mm: 0.5, radius_mm: 8.25, depth_mm: 2.0, curvature_along: 0.144, curvature_across: 0.256, membrane: 0.008 };
    let mut section = gaussian_section();
    let (first, e) = field.worst(&section, &section);
    section.reverse();
    let (place, turned) = field.worst(&section, &section);
    assert!(first == place && e == turned && first.along.f == 1.0 && first.across.f == 1.0 && !first.outside, "{place:?}");
    // Of places that are strained alike the first is named.
    let twice = [first.along, dent::strain::Sample { part: 0.3, ..first.along }];
    assert_eq!(field.worst(&twice, &twice).0, first);
    let bending = 0.25 * (0.256 - 2.0 / (8.25 * 8.25));
    close(e, effective(bending, 0.25 * 0.144 + 0.008, 0.0), 1e-9);
}

/// Where a figure came from is said with it.
#[test]
fn what_was_not_measured_says_where_its_figure_comes_from() {
    let said = |origin: Origin| {
        let mut s = site();
        s.wall_mm = Known::new("wall", 0.5, 0.05, Unit::Mm, origin);
        assess(&dent(), &s).missing.iter().find(|m| m.what.contains("wall")).map(|m| m.instead.clone())
    };
    assert_eq!(said(Origin::Pattern).as_ref().map(units::Text::metric).as_deref(), Some("0.5 mm ± 0.05, from the instrument's pattern"));
    assert_eq!(said(Origin::ByEye).as_ref().map(units::Text::metric).as_deref(), Some("0.5 mm ± 0.05, as judged"));
    assert_eq!(said(Origin::Assumed).as_ref().map(units::Text::metric).as_deref(), Some("0.5 mm ± 0.05, assumed"));
    assert_eq!(said(Origin::Measured), None);
}

/// What was not measured is guessed from the round of the tube, outside diameter 17: a flat body that goes in by d makes a chord 2√(d(17 − d))
/// (circular segment, C); the dent is 1.3 times as wide as that, 1.2 times as long as wide, and 0.06 of the diameter deep where
/// nothing is known (common practice).
#[test]
fn sizes_that_were_not_measured() {
    let at = |depth: Option<f64>, across: Option<f64>, along: Option<f64>| {
        let mut d = dent();
        d.depth_mm = depth.map(|v| mm("depth", v, 0.1));
        d.width_across_mm = across.map(|v| mm("width across", v, 0.5));
        d.width_along_mm = along.map(|v| mm("width along", v, 0.5));
        let a = assess(&d, &site());
        [a.depth_mm.value, a.width_across_mm.value, a.width_along_mm.value]
    };
    let chord = |d: f64| 2.0 * (d * (17.0 - d)).sqrt();
    let segment = |c: f64| 0.5 * (17.0 - (17.0_f64 * 17.0 - c * c).sqrt());
    let expected = [
        (at(Some(2.0), None, None), [2.0, 1.3 * chord(2.0), 1.2 * 1.3 * chord(2.0)]),
        (at(Some(2.0), Some(12.0), None), [2.0, 12.0, 14.4]),
        (at(Some(2.0), None, Some(12.0)), [2.0, 10.0, 12.0]),
        (at(None, Some(13.0), None), [segment(10.0), 13.0, 15.6]),
        (at(None, None, Some(15.6)), [segment(10.0), 13.0, 15.6]),
        (at(None, None, None), [1.02, 1.3 * chord(1.02), 1.2 * 1.3 * chord(1.02)]),
    ];
    for (got, want) in expected {
        for (g, w) in got.into_iter().zip(want) {
            assert!((g / w - 1.0).abs() < 1e-3, "{got:?} {want:?}");
        }
    }
}

/// Strains add (C): a repair that was as much again and its way back, 2 ε, comes on top of this dent's and its own way back; forming is the
/// temper's rolling strain, (2/√3) · 2 numbers · ln(1/0.8905).
#[test]
fn strains_add_up() {
    let fresh = assess(&dent(), &site());
    let mut worked = dent();
    worked.earlier_repair = Some(EarlierRepair { note: "pushed out before".to_owned(), thinned_mm: None });
    let worked = assess(&worked, &site());
    let e = fresh.strain_effective.value;
    close(worked.strain_accumulated.value - fresh.strain_accumulated.value, 2.0 * e, 1e-6);
    close(fresh.strain_forming.value, 2.0 / 3.0_f64.sqrt() * 2.0 * (1.0 / 0.8905_f64).ln(), 1e-3);
    let back = fresh.strain_accumulated.value - fresh.strain_forming.value - e;
    assert!(back > 0.5 * e && back < 2.5 * e, "{back} {e}");
    // Against what the temper bears: the same parts in proportion.
    close(worked.ductility_used.value / fresh.ductility_used.value, (3.0 * e + back) / (e + back), 1e-6);
    // A hardness taken at the dent counts no work twice: only the way back is still to come.
    let mut hard = dent();
    hard.hardness_hv = Some(Known::new("hardness", 150.0, 4.0, Unit::Hv, Origin::Measured));
    let hard = assess(&hard, &site());
    let rolled = hard.strain_forming.value + hard.strain_effective.value;
    let way_back = hard.strain_accumulated.value - rolled;
    assert!(way_back > 0.5 * e && way_back < 2.5 * e, "{way_back} {e}");
}

/// Passage and depth over diameter (definitions), and what is left of the bore under a Gaussian dent: lost is its area, d·w·√(2π)/4.292, less
/// a little for the round (C, to first order).
#[test]
fn what_is_left_of_the_bore() {
    let a = assess(&dent(), &site());
    close(a.passage_mm.value, 14.0, 1e-6);
    close(a.depth_over_diameter.value, 2.0 / 17.0, 1e-6);
    let lost = 2.0 * 12.0 * (2.0 * std::f64::consts::PI).sqrt() / 4.292 / (std::f64::consts::PI * 64.0);
    close(1.0 - a.area_left.value, lost, 0.1);
    assert!(1.0 - a.area_left.value < lost);
}

/// A crack that goes through is patched from half of the outside diameter on, 8.5 mm of 17 (common practice, said in the advice's source);
/// one that does not go through is stopped, however long.
#[test]
fn half_the_diameter_decides_a_crack() {
    use dent::Advice;
    let cracked = |length: f64, through: Option<bool>| {
        let mut d = dent();
        d.crack = Some(Crack { direction: Some(Direction::Along), length_mm: Some(mm("crack", length, 0.2)), through });
        assess(&d, &site())
    };
    assert_eq!(cracked(8.4, Some(true)).advice, Advice::StabiliseThenWork);
    let long = cracked(8.6, Some(true));
    assert!(
        long.advice == Advice::Patch
            && long.advice_because.metric().contains("8.6 mm long")
            && long.advice_because.metric().contains("(8.5 mm)")
    );
    assert_eq!(cracked(12.0, Some(false)).advice, Advice::StabiliseThenWork);
    assert_eq!(cracked(12.0, None).advice, Advice::StabiliseThenWork);
}

/// Straight or bent with chances 1 − p and p: the mean of the two (C), and a wider spread: √(p(1 − p)) of what the
/// bend adds (Bernoulli, C), of which only the upper half counts, for no bend softens a wall.
#[test]
fn an_unsure_bend_is_the_mean_of_both() {
    use instrument::Shape;
    let at = |shape: Shape| {
        let mut s = site();
        s.shape = shape;
        assess(&dent(), &s).force_inside_n
    };
    let (straight, bent) = (at(Shape::Straight), at(Shape::Bent { radius_mm: 20.0 }));
    // By hand, p a quarter: the bend adds 16/(2 · 20) = 0.4 ± 0.2, so 1.1 ± √(0.1875 · 0.16 + 0.25 · 0.04) = 0.2.
    let quarter = at(Shape::Unsure { bent_part: 0.25, radius_mm: 20.0 });
    let input = quarter.reason.inputs.iter().find(|i| i.known.name.contains("if there is one")).unwrap();
    close(input.known.value, 1.1, 1e-9);
    close(input.known.sd, 0.2, 1e-9);
    let adds = bent.value / straight.value - 1.0;
    assert!(adds > 0.1, "{adds}");
    for p in [0.0, 0.25, 0.5, 1.0] {
        let unsure = at(Shape::Unsure { bent_part: p, radius_mm: 20.0 });
        close(unsure.value / straight.value - 1.0, p * adds, 1e-6);
        let log_spread = |f: &units::Figure| (f.high / f.low).ln() / (2.0 * 1.645);
        let chance = (p * (1.0 - p)).sqrt() * adds / (1.0 + p * adds);
        assert!(log_spread(&unsure) >= log_spread(&straight).hypot(0.5 * chance) - 1e-3, "{p}");
    }
}

/// A spread that is not a number counts as a tenth, one as large as the value as nine tenths (the quantity is positive); a lognormal's 90 %
/// interval is e^(±1.645 s), s the spread over the value (C).
#[test]
fn spreads_that_cannot_be_are_held() {
    let spread = |sd: f64| {
        let mut d = dent();
        d.depth_mm = Some(mm("depth", 2.0, sd));
        let f = assess(&d, &site()).depth_mm;
        (f.high / f.low).ln() / (2.0 * 1.645)
    };
    close(spread(0.1), 0.05, 0.02);
    close(spread(f64::NAN), spread(0.2), 1e-9);
    close(spread(-1.0), spread(0.2), 1e-9);
    close(spread(5.0), spread(1.8), 1e-9);
    assert!(spread(1.0) < spread(1.8));
    // A depth that no instrument can have was not measured.
    let mut none = dent();
    none.depth_mm = Some(mm("depth", 0.0, 0.1));
    assert!(assess(&none, &site()).missing.iter().any(|m| m.what == "depth"));
}

/// A temper that is not a number is half hard, give or take; none is harder than spring.
#[test]
fn tempers_stay_within_the_tables() {
    let at = |value: f64, sd: f64| {
        let mut s = site();
        (s.temper.value, s.temper.sd) = (value, sd);
        assess(&dent(), &s).strain_forming.value
    };
    close(at(f64::NAN, 0.5), at(2.0, 1.5), 1e-9);
    close(at(11.0, 0.5), at(8.0, 0.5), 1e-9);
    close(at(8.0, 0.5) / at(2.0, 0.5), 4.0, 0.01);
}

/// What is judged by eye is said to be, with its figure.
#[test]
fn what_was_judged_by_eye_is_said() {
    let mut d = dent();
    let eye = |name: &'static str, v: f64, sd: f64| Some(Known::new(name, v, sd, Unit::Mm, Origin::ByEye));
    (d.depth_mm, d.width_across_mm, d.width_along_mm) = (eye("depth", 2.0, 0.5), eye("across", 12.0, 2.0), eye("along", 16.0, 3.0));
    let mut s = site();
    s.clock_deg = None;
    let missing = assess(&d, &s).missing;
    let said = |what: &str| missing.iter().find(|m| m.what.starts_with(what)).map(|m| m.instead.metric());
    assert_eq!(said("depth, with a gauge").as_deref(), Some("2 mm ± 0.5 as judged"));
    assert_eq!(said("width round the tube, with a gauge").as_deref(), Some("12 mm ± 2 as judged"));
    assert_eq!(said("width along the tube, with a gauge").as_deref(), Some("16 mm ± 3 as judged"));
    assert_eq!(said("clock angle").as_deref(), Some("the side on which it is hardest"));
    assert_eq!(said("distance from the mouthpiece end").as_deref(), None);
    let measured = assess(&dent(), &site()).missing;
    assert!(
        measured.iter().all(|m| !m.what.contains("gauge") && !m.what.starts_with("depth") && !m.what.starts_with("width")),
        "{measured:?}"
    );
    // The wall's spread of 0.03 counts, one of nothing does not.
    let mut s = site();
    s.temper.origin = Origin::Measured;
    assert!(assess(&dent(), &s).missing.iter().all(|m| !m.what.starts_with("Vickers")));
}

/// What each figure was made of stands with it: the values and spreads that common practice and the model's runs give, by hand. Of five ratios
/// of the model's strain to the closed form's, their logarithms' standard deviation is 0.0783 (n − 1 = 4), with the runs' and the
/// mesh's tenth 0.1270.
#[test]
fn the_inputs_are_those_that_are_said() {
    let mut d = creased(Direction::Along, None);
    d.crack = Some(Crack { direction: Some(Direction::Along), length_mm: Some(mm("crack", 3.0, 0.2)), through: Some(false) });
    d.earlier_repair = Some(EarlierRepair { note: "pushed out before".to_owned(), thinned_mm: None });
    let a = assess(&d, &site());
    let part = |name: &str| {
        let all = a.crack_likelihood.reason.inputs.iter().chain(&a.force_inside_n.reason.inputs).chain(&a.strain_effective.reason.inputs);
        let k = all.map(|i| &i.known).find(|k| k.name.contains(name)).unwrap_or_else(|| panic!("no {name}"));
        (k.value, k.sd / k.value)
    };
    let curve = Curve::fit(Alloy::YellowBrass, Temper(2.0));
    let (hole, hole_part) = dent::crack_stop::factor(curve.poisson, curve.n);
    let expected = [
        ("strain at a stopped crack's end", hole, hole_part),
        ("inside radius of the fold", 0.75, 0.4),
        ("strain of earlier work", 1.0, 0.7),
        ("harm of pressing", 0.25, 0.6),
        ("width over s", 4.292, 0.5 / 4.292),
        ("wall", 0.5, 0.06),
        ("temper", 2.0, 0.25),
    ];
    for (name, value, spread) in expected {
        let (v, s) = part(name);
        assert!((v / value - 1.0).abs() < 1e-3 && (s / spread - 1.0).abs() < 1e-3, "{name}: {v} {s}, not {value} {spread}");
    }
    let mut smooth = dent();
    smooth.width_along_mm = Some(mm("width along", 16.0, 1.0));
    let strained = dent::wall_strain::dent(dent::wall_strain::Known::Width);
    assert!((strained.1 - 0.1270).abs() < 2e-4, "{strained:?}");
}

/// Where on the dent the strain is greatest, in the words of the bench: an eighth of the half width is the bottom still, beyond a half is
/// edge.
#[test]
fn places_have_their_names() {
    use dent::strain::{Place, Sample};
    let at = |along: f64, across: f64, outside: bool| {
        let sample = |part: f64| Sample { part, f: 1.0, slope: 0.0, bend: -1.0 };
        Place { along: sample(along), across: sample(across), outside }.words()
    };
    assert_eq!(at(0.0, 0.1, false), "bottom, inside surface");
    assert_eq!(at(0.1, -0.3, false), "flank beside the bottom, round the tube, inside surface");
    assert_eq!(at(0.3, 0.0, true), "flank beside the bottom, along the tube, outside surface");
    assert_eq!(at(-0.3, 0.3, true), "flank, slantwise from the bottom, outside surface");
    assert_eq!(at(0.0, 0.9, false), "edge, round the tube, inside surface");
    assert_eq!(at(0.3, -0.9, false), "edge, round the tube, inside surface");
    assert_eq!(at(0.9, 0.3, false), "edge, along the tube, inside surface");
    assert_eq!(at(-0.9, 0.0, false), "edge, along the tube, inside surface");
    assert_eq!(at(0.9, 0.9, false), "edge, slantwise from the bottom, inside surface");
}

/// The air notices a narrow deep dent by what passes (under 0.90 of the bore, common practice) although nearly all of the area is left:
/// 12.5 of 16 mm pass, and a dent 3.5 mm deep and 2 mm wide takes under 2 % of 201 mm². One 1.5 mm deep lets 0.906 pass.
#[test]
fn a_narrow_deep_dent_is_in_the_way_of_what_passes() {
    use dent::Effect;
    let at = |depth: f64| {
        let mut d = dent();
        d.depth_mm = Some(mm("depth", depth, 0.1));
        (d.width_across_mm, d.width_along_mm) = (Some(mm("across", 2.0, 0.1)), Some(mm("along", 40.0, 1.0)));
        let a = assess(&d, &site());
        assert!(a.area_left.value > 0.97, "{}", a.area_left.value);
        a.effects.contains(&Effect::Bore)
    };
    assert!(at(3.5) && !at(1.5));
}

/// A fitted Gaussian's section is the Gaussian's own (C): f = e^(−ξ²/2), slope −ξ f, second derivative (ξ² − 1) f, ξ the distance over s, a half
/// width of which is √(2 ln 10); made dimensionless, so whatever the depth.
#[test]
fn a_fitted_section_is_the_profile_s() {
    for depth in [0.5, 3.0] {
        let s = 4.0;
        let points: Vec<instrument::ProfilePoint> = (-30..=30)
            .map(|i| 0.4 * f64::from(i))
            .map(|x| instrument::ProfilePoint { x_mm: x, depth_mm: depth * (-0.5 * (x / s) * (x / s)).exp() })
            .collect();
        let fit = dent::profile::fit(&points).unwrap();
        close(fit.depth_mm.value, depth, 0.01);
        close(fit.means.0, (2.0 * std::f64::consts::PI).sqrt() / (2.0 * (2.0 * 10.0_f64.ln()).sqrt()), 0.02);
        for at in fit.section.iter().filter(|at| at.part.abs() <= 1.0) {
            let xi = at.part * (2.0 * 10.0_f64.ln()).sqrt();
            let f = (-0.5 * xi * xi).exp();
            for (got, want) in [(at.f, f), (at.slope, -xi * f), (at.bend, (xi * xi - 1.0) * f)] {
                assert!((got - want).abs() < 0.04, "{depth} {at:?}: {got} {want}");
            }
        }
    }
}

/// A depth that is nothing, or no number, is answered as the least and the greatest that can be asked: a thousandth of the diameter, and all of it.
#[test]
fn sizes_that_no_stroke_has_are_held() {
    let s = |depth_mm: f64, head_mm: f64, wall_mm: f64| Stroke {
        mean_diameter_mm: 20.0,
        wall_mm,
        yield_strain: 0.003,
        hardening_n: 0.2,
        depth_mm,
        width_along_mm: 16.0,
        width_across_mm: 10.0,
        head_mm,
        lift_mm: 0.2,
        hold: Hold::Hand,
    };
    let part = |s: &Stroke| stroke::part_to(s, 0.5);
    close(part(&s(0.0, 9.0, 0.5)), part(&s(0.02, 9.0, 0.5)), 1e-12);
    close(part(&s(f64::NAN, 9.0, 0.5)), part(&s(20.0, 9.0, 0.5)), 1e-12);
    close(part(&s(2.0, 0.0, 0.5)), part(&s(2.0, 0.2, 0.5)), 1e-12);
    close(part(&s(2.0, 9.0, 9.0)), part(&s(2.0, 9.0, 4.0)), 1e-12);
    close(part(&s(2.0, 9.0, 0.0)), part(&s(2.0, 9.0, 0.02)), 1e-12);
}

/// The noise of a gauge's readings and its interval: ν s²/σ² is χ² with ν degrees of freedom (C), here 61 points less three that are
/// fitted and two that the prior counts for, 60: χ² 43.19 and 79.08 (tables), so 0.871 and 1.179 of the estimate.
#[test]
fn the_noise_s_interval_is_chi_squared() {
    let s = 4.0;
    let points: Vec<instrument::ProfilePoint> = (-30..=30)
        .map(|i| (f64::from(i), 0.4 * f64::from(i)))
        .map(|(i, x)| instrument::ProfilePoint {
            x_mm: x,
            depth_mm: 2.0 * (-0.5 * (x / s) * (x / s)).exp() + 0.02 * (2.4 * i + 0.7 * i * i).sin(),
        })
        .collect();
    let noise = dent::profile::fit(&points).unwrap().noise_mm;
    assert!((0.010..0.020).contains(&noise.value), "{noise:?}");
    assert!((noise.low / noise.value / 0.871 - 1.0).abs() < 0.03, "{} {}", noise.low / noise.value, noise.high / noise.value);
    assert!((noise.high / noise.value / 1.179 - 1.0).abs() < 0.03, "{} {}", noise.low / noise.value, noise.high / noise.value);
}
