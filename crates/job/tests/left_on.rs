//! What lies over a dent and stays on: over random dents under the guards and ferrules of all patterns, and in a case with wanted answers.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::{Dice, creased, dent, pattern, survey};
use instrument::patterns::KINDS;
use instrument::{OverlayId, OverlayKind, Survey};
use job::Job;
use plan::{Check, Decision, StepKind};
use rayon::prelude::*;
use reach::Opened;

/// Dents under guards and ferrules, some folded, one beside them.
fn under_something(number: u64) -> Survey {
    let mut dice = Dice(4_000 + 11 * number);
    let instrument = pattern(KINDS[number as usize % KINDS.len()]);
    let over: Vec<_> =
        instrument.overlays.iter().filter(|o| matches!(o.kind, OverlayKind::Guard | OverlayKind::Ferrule)).cloned().collect();
    let guards: Vec<_> = over.iter().filter(|o| o.kind == OverlayKind::Guard).cloned().collect();
    let mut dents = Vec::new();
    for i in 0..1 + dice.below(3) {
        let from = if guards.is_empty() || dice.below(3) == 0 { &over } else { &guards };
        if from.is_empty() {
            break;
        }
        let cover = &from[dice.below(from.len())].covers[0];
        let run = instrument.run(&cover.run).unwrap();
        let at = cover.from_mm + dice.between(0.3, 0.7) * (cover.to_mm - cover.from_mm);
        let bore = run.bore_at(at).value;
        let mut d = dent(&format!("d{i}"), &run.id.0, at, dice.between(0.03, 0.2) * bore, 0.8 * bore, 0.6 * bore);
        d.clock_deg = cover
            .clock_deg
            .map(|(a, b)| units::Known::new("clock", 0.5 * (a + b), 5.0, units::Unit::Deg, units::Origin::Measured))
            .or(d.clock_deg);
        dents.push(if dice.below(6) == 0 { creased(d) } else { d });
    }
    let run = &instrument.runs[dice.below(instrument.runs.len())];
    let at = 0.5 * run.length_mm();
    dents.push(dent("other", &run.id.0, at, 0.1 * run.bore_at(at).value, 12.0, 10.0));
    let mut s = survey(instrument, dents);
    s.cleaned = Some(true);
    s
}

fn again(job: &Job, decision: Decision) -> Job {
    common::after(job, &common::overrule(decision))
}

fn opens(job: &Job, id: &OverlayId) -> bool {
    job.plan.opened.contains(&Opened::Overlay(id.clone()))
}

#[test]
fn what_stays_on_is_not_taken_off_is_looked_at_and_may_be_decided_otherwise() {
    let counted: Vec<usize> = (0..120_u64)
        .into_par_iter()
        .map(|number| {
            let job = worked(under_something(number));
            let on: Vec<OverlayId> = job.plan.stays_on().into_iter().cloned().collect();
            for id in &on {
                assert!(!opens(&job, id), "survey {number}: {id} stays on and comes off");
                let touched = |k: StepKind| matches!(k, StepKind::OverlayOff);
                let off = job.plan.steps.iter().any(|s| touched(s.kind) && s.opened == Some(Opened::Overlay(id.clone())));
                assert!(!off, "survey {number}: {id}");
                let seam = |c: &Check| matches!(c, Check::Holds { overlay } if overlay == id);
                assert_eq!(job.plan.steps.iter().flat_map(|s| &s.checks).filter(|c| seam(c)).count(), 1, "survey {number}: {id}");
                // After the last dent that is worked under it.
                let check = job.plan.steps.iter().find(|s| s.checks.iter().any(seam)).unwrap();
                for c in job.plan.choices.iter().filter(|c| c.method.stays_on().contains(id)) {
                    let step = job.plan.steps.iter().find(|s| s.kind == StepKind::Dent && s.dents.contains(&c.dent)).unwrap();
                    assert!(step.number < check.number && step.what.metric().contains("on: look along"), "survey {number}: {id}");
                }
                let words = job::acceptance::acceptance_checks(&job.survey, &job.plan);
                assert!(words.iter().any(|w| w.key == format!("holds:{id}") && w.what.metric().contains("along its whole seam")));
                // A person may have it off: then it is, or its dents are left to nothing that goes on under it.
                let off = again(&job, Decision::TakeOff { overlay: id.clone() });
                assert!(!off.plan.stays_on().contains(&id), "survey {number}: {id}");
                let cost = |j: &Job| j.plan.certificate.cost_money;
                // A new run is put off for a tenth of its cost, which is no money: only plans that replace the same are compared.
                let new =
                    |j: &Job| j.plan.steps.iter().filter(|s| s.kind == StepKind::ReplaceRun).map(|s| s.run.clone()).collect::<Vec<_>>();
                if new(&off) == new(&job) {
                    assert!(cost(&off) >= cost(&job) - 0.01, "survey {number}: {id} off {} on {}", cost(&off), cost(&job));
                }
            }
            // What came off stays on by a person's word.
            for o in &job.plan.opened {
                let Opened::Overlay(id) = o else { continue };
                if !matches!(job.survey.instrument.overlay(id).map(|o| o.kind), Some(OverlayKind::Guard)) {
                    continue;
                }
                let kept = again(&job, Decision::KeepOn { overlay: id.clone() });
                assert!(!opens(&kept, id), "survey {number}: {id}");
                for c in &kept.plan.choices {
                    let under = kept.survey.site(kept.survey.dent(&c.dent).unwrap()).unwrap().under.contains(id);
                    assert_eq!(c.method.stays_on().contains(id), under, "survey {number}: {id} over {}", c.dent);
                }
            }
            on.len()
        })
        .collect();
    assert!(counted.iter().sum::<usize>() > 30, "{}: the surveys do not test what they should", counted.iter().sum::<usize>());
}
