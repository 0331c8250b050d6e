//! Methods with tools of their own, through the whole job with the demo's rack and shop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{worked, worked_with};
use fixtures::{dent, survey};
use instrument::{DentId, Kind, Role, patterns};
use job::Job;
use plan::{Caution, Decision, Overrule, Overrules, Step, StepKind};
use reach::MethodKind;

/// Half a millimetre in a trombone's inner hand slide. A mandrel or a burnisher; no ball is driven
/// through, nothing is annealed, and the plan says why.
#[test]
fn half_a_millimetre_in_an_inner_hand_slide() {
    let instrument = patterns::pattern(Kind::Trombone).unwrap();
    let run = instrument.runs.iter().find(|r| r.role == Role::HandSlideInner).unwrap().clone();
    for part in [0.15, 0.5, 0.8] {
        let job = worked(survey(instrument.clone(), vec![dent("ding", &run.id.0, part * run.length_mm(), 0.5, 12.0, 9.0)]));
        let methods = &job.methods[0];
        assert!(methods.methods.iter().all(|w| w.kind != MethodKind::BallTrain), "{methods:?}");
        let choice = &job.plan.choices[0];
        assert!(matches!(choice.method.kind, MethodKind::Mandrel | MethodKind::Burnishing | MethodKind::Rolling), "{choice:?}");
        assert!(choice.method.because.metric().len() > 40 && choice.method.force_hand_n.value <= choice.method.force_limit_n, "{choice:?}");
        let ball = methods.rejected.iter().find(|r| r.kind == MethodKind::BallTrain).expect("why no ball");
        assert!(!ball.because.is_empty(), "{ball:?}");
    }
}

fn at(job: &Job, kind: StepKind, dent: Option<&str>) -> Vec<usize> {
    let on = |s: &&Step| s.kind == kind && dent.is_none_or(|d| s.dents.iter().any(|x| x.0 == d));
    job.plan.steps.iter().filter(on).map(|s| s.number as usize).collect()
}

/// Two dents of one bow, by a person's wish worked over a fill: raised first, the bow filled once, laid down, melted out, and
/// only then closed up with a flame; the cautions stand beside the steps that need them.
#[test]
fn two_dents_share_the_fill_of_their_bow() {
    let mut seen = 0;
    for kind in [Kind::Trumpet, Kind::Trombone, Kind::Horn, Kind::Euphonium, Kind::Tuba] {
        let instrument = patterns::pattern(kind).unwrap();
        for run in instrument.runs.iter().filter(|r| matches!(r.role, Role::Bow | Role::TuningSlideCrook | Role::HandSlideCrook)) {
            let (length, bore) = (run.length_mm(), run.bore_at(0.5 * run.length_mm()).value);
            let make = |id: &str, part: f64| dent(id, &run.id.0, part * length, 0.12 * bore, 0.7 * bore, 0.5 * bore);
            let survey = survey(instrument.clone(), vec![make("a", 0.4), make("b", 0.6)]);
            let before = worked(survey.clone());
            let both = before.methods.iter().all(|w| w.methods.iter().any(|x| x.kind == MethodKind::FilledBend));
            if !both {
                continue;
            }
            let use_it = |d: &str| Overrule {
                decision: Decision::UseMethod { dent: DentId(d.into()), method: MethodKind::FilledBend },
                who: "Ottilie".to_owned(),
                why: "its ridges".to_owned(),
            };
            let job = worked_with(survey, &Overrules { all: vec![use_it("a"), use_it("b")] });
            assert!(job.plan.choices.iter().all(|c| c.method.kind == MethodKind::FilledBend), "{kind:?} {}", run.id);
            let one = |kind: StepKind| {
                let found = at(&job, kind, None);
                assert_eq!(found.len(), 1, "{kind:?} {} {:?}", run.id, job.plan.steps);
                found[0]
            };
            let (poured, out) = (one(StepKind::Fill), one(StepKind::MeltOut));
            for d in ["a", "b"] {
                let (raised, laid) = (at(&job, StepKind::Dent, Some(d)), at(&job, StepKind::OverFill, Some(d)));
                assert!(
                    raised.len() == 1 && laid.len() == 1 && raised[0] < poured && poured < laid[0] && laid[0] < out,
                    "{:?}",
                    job.plan.steps
                );
            }
            // No flame between pouring and melting out; what was opened is closed after.
            for s in &job.plan.steps {
                let n = s.number as usize;
                assert!(!(poured..=out).contains(&n) || s.heat.is_none(), "{s:?}");
                if s.kind == StepKind::CloseJoint && s.run.as_ref().is_some_and(|r| *r == run.id) {
                    assert!(n > out, "{s:?}");
                }
            }
            let step = |n: usize| &job.plan.steps[n - 1];
            for n in [poured, out] {
                assert!(step(n).cautions.contains(&Caution::MoltenFill), "{:?}", step(n));
                let alloy = step(n).what.metric().contains("alloy");
                assert_eq!(step(n).cautions.contains(&Caution::FillLead), alloy, "{:?}", step(n));
                assert_eq!(step(n).cautions.contains(&Caution::HotPitch), !alloy, "{:?}", step(n));
            }
            assert!(step(poured).what.metric().contains("dry it right through") && step(out).what.metric().contains("look right through"));
            // Filling and melting out are paid once, by the shop's own minutes; raising and laying down share the method's.
            assert!((step(poured).minutes.likely - 25.0).abs() < 1e-9 && (step(out).minutes.likely - 18.0).abs() < 1e-9);
            let (raised, laid) = (step(at(&job, StepKind::Dent, Some("a"))[0]), step(at(&job, StepKind::OverFill, Some("a"))[0]));
            // The dent that is raised second finds the balls set up.
            let set_up = job.plan.choices.iter().find(|c| c.dent.0 == "a").map_or(0.0, |c| c.method.set_up.likely);
            let second = raised.number > step(at(&job, StepKind::Dent, Some("b"))[0]).number;
            let alone = raised.minutes.likely + if second { set_up } else { 0.0 };
            assert!((alone / laid.minutes.likely - 1.0).abs() < 0.2, "{raised:?} {laid:?}");
            assert!(job.plan.certificate.cost_money > before.plan.certificate.cost_money, "a fill is dear");
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen} bows were filled");
}
