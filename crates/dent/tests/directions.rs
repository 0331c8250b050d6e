//! What the trade expects: which way each figure moves.

mod common;

use common::{dent, mm, site};
use dent::{Advice, Assessment, Effect, Form, assess};
use instrument::{Crack, Crease, Direction, EarlierRepair, Role, Shape};
use metal::Alloy;
use units::{Known, Origin, Unit};

fn force(a: &Assessment) -> f64 {
    a.force_inside_n.value
}
fn crack(a: &Assessment) -> f64 {
    a.crack_likelihood.value
}

#[test]
fn harder_temper_more_force_and_more_crack() {
    let at = |t: f64| {
        let mut s = site();
        s.temper.value = t;
        assess(&dent(), &s)
    };
    let steps: Vec<Assessment> = [0.0, 1.0, 2.0, 4.0, 6.0].map(at).into();
    for w in steps.windows(2) {
        assert!(force(&w[1]) > force(&w[0]) && crack(&w[1]) > crack(&w[0]));
        assert!(w[1].ductility_used.value > w[0].ductility_used.value);
        assert!(w[1].overpush_mm.value > w[0].overpush_mm.value, "{} {}", w[1].overpush_mm.value, w[0].overpush_mm.value);
    }
}

#[test]
fn thicker_wall_more_force() {
    let at = |t: f64| {
        let mut s = site();
        s.wall_mm.value = t;
        assess(&dent(), &s)
    };
    assert!(force(&at(0.6)) > force(&at(0.5)) && force(&at(0.5)) > force(&at(0.4)));
}

#[test]
fn deeper_more_strain_more_force_smaller_passage() {
    let at = |d: f64| {
        let mut dent = dent();
        dent.depth_mm = Some(mm("depth", d, 0.1));
        assess(&dent, &site())
    };
    let (shallow, deep) = (at(1.0), at(3.0));
    assert!(force(&deep) > force(&shallow));
    assert!(deep.strain_effective.value > shallow.strain_effective.value);
    assert!(deep.passage_mm.value < shallow.passage_mm.value);
    assert!(deep.area_left.value < shallow.area_left.value);
    assert!(deep.ductility_used.value > shallow.ductility_used.value && crack(&deep) > crack(&shallow));
    // Deeper than the bore: nothing passes.
    assert_eq!(at(30.0).passage_mm.value, 0.0);
}

#[test]
fn sharper_higher_strain_and_crack() {
    let at = |w: f64, edge: Option<f64>| {
        let mut dent = dent();
        dent.width_across_mm = Some(mm("width across", w, 0.5));
        dent.edge_radius_mm = edge.map(|r| mm("edge", r, 0.2));
        assess(&dent, &site())
    };
    let (wide, narrow, edged) = (at(16.0, None), at(9.0, None), at(9.0, Some(0.4)));
    assert!(wide.strain_effective.value < narrow.strain_effective.value && narrow.strain_effective.value < edged.strain_effective.value);
    assert!(crack(&wide) < crack(&narrow) && crack(&narrow) < crack(&edged));
    assert!(wide.sharpness.value < narrow.sharpness.value && narrow.form < edged.form);
    assert_eq!(edged.worst_place, "sharpest edge");
}

#[test]
fn nickel_silver_over_yellow_over_rose() {
    let at = |alloy| {
        let mut s = site();
        s.alloy = alloy;
        force(&assess(&dent(), &s))
    };
    assert!(at(Alloy::NickelSilver) > at(Alloy::YellowBrass) && at(Alloy::YellowBrass) > at(Alloy::RoseBrass));
}

#[test]
fn a_bend_is_stiffer_and_an_unknown_place_lies_between_and_wider() {
    let at = |shape| {
        let mut s = site();
        s.shape = shape;
        assess(&dent(), &s).force_inside_n
    };
    let straight = at(Shape::Straight);
    let bent = at(Shape::Bent { radius_mm: 40.0 });
    let tight = at(Shape::Bent { radius_mm: 20.0 });
    let unsure = at(Shape::Unsure { bent_part: 0.5, radius_mm: 20.0 });
    assert!(straight.value < bent.value && bent.value < tight.value);
    assert!(straight.value < unsure.value && unsure.value < tight.value);
    assert!(unsure.high / unsure.low > straight.high / straight.low);
}

