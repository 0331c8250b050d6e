//! A person decides against the plan: it is worked out anew, follows, and says what changed. And the next best plans.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{overrule, worked};
use fixtures::demo::{CASES, read};
use job::Job;
use plan::{Change, Decision, Overrule, Overrules, Respect, StepKind, what_changed};
use reach::{Opened, ToolChoice};

fn of<'c>(changes: &'c [Change], about: &str) -> Option<&'c Change> {
    changes.iter().find(|c| c.about == about || c.about.ends_with(&format!("({about})")))
}

/// What changes in a case by one decision.
fn decided(case: &str, decision: Decision) -> (Job, Vec<Change>) {
    let before = common::case(case);
    let after = common::after(before, &overrule(decision));
    let changes = what_changed(&before.side(), &after.side());
    (after, changes)
}

#[test]
fn a_method_is_overruled() {
    let before = common::case("ox-tuba");
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
    let before = common::case("ox-tuba");
    let joint = before.plan.opened.iter().find_map(|o| if let Opened::Joint(id) = o { Some(id.clone()) } else { None }).unwrap();
    let (after, changes) = decided("ox-tuba", Decision::KeepShut { joint: joint.clone() });
    assert!(!after.plan.opened.contains(&Opened::Joint(joint.clone())));
    let change = of(&changes, &before.survey.instrument.joint(&joint).unwrap().name).expect("the change is told");
    assert_eq!((change.before.metric().as_str(), change.after.metric().as_str()), ("comes apart", "stays"));
    // Dents that can no longer be reached say why.
    for c in changes.iter().filter(|c| c.after.metric().starts_with("not worked")) {
        assert!(c.after.metric().len() > "not worked: ".len(), "{c:?}");
    }
}

#[test]
fn no_flame_anywhere() {
    let before = common::case("ox-tuba");
    let (after, changes) = decided("ox-tuba", Decision::NoFlame { run: None });
    assert!(after.plan.steps.iter().all(|s| s.heat.is_none()), "a flame is lit against the decision");
    assert!(after.plan.steps.iter().all(|s| !matches!(s.kind, StepKind::Anneal | StepKind::Patch)));
    assert!(changes.iter().any(|c| c.respect == Respect::Opened && c.after.metric() == "stays"));
    // Nobody at the bench knows the names of the file.
    let ids = before.survey.instrument.joints.iter().map(|j| &j.id.0).chain(before.survey.instrument.overlays.iter().map(|o| &o.id.0));
    for id in ids.filter(|id| id.contains('-')) {
        assert!(changes.iter().all(|c| !c.about.contains(id.as_str())), "{id}");
    }
    let left: Vec<_> = after.plan.not_done.iter().filter(|n| n.dent.is_some()).collect();
    assert!(!left.is_empty() && left.iter().all(|n| !n.because.is_empty()));
}

#[test]
fn a_tool_is_taken_away() {
    for case in CASES {
        let before = common::case(case);
        let used = |job: &Job| -> Vec<reach::ToolId> {
            let tools = |c: &plan::Choice| match &c.method.tool {
                ToolChoice::Rack { tools } => tools.clone(),
                ToolChoice::ToMake { with, .. } => with.clone(),
            };
            job.plan.choices.iter().flat_map(tools).collect()
        };
        let tool = used(before)[0].clone();
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
    let before = common::case("ox-tuba");
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
        let before = common::case(case);
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
        let (one, other) = (common::case(case), worked(read(case)));
        assert!(what_changed(&one.side(), &other.side()).is_empty(), "{case}");
    }
}

#[test]
fn the_next_best_plans_are_truly_others_and_say_what_separates_them() {
    for case in CASES {
        let job = common::case(case);
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
                !seen.contains(&this)
                    || a.differs.metric().contains("the tool")
                    || a.differs.metric().contains("tool not made")
                    || a.differs.metric().contains("the anneal"),
                "{case}: no other plan: {}",
                a.differs.metric()
            );
            let told = job.plan.against(a, "$").metric();
            assert!(
                (told.contains("min") || told.contains(" h ")) && told.contains("expected cost") && told.contains('$'),
                "{case}: {told}"
            );
            seen.push(this);
        }
    }
}

/// The figures of a dent that a person weighs a decision by.
fn figures(job: &Job, dent: &instrument::DentId) -> Option<[(Respect, f64, f64); 4]> {
    let c = job.plan.choices.iter().find(|c| c.dent == *dent)?;
    let a = job.assessments.iter().find(|a| a.dent == *dent)?;
    // With the least difference that must be told.
    Some([
        (Respect::CrackLikelihood, job.plan.crack_likelihood(a).value, 0.01),
        (Respect::Force, c.method.force_hand_n.value, 0.06 * c.method.force_hand_n.value),
        (Respect::Trueness, c.method.finish_quality, 0.02),
        (Respect::Cost, c.cost_money.value, 1.0),
    ])
}

