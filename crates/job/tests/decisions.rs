//! A decision steers the search, whichever way it comes in: said against the plan, wished by the customer, or written into the
//! file. For every tool, joint and overlay of the demo's cases the plans agree.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::overrule;
use fixtures::demo::{ALL_CASES, rack_and_shop, read};
use instrument::{JointKind, Survey};
use job::{Job, work_out, work_out_after};
use plan::{Decision, Overrules, StepKind};
use reach::Rack;

fn plan_of(survey: &Survey, rack: &Rack, overrules: &Overrules) -> Job {
    let (_, shop) = rack_and_shop();
    work_out(survey.clone(), rack.clone(), shop, overrules)
}

/// The same after a plan that stands: `tests/remembered.rs` holds that it comes out as from nothing.
fn said_after(free: &Job, survey: &Survey, rack: &Rack, decision: Decision) -> Job {
    let (_, shop) = rack_and_shop();
    work_out_after(Some(free), plan::Level::Good, survey.clone(), rack.clone(), shop, &overrule(decision))
}

/// What a plan does, without the words of who decided.
fn gist(job: &Job) -> impl PartialEq + std::fmt::Debug + use<> {
    let p = &job.plan;
    let choices: Vec<_> = p
        .choices
        .iter()
        .map(|c| (c.dent.clone(), c.method.kind, c.method.size_mm, c.method.opens.clone(), c.method.tool.clone()))
        .collect();
    let steps: Vec<_> = p.steps.iter().map(|s| (s.kind, s.what.clone(), s.after.clone(), s.minutes)).collect();
    let stay: Vec<_> = p.not_done.iter().map(|n| n.dent.clone()).collect();
    (choices, p.opened.clone(), steps, stay, p.certificate.cost_money, job.quote.offers.iter().map(|o| o.bill.total).collect::<Vec<_>>())
}

#[test]
fn a_tool_that_is_away_is_a_rack_without_it() {
    let (rack, _) = rack_and_shop();
    for name in ALL_CASES {
        let survey = read(name);
        let free = plan_of(&survey, &rack, &Overrules::default());
        // What no plan uses and no acceptance check leans on changes nothing: those that a way of any dent uses are looked at.
        let used = |id: &reach::ToolId| {
            free.methods.iter().flat_map(|w| &w.methods).any(|w| match &w.tool {
                reach::ToolChoice::Rack { tools } => tools.contains(id),
                reach::ToolChoice::ToMake { with, .. } => with.contains(id),
            })
        };
        let mut looked_at = 0;
        let torch = |t: &reach::Tool| matches!(t.body, reach::ToolBody::Torch { .. });
        // Of those used every third, so that the test stays short (`TRUEROUND_EVERY=1`: all of them).
        for tool in rack.tools.iter().filter(|t| used(&t.id) || torch(t)).step_by(common::every(3)) {
            let said = said_after(&free, &survey, &rack, Decision::WithoutTool { tool: tool.id.clone() });
            let mut less = rack.clone();
            less.tools.retain(|t| t.id != tool.id);
            // Another rack: of the plan that stands no method is taken over.
            let (_, shop) = rack_and_shop();
            let file = work_out_after(Some(&free), plan::Level::Good, survey.clone(), less, shop, &Overrules::default());
            assert_eq!(gist(&said), gist(&file), "{name} without {}", tool.id.0);
            assert!(
                said.plan.assumptions.iter().any(|a| a.what.metric().contains(&tool.id.0)),
                "{name} does not say that {} is away",
                tool.id.0
            );
            looked_at += 1;
        }
        assert!(looked_at >= 1, "{name}: {looked_at} tools");
    }
}

