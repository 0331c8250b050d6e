//! What is wrong apart from dents is planned: every kind with its steps, in their order, and with a check that the instrument as it
//! lies does not pass.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test's helpers fail the test")]

#[path = "common/case.rs"]
mod case;

use case::{Bench, overrule, plan_of};
use fixtures::{dent, pattern, survey};
use instrument::{Condition, ConditionKind, FitKind, JointKind, Kind, OverlayKind, Role, Survey};
use plan::{Caution, Check, Decision, Level, Mend, Plan, Step, StepKind, waits_for};
use reach::Opened;
use units::{Known, Origin, Unit};

fn mm(value: f64) -> Option<Known> {
    Some(Known::new("x", value, 0.1, Unit::Mm, Origin::Measured))
}

/// A trombone with one of each.
fn all_kinds() -> Survey {
    let i = pattern(Kind::Trombone);
    let braces: Vec<_> = i.overlays.iter().filter(|o| o.kind == OverlayKind::Brace).map(|o| o.id.clone()).collect();
    let joint =
        i.joints.iter().find(|j| matches!(j.kind, JointKind::SoftSoldered { .. }) && j.id.0.contains("bell-stem")).unwrap().id.clone();
    let slide = i.fits.iter().find(|f| f.kind == FitKind::HandSlide).unwrap().id.clone();
    let tube = i.runs.iter().find(|r| r.role == Role::TuningSlideOuter).unwrap().id.clone();
    let oval = i.runs.iter().find(|r| r.role == Role::TuningSlideInner).unwrap();
    let (oval, d) = (oval.id.clone(), oval.outside_diameter_at(40.0));
    let mut s = survey(i, vec![dent("d", "bell-stem", 200.0, 2.0, 20.0, 14.0)]);
    let of = |id: &str, kind| Condition::new(id, kind);
    s.conditions = vec![
        Condition { overlay: Some(braces[0].clone()), ..of("loose", ConditionKind::LooseBrace) },
        Condition { overlay: Some(braces[1].clone()), ..of("broken", ConditionKind::BrokenBrace) },
        Condition { overlay: Some(braces[2].clone()), ..of("missing", ConditionKind::MissingBrace) },
        Condition { joint: Some(joint), out_of_line_mm: mm(2.0), over_mm: mm(100.0), ..of("pulled", ConditionKind::PulledJoint) },
        Condition { out_of_line_mm: mm(1.5), over_mm: mm(90.0), ..of("bent", ConditionKind::OutOfLine).on(tube) },
        Condition { out_of_line_mm: mm(4.0), over_mm: mm(300.0), ..of("bell", ConditionKind::BentBell).on("bell-stem") },
        Condition { fit: Some(slide), out_of_line_mm: mm(0.4), over_mm: mm(600.0), ..of("slide", ConditionKind::BentHandSlide) },
        Condition { from_mm: Some(40.0), least_mm: mm(d - 0.3), most_mm: mm(d + 0.3), ..of("oval", ConditionKind::Oval).on(oval) },
    ];
    s
}

fn mend(plan: &Plan, id: &str) -> Option<Mend> {
    plan.mended.iter().find(|m| m.condition.0 == id).map(|m| m.mend)
}

fn step(plan: &Plan, is: impl Fn(&Step) -> bool) -> &Step {
    plan.steps.iter().find(|s| is(s)).unwrap_or_else(|| panic!("{:#?}", plan.steps.iter().map(|s| s.what.metric()).collect::<Vec<_>>()))
}

fn of<'a>(plan: &'a Plan, id: &str, kind: StepKind) -> &'a Step {
    step(plan, |s| s.kind == kind && s.condition.as_ref().is_some_and(|c| c.0 == id))
}

