//! Parts that must stay hard: no anneal, what is done instead, and what a person may still say.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{overrule, worked, worked_with};
use dent::Advice;
use fixtures::demo::{CASES, read};
use fixtures::{dent, survey};
use instrument::{Dent, Kind, patterns};
use job::Job;
use metal::Alloy;
use plan::{Decision, StepKind};
use reach::MethodKind;

/// A 0.5 mm ding in the middle of a tenor trombone's upper inner hand slide; widths as measured, or none.
fn ding(run: &str, at_mm: f64, widths: Option<(f64, f64)>) -> Dent {
    let (along, across) = widths.unwrap_or((9.0, 8.0));
    let mut d = dent("ding", run, at_mm, 0.5, along, across);
    if widths.is_none() {
        (d.width_along_mm, d.width_across_mm) = (None, None);
    }
    d
}

fn anneals(job: &Job) -> usize {
    job.plan.steps.iter().filter(|s| s.kind == StepKind::Anneal).count()
}

#[test]
fn a_ding_in_an_inner_hand_slide_is_not_annealed_and_no_ball_is_driven() {
    for widths in [None, Some((10.0, 8.0))] {
        let trombone = patterns::pattern(Kind::Trombone).unwrap();
        let job = worked(survey(trombone, vec![ding("hand-slide-upper-inner", 325.0, widths)]));
        let a = &job.assessments[0];
        assert!(a.crack_likelihood.value < 0.10, "{:?}", a.crack_likelihood);
        assert_eq!(a.advice, Advice::WorkCold);
        assert!(
            a.advice_because.metric().contains("not annealed") && a.advice_because.metric().contains("mandrel"),
            "{}",
            a.advice_because.metric()
        );
        assert_eq!(anneals(&job), 0);
        let work = job.plan.steps.iter().find(|s| s.kind == StepKind::Dent);
        assert!(job.methods[0].methods.iter().any(|w| w.kind == MethodKind::Mandrel), "no mandrel");
        let work = work.unwrap();
        assert!(
            work.what.metric().contains("Cold, in short passes") && work.because.metric().contains("not annealed"),
            "{} / {}",
            work.what.metric(),
            work.because.metric()
        );
    }
}

#[test]
fn a_ding_in_a_rose_brass_bell_is_not_annealed() {
    for (run, at) in [("bell-flare", 120.0), ("bell-stem", 200.0)] {
        let mut trombone = patterns::pattern(Kind::Trombone).unwrap();
        for r in trombone.runs.iter_mut().filter(|r| r.id.0.starts_with("bell")) {
            r.alloy = Alloy::RoseBrass;
        }
        let job = worked(survey(trombone, vec![ding(run, at, None)]));
        let a = &job.assessments[0];
        assert!(a.crack_likelihood.value < 0.10 && a.advice == Advice::WorkCold, "{}", a.advice_because.metric());
        assert_eq!(anneals(&job), 0);
    }
}

#[test]
fn the_demos_anneal_nothing_that_must_stay_hard() {
    for case in CASES {
        let job = worked(read(case));
        for s in job.plan.steps.iter().filter(|s| s.kind == StepKind::Anneal) {
            let role = job.survey.instrument.run(s.run.as_ref().unwrap()).unwrap().role;
            assert!(!role.must_stay_hard(), "{case}: {}", s.what.metric());
        }
    }
}

#[test]
fn a_person_may_have_it_annealed_all_the_same() {
    let trombone = || patterns::pattern(Kind::Trombone).unwrap();
    let survey = || survey(trombone(), vec![dent("dent", "bell-stem", 200.0, 2.5, 20.0, 16.0)]);
    assert_eq!(anneals(&worked(survey())), 0);
    let job = worked_with(survey(), &overrule(Decision::AnnealDent { dent: "dent".into() }));
    let step = job.plan.steps.iter().find(|s| s.kind == StepKind::Anneal).expect("the anneal that was asked for");
    assert!(step.because.metric().contains("Ottilie") && step.because.metric().contains("soft afterwards"), "{}", step.because.metric());
    assert!(step.dents.contains(&"dent".into()) && step.heat.is_some());
    // The dent's work waits for it, and its risk is that of soft metal.
    let work = job.plan.steps.iter().find(|s| s.kind == StepKind::Dent).unwrap();
    assert!(work.after.contains(&step.number));
    assert_eq!(job.plan.crack_likelihood(&job.assessments[0]).value, job.assessments[0].crack_likelihood_annealed.value);
}