#[test]
fn what_stays_shut_or_on_stays_so_whoever_says_it() {
    let (rack, _) = rack_and_shop();
    for (number, name) in ALL_CASES.into_iter().enumerate() {
        let survey = read(name);
        let free = plan_of(&survey, &rack, &Overrules::default());
        let mut shut: Vec<_> =
            survey.instrument.joints.iter().filter(|j| !matches!(j.kind, JointKind::Fixed)).map(|j| j.id.clone()).collect();
        // Of what any plan or method opens every third, and of the rest every twelfth, so that the test stays short; of what lies on it
        // every second, from another one in each case.
        let opened =
            |o: &reach::Opened| free.methods.iter().flat_map(|w| &w.methods).any(|w| w.opens.contains(o)) || free.plan.opened.contains(o);
        let mut turn = 0;
        shut.retain(|j| {
            turn += 1;
            turn % if opened(&reach::Opened::Joint(j.clone())) { common::every(3) } else { common::every(12) } == 0
        });
        for joint in shut {
            let said = said_after(&free, &survey, &rack, Decision::KeepShut { joint: joint.clone() });
            let mut wished = survey.clone();
            wished.wishes.keep_shut.push(joint.clone());
            assert_eq!(gist(&said), gist(&plan_of(&wished, &rack, &Overrules::default())), "{name}: {joint} shut");
            assert!(!said.plan.opened.contains(&reach::Opened::Joint(joint.clone())), "{name}: {joint} is opened all the same");
        }
        let nth = common::every(2);
        for overlay in survey.instrument.overlays.iter().skip(number % nth).step_by(nth).map(|o| o.id.clone()) {
            let said = said_after(&free, &survey, &rack, Decision::KeepOn { overlay: overlay.clone() });
            let mut wished = survey.clone();
            wished.wishes.keep_on.push(overlay.clone());
            assert_eq!(gist(&said), gist(&plan_of(&wished, &rack, &Overrules::default())), "{name}: {overlay} on");
            assert!(!said.plan.opened.contains(&reach::Opened::Overlay(overlay.clone())), "{name}: {overlay} comes off all the same");
        }
    }
}

/// A wish for the finish acts on silver plate as on lacquer: where a flame hot enough to spoil it is lit all the same, the step
/// says so, and never costs the plan a flame more.
#[test]
fn the_finish_that_must_not_burn() {
    use instrument::Finish;
    let (rack, _) = rack_and_shop();
    for finish in [Finish::Lacquer, Finish::SilverPlate, Finish::GoldPlate, Finish::NickelPlate] {
        let mut survey = read("ox-tuba");
        for run in &mut survey.instrument.runs {
            run.finish = finish;
        }
        let free = plan_of(&survey, &rack, &Overrules::default());
        survey.wishes.keep_finish = true;
        let kept = plan_of(&survey, &rack, &Overrules::default());
        let limit = finish.spoiled_from_degc().unwrap();
        let spoiling = |job: &Job| job.plan.steps.iter().filter(|s| s.heat.as_ref().is_some_and(|h| h.target_degc >= limit)).count();
        assert!(spoiling(&kept) <= spoiling(&free), "{finish:?}: {} against {}", spoiling(&kept), spoiling(&free));
        assert!(spoiling(&free) > 0, "{finish:?}: the case lights no flame that spoils it");
        for s in &kept.plan.steps {
            let spoils = s.heat.as_ref().is_some_and(|h| h.target_degc >= limit);
            assert_eq!(spoils, s.cautions.contains(&plan::Caution::FinishWanted), "{finish:?}: {}", s.what.metric());
        }
        let anneals = |job: &Job| job.plan.steps.iter().filter(|s| s.kind == StepKind::Anneal).count();
        assert!(anneals(&free) > 0 && anneals(&kept) < anneals(&free), "{finish:?}: {} anneals against {}", anneals(&kept), anneals(&free));
    }
}

#[test]
fn a_tool_that_is_lent_out_is_away_until_its_day() {
    let (mut rack, _) = rack_and_shop();
    let survey = read("linnet-trumpet");
    let free = plan_of(&survey, &rack, &Overrules::default());
    let used = free.plan.choices.iter().find_map(|c| match &c.method.tool {
        reach::ToolChoice::Rack { tools } => tools.first().cloned(),
        reach::ToolChoice::ToMake { .. } => None,
    });
    let lent = used.expect("the case uses a tool of the rack");
    let away = plan_of(&survey, &rack, &overrule(Decision::WithoutTool { tool: lent.clone() }));
    rack.tools.iter_mut().find(|t| t.id == lent).unwrap().away_until = Some("2026-11-27".to_owned());
    let on = |day: &str| plan_of(&survey, &rack, &Overrules::default().on_day(&rack, day));
    for day in ["2026-11-01", "2026-11-27"] {
        assert_eq!(gist(&on(day)), gist(&away), "{day}");
        assert!(on(day).plan.assumptions.iter().any(|a| a.what.metric().contains("away until 2026-11-27")));
    }
    assert_eq!(gist(&on("2026-11-28")), gist(&free));
    assert_ne!(gist(&away), gist(&free), "the tool makes no difference: the test says nothing");
}