#[test]
fn a_crease_is_worked_unlike_a_smooth_dent_and_says_why() {
    let mut wide = dent();
    wide.depth_mm = Some(mm("depth", 1.2, 0.1));
    let mut creased = wide.clone();
    creased.crease = Some(Crease { direction: Direction::Along, length_mm: None });
    let (smooth, creased) = (assess(&wide, &site()), assess(&creased, &site()));
    assert_eq!(smooth.advice, Advice::WorkCold, "{}", smooth.advice_because.metric());
    assert_ne!(creased.advice, smooth.advice);
    assert_eq!(creased.form, Form::VShaped);
    assert!(
        creased.advice_because.metric().contains("fold") && creased.advice_because.metric().contains('%'),
        "{}",
        creased.advice_because.metric()
    );
    assert!(creased.effects.contains(&Effect::Structural));
    assert!(creased.missing.iter().any(|m| m.what.contains("fold")));
}

#[test]
fn a_crack_is_stabilised_first_and_a_long_one_patched() {
    let cracked = |length: f64, through| {
        let mut d = dent();
        d.crack = Some(Crack { direction: Some(Direction::Along), length_mm: Some(mm("crack", length, 0.2)), through });
        assess(&d, &site())
    };
    let small = cracked(3.0, Some(false));
    assert_eq!(small.advice, Advice::StabiliseThenWork);
    assert!(crack(&small) > crack(&assess(&dent(), &site())));
    assert_eq!(cracked(3.0, None).advice, Advice::StabiliseThenWork);
    assert_eq!(cracked(12.0, Some(true)).advice, Advice::Patch);
    assert_eq!(cracked(3.0, Some(true)).effects[0], Effect::Structural);
}

#[test]
fn red_rot_in_a_leadpipe_is_replaced() {
    let at = |role, through| {
        let mut s = site();
        (s.role, s.red_rot, s.red_rot_through) = (role, true, through);
        assess(&dent(), &s)
    };
    let rotten = at(Role::Leadpipe, None);
    assert_eq!(rotten.advice, Advice::ReplaceRun);
    assert!(rotten.advice_because.metric().contains("red rot"));
    assert!(crack(&rotten) > crack(&assess(&dent(), &site())));
    assert_eq!(at(Role::Leadpipe, Some(true)).advice, Advice::ReplaceRun);
    assert_eq!(at(Role::Branch, Some(true)).advice, Advice::ReplaceRun);
    assert_eq!(at(Role::Branch, Some(false)).advice, Advice::Patch);
}

#[test]
fn season_cracking_is_said_and_stopped_first() {
    let mut s = site();
    s.season_cracking = true;
    let a = assess(&dent(), &s);
    assert!(matches!(a.advice, Advice::StabiliseThenWork | Advice::ReplaceRun));
    assert!(a.advice_because.metric().to_lowercase().contains("season crack"));
    // The stress relief at 260 °C is said where the cracks are seen.
    assert!(a.advice_because.metric().contains("260 °C"), "{}", a.advice_because.metric());
    // Not seen, hard yellow brass: it used to be printed on every such dent, where it melts soft solder and burns lacquer.
    let mut s = site();
    s.temper.value = 4.0;
    let a = assess(&dent(), &s);
    assert!(
        !a.advice_because.metric().contains("260 °C") && !a.advice_because.metric().to_lowercase().contains("season"),
        "{}",
        a.advice_because.metric()
    );
}

