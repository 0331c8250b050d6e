//! A person decides against the plan: it is worked out anew, follows, and says what changed. And the next best plans.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{overrule, worked, worked_with};
use fixtures::demo::{CASES, read};
use job::Job;
use plan::{Change, Decision, StepKind, what_changed};
use reach::{Opened, ToolChoice};

fn of<'c>(changes: &'c [Change], about: &str) -> Option<&'c Change> {
    changes.iter().find(|c| c.about == about || c.about.ends_with(&format!("({about})")))
}

/// What changes in a case by one decision.
fn decided(case: &str, decision: Decision) -> (Job, Vec<Change>) {
    let survey = read(case);
    let before = worked(survey.clone());
    let after = worked_with(survey, &overrule(decision));
    let changes = what_changed(&after.survey, &before.plan, &after.plan);
    (after, changes)
}

#[test]
fn a_method_is_overruled() {
    let before = worked(read("ox-tuba"));
    let (dent, method) = before
        .plan
        .choices
        .iter()
        .find_map(|c| {
            let methods = before.methods.iter().find(|w| w.dent == c.dent)?;
            let other = methods
                .methods
                .iter()
                .find(|w| w.kind != c.method.kind && w.after.is_empty() && matches!(w.tool, ToolChoice::Rack { .. }))?;
            Some((c.dent.clone(), other.kind))
        })
        .expect("some dent can be worked in two ways");
    let (after, changes) = decided("ox-tuba", Decision::UseMethod { dent: dent.clone(), method });
    let choice = after.plan.choices.iter().find(|c| c.dent == dent).unwrap();
    assert_eq!(choice.method.kind, method);
    assert!(choice.because.metric().contains("Ottilie") && choice.because.metric().contains("a test"), "{}", choice.because.metric());
    let change = of(&changes, &format!("dent {dent}")).expect("the change is told");
    assert_ne!(change.before, change.after);
    assert!(after.plan.certificate.cost_money >= before.plan.certificate.cost_money - 1e-9);
}

#[test]
fn a_joint_stays_shut() {
    let before = worked(read("ox-tuba"));
    let joint = before.plan.opened.iter().find_map(|o| if let Opened::Joint(id) = o { Some(id.clone()) } else { None }).unwrap();
    let (after, changes) = decided("ox-tuba", Decision::KeepShut { joint: joint.clone() });
    assert!(!after.plan.opened.contains(&Opened::Joint(joint.clone())));
    let change = of(&changes, &format!("joint {joint}")).expect("the change is told");
    assert_eq!((change.before.metric().as_str(), change.after.metric().as_str()), ("comes apart", "stays"));
    // Dents that can no longer be reached say why.
    for c in changes.iter().filter(|c| c.after.metric().starts_with("not worked")) {
        assert!(c.after.metric().len() > "not worked: ".len(), "{c:?}");
    }
}

#[test]
fn no_flame_anywhere() {
    let (after, changes) = decided("ox-tuba", Decision::NoFlame { run: None });
    assert!(after.plan.steps.iter().all(|s| s.heat.is_none()), "a flame is lit against the decision");
    assert!(after.plan.steps.iter().all(|s| !matches!(s.kind, StepKind::Anneal | StepKind::Patch)));
    assert!(changes.iter().any(|c| c.about.contains("(joint ") && c.after.metric() == "stays"));
    let left: Vec<_> = after.plan.not_done.iter().filter(|n| n.dent.is_some()).collect();
    assert!(!left.is_empty() && left.iter().all(|n| !n.because.is_empty()));
}

#[test]
fn a_tool_is_taken_away() {
    for case in CASES {
        let before = worked(read(case));
        let used = |job: &Job| -> Vec<reach::ToolId> {
            let tools = |c: &plan::Choice| match &c.method.tool {
                ToolChoice::Rack { tools } => tools.clone(),
                ToolChoice::ToMake { with, .. } => with.clone(),
            };
            job.plan.choices.iter().flat_map(tools).collect()
        };
        let tool = used(&before)[0].clone();
        let (after, changes) = decided(case, Decision::WithoutTool { tool: tool.clone() });
        assert!(!used(&after).contains(&tool), "{case}: {tool:?} is used though it is gone");
        assert!(
            changes.iter().any(|c| c.about.starts_with("dent") || c.about == "tools to make" || c.about == "expected cost to the shop"),
            "{case}: {changes:?}"
        );
    }
}

