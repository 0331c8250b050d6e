//! After an anneal the hand meets soft metal: force, strokes and over-push of every method are those of the annealed wall.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{overrule, worked, worked_with};
use fixtures::demo::{CASES, rack_and_shop, read};
use fixtures::{dent, survey};
use instrument::{Kind, Role, patterns};
use job::Job;
use plan::{Decision, Overrules, StepKind};
use reach::{MethodKind, Rack, Tool, ToolBody, ToolId};

fn anneals(job: &Job) -> Vec<&plan::Step> {
    job.plan.steps.iter().filter(|s| s.kind == StepKind::Anneal).collect()
}

/// Every dent of the demo: a plan that anneals it works it by a way that was reckoned soft, any other by one reckoned hard; and the
/// wall asks less when it is soft.
#[test]
fn a_method_is_reckoned_for_the_metal_as_it_is_then() {
    let mut soft = 0;
    for case in CASES {
        let job = worked(read(case));
        for c in &job.plan.choices {
            let annealed = anneals(&job).iter().any(|s| s.dents.contains(&c.dent));
            assert_eq!(c.method.annealed, annealed, "{case} {}", c.dent);
            let a = job.assessments.iter().find(|a| a.dent == c.dent).unwrap();
            let (before, after) = (a.force_inside(false).value, a.force_inside(true).value);
            assert!(after < before && a.overpush(true).value < a.overpush(false).value, "{case} {}: {before} {after}", c.dent);
            if annealed {
                soft += 1;
                // As a force is said: to ten newtons.
                let [after, before] = [after, before].map(|n| 10.0 * (n / 10.0).round());
                assert!(
                    c.method.because.metric().contains(&format!("needs {after:.0} N from inside, {before:.0} N before it")),
                    "{}",
                    c.method.because.metric()
                );
            }
        }
    }
    assert!(soft >= 2, "{soft}");
}

/// A person's wish to anneal softens what the hand meets: the same method at the same place asks less than cold, about as the two
/// flow stresses (limit load, closed form: force in proportion to the flow stress after 5 % strain, within the law's own powers).
#[test]
fn annealed_by_a_person_s_wish_the_hand_feels_the_soft_wall() {
    let trumpet = patterns::pattern(Kind::Trumpet).unwrap();
    let run = trumpet.runs.iter().find(|r| r.role == Role::Leadpipe).unwrap().clone();
    let survey = || survey(trumpet.clone(), vec![dent("d", &run.id.0, 0.3 * run.length_mm(), 1.5, 14.0, 9.0)]);
    let cold = worked(survey());
    assert!(anneals(&cold).is_empty() && cold.methods[0].after_anneal.is_empty());
    let job = worked_with(survey(), &overrule(Decision::AnnealDent { dent: "d".into() }));
    assert_eq!(anneals(&job).len(), 1);
    let choice = &job.plan.choices[0];
    assert!(choice.method.annealed);
    let stress = |temper: f64| metal::Curve::fit(run.alloy, metal::Temper(temper)).stress_mpa(0.05);
    let site = job.survey.site(&job.survey.dents[0]).unwrap();
    let flow = stress(0.0) / stress(site.temper.value);
    let a = &job.assessments[0];
    let wall = a.force_inside(true).value / a.force_inside(false).value;
    assert!((wall / flow - 1.0).abs() < 0.2, "{wall} {flow}");
    for soft in &job.methods[0].after_anneal {
        let Some(hard) = job.methods[0].methods.iter().find(|w| w.kind == soft.kind && w.tool == soft.tool && w.opens == soft.opens) else {
            continue;
        };
        assert!(soft.force_hand_n.value <= hard.force_hand_n.value * 1.001, "{:?}", soft.kind);
        if let (Some(s), Some(h)) = (soft.strokes, hard.strokes) {
            assert!(s.past_true_mm < h.past_true_mm, "{:?} {s:?} {h:?}", soft.kind);
        }
    }
}

/// A rack with one rod, and a person who leans so hard on it.
fn one_rod(lean_n: f64, head_mm: f64) -> Rack {
    let rod = ToolBody::StraightRod { diameter_mm: head_mm - 2.0, length_mm: 480.0, head_mm };
    let torch = ToolBody::Torch { watts: Some(2000.0) };
    let tool = |id: &str, body: ToolBody| Tool {
        id: ToolId(id.into()),
        name: id.into(),
        place: String::new(),
        wear_mm: 0.0,
        condition: String::new(),
        away_until: None,
        body,
    };
    Rack { tools: vec![tool("rod", rod), tool("torch", torch)], hand_push_n: 100.0, lean_n }
}

/// Where a hand cannot give the force, the anneal stands in where it is allowed, and the plan says so.
#[test]
fn what_the_hand_cannot_do_cold_it_can_after_an_anneal() {
    let tuba = patterns::pattern(Kind::Tuba).unwrap();
    let run = tuba.runs.iter().find(|r| r.id.0 == "first-branch").or_else(|| tuba.runs.iter().find(|r| r.role == Role::Branch)).unwrap();
    let bore = run.bore_at(30.0).value;
    let survey = survey(tuba.clone(), vec![dent("d", &run.id.0, 30.0, 0.08 * bore, 0.7 * bore, 0.5 * bore)]);
    let (_, shop) = rack_and_shop();
    let (mut cold, mut soft) = (0, 0);
    for lean in [2000.0, 600.0, 500.0, 420.0, 350.0, 300.0, 250.0] {
        let rack = one_rod(lean, (0.8 * bore).floor());
        let job = job::work_out(survey.clone(), rack, shop.clone(), &overrules_no_tools());
        let Some(choice) = job.plan.choices.first().filter(|c| c.method.kind == MethodKind::StraightRod) else { continue };
        assert!(choice.method.force_hand_n.value <= choice.method.force_limit_n + 1e-9);
        match anneals(&job)[..] {
            [] => {
                assert!(soft == 0 && !choice.method.annealed);
                cold += 1;
            }
            [step] => {
                assert!(choice.method.annealed && job.assessments[0].advice == dent::Advice::WorkCold);
                assert!(
                    step.because.metric().contains("would bear it cold") && step.because.metric().contains("straight rod"),
                    "{}",
                    step.because.metric()
                );
                assert!(step.because.metric().contains("needs at least"), "{}", step.because.metric());
                soft += 1;
            }
            _ => panic!("{:?}", job.plan.steps),
        }
    }
    assert!(cold >= 1 && soft >= 1, "{cold} {soft}");
}

fn overrules_no_tools() -> Overrules {
    overrule(Decision::MakeNoTools)
}
