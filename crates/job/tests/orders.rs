//! Whatever order a plan's precedences allow, the trade's rules hold in it. The rules are read from the survey and the plan's
//! choices, not from the precedences.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::Dice;
use fixtures::demo::{ALL_CASES, read};
use instrument::{Condition, ConditionId, ConditionKind, DentId, RunId, Survey};
use job::Job;
use plan::{Step, StepKind};
use reach::Opened;

/// Orders drawn for each case.
const ORDERS: usize = 200;
/// Dents whose edges lie nearer than this move each other's metal, mm: the rule of the trade as the project takes it.
const NEIGHBOURS_MM: f64 = 30.0;

/// An order that `after` allows, drawn step by step among those that may come next: the place of each step in it.
fn any_order(steps: &[Step], dice: &mut Dice) -> Vec<usize> {
    let mut place = vec![usize::MAX; steps.len()];
    for at in 0..steps.len() {
        let ready: Vec<usize> = (0..steps.len())
            .filter(|i| place[*i] == usize::MAX && steps[*i].after.iter().all(|a| place[*a as usize - 1] != usize::MAX))
            .collect();
        assert!(!ready.is_empty(), "the steps wait for each other in a cycle");
        place[ready[dice.below(ready.len())]] = at;
    }
    place
}

/// Pairs of steps of which the first must come before the second, with the rule.
fn rules(job: &Job) -> Vec<(usize, usize, &'static str)> {
    let survey = &job.survey;
    let steps = &job.plan.steps;
    let at = |f: &dyn Fn(&Step) -> bool| (0..steps.len()).filter(|i| f(&steps[*i])).collect::<Vec<_>>();
    let moves = |k: StepKind| matches!(k, StepKind::Dent | StepKind::Crease | StepKind::OverFill);
    let on = |d: &DentId| at(&|s| moves(s.kind) && s.dents.contains(d));
    let mut all = Vec::new();
    let mut before = |first: Vec<usize>, then: Vec<usize>, why: &'static str| {
        for a in &first {
            all.extend(then.iter().filter(|b| *b != a).map(|b| (*a, *b, why)));
        }
    };
    let opens = |o: &Opened| at(&|s| matches!(s.kind, StepKind::OpenJoint | StepKind::OverlayOff) && s.opened.as_ref() == Some(o));
    let closes = |o: &Opened| at(&|s| matches!(s.kind, StepKind::CloseJoint | StepKind::OverlayBack) && s.opened.as_ref() == Some(o));
    // Every crack on a run, of a dent or on its own, before the metal of that run moves or is annealed.
    for stop in at(&|s| s.kind == StepKind::StabiliseCrack) {
        let run: &RunId = steps[stop].run.as_ref().unwrap();
        before(vec![stop], at(&|s| (moves(s.kind) || s.kind == StepKind::Anneal) && s.run.as_ref() == Some(run)), "crack before work");
    }
    for c in &job.plan.choices {
        let dent = survey.dent(&c.dent).unwrap();
        let site = survey.site(dent).unwrap();
        for o in site.under.iter().map(|o| Opened::Overlay(o.clone())).filter(|o| job.plan.opened.contains(o)) {
            before(opens(&o), on(&c.dent), "overlay off before work");
            before(on(&c.dent), closes(&o), "overlay back after work");
        }
        for o in &c.method.opens {
            before(opens(o), on(&c.dent), "open before work");
            before(on(&c.dent), closes(o), "closed after work");
        }
        for first in &c.method.after {
            before(on(first), on(&c.dent), "what stands in the way first");
        }
        before(at(&|s| s.kind == StepKind::Anneal && s.dents.contains(&c.dent)), on(&c.dent), "annealed before work");
        before(at(&|s| s.kind == StepKind::MakeTool && s.dents.contains(&c.dent)), on(&c.dent), "tool made before work");
        if dent.crease.is_some() {
            let ease = at(&|s| s.kind == StepKind::Crease && s.dents.contains(&c.dent));
            assert_eq!(ease.len(), 1, "{} has a crease and no step for it", c.dent);
            before(ease.clone(), at(&|s| s.kind == StepKind::Dent && s.dents.contains(&c.dent)), "crease before field");
            let half = |d: &DentId| job.assessments.iter().find(|a| a.dent == *d).map_or(0.0, |a| 0.5 * a.width_along_mm.value);
            for other in job.plan.choices.iter().filter_map(|x| survey.dent(&x.dent)).filter(|d| d.run == dent.run && d.crease.is_none()) {
                let apart = (survey.site(other).unwrap().at_mm.value - site.at_mm.value).abs();
                if apart <= half(&dent.id) + half(&other.id) + NEIGHBOURS_MM && !waits(job, &c.dent, &other.id) {
                    before(ease.clone(), on(&other.id), "neighbor's crease first");
                }
            }
        }
    }
    for o in &job.plan.opened {
        before(opens(o), closes(o), "opened before closed");
    }
    // A patch is soldered on metal that no longer moves and is no longer annealed.
    for p in at(&|s| s.kind == StepKind::Patch) {
        before(at(&|s| s.kind == StepKind::Anneal && s.run == steps[p].run), vec![p], "anneal before patch");
        before(at(&|s| moves(s.kind) && s.dents.iter().any(|d| steps[p].dents.contains(d))), vec![p], "work before patch");
    }
    before(
        at(&|s| s.kind != StepKind::Assemble && s.kind != StepKind::AcceptanceCheck),
        at(&|s| s.kind == StepKind::Assemble),
        "assembled last",
    );
    all
}

