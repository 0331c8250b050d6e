//! What lies over a dent stays on where the tool works from inside; it comes off where it must, or where a person says so.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{assessment, dent, rack, show, survey};
use dent::{Advice, Assessment, Form};
use instrument::{Condition, ConditionKind, Crack, Crease, Dent, Direction, OverlayId, OverlayKind, Survey};
use metal::{Alloy, Temper};
use reach::{Constraints, DentMethods, Method, MethodKind, Opened, Said, ToolBody};

/// A dent under the bow's guard.
fn under_the_guard(depth_mm: f64) -> Dent {
    dent("d", "bottom_bow", 150.0, 180.0, depth_mm)
}

fn ask(s: &Survey, force_n: f64, with: impl Fn(&mut Assessment), said: impl Fn(&mut Constraints)) -> DentMethods {
    let mut assessments: Vec<_> = s.dents.iter().map(|d| assessment(s, d, force_n)).collect();
    assessments.iter_mut().for_each(with);
    let mut constraints = Constraints::wishes(s);
    said(&mut constraints);
    reach::methods_within(s, &assessments, &rack(), &constraints).swap_remove(0)
}

fn plain(s: &Survey, force_n: f64) -> DentMethods {
    ask(s, force_n, |_| {}, |_| {})
}

fn with_it_on(w: &DentMethods) -> Vec<&Method> {
    w.methods.iter().filter(|m| m.left_on.is_some()).collect()
}

fn guard() -> OverlayId {
    "bow_guard".into()
}

#[test]
fn a_guard_stays_on_over_what_is_worked_from_inside_and_may_come_off() {
    let w = plain(&survey(vec![under_the_guard(3.0)]), 100.0);
    let on = with_it_on(&w);
    assert!(!on.is_empty(), "{}", show(&w));
    for m in &on {
        assert!(m.kind.from_inside() && m.stays_on() == [guard()], "{}", show(&w));
        assert!(!m.opens.contains(&Opened::Overlay(guard())), "{}", show(&w));
        assert!(m.because.metric().contains("bow guard stays on and goes out with the wall"), "{}", show(&w));
    }
    // Both are to be had.
    let off: Vec<&Method> = w.methods.iter().filter(|m| m.left_on.is_none()).collect();
    assert!(!off.is_empty() && off.iter().all(|m| m.opens.contains(&Opened::Overlay(guard()))), "{}", show(&w));
}

/// (C) Limit load a unit width M₀ = σt²/4. The guard is as thick as the wall: slipping it is 1 + r times the wall's alone, r the ratio of
/// the yield strengths; bonded the line that halves the force lies x = (1 + 1/r)/2 from the stronger one's free face, in walls.
#[test]
fn both_sheets_ask_between_what_slips_and_what_is_one() {
    let s = survey(vec![under_the_guard(3.0)]);
    let site = s.site(&s.dents[0]).unwrap();
    let yields = |alloy: Alloy| alloy.yield_mpa(Temper(site.temper.value)).value;
    let r = yields(Alloy::NickelSilver) / yields(site.alloy);
    let x = 0.5 * (1.0 + 1.0 / r);
    let (loose, bonded) = (1.0 + r, 4.0 * (0.5 * r * (x * x + (1.0 - x) * (1.0 - x)) + 1.5 - x));
    assert!(r > 1.0 && loose < bonded, "{r} {loose} {bonded}");
    let w = plain(&s, 100.0);
    let on = with_it_on(&w);
    let times = &on[0].left_on.as_ref().unwrap().force_times;
    assert!((times.value - loose.powf(0.75) * bonded.powf(0.25)).abs() < 1e-6, "{times:?} {loose} {bonded}");
    assert!(times.low < loose && times.high > bonded && times.low > 1.0, "{times:?} {loose} {bonded}");
    let shares = &times.reason.inputs;
    assert!(shares.len() == 3 && shares.iter().all(|i| i.share > 0.05), "{shares:?}");
    // The same rod, worked in the same passes: so much more at the hand.
    let rod = |m: &&Method| m.kind == MethodKind::CurvedRod;
    let one = on.iter().copied().find(rod).unwrap();
    let same =
        |m: &&Method| rod(m) && m.left_on.is_none() && m.tool == one.tool && m.strokes.map(|s| s.passes) == one.strokes.map(|s| s.passes);
    let bare = w.methods.iter().find(same).unwrap();
    assert!((one.force_hand_n.value / bare.force_hand_n.value / times.value - 1.0).abs() < 1e-6, "{}", show(&w));
    assert!(one.force_hand_n.high / one.force_hand_n.value > bare.force_hand_n.high / bare.force_hand_n.value, "{}", show(&w));
    // It goes further past true by what both spring, of what the wall alone springs: between the two bonds again, less than alone.
    let past = |m: &Method| m.strokes.unwrap().past_true_mm;
    assert!(past(one) < past(bare) && past(one) > 0.4 * past(bare), "{} {}", past(one), past(bare));
}

/// Nothing is tapped or planished under it: what springs back from a ball stays, and the method says so.
#[test]
fn what_springs_back_from_a_ball_stays_under_it() {
    let w = plain(&survey(vec![under_the_guard(3.0)]), 100.0);
    let train =
        |on: bool| w.methods.iter().find(|m| m.kind == MethodKind::BallTrain && m.left_on.is_some() == on && m.size_mm > 37.0).unwrap();
    let (on, off) = (train(true), train(false));
    assert!(on.size_mm == off.size_mm && off.because.metric().contains("planished"), "{}", show(&w));
    for word in ["planished", "eased with"] {
        assert!(!on.because.metric().contains(word), "{}", show(&w));
    }
    assert!(on.stays_mm > off.stays_mm + 0.01 && on.finish_quality < off.finish_quality, "{}", show(&w));
    assert!(!on.marks_outside());
}