#[test]
fn every_kind_is_mended_in_its_order_with_its_check() {
    let s = all_kinds();
    assert_eq!(instrument::check::problems(&s).into_iter().filter(|p| p.path.starts_with("conditions")).collect::<Vec<_>>(), []);
    let plan = plan_of(s.clone());
    assert_eq!(plan.not_done.iter().filter(|n| n.condition.is_some()).count(), 0, "{:?}", plan.not_done);
    let wanted = [
        ("loose", Mend::SolderBrace),
        ("missing", Mend::NewBrace),
        ("pulled", Mend::AlignJoint),
        ("bent", Mend::Straighten),
        ("bell", Mend::Straighten),
        ("slide", Mend::StraightenSlide),
        ("oval", Mend::RoundOut),
    ];
    for (id, how) in wanted {
        assert_eq!(mend(&plan, id), Some(how), "{id}");
    }
    assert!(matches!(mend(&plan, "broken"), Some(Mend::BrazeBrace | Mend::NewBrace)));
    let closes = |c: &str, kind: StepKind| {
        let condition = s.conditions.iter().find(|x| x.id.0 == c).unwrap();
        let what = condition.overlay.clone().map(Opened::Overlay).or(condition.joint.clone().map(Opened::Joint)).unwrap();
        step(&plan, move |x| x.kind == kind && x.opened.as_ref() == Some(&what))
    };
    // A brace that is missing is not taken off; a broken one is, mended and put back; all are soldered.
    for c in ["loose", "broken", "missing"] {
        let back = closes(c, StepKind::OverlayBack);
        assert!(back.heat.is_some() && back.cautions.contains(&Caution::Flame), "{c}: {back:?}");
    }
    let off = |c: &str| {
        plan.steps
            .iter()
            .any(|x| x.kind == StepKind::OverlayOff && x.opened.is_some() && x.opened == closes(c, StepKind::OverlayBack).opened)
    };
    assert!(off("broken") && !off("missing"));
    let fitted = of(&plan, "missing", StepKind::NewBrace);
    assert!(waits_for(&plan.steps, closes("missing", StepKind::OverlayBack)).contains(&fitted.number));
    // A pulled joint: opened, lined up, closed.
    let align = of(&plan, "pulled", StepKind::Align);
    assert!(waits_for(&plan.steps, align).contains(&closes("pulled", StepKind::OpenJoint).number));
    assert!(waits_for(&plan.steps, closes("pulled", StepKind::CloseJoint)).contains(&align.number));
    // The bell is straightened before its dent is worked.
    let worked = step(&plan, |x| x.kind == StepKind::Dent && x.dents.iter().any(|d| d.0 == "d"));
    assert!(waits_for(&plan.steps, worked).contains(&of(&plan, "bell", StepKind::Straighten).number));
    assert!(of(&plan, "slide", StepKind::StraightenSlide).what.metric().contains("surface plate"));
    assert!(of(&plan, "oval", StepKind::RoundOut).cautions.contains(&Caution::FlyingTool));
    // One step checks all, when all is soldered.
    let check = step(&plan, |x| x.checks.iter().any(|c| matches!(c, Check::Holds { .. })));
    assert_eq!(check.checks.len(), 8);
    for x in plan.steps.iter().filter(|x| matches!(x.kind, StepKind::OverlayBack | StepKind::CloseJoint | StepKind::Straighten)) {
        assert!(waits_for(&plan.steps, check).contains(&x.number), "{}", x.what.metric());
    }
}

/// The check of what was measured fails on the instrument as it lies.
#[test]
fn no_check_is_passed_by_the_unrepaired_instrument() {
    let s = all_kinds();
    let plan = plan_of(s.clone());
    let mut figures = 0;
    for check in plan.steps.iter().flat_map(|x| &x.checks) {
        let (condition, most) = match check {
            Check::InLine { condition, most_mm, .. } | Check::Round { condition, most_mm } => (s.condition(condition).unwrap(), *most_mm),
            _ => continue,
        };
        figures += 1;
        let is = condition.ovality_mm().or(condition.offset_mm()).unwrap();
        assert!(is > most && most > 0.0, "{}: {is} against {most}", condition.id.0);
    }
    assert_eq!(figures, 5);
    // By hand: 0.2 % of 300 mm; never better than 0.3 mm; half of a hand slide's clearance as it was measured or, unmeasured, of
    // the least of common practice (check-values: 0.08 mm).
    let most = |id: &str| {
        plan.steps.iter().flat_map(|x| &x.checks).find_map(|c| match c {
            Check::InLine { condition, most_mm, .. } | Check::Round { condition, most_mm } if condition.0 == id => Some(*most_mm),
            _ => None,
        })
    };
    let near = |id: &str, mm: f64| (most(id).unwrap() - mm).abs() < 1e-9;
    assert!(near("bell", 0.6) && near("bent", 0.3) && near("pulled", 0.3));
    let clearance = |kind| {
        let fit = s.instrument.fits.iter().find(|f| f.kind == kind).unwrap();
        fit.clearance_mm.as_ref().unwrap().value
    };
    assert!(near("slide", 0.5 * clearance(FitKind::HandSlide)), "{:?}", most("slide"));
    assert!(near("oval", 0.5 * clearance(FitKind::TuningSlide)), "{:?}", most("oval"));
}