/// Whether a dent waits, through what stands in whose way, for another.
fn waits(job: &Job, dent: &DentId, for_: &DentId) -> bool {
    let after = |d: &DentId| job.plan.choices.iter().find(|c| c.dent == *d).map_or(&[][..], |c| &c.method.after[..]);
    let (mut seen, mut stack) = (vec![dent.clone()], vec![dent.clone()]);
    while let Some(d) = stack.pop() {
        for next in after(&d) {
            if next == for_ {
                return true;
            }
            if !seen.contains(next) {
                seen.push(next.clone());
                stack.push(next.clone());
            }
        }
    }
    false
}

fn every_order_keeps_the_rules(name: &str, job: &Job, seed: u64) -> usize {
    let rules = rules(job);
    let mut dice = Dice(seed);
    for _ in 0..ORDERS {
        let place = any_order(&job.plan.steps, &mut dice);
        for (a, b, why) in &rules {
            let (x, y) = (&job.plan.steps[*a], &job.plan.steps[*b]);
            assert!(place[*a] < place[*b], "{name}: {why}: “{}” ({}) and “{}” ({})", x.what.metric(), x.number, y.what.metric(), y.number);
        }
    }
    rules.len()
}

#[test]
fn the_demos_cases() {
    let mut rules = 0;
    for (i, name) in ALL_CASES.iter().enumerate() {
        rules += every_order_keeps_the_rules(name, &worked(read(name)), i as u64);
    }
    assert!(rules > 300, "{rules} rules are looked at");
}

/// A crack, a hole or rot that is written down apart from any dent, on every run that has a dent.
fn with_conditions(mut survey: Survey, kind: ConditionKind) -> Survey {
    let mut runs: Vec<RunId> = survey.dents.iter().map(|d| d.run.clone()).collect();
    runs.sort();
    runs.dedup();
    for (i, run) in runs.into_iter().enumerate() {
        let at = survey.dents.iter().find(|d| d.run == run).and_then(|d| survey.site(d)).map(|s| s.at_mm.value);
        survey.conditions.push(Condition {
            from_mm: at.map(|a| a + 5.0),
            through: Some(true),
            ..Condition::new(ConditionId(format!("x{i}")), kind).on(run)
        });
    }
    survey
}

#[test]
fn cracks_and_rot_on_every_run_that_is_worked() {
    let mut stops = 0;
    for name in ALL_CASES {
        for kind in [ConditionKind::Crack, ConditionKind::Hole, ConditionKind::RedRot] {
            let job = worked(with_conditions(read(name), kind));
            let mine = job.plan.steps.iter().filter(|s| s.kind == StepKind::StabiliseCrack && s.dents.is_empty()).count();
            assert!(kind == ConditionKind::Crack || mine == 0, "{name}: {mine} stops for {kind:?}");
            stops += mine;
            every_order_keeps_the_rules(name, &job, 7);
        }
    }
    assert!(stops > 10, "{stops} cracks are stopped");
}