/// The inner tube of a tenor trombone's hand slide: nickel silver drawn hard, chromium plate outside.
fn inner_slide() -> instrument::Site {
    let mut s = site();
    (s.role, s.alloy, s.finish) = (Role::HandSlideInner, Alloy::NickelSilver, instrument::Finish::ChromePlate);
    s.temper = Known::new("temper", 4.0, 1.0, Unit::NumbersHard, Origin::Pattern);
    s.bore_mm = mm("bore", 12.7, 0.05);
    s.wall_mm = Known::new("wall", 0.5, 0.05, Unit::Mm, Origin::Pattern);
    s.fits = vec!["hand-slide-upper".into()];
    s
}

fn ding(depth: f64) -> instrument::Dent {
    let mut d = dent();
    d.depth_mm = Some(mm("depth", depth, 0.05));
    (d.width_along_mm, d.width_across_mm) = (None, None);
    d
}

/// Issue 10's first case: it was said to crack with 71 % likelihood and annealed under its plate.
#[test]
fn a_small_ding_in_an_inner_hand_slide_is_worked_cold() {
    let a = assess(&ding(0.5), &inner_slide());
    assert!(crack(&a) < 0.10, "{} {}", crack(&a), a.advice_because.metric());
    assert_eq!(a.advice, Advice::WorkCold, "{}", a.advice_because.metric());
    assert!(
        a.advice_because.metric().contains("not annealed") && a.advice_because.metric().contains("slide"),
        "{}",
        a.advice_because.metric()
    );
    assert!(
        a.advice_because.metric().contains("mandrel") && a.advice_because.metric().contains("burnished"),
        "{}",
        a.advice_because.metric()
    );
    assert!(
        a.advice_because.metric().contains("chromium plate") && a.advice_because.metric().contains("no ball"),
        "{}",
        a.advice_because.metric()
    );
}

#[test]
fn a_small_ding_in_a_rose_brass_bell_is_not_annealed() {
    for role in [Role::BellFlare, Role::BellStem] {
        let mut s = site();
        (s.role, s.alloy, s.bore_mm) = (role, Alloy::RoseBrass, mm("bore", 40.0, 0.5));
        let a = assess(&ding(0.5), &s);
        assert_eq!(a.advice, Advice::WorkCold, "{}", a.advice_because.metric());
        assert!(crack(&a) < 0.10 && a.advice_because.metric().contains("bell"), "{} {}", crack(&a), a.advice_because.metric());
    }
}

/// Whatever the strain, a part that must stay hard is never told to be annealed, and says what is done instead.
#[test]
fn what_must_stay_hard_is_never_annealed() {
    use Role::{BellFlare, BellStem, Casing, HandSlideInner, HandSlideOuter, Piston, Rim, TuningSlideInner, TuningSlideOuter};
    for role in [BellFlare, BellStem, Casing, HandSlideInner, HandSlideOuter, Piston, Rim, TuningSlideInner, TuningSlideOuter] {
        for temper in [2.0, 4.0, 6.0, 8.0] {
            for (width, creased) in [(16.0, false), (9.0, false), (5.0, true)] {
                let (mut s, mut d) = (inner_slide(), dent());
                (s.role, s.temper.value) = (role, temper);
                d.width_across_mm = Some(mm("width across", width, 0.5));
                d.crease = creased.then_some(Crease { direction: Direction::Along, length_mm: None });
                let a = assess(&d, &s);
                assert!(
                    !matches!(a.advice, Advice::AnnealFirst | Advice::AnnealBetweenPasses),
                    "{role:?} {temper}: {}",
                    a.advice_because.metric()
                );
                let instead = ["mandrel", "cold", "replace", "Replace", "Leave", "Patch"];
                assert!(instead.iter().any(|w| a.advice_because.metric().contains(w)), "{}", a.advice_because.metric());
                // The same dent where it may be soft is annealed when it is too much cold.
                s.role = Role::Branch;
                let soft = assess(&d, &s);
                if crack(&soft) > 0.3 && soft.crack_likelihood_annealed.value < 0.05 {
                    assert_eq!(soft.advice, Advice::AnnealFirst, "{}", soft.advice_because.metric());
                }
            }
        }
    }
}