/// A horn with a leadpipe that bears the way back once it is annealed, and not without, and a bell folded over a chair's rail.
const FOLDED_HORN: &str = r#"
trueround_survey = 1
cleaned = true
[instrument]
pattern = "horn"
finish = "lacquer"
[[run]]
id = "leadpipe"
wall = "0.48 mm"
[[dent]]
id = "lead"
run = "leadpipe"
at = "70 mm"
clock = "3 o'clock"
depth = "1.6 mm"
along = "11 mm"
across = "6 mm"
[[dent]]
id = "fold"
run = "bell-flare"
at = "200 mm"
clock = "5 o'clock"
depth = "8 mm"
crease = { lies = "across", length = "40 mm" }
profile_along = [["-20 mm", "0.1 mm"], ["-14 mm", "1.4 mm"], ["-8 mm", "3.9 mm"], ["-4 mm", "6.1 mm"], ["0 mm", "8 mm"], ["4 mm", "6 mm"], ["8 mm", "3.6 mm"], ["14 mm", "1.2 mm"], ["20 mm", "0 mm"]]
across = "90 mm"
[[dent]]
id = "bow"
run = "first bow"
at = "200 mm"
clock = "6 o'clock"
depth = "4 mm"
along = "22 mm"
across = "14 mm"
"#;

/// Whatever a decision does to a dent is told of it: crack, force, surface, cost, and that it is worked no longer.
#[test]
fn every_consequence_of_a_decision_is_told() {
    let (mut cracks, mut told) = (0, 0);
    let horn = survey::read_survey(FOLDED_HORN).unwrap().survey;
    for (case, survey) in [("horn", horn)].into_iter().chain(["linnet-trumpet", "heron-trombone"].map(|case| (case, read(case)))) {
        let before = worked(survey.clone());
        let mut decisions = vec![Decision::NoFlame { run: None }, Decision::MakeNoTools];
        decisions.extend(before.plan.opened.iter().map(|o| match o {
            Opened::Joint(joint) => Decision::KeepShut { joint: joint.clone() },
            Opened::Overlay(overlay) => Decision::KeepOn { overlay: overlay.clone() },
        }));
        for decision in decisions {
            let after = common::after(&before, &overrule(decision.clone()));
            let changes = what_changed(&before.side(), &after.side());
            // Console and page are told the same, and after it what the customer pays.
            let (price, shown): (Vec<Change>, Vec<Change>) = after.changes().into_iter().partition(|c| c.respect == Respect::Price);
            assert_eq!(changes, shown, "{case} {decision:?}: the console and the page are told the same");
            let total = |job: &Job| job.quote.of_level(job.plan.level).map(|o| o.bill.total);
            assert_eq!(price.is_empty(), total(&before) == total(&after), "{case} {decision:?}: {price:?}");
            let of = |dent: &instrument::DentId, respect| changes.iter().find(|c| c.dent.as_ref() == Some(dent) && c.respect == respect);
            for d in before.survey.dents.iter().map(|d| &d.id) {
                match (figures(&before, d), figures(&after, d)) {
                    (Some(was), Some(is)) => {
                        for ((respect, b, least), (_, a, other)) in was.into_iter().zip(is) {
                            if (b - a).abs() > least.max(other) {
                                let change =
                                    of(d, respect).unwrap_or_else(|| panic!("{case} {decision:?}: {respect:?} of {d}: {b} to {a}"));
                                assert_eq!(change.figures, Some((b, a)));
                                told += 1;
                                cracks += usize::from(respect == Respect::CrackLikelihood && a - b > 0.15);
                            }
                        }
                    }
                    (None, None) => {}
                    _ => assert!(of(d, Respect::Way).is_some(), "{case} {decision:?}: {d} goes or comes and nobody says it"),
                }
            }
            let time = changes.iter().find(|c| c.about == "bench time").map(|c| c.figures.unwrap());
            let (b, a) = (before.plan.minutes.mean(), after.plan.minutes.mean());
            assert_eq!(time, ((b - a).abs() >= 0.5).then_some((b, a)), "{case} {decision:?}");
            if before.plan.choices.len() != after.plan.choices.len() {
                assert!(changes.iter().any(|c| c.respect == Respect::Dents), "{case} {decision:?}");
            }
        }
    }
    // Cold work of what was to be annealed: the test would see nothing if no decision had such a consequence.
    assert!(told > 5 && cracks > 0, "{told} consequences, {cracks} cracks");
}