#[test]
fn to_play_what_matters_to_function_is_done_and_a_loose_brace_always() {
    let bench = Bench::new(all_kinds());
    let plan = bench.plan_to(Level::Play);
    for id in ["loose", "broken", "missing", "pulled", "slide", "oval", "bent"] {
        assert!(mend(&plan, id).is_some(), "{id}");
    }
    assert_eq!(mend(&plan, "bell"), None);
    let not = plan.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == "bell")).unwrap();
    assert!(not.because.metric().contains("looks") && not.what.metric().contains("a bent bell"), "{not:?}");
}

#[test]
fn a_person_may_leave_one_and_mend_one_that_the_level_leaves() {
    let bench = Bench::new(all_kinds());
    let plan = bench.plan_with(&overrule(Decision::LeaveCondition { condition: "loose".into() }));
    assert_eq!(mend(&plan, "loose"), None);
    let not = plan.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == "loose")).unwrap();
    assert!(not.because.metric().contains("Ottilie"), "{not:?}");
    assert!(
        !plan
            .steps
            .iter()
            .flat_map(|x| &x.checks)
            .any(|c| matches!(c, Check::Holds { overlay } if Some(overlay) == bench.survey.conditions[0].overlay.as_ref()))
    );
    let heats = bench.heats();
    let asked = overrule(Decision::MendCondition { condition: "bell".into() });
    let play = plan::plan_to(Level::Play, &bench.survey, &bench.assessments, &bench.methods, &heats, &bench.standards, &asked);
    assert_eq!(mend(&play, "bell"), Some(Mend::Straighten));
}

#[test]
fn where_no_flame_may_be_lit_or_a_joint_stays_shut_the_reason_is_told() {
    let bench = Bench::new(all_kinds());
    let plan = bench.plan_with(&overrule(Decision::NoFlame { run: None }));
    for id in ["loose", "missing", "pulled", "broken"] {
        assert_eq!(mend(&plan, id), None, "{id}");
        let not = plan.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == id)).unwrap();
        assert!(not.because.metric().contains("Ottilie"), "{not:?}");
    }
    assert!(mend(&plan, "slide").is_some());
    let joint = bench.survey.conditions.iter().find_map(|c| c.joint.clone()).unwrap();
    let shut = bench.plan_with(&overrule(Decision::KeepShut { joint }));
    assert_eq!(mend(&shut, "pulled"), None);
    let not = shut.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == "pulled")).unwrap();
    assert!(not.because.metric().contains("must stay as it is"), "{not:?}");
}

/// A loose brace that comes off for a dent under its foot is soldered once.
#[test]
fn what_is_off_anyway_is_soldered_once() {
    let i = pattern(Kind::Trumpet);
    let brace = i.overlays.iter().find(|o| o.kind == OverlayKind::Brace).unwrap().clone();
    let foot = brace.covers[0].clone();
    let at = 0.5 * (foot.from_mm + foot.to_mm);
    let mut under = dent("d", &foot.run.0, at, 2.0, 16.0, 8.0);
    under.pushed_in_by = Some(brace.id.clone());
    let mut s = survey(i, vec![under]);
    let dent_alone = plan_of(s.clone());
    s.conditions = vec![Condition { overlay: Some(brace.id.clone()), ..Condition::new("c1", ConditionKind::LooseBrace) }];
    let both = plan_of(s.clone());
    let back = |p: &Plan| {
        p.steps.iter().filter(|x| x.kind == StepKind::OverlayBack && x.opened == Some(Opened::Overlay(brace.id.clone()))).count()
    };
    assert_eq!((back(&dent_alone), back(&both)), (1, 1));
    assert_eq!(mend(&both, "c1"), Some(Mend::SolderBrace));
    s.dents.clear();
    let brace_alone = plan_of(s);
    // Together they cost less than each for itself, by more than the cleaning and putting together that both need.
    let work = |p: &Plan| p.certificate.cost_money;
    assert!(work(&both) < work(&dent_alone) + 0.5 * work(&brace_alone), "{} {} {}", work(&both), work(&dent_alone), work(&brace_alone));
    assert!(work(&brace_alone) > 5.0);
    // check-values: a brace re-soldered under half an hour.
    let solder = step(&brace_alone, |x| x.kind == StepKind::OverlayBack);
    assert!(solder.minutes.mean() < 30.0, "{:?}", solder.minutes);
}