#[test]
fn a_crack_beside_a_dent_raises_its_likelihood_the_more_the_nearer() {
    let at = |distance_mm| {
        let mut s = site();
        s.crack_near = Some(instrument::CrackNear { id: "old-crack".into(), hole: false, distance_mm, through: Some(true) });
        assess(&dent(), &s)
    };
    let (within, edge, far, sound) = (at(Some(0.0)), at(Some(3.0)), at(Some(20.0)), assess(&dent(), &site()));
    assert!(crack(&within) > crack(&edge) && crack(&edge) > crack(&sound), "{} {} {}", crack(&within), crack(&edge), crack(&sound));
    assert!((crack(&far) - crack(&sound)).abs() < 1e-9);
    // Nobody said where: it is named as missing.
    assert!(at(None).missing.iter().any(|m| m.what.contains("crack or hole")));
}

#[test]
fn a_thinner_wall_is_weaker_and_less_strained() {
    // What the site makes of a thin patch or of the outside of a bend reaches both force and strain.
    let mut s = site();
    s.wall_mm.value = 0.83 * 0.5;
    let (thin, whole) = (assess(&dent(), &s), assess(&dent(), &site()));
    assert!(force(&thin) < 0.9 * force(&whole), "{} {}", force(&thin), force(&whole));
    assert!(thin.strain_effective.value < whole.strain_effective.value);
}

#[test]
fn a_fold_along_the_tube_is_the_bad_way() {
    // Yellow brass hard: 1.3 T the good way, 1.8 T the bad way (bend tables, P).
    let at = |direction| {
        let (mut d, mut s) = (dent(), site());
        s.temper.value = 4.0;
        d.edge_radius_mm = Some(mm("edge", 0.75, 0.05));
        d.crease = Some(Crease { direction, length_mm: None });
        assess(&d, &s)
    };
    let (along, across) = (at(Direction::Along), at(Direction::Across));
    let bears = |a: &Assessment| (a.ductility_used.value / a.strain_effective.value).recip();
    assert!(bears(&across) > bears(&along), "{} {}", bears(&across), bears(&along));
}

#[test]
fn effects_come_gravest_first() {
    let mut s = site();
    s.role = Role::Casing;
    s.fits = vec!["third valve".into()];
    s.bore_mm.value = 60.0;
    assert_eq!(assess(&dent(), &s).effects[0], Effect::MovingFit { fit: "third valve".into() });
    s.role = Role::TuningSlideInner;
    assert!(matches!(assess(&dent(), &s).effects[0], Effect::MovingFit { .. }));
    // A crook moves with its slide, but nothing slides in it.
    s.role = Role::TuningSlideCrook;
    assert!(!assess(&dent(), &s).effects.iter().any(|e| matches!(e, Effect::MovingFit { .. })));

    let mut s = site();
    s.bore_mm.value = 60.0;
    assert_eq!(assess(&dent(), &s).effects, [Effect::Cosmetic]);
    s.joints_near = vec![("j".into(), 60.0)];
    assert_eq!(assess(&dent(), &s).effects, [Effect::Cosmetic]);
    s.joints_near = vec![("j".into(), 6.0)];
    assert_eq!(assess(&dent(), &s).effects, [Effect::Joint]);
    let mut s = site();
    s.bore_mm.value = 60.0;
    s.under = vec!["ferrule".into()];
    assert_eq!(assess(&dent(), &s).effects, [Effect::Joint]);
    assert_eq!(assess(&dent(), &site()).effects, [Effect::Bore]);
}

