//! A decision works out what it changes and no more, and what comes out is what comes out from nothing: for the demo's cases,
//! every tool, joint and overlay and every other kind of decision, each after the one before it, so that tools come back and joints open
//! again as well.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::overrule;
use fixtures::demo::{ALL_CASES, rack_and_shop, read};
use instrument::{JointKind, Survey};
use job::{Job, work_out, work_out_after};
use plan::{Decision, Overrules};
use reach::{Opened, Rack, ToolChoice};

/// Decisions of the kinds that the search asks, and of those that only the plan asks. Of tools, joints and overlays that a method uses
/// every fourth, of others every sixteenth, so that the test stays short (`TRUEROUND_EVERY=1`: all of them).
fn decisions(survey: &Survey, rack: &Rack, free: &Job) -> Vec<Decision> {
    let methods = || free.methods.iter().flat_map(|m| m.methods.iter().chain(&m.after_anneal));
    let used = |id: &reach::ToolId| {
        methods().any(|w| match &w.tool {
            ToolChoice::Rack { tools } | ToolChoice::ToMake { with: tools, .. } => tools.contains(id),
        })
    };
    let opened = |o: &Opened| methods().any(|w| w.opens.contains(o)) || free.plan.opened.contains(o);
    let mut turn = 0;
    let mut every = |nth: usize| {
        turn += 1;
        turn % nth == 0
    };
    let tools: Vec<_> =
        rack.tools.iter().map(|t| t.id.clone()).filter(|id| every(if used(id) { common::every(4) } else { common::every(16) })).collect();
    let joints = survey.instrument.joints.iter().filter(|j| !matches!(j.kind, JointKind::Fixed)).map(|j| j.id.clone());
    let joints: Vec<_> =
        joints.filter(|id| every(if opened(&Opened::Joint((*id).clone())) { common::every(4) } else { common::every(16) })).collect();
    let overlays = survey.instrument.overlays.iter().map(|o| o.id.clone());
    let overlays: Vec<_> =
        overlays.filter(|id| every(if opened(&Opened::Overlay((*id).clone())) { common::every(4) } else { common::every(16) })).collect();
    let mut all: Vec<Decision> = tools.into_iter().map(|tool| Decision::WithoutTool { tool }).collect();
    all.extend(joints.into_iter().map(|joint| Decision::KeepShut { joint }));
    all.extend(overlays.into_iter().map(|overlay| Decision::KeepOn { overlay }));
    for dent in survey.dents.iter().take(4).map(|d| d.id.clone()) {
        all.push(Decision::LeaveDent { dent: dent.clone() });
        all.push(Decision::AnnealDent { dent: dent.clone() });
        let of_dent = free.methods.iter().find(|m| m.dent == dent).and_then(|m| m.methods.last());
        all.extend(of_dent.map(|m| Decision::UseMethod { dent, method: m.kind }));
    }
    all.push(Decision::NoFlame { run: None });
    all.extend(survey.instrument.runs.iter().take(3).map(|r| Decision::NoFlame { run: Some(r.id.clone()) }));
    all.push(Decision::MakeNoTools);
    all.push(Decision::ReplaceRun { run: survey.dents[0].run.clone() });
    all.push(Decision::Deadline { minutes: 0.6 * free.plan.minutes.mean() });
    all
}

fn assert_same(what: &str, after: &Job, afresh: &Job) {
    assert_eq!(after.assessments, afresh.assessments, "{what}: assessments");
    for (a, b) in after.methods.iter().zip(&afresh.methods) {
        assert_eq!(a, b, "{what}: methods of {}", a.dent);
    }
    assert_eq!(after.methods.len(), afresh.methods.len(), "{what}");
    assert_eq!(after.plan, afresh.plan, "{what}: plan");
    assert_eq!(after.quote, afresh.quote, "{what}: quote");
    assert_eq!(after.not_overruled, afresh.not_overruled, "{what}: plan that nobody overruled");
}

#[test]
fn a_decision_after_another_comes_out_as_from_nothing() {
    let (rack, shop) = rack_and_shop();
    for name in ALL_CASES {
        let survey = read(name);
        let mut before = work_out(survey.clone(), rack.clone(), shop.clone(), &Overrules::default());
        let all = decisions(&survey, &rack, &before);
        assert!(all.len() > 12, "{name}: {} decisions", all.len());
        // How it plays no decision changes: it is taken over from a job of the same survey without a tool, and nothing else is.
        let none = Rack { tools: vec![], ..rack.clone() };
        let bare = work_out(survey.clone(), none, shop.clone(), &Overrules::default());
        let from_bare = |said: &Overrules| work_out_after(Some(&bare), plan::Level::Good, survey.clone(), rack.clone(), shop.clone(), said);
        assert_same(name, &from_bare(&Overrules::default()), &before);
        let mut changed = 0;
        for (i, decision) in all.into_iter().enumerate() {
            let said = overrule(decision);
            let after = work_out_after(Some(&before), plan::Level::Good, survey.clone(), rack.clone(), shop.clone(), &said);
            // Every second is held against what comes from nothing; what went wrong in between is still in what is remembered.
            if i % common::every(2) == 0 {
                assert_same(&format!("{name}, {:?}", said.all[0].decision), &after, &from_bare(&said));
            }
            changed += usize::from(after.methods != before.methods);
            before = after;
        }
        assert!(changed >= 4, "{name}: {changed} decisions changed a method: the test says nothing");
    }
}