#[test]
fn a_missing_brace_is_in_nobody_s_way() {
    let i = pattern(Kind::Trumpet);
    let brace = i.overlay(&"front-brace".into()).unwrap().clone();
    let foot = brace.covers[0].clone();
    let mut s = survey(i, vec![dent("d", &foot.run.0, 0.5 * (foot.from_mm + foot.to_mm), 2.0, 16.0, 8.0)]);
    let what = Opened::Overlay(brace.id.clone());
    assert!(plan_of(s.clone()).opened.contains(&what));
    s.conditions = vec![Condition { overlay: Some(brace.id), ..Condition::new("c1", ConditionKind::MissingBrace) }];
    let plan = plan_of(s);
    assert!(!plan.opened.contains(&what), "{:?}", plan.opened);
    // It carries no heat and lets nothing go.
    let near = |x: &Step| x.heat.iter().flat_map(|h| &h.neighbours).any(|n| n.what == what);
    assert!(!plan.steps.iter().filter(|x| x.opened.as_ref() != Some(&what)).any(near));
    let worked = step(&plan, |x| x.kind == StepKind::Dent).number;
    let soldered = step(&plan, |x| x.opened.as_ref() == Some(&what) && x.kind == StepKind::OverlayBack);
    assert!(waits_for(&plan.steps, soldered).contains(&worked), "a brace is soldered on when the tube is true");
}

#[test]
fn what_nobody_measured_is_wide_and_said() {
    let on = |one: Condition| {
        plan_of({
            let mut s = survey(pattern(Kind::Trumpet), vec![]);
            s.conditions = vec![one];
            s
        })
    };
    let bell = || Condition::new("c1", ConditionKind::BentBell).on("bell-stem");
    // 4.8 mm over 300 mm where 0.6 mm is asked for: three passes of halving, the standard's own time.
    let known = on(Condition { out_of_line_mm: mm(4.8), over_mm: mm(300.0), ..bell() });
    let wide = on(bell());
    let minutes = |p: &Plan| of(p, "c1", StepKind::Straighten).minutes;
    assert!(minutes(&wide).sd() > 1.2 * minutes(&known).sd(), "{:?} {:?}", minutes(&wide), minutes(&known));
    assert!((minutes(&known).likely - 15.0).abs() < 1e-9, "{:?}", minutes(&known));
    let said = |p: &Plan| p.assumptions.iter().filter(|a| a.what.metric().contains("nobody measured")).count();
    assert_eq!((said(&wide), said(&known)), (1, 0));
    // Twice as far is one pass more.
    let far = on(Condition { out_of_line_mm: mm(9.6), over_mm: mm(300.0), ..bell() });
    assert!((minutes(&far).likely - 20.0).abs() < 1e-9, "{:?}", minutes(&far));
    // What is true within what is asked for is left, and the reason told.
    let true_ = on(Condition { out_of_line_mm: mm(0.5), over_mm: mm(300.0), ..bell() });
    assert!(true_.mended.is_empty() && true_.not_done[0].because.metric().contains("within"), "{:?}", true_.not_done);
}