#[test]
fn a_deadline_is_kept_and_what_is_dropped_is_told() {
    let before = worked(read("ox-tuba"));
    let minutes = 0.6 * before.plan.minutes.mean();
    let (after, changes) = decided("ox-tuba", Decision::Deadline { minutes });
    assert!(after.plan.minutes.mean() <= minutes + 1e-9, "{} of {minutes}", after.plan.minutes.mean());
    assert!(!after.plan.choices.is_empty() && after.plan.choices.len() < before.plan.choices.len());
    let dropped: Vec<_> = changes.iter().filter(|c| c.about.starts_with("dent") && c.after.metric().starts_with("not worked: ")).collect();
    assert!(!dropped.is_empty(), "{changes:?}");
    assert!(of(&changes, "bench time").is_some());
    // What keeps it from playing is kept before what is only seen.
    let kept = |looks: bool| {
        let of: Vec<_> = before
            .plan
            .choices
            .iter()
            .filter(|c| before.assessments.iter().any(|a| a.dent == c.dent && plan::Level::Play.wants(a) != looks))
            .collect();
        of.iter().filter(|c| after.plan.choices.iter().any(|x| x.dent == c.dent)).count() as f64 / of.len() as f64
    };
    assert!(kept(false) > kept(true), "{} of function, {} of looks", kept(false), kept(true));
}

#[test]
fn with_time_enough_no_dent_stays() {
    for case in CASES {
        let before = worked(read(case));
        let minutes = 1.01 * before.plan.minutes.mean();
        let (after, _) = decided(case, Decision::Deadline { minutes });
        assert_eq!(after.plan.choices.len(), before.plan.choices.len(), "{case}");
    }
}

#[test]
fn a_deadline_that_cannot_be_kept_is_told() {
    let (after, _) = decided("ox-tuba", Decision::Deadline { minutes: 20.0 });
    assert!(after.plan.choices.is_empty() && after.plan.minutes.mean() > 20.0);
    assert!(after.plan.assumptions.iter().any(|a| a.what.metric().contains("cannot be kept")), "{:?}", after.plan.assumptions);
}

#[test]
fn nothing_decided_nothing_changed() {
    for case in CASES {
        let (one, other) = (worked(read(case)), worked(read(case)));
        assert!(what_changed(&one.survey, &one.plan, &other.plan).is_empty(), "{case}");
    }
}

#[test]
fn the_next_best_plans_are_truly_others_and_say_what_separates_them() {
    for case in CASES {
        let job = worked(read(case));
        let all = &job.plan.alternatives;
        assert!(!all.is_empty() && all.len() <= 3, "{case}: {}", all.len());
        if case == "ox-tuba" {
            assert_eq!(all.len(), 3, "{all:?}");
        }
        let best: Vec<_> = {
            let mut m: Vec<_> = job.plan.choices.iter().map(|c| (c.dent.clone(), c.method.kind)).collect();
            m.sort();
            m
        };
        let mut seen = vec![(job.plan.opened.clone(), best)];
        let mut last = job.plan.certificate.cost_money;
        for a in all {
            assert!(a.cost_money >= last - 1e-6, "{case}: {} after {last}", a.cost_money);
            last = a.cost_money;
            let mut methods = a.methods.clone();
            methods.sort();
            let this = (a.opened.clone(), methods);
            assert!(
                !seen.contains(&this) || a.differs.metric().contains("the tool") || a.differs.metric().contains("the anneal"),
                "{case}: no other plan: {}",
                a.differs.metric()
            );
            assert!(a.differs.metric().contains("min") && a.differs.metric().contains("expected cost"), "{case}: {}", a.differs.metric());
            seen.push(this);
        }
    }
}