/// A way that was asked for and cannot be taken: the dent is worked another way, and the reason is the method's own.
#[test]
fn a_way_that_cannot_be_is_answered_with_its_own_reason() {
    let mut seen = 0;
    for case in CASES {
        let before = common::case(case);
        for m in &before.methods {
            let Some(choice) = before.plan.choices.iter().find(|c| c.dent == m.dent) else { continue };
            let never = m.rejected.iter().find(|r| {
                m.methods.iter().chain(&m.after_anneal).all(|w| w.kind != r.kind)
                    && m.rejected.iter().filter(|x| x.kind == r.kind).count() == 1
            });
            let Some(rejected) = never else { continue };
            let (after, changes) = decided(case, Decision::UseMethod { dent: m.dent.clone(), method: rejected.kind });
            let now = after.plan.choices.iter().find(|c| c.dent == m.dent).unwrap_or_else(|| panic!("{case} {}: dropped", m.dent));
            assert_eq!(now.method.kind, choice.method.kind, "{case} {}", m.dent);
            let asked = now.instead_of.as_ref().expect("it says what stands in");
            assert_eq!((asked.method, &asked.because), (rejected.kind, &rejected.because), "{case} {}", m.dent);
            let told = changes.iter().find(|c| c.dent.as_ref() == Some(&m.dent) && c.respect == Respect::Way).expect("it is told");
            assert!(told.after.metric().contains(&rejected.because.metric()), "{told:?}");
            seen += 1;
            break;
        }
    }
    assert!(seen > 0);
}

fn said(decision: Decision) -> Overrule {
    Overrule { decision, who: "Ottilie".to_owned(), why: "a test".to_owned() }
}

#[test]
fn what_cannot_both_be_is_refused_and_what_can_is_not() {
    let before = common::case("ox-tuba");
    let dent = before.plan.choices[0].dent.clone();
    let kind = before.plan.choices[0].method.kind;
    let by = Decision::UseMethod { dent: dent.clone(), method: kind };
    let left = before.contradictions_with(said(by.clone()));
    assert!(left.is_empty(), "{left:?}");
    let leaving = common::after(before, &overrule(Decision::LeaveDent { dent }));
    let found = leaving.contradictions_with(said(by));
    assert_eq!(found.len(), 1);
    assert!(found[0].words(&leaving.survey).metric().contains("cannot be left and worked"), "{}", found[0].words(&leaving.survey).metric());
    // A way that needs a joint which is to stay shut: found through the methods, named with that joint and none that is not in its way.
    let mut seen = 0;
    for c in &before.plan.choices {
        let all = before.methods.iter().find(|m| m.dent == c.dent).unwrap();
        let of_kind: Vec<_> = all.methods.iter().chain(&all.after_anneal).filter(|w| w.kind == c.method.kind).collect();
        let needed = c.method.opens.iter().find(|o| matches!(o, Opened::Joint(_)) && of_kind.iter().all(|w| w.opens.contains(o)));
        let Some(Opened::Joint(joint)) = needed else { continue };
        let other =
            before.survey.instrument.joints.iter().find(|j| j.id != *joint && !before.plan.opened.contains(&Opened::Joint(j.id.clone())));
        let shut = [Some(joint.clone()), other.map(|j| j.id.clone())].into_iter().flatten();
        let all: Vec<Overrule> = shut.map(|joint| said(Decision::KeepShut { joint })).collect();
        let with = common::after(before, &Overrules { all });
        let found = with.contradictions_with(said(Decision::UseMethod { dent: c.dent.clone(), method: c.method.kind }));
        if found.is_empty() {
            // It is reached another way in by the same method.
            continue;
        }
        assert!(found.iter().all(|f| f.one == (Decision::KeepShut { joint: joint.clone() }) || f.other == (Decision::KeepShut { joint: joint.clone() })), "{found:?}");
        assert!(found.iter().all(|f| !f.because.is_empty()));
        seen += 1;
    }
    assert!(seen > 0, "no way of the tuba hangs on a joint");
}

#[test]
fn where_nothing_is_damaged_nothing_is_planned_or_offered() {
    let mut survey = read("ox-tuba");
    survey.dents.clear();
    survey.conditions.clear();
    for fit in &mut survey.instrument.fits {
        fit.state = None;
    }
    let job = worked(survey);
    assert!(job.plan.steps.is_empty() && job.quote.offers.is_empty());
    assert!(job.plan.assumptions.iter().any(|a| a.what.metric().contains("no dent")), "{:?}", job.plan.assumptions);
}

/// The price that the customer is told moves by what the decision changes: both ends are those of the offers.
#[test]
fn the_customers_price_is_among_the_changes() {
    let before = common::case("linnet-trumpet");
    let dent = before.plan.choices.iter().max_by(|a, b| a.cost_money.value.total_cmp(&b.cost_money.value)).unwrap().dent.clone();
    let after = common::after(before, &overrule(Decision::LeaveDent { dent }));
    let total = |job: &Job| job.quote.of_level(job.plan.level).unwrap().bill.total;
    let changes = after.changes();
    let told = changes.iter().find(|c| c.respect == Respect::Price).expect("the price is told");
    let shown = |job: &Job| units::money::show_price(total(job), &job.shop.currency);
    assert_eq!((told.before.metric(), told.after.metric()), (shown(before), shown(&after)));
    assert!(told.figures.is_some_and(|(b, a)| b > a), "{told:?}");
    assert!(before.changes().is_empty());
}