/// A hole leaks: it is patched at every level, its patch costs what it takes in the choice, and a person may leave it.
#[test]
fn what_leaks_is_patched_and_paid() {
    let hole = |id: &str, run: &str, at: f64| Condition { from_mm: Some(at), ..Condition::new(id, ConditionKind::Hole).on(run) };
    let with = |conditions: Vec<Condition>| {
        let mut s = survey(pattern(Kind::Tuba), vec![dent("d", "second-branch", 330.0, 3.0, 24.0, 20.0)]);
        s.conditions = conditions;
        let mut bench = Bench::new(s);
        // A patch's place is seen: what that is worth is left out here.
        bench.standards.untrue_place = 0.0;
        bench
    };
    let (sound, leaks) = (with(vec![]), with(vec![hole("h", "third-branch", 300.0)]));
    let (a, b) = (sound.plan(), leaks.plan());
    assert_eq!(mend(&b, "h"), Some(Mend::Patch));
    let patch = step(&b, |x| x.kind == StepKind::Patch);
    assert!(patch.heat.is_some() && patch.run.as_ref().is_some_and(|r| r.0 == "third-branch"));
    // 20/35/70 min have the PERT mean 38.3, at 85 an hour; with its heat and what it burns it is more.
    let more = b.certificate.cost_money - a.certificate.cost_money;
    let minutes = leaks.standards.minutes_of(StepKind::Patch).mean() + leaks.standards.heat_setup.mean();
    let labor = minutes * leaks.standards.labour_per_hour / 60.0;
    assert!(more > labor + 2.0 && more < 1.6 * labor, "{more} {labor}");
    assert_eq!(mend(&leaks.plan_to(Level::Play), "h"), Some(Mend::Patch));
    let left = leaks.plan_with(&overrule(Decision::LeaveCondition { condition: "h".into() }));
    assert!(mend(&left, "h").is_none() && !left.steps.iter().any(|x| x.kind == StepKind::Patch));
    assert!(left.not_done.iter().any(|n| n.condition.as_ref().is_some_and(|c| c.0 == "h") && n.because.metric().contains("Ottilie")));
    let cold = leaks.plan_with(&overrule(Decision::NoFlame { run: None }));
    let not = cold.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == "h")).unwrap();
    assert!(not.because.metric().contains("a patch needs a flame"), "{not:?}");
    // Where something slides no patch may lie: a new one, where there is a price for it and its joints may be opened; else it is said.
    let mut slides = with(vec![hole("h", "tuning-slide-first-inner", 30.0)]);
    slides.standards.replacement_run.clear();
    let plan = slides.plan();
    assert!(!plan.steps.iter().any(|x| x.kind == StepKind::Patch) && plan.replacements.is_empty());
    let not = plan.not_done.iter().find(|n| n.condition.as_ref().is_some_and(|c| c.0 == "h")).unwrap();
    assert!(not.because.metric().contains("no patch lies where something slides"), "{not:?}");
}

/// Patches are weighed against a new tube in the same choice: eight holes in a tube whose new one is cheap are not patched; where it
/// is dear they are.
#[test]
fn a_new_tube_is_weighed_against_its_patches() {
    let mut s = survey(pattern(Kind::Tuba), vec![]);
    let hole = |i: usize| Condition {
        from_mm: Some(60.0 + 45.0 * i as f64),
        ..Condition::new(format!("h{i}").as_str(), ConditionKind::Hole).on("third-branch")
    };
    s.conditions = (0..8).map(hole).collect();
    let mut bench = Bench::new(s);
    let role: &str = (&bench.survey.instrument.run(&"third-branch".into()).unwrap().role).into();
    let mut at = |price: f64| {
        bench.standards.replacement_run.insert(role.to_owned(), price);
        bench.plan()
    };
    let (cheap, dear) = (at(1.0), at(2000.0));
    assert!(cheap.replacements.iter().any(|r| r.replace && r.run.0 == "third-branch"), "{:?}", cheap.replacements);
    assert!(cheap.mended.is_empty() && !cheap.steps.iter().any(|x| x.kind == StepKind::Patch));
    assert!(dear.replacements.iter().all(|r| !r.replace), "{:?}", dear.replacements);
    assert_eq!(dear.mended.iter().filter(|m| m.mend == Mend::Patch).count(), 8);
    assert!(cheap.certificate.cost_money < dear.certificate.cost_money);
}