/// A magnet pulls through guard and wall: the hand table's half distance over both.
#[test]
fn a_magnet_pulls_through_the_guard_too() {
    let mut s = survey(vec![under_the_guard(0.8)]);
    s.dents[0].width_along_mm.as_mut().unwrap().value = 30.0;
    let mut bench = rack();
    bench.tools.retain(|t| matches!(t.body, ToolBody::Magnet { .. } | ToolBody::Ball { .. } | ToolBody::BallSet { .. }));
    let a: Vec<_> = s.dents.iter().map(|d| Assessment { form: Form::Smooth, ..assessment(&s, d, 8.0) }).collect();
    let w = reach::methods(&s, &a, &bench).swap_remove(0);
    let pull = |on: bool| {
        let m = w.methods.iter().find(|m| m.kind == MethodKind::Magnet && m.left_on.is_some() == on);
        m.unwrap_or_else(|| panic!("{}", show(&w))).force_limit_n
    };
    let half =
        bench.tools.iter().find_map(|t| if let ToolBody::Magnet { half_distance_mm, .. } = t.body { Some(half_distance_mm) } else { None });
    let wall = s.site(&s.dents[0]).unwrap().wall_mm.value;
    assert!((pull(true) / pull(false) - 0.5_f64.powf(wall / half.unwrap())).abs() < 1e-9, "{}", show(&w));
}

#[test]
fn it_comes_off_where_it_must() {
    let s = survey(vec![under_the_guard(3.0)]);
    let none = |w: &DentMethods| assert!(with_it_on(w).is_empty() && !w.methods.is_empty(), "{}", show(w));
    let of = |change: &dyn Fn(&mut Survey)| {
        let mut s = s.clone();
        change(&mut s);
        ask(&s, 100.0, |_| {}, |_| {})
    };
    let some = |w: &DentMethods| assert!(!with_it_on(w).is_empty(), "{}", show(w));
    some(&of(&|_| {}));
    // A fold, a crack, what it was pushed in by.
    none(&of(&|s| s.dents[0].crease = Some(Crease { direction: Direction::Along, length_mm: None })));
    none(&of(&|s| s.dents[0].crack = Some(Crack { length_mm: None, through: Some(false), direction: Some(Direction::Along) })));
    none(&of(&|s| s.dents[0].pushed_in_by = Some(guard())));
    // A brace's foot: as ever.
    none(&of(&|s| {
        s.instrument.overlays.iter_mut().for_each(|o| {
            if o.id == guard() {
                o.kind = OverlayKind::Brace
            }
        })
    }));
    // Metal under it that has to be seen, not what lies elsewhere on the bow, nor what is wrong with its line.
    let condition = |kind, from: f64, to: f64| {
        move |s: &mut Survey| {
            let lies = Condition { run: Some("bottom_bow".into()), from_mm: Some(from), to_mm: Some(to), ..Condition::new("c", kind) };
            s.conditions.push(lies);
        }
    };
    none(&of(&condition(ConditionKind::Crack, 200.0, 210.0)));
    none(&of(&condition(ConditionKind::RedRot, 40.0, 70.0)));
    some(&of(&condition(ConditionKind::Crack, 250.0, 260.0)));
    some(&of(&condition(ConditionKind::Oval, 100.0, 200.0)));
    // Too sharp or too deep for it to follow, an anneal that is wanted, a wall to be seen.
    let with = |change: &dyn Fn(&mut Assessment), said: &dyn Fn(&mut Constraints)| ask(&s, 100.0, change, said);
    let nobody = |_: &mut Constraints| {};
    none(&with(&|a| a.form = Form::Sharp, &nobody));
    some(&with(&|a| a.depth_over_diameter.value = 0.32, &nobody));
    none(&with(&|a| a.depth_over_diameter.value = 0.34, &nobody));
    for advice in [Advice::AnnealFirst, Advice::AnnealBetweenPasses, Advice::StabiliseThenWork, Advice::Patch, Advice::ReplaceRun] {
        none(&with(&|a| a.advice = advice, &nobody));
    }
    none(&with(&|_| {}, &|c| {
        c.anneal.insert("d".into());
    }));
    // Somebody wants it off.
    let said = || Said::Person { who: "Wren".into(), why: String::new() };
    none(&with(&|_| {}, &|c| {
        c.off.insert(guard(), said());
    }));
    // Kept on by a person it is tried even over a sharp dent, and nothing takes it off; over a fold nothing is left, and why is told.
    let kept = |c: &mut Constraints| {
        c.on.insert(guard(), said());
    };
    let w = with(&|a| a.form = Form::Sharp, &kept);
    assert!(!w.methods.is_empty() && w.methods.iter().all(|m| m.stays_on() == [guard()]), "{}", show(&w));
    let mut folded = s.clone();
    folded.dents[0].crease = Some(Crease { direction: Direction::Along, length_mm: None });
    let w = ask(&folded, 100.0, |_| {}, kept);
    let why =
        |r: &reach::Rejected| r.because.metric().contains("stays on (overruled by Wren)") && r.because.metric().contains("a fold is eased");
    assert!(w.methods.is_empty() && w.rejected.iter().any(why), "{}", show(&w));
}
