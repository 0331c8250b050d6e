//! Work of the shop's own list: in the plan once, in the right place, with its hazards.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's helpers fail the test")]

#[path = "common/case.rs"]
mod case;

use case::Bench;
use fixtures::{dent, pattern, survey};
use instrument::{Condition, ConditionKind, Dent, FitState, Kind, Survey, Work};
use plan::{Caution, Level, Plan, Step, StepKind};

fn asked(kind: Kind, dents: Vec<Dent>, work: Vec<Work>) -> Survey {
    Survey { work, cleaned: None, ..survey(pattern(kind), dents) }
}

fn kinds(plan: &Plan) -> Vec<StepKind> {
    plan.steps.iter().map(|s| s.kind).collect()
}

fn of<'p>(plan: &'p Plan, work: &str) -> &'p Step {
    plan.steps.iter().find(|s| s.work.iter().any(|w| w.0 == work)).unwrap()
}

/// Everything waits for what it must: the number of a step is higher than all that it waits for.
fn ordered(plan: &Plan) {
    for s in &plan.steps {
        assert!(s.after.iter().all(|a| *a < s.number), "{s:?}");
    }
}

#[test]
fn a_cork_alone_is_a_cork_and_a_check() {
    let plan = case::plan_of(asked(Kind::Trumpet, vec![], vec![Work { count: 2, ..Work::new("w1", "water_key_cork") }]));
    assert_eq!(kinds(&plan), [StepKind::OtherWork, StepKind::AcceptanceCheck]);
    let cork = of(&plan, "w1");
    assert_eq!(cork.standard_job.as_deref(), Some("water_key_cork"));
    assert!((cork.minutes.likely - 5.0 * 4.0 / 3.0).abs() < 1e-9);
    assert_eq!(
        plan.work.iter().map(|w| (w.customer.as_str(), w.count, w.parts_money)).collect::<Vec<_>>(),
        [("New water-key cork", 2, 2.0)]
    );
}

#[test]
fn it_is_cleaned_and_taken_apart_once_for_dents_and_work() {
    let dents = || vec![dent("d1", "second-branch", 300.0, 5.0, 30.0, 28.0)];
    let work = vec![
        Work::new("w1", "clean_inside"),
        Work::new("w2", "time_valves"),
        Work::new("w3", "relacquer"),
        Work::new("w4", "free_mouthpiece"),
    ];
    let plan = case::plan_of(asked(Kind::Tuba, dents(), work));
    ordered(&plan);
    let count = |k: StepKind| kinds(&plan).into_iter().filter(|x| *x == k).count();
    assert_eq!((count(StepKind::Clean), count(StepKind::Strip), count(StepKind::Assemble)), (1, 1, 1));
    let cleaning = of(&plan, "w1");
    assert_eq!((cleaning.kind, cleaning.standard_job.as_deref()), (StepKind::Clean, Some("clean_inside")));
    assert_eq!(plan.work.iter().map(|w| w.merged).collect::<Vec<_>>(), [true, false, false, false]);
    // Freed first, the finish when all metal is done, the valves as it is put together.
    let at = |w: &str| of(&plan, w).number;
    let first = |k: StepKind| plan.steps.iter().find(|s| s.kind == k).unwrap().number;
    assert!(at("w4") < first(StepKind::Strip) && first(StepKind::Finish) < at("w3") && at("w3") < at("w2"));
    assert!(at("w2") < first(StepKind::Assemble) && first(StepKind::Dent) < at("w3"));
    // The same dent without work costs what it did: nothing but the work's own minutes came on top.
    let alone = case::plan_of(asked(Kind::Tuba, dents(), vec![]));
    let own: f64 = ["w2", "w3", "w4"].iter().map(|w| of(&plan, w).minutes.mean()).sum();
    assert!((plan.minutes.mean() - alone.minutes.mean() - own).abs() < 1e-9);
    assert_eq!(plan.certificate.cost_money, alone.certificate.cost_money);
}

/// What the survey found and what the customer asked for is the same slide, the same bell: it stands once.
#[test]
fn what_a_condition_plans_is_not_done_twice() {
    let mut s =
        asked(Kind::Trumpet, vec![], vec![Work::new("w1", "free_slide"), Work::new("w2", "straighten_bell"), Work::new("w3", "fit_valve")]);
    let slide = s.instrument.fits.iter().position(|f| f.kind == instrument::FitKind::TuningSlide).unwrap();
    s.instrument.fits[slide].state = Some(FitState::Stuck);
    let bell = s.instrument.runs.iter().find(|r| r.role == instrument::Role::BellStem).unwrap().id.clone();
    s.conditions = vec![Condition::new("c1", ConditionKind::BentBell).on(bell)];
    let plan = case::plan_of(s);
    ordered(&plan);
    assert_eq!(of(&plan, "w1").kind, StepKind::Free);
    assert_eq!(of(&plan, "w2").kind, StepKind::Straighten);
    let count = |k: StepKind| kinds(&plan).into_iter().filter(|x| *x == k).count();
    assert_eq!((count(StepKind::Free), count(StepKind::Straighten)), (1, 1));
    // The slide that was stuck is trued too; it is no valve, so the valve has a step of its own.
    assert_eq!(of(&plan, "w3").kind, StepKind::OtherWork);
    assert!(count(StepKind::TrueFit) >= 1);
}

