//! How the instrument plays, through the plan: nothing done leaves it as it came in, everything out leaves nothing, each step counts, and a dent
//! that players notice is in the way of function.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use dent::Effect;
use fixtures::demo::{ALL_CASES, rack_and_shop, read};
use job::played::Played;
use job::{Job, work_out};
use plan::{Level, Overrules, StepKind};
use quote::Statement;

fn worked(name: &str) -> Job {
    let (rack, shop) = rack_and_shop();
    work_out(read(name), rack, shop, &Overrules::default())
}

#[test]
fn each_note_goes_from_what_its_dents_do_to_what_stays_of_them() {
    for name in ALL_CASES {
        let job = worked(name);
        let Some(sound) = job.played.known() else { continue };
        let notes = job.played.notes(&job.plan);
        assert!(!notes.is_empty(), "{name}: no note");
        for n in &notes {
            let mode = sound.states[n.state].modes.iter().find(|m| m.mode == n.mode).unwrap();
            // As it came in: the resonance with all dents in the bore, not the sum over them.
            assert!((n.now.cents - mode.cents.value).abs() < 1e-9, "{name} {}: {} or {}", n.note, n.now.cents, mode.cents.value);
            assert!(n.now.low <= n.now.cents && n.now.cents <= n.now.high && n.after.low <= n.after.cents && n.after.cents <= n.after.high);
        }
        let (now, after) = (job.played.now().unwrap(), job.played.after(&job.plan).unwrap());
        assert!(after.cents.abs() <= now.cents.abs() + 1e-9, "{name}: {now:?}, then {after:?}");
        // Step by step: the last one leaves what the plan leaves.
        let each = job.played.after_each(&job.plan);
        if let Some((_, last)) = each.last() {
            assert_eq!(*last, after, "{name}");
        }
        // A plan without a step leaves all.
        let mut none = job.plan.clone();
        none.steps.clear();
        assert_eq!(job.played.after(&none).unwrap().cents, now.cents);
        // Replaced tubes take their dents along.
        let mut replaced = job.plan.clone();
        replaced.steps.retain(|s| s.kind == StepKind::Dent);
        for s in &mut replaced.steps {
            s.kind = StepKind::ReplaceRun;
            s.dents = job.survey.dents.iter().map(|d| d.id.clone()).collect();
        }
        if !replaced.steps.is_empty() {
            assert!(job.played.after(&replaced).unwrap().cents.abs() < 1e-9, "{name}");
        }
        for offer in &job.quote.offers {
            assert!(offer.statements.iter().any(|s| matches!(s, Statement::Plays { .. })), "{name}");
        }
    }
}

/// A dent that is larger and larger: nobody hears it, then it is in the way of function, at what an amateur notices.
#[test]
fn a_dent_that_players_notice_is_in_the_way_of_function_and_one_they_do_not_is_not_for_its_pitch() {
    let mut seen = [false; 2];
    for times in [1.0, 1.5, 2.0, 3.0] {
        let mut survey = read("linnet-trumpet");
        for d in &mut survey.dents {
            for size in [&mut d.depth_mm, &mut d.width_along_mm, &mut d.width_across_mm].into_iter().flatten() {
                size.value *= times;
            }
        }
        let (rack, shop) = rack_and_shop();
        let job = work_out(survey, rack, shop, &Overrules::default());
        for a in &job.assessments {
            let off = job.played.of_dent(&a.dent).map_or(0.0, |o| o.cents.abs());
            let pitch = a.effects.iter().any(|e| matches!(e, Effect::Pitch { .. }));
            // 10 cents: amateur musicians, doi 10.1121/1.2697059 as quoted in shared/bores/README.md.
            assert_eq!(pitch, off >= 10.0, "{times} {}: {off}", a.dent);
            assert!(!pitch || Level::Play.wants(a) || a.advice == dent::Advice::Leave, "{times} {}", a.dent);
            seen[usize::from(pitch)] = true;
        }
    }
    assert_eq!(seen, [true, true]);
}

#[test]
fn where_the_tubes_make_no_bore_it_is_said_and_the_plan_stands() {
    let mut survey = read(ALL_CASES[0]);
    survey.instrument.joints.clear();
    let (rack, shop) = rack_and_shop();
    let job = work_out(survey, rack, shop, &Overrules::default());
    if let Played::NoBore { what, hint } = &job.played {
        assert!(!what.metric().is_empty() && !hint.metric().is_empty());
        assert!(job.quote.offers.iter().all(|o| !o.statements.iter().any(|s| matches!(s, Statement::Plays { .. }))));
    }
}