#[test]
fn what_is_not_measured_widens_and_is_said() {
    let width = |f: &units::Figure| f.high / f.low;
    let full = assess(&dent(), &site());
    let mut d = dent();
    d.width_across_mm = None;
    let no_across = assess(&d, &site());
    d.width_along_mm = None;
    let no_widths = assess(&d, &site());
    d.depth_mm = None;
    let nothing = assess(&d, &site());
    // The force does not ask for the widths: the model's dents by two balls of which one is half the other come out with the same
    // force (docs/validation.md).
    assert!(width(&no_widths.force_inside_n) >= width(&full.force_inside_n) * 0.999);
    for get in [|a: &Assessment| a.strain_effective.clone(), |a: &Assessment| a.ductility_used.clone()] {
        assert!(width(&get(&no_across)) >= width(&get(&full)) * 0.999);
        assert!(width(&get(&no_widths)) > width(&get(&full)));
    }
    // The curvature of a dent as wide as its chord asks, d/s², does not depend on its depth, and so the strain hardly does;
    // force (by the table about with the fourth root of the depth) and passage do.
    assert!(width(&nothing.force_inside_n) > 1.1 * width(&no_widths.force_inside_n));
    assert!(width(&nothing.passage_mm) > width(&no_widths.passage_mm));
    assert_eq!(nothing.missing[0].what, "depth");
    assert!(nothing.missing.iter().filter(|m| m.what.contains("width")).count() == 2);
    assert!(nothing.missing.windows(2).all(|w| w[0].share >= w[1].share));
    let measurable = |i: &units::figure::Input| i.known.origin.could_be_measured() && i.share > 0.0;
    assert!(nothing.strain_effective.reason.inputs.iter().any(measurable));
    assert!(!full.missing.iter().any(|m| m.what.contains("width round") || m.what == "depth"));
    // 'About 4 mm' is a depth, but one that a gauge would better.
    let mut about = dent();
    about.depth_mm = Some(Known::new("depth", 4.0, 1.0, Unit::Mm, Origin::ByEye));
    assert!(assess(&about, &site()).missing.iter().any(|m| m.what.contains("depth")));
}

#[test]
fn only_a_width_still_gives_a_depth() {
    let at = |w: f64| {
        let mut d = dent();
        (d.depth_mm, d.width_along_mm) = (None, None);
        d.width_across_mm = Some(mm("width", w, 0.5));
        assess(&d, &site()).depth_mm
    };
    assert!(at(12.0).value > at(8.0).value && at(8.0).low > 0.0);
}

#[test]
fn a_hardness_at_the_dent_holds_the_dent_s_own_work_already() {
    let mut measured = dent();
    measured.hardness_hv = Some(Known::new("hardness", 120.0, 4.0, Unit::Hv, Origin::Measured));
    let mut s = site();
    s.temper.origin = Origin::Measured;
    let (plain, known) = (assess(&dent(), &s), assess(&measured, &s));
    assert!(known.force_inside_n.value < plain.force_inside_n.value);
    assert!(known.strain_accumulated.value < plain.strain_accumulated.value);
}

#[test]
fn earlier_work_uses_ductility_up() {
    let mut d = dent();
    d.earlier_repair = Some(EarlierRepair { note: "buffed".into(), thinned_mm: None });
    let (first, second) = (assess(&dent(), &site()), assess(&d, &site()));
    assert!(second.ductility_used.value > first.ductility_used.value && crack(&second) > crack(&first));
}

/// Before the bend tables hard brass (4 numbers) was annealed for this dent, because it was taken to bear 0.135 where strip is measured to bear 0.197
/// on its outer fibre at least. Spring temper still is.
#[test]
fn an_anneal_makes_it_safer() {
    let at = |numbers| {
        let mut s = site();
        s.temper.value = numbers;
        assess(&dent(), &s)
    };
    for numbers in [2.0, 4.0, 6.0, 8.0] {
        let a = at(numbers);
        assert!(a.crack_likelihood_annealed.value < a.crack_likelihood.value, "{numbers}");
    }
    assert_eq!(at(4.0).advice, Advice::WorkCold, "{}", at(4.0).advice_because.metric());
    assert_eq!(at(8.0).advice, Advice::AnnealFirst, "{}", at(8.0).advice_because.metric());
}