/// The longer time stands: a cleaning that the list gives an hour takes the hour.
#[test]
fn a_thorough_cleaning_takes_its_own_time() {
    let mut bench = Bench::new(asked(Kind::Trumpet, vec![], vec![Work::new("w1", "clean_inside")]));
    let plan = bench.plan();
    assert_eq!(of(&plan, "w1").minutes.likely, 25.0);
    bench.standards.jobs.iter_mut().find(|j| j.key == "clean_inside").unwrap().minutes = units::ThreePoint::new(40.0, 60.0, 90.0);
    assert_eq!(of(&bench.plan(), "w1").minutes.likely, 60.0);
    // Cleaned already, it is cleaned again where that is what was asked for.
    bench.survey.cleaned = Some(true);
    assert_eq!(kinds(&bench.plan()).iter().filter(|k| **k == StepKind::Clean).count(), 1);
}

/// A shop that takes half as long again for a kind of step does so for the list's jobs too, and what was timed is compared with the list's
/// own minutes: 1.5 times them, and back (by hand).
#[test]
fn timed_steps_move_the_lists_minutes_and_the_standard_stays_the_lists() {
    let work = vec![Work::new("w1", "clean_inside"), Work::new("w2", "water_key_cork")];
    let mut bench = Bench::new(asked(Kind::Trumpet, vec![], work));
    bench.standards.jobs.iter_mut().find(|j| j.key == "clean_inside").unwrap().minutes = units::ThreePoint::new(40.0, 60.0, 90.0);
    let minutes = |key: &str| bench.standards.jobs.iter().find(|j| j.key == key).unwrap().minutes.mean();
    let standards = [minutes("clean_inside"), minutes("water_key_cork")];
    let factor = plan::Factor { mean: 1.5, ..plan::Factor::NONE };
    bench.standards.timed.standards =
        [StepKind::Clean, StepKind::OtherWork].map(|kind| plan::TimedStandard { kind, within: None, factor }).to_vec();
    let plan = bench.plan();
    for (work, standard) in ["w1", "w2"].into_iter().zip(standards) {
        let step = of(&plan, work);
        assert!((step.minutes.mean() - 1.5 * standard).abs() < 1e-6, "{work}: {} for {standard}", step.minutes.mean());
        assert!((step.standard.unwrap().mean() - standard).abs() < 1e-6, "{work}: {:?} for {standard}", step.standard);
    }
}

/// Penetrating oil is washed off before a flame: said where it is put on and where the flame is lit.
#[test]
fn oil_is_told_before_the_flame() {
    let lit = |work: Vec<Work>| {
        let mut s = asked(Kind::Trumpet, vec![], work);
        let brace =
            s.instrument.overlays.iter().find(|o| o.kind == instrument::OverlayKind::Brace && o.filler.is_some()).unwrap().id.clone();
        s.conditions = vec![Condition { overlay: Some(brace), ..Condition::new("c1", ConditionKind::LooseBrace) }];
        case::plan_of(s)
    };
    let oiled = |plan: &Plan| plan.steps.iter().filter(|s| s.flame && s.cautions.contains(&Caution::PenetratingOil)).count();
    assert_eq!(oiled(&lit(vec![])), 0);
    let plan = lit(vec![Work::new("w1", "free_valve_cap")]);
    assert!(oiled(&plan) > 0 && of(&plan, "w1").cautions.contains(&Caution::PenetratingOil));
}

/// Work that needs a joint apart opens it; the customer's “keep it shut” is heard, and the work then stays, with the reason.
#[test]
fn a_joint_is_opened_for_work_and_stays_shut_where_it_must() {
    let mut s = asked(Kind::Trumpet, vec![], vec![]);
    let joint = s.instrument.joints.iter().find(|j| j.kind.is_soft().is_some()).unwrap().id.clone();
    s.work = vec![Work { joint: Some(joint.clone()), ..Work::new("w1", "inside") }];
    let mut bench = Bench::new(s);
    bench.standards.jobs.push(plan::StandardJob { needs: vec![plan::Need::JointOpen], ..plan::StandardJob::new("inside") });
    let plan = bench.plan();
    ordered(&plan);
    let number = |k: StepKind| plan.steps.iter().find(|s| s.kind == k).unwrap().number;
    assert!(number(StepKind::OpenJoint) < of(&plan, "w1").number && of(&plan, "w1").number < number(StepKind::CloseJoint));
    bench.survey.wishes.keep_shut = vec![joint];
    let shut = bench.plan();
    assert!(shut.steps.iter().all(|s| s.kind != StepKind::OpenJoint && s.work.is_empty()) && shut.work.is_empty());
    assert!(shut.not_done.iter().any(|n| n.work.as_ref().is_some_and(|w| w.0 == "w1") && n.because.metric().contains("must stay")));
}

#[test]
fn optional_work_is_in_the_fullest_plan_only_and_an_unknown_job_is_said() {
    let work = vec![Work { optional: true, ..Work::new("w1", "relacquer") }, Work::new("w2", "polish_the_moon")];
    let bench = Bench::new(asked(Kind::Trumpet, vec![], work));
    let does = |l: Level| bench.plan_to(l).steps.iter().any(|s| !s.work.is_empty());
    assert_eq!(Level::ALL.map(does), [false, false, true]);
    let plan = bench.plan();
    assert!(plan.not_done.iter().any(|n| n.because.metric().contains("polish_the_moon")));
    assert_eq!(plan::standard_job::unknown(&bench.standards.jobs, &bench.survey).len(), 1);
}
