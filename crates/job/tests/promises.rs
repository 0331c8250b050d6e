//! What every plan promises, over 300 random surveys of all patterns: no final check of the work passes on the unrepaired instrument,
//! none would fail on the work as planned; what a flame lets go is soldered again by a step.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::{Dice, conditions_anywhere, cracked, creased, dents_anywhere, pattern, survey};
use instrument::patterns::KINDS;
use instrument::{ConditionKind, FitState, Survey};
use job::Job;
use plan::{Check, StepKind};
use rayon::prelude::*;
use reach::Opened;

/// A survey with up to seven dents anywhere, some creased, some cracked, and up to four other things wrong; at times a stuck slide or
/// metal not cleaned.
fn any(number: u64) -> Survey {
    let mut dice = Dice(9_000 + 7 * number);
    let mut instrument = pattern(KINDS[number as usize % KINDS.len()]);
    if dice.below(6) == 0
        && let Some(f) = instrument.fits.first_mut()
    {
        f.state = Some(FitState::Stuck);
    }
    let count = 1 + dice.below(7);
    let dents = dents_anywhere(&mut dice, &instrument, count, |dice, bore, of| {
        let depth = (dice.between(0.04, 0.4) * bore).min(14.0);
        let d = of(depth, (0.9 * bore).clamp(6.0, 45.0), (0.7 * bore).clamp(5.0, 40.0));
        match dice.below(7) {
            0 => creased(d),
            1 => cracked(d),
            _ => d,
        }
    });
    // A further seed: the dents are those of the surveys without it.
    let conditions = conditions_anywhere(&mut Dice(70_001 + 13 * number), &instrument, 4);
    let mut s = survey(instrument, dents);
    s.conditions = conditions;
    s.cleaned = if dice.below(2) == 0 { Some(true) } else { None };
    s
}

/// What a ball of a check meets at a dent, before the work and after it, mm. The bore is the run's own, by its profile.
fn open_mm(job: &Job, dent: &instrument::DentId, after: bool) -> f64 {
    let d = job.survey.dent(dent).unwrap();
    let bore = job.survey.instrument.run(&d.run).unwrap().bore_at(d.at_mm.as_ref().unwrap().value).value;
    let choice = job.plan.choices.iter().find(|c| c.dent == *dent);
    match choice.filter(|_| after) {
        // Balls leave no more than the last of them is wide; a hand that stops short leaves what the method says.
        Some(c) => match c.method.train.last() {
            Some(last) => last.ball_mm.min(bore) - c.method.strokes.map_or(0.0, |s| s.left_mm),
            None => bore - c.method.strokes.map_or(0.0, |s| s.left_mm),
        },
        None => bore - d.depth_mm.as_ref().unwrap().value,
    }
}

/// Every survey is worked out once and asked everything; the surveys can be, nothing in them contradicts itself.
#[test]
fn what_every_plan_promises() {
    let asked = |number| {
        let survey = any(number);
        let wrong: Vec<_> =
            instrument::check::problems(&survey).into_iter().filter(|p| p.severity == instrument::check::Severity::Error).collect();
        assert!(wrong.is_empty(), "survey {number}: {wrong:?}");
        let job = worked(survey);
        every_step_has_a_name_of_its_own(number, &job);
        (
            no_final_check_passes_bad_work_or_fails_good(number, &job),
            what_a_flame_lets_go_is_in_the_steps(number, &job),
            every_tool_touches_and_is_there(number, &job),
        )
    };
    let counted: Vec<_> = (0..300_u64).into_par_iter().map(asked).collect();
    let (balls, looks) = counted.iter().fold((0, 0), |sum, c| (sum.0 + c.0.0, sum.1 + c.0.1));
    for kind in [
        ConditionKind::LooseBrace,
        ConditionKind::BrokenBrace,
        ConditionKind::MissingBrace,
        ConditionKind::PulledJoint,
        ConditionKind::OutOfLine,
        ConditionKind::BentBell,
        ConditionKind::BentHandSlide,
        ConditionKind::Oval,
        ConditionKind::Hole,
    ] {
        let seen = counted.iter().flat_map(|c| &c.0.2).filter(|k| **k == kind).count();
        assert!(seen >= 5, "{seen} of {kind:?} are mended: the surveys do not test what they should");
    }
    assert!(balls > 150 && looks > 500, "{balls} balls, {looks} dents looked at: the surveys do not test what they should");
    let lets_go: usize = counted.iter().map(|c| c.1).sum();
    assert!(lets_go > 50, "{lets_go}: the surveys do not test what they should");
    let seen: usize = counted.iter().map(|c| c.2).sum();
    assert!(seen > 500, "{seen}");
}

/// Ticks, times and notes are kept under it.
fn every_step_has_a_name_of_its_own(number: u64, job: &Job) {
    let mut names: Vec<String> = job.plan.steps.iter().map(job::key::step_key).collect();
    names.sort();
    for pair in names.windows(2) {
        assert_ne!(pair[0], pair[1], "survey {number}");
    }
}

/// Balls that check a bore, dents that are looked at, and what is mended.
fn no_final_check_passes_bad_work_or_fails_good(number: u64, job: &Job) -> (usize, usize, Vec<ConditionKind>) {
    let checks = job::acceptance::acceptance_checks(&job.survey, &job.plan);
    let (mut balls, mut looks, mut mended) = (0, 0, Vec::new());
    for (check, shown) in job.plan.steps.iter().flat_map(|s| &s.checks).zip(&checks) {
        let said = || format!("survey {number}: {check:?} {shown:?}");
        match check {
            Check::Bore { dents, .. } => {
                let wanted = shown.wanted_mm.unwrap();
                let ball = wanted.least_mm.unwrap();
                assert!(wanted.figure_needed && !dents.is_empty(), "{}", said());
                for d in dents {
                    // The largest ball that passes now would not do.
                    assert!(open_mm(job, d, false) < ball, "passes unrepaired: {}", said());
                    // What the work leaves open lets the wanted ball through.
                    assert!(open_mm(job, d, true) >= ball, "fails as planned, {} open: {}", open_mm(job, d, true), said());
                }
                balls += 1;
            }
            Check::Look { stay_mm, .. } => {
                for (d, most) in stay_mm {
                    let depth = job.survey.dent(d).unwrap().depth_mm.as_ref().unwrap().value;
                    assert!(depth > *most, "{d} unrepaired would do: {}", said());
                    let left = job.plan.choices.iter().find(|c| c.dent == *d).unwrap().method.strokes.map_or(0.0, |s| s.left_mm);
                    assert!(left <= *most, "{d} as planned would not do: {}", said());
                    looks += 1;
                }
                // A dent of which neither tells is shallower than what may stay.
                for c in job.plan.choices.iter().filter(|c| stay_mm.iter().all(|s| s.0 != c.dent)) {
                    assert!(
                        job.survey.dent(&c.dent).unwrap().depth_mm.as_ref().unwrap().value < c.method.stays_mm + 0.2,
                        "{} is not checked: {}",
                        c.dent,
                        said()
                    );
                }
            }
            // A fit is checked for a complaint, a dent in its way, or a new part.
            Check::Fit { fit } => {
                let f = job.survey.instrument.fit(fit).unwrap();
                let on_it = |run: &instrument::RunId| *run == f.inner || *run == f.outer;
                let dented = job.survey.dents.iter().any(|d| on_it(&d.run));
                let new = job.plan.replacements.iter().any(|r| r.replace && on_it(&r.run));
                assert!(f.state == Some(FitState::Stuck) || dented || new, "{}", said());
            }
            // These are of the work itself: what was opened, what was put together.
            Check::Tight => assert!(
                job.plan.steps.iter().any(|s| matches!(s.kind, StepKind::CloseJoint | StepKind::Patch | StepKind::ReplaceRun)),
                "{}",
                said()
            ),
            Check::Pull | Check::Plays => {}
            // What was measured is out by more than the check lets pass; what nobody measured has a figure asked for.
            Check::InLine { condition, most_mm, .. } | Check::Round { condition, most_mm } => {
                let c = job.survey.condition(condition).unwrap();
                let is = if matches!(check, Check::Round { .. }) { c.ovality_mm() } else { c.offset_mm() };
                assert!(*most_mm > 0.0 && is.is_none_or(|is| is > *most_mm), "passes unrepaired, {is:?}: {}", said());
                assert!(shown.wanted_mm.is_some_and(|w| w.figure_needed), "{}", said());
                mended.push(c.kind);
            }
            // Nothing is loose, broken or missing that is not said to be, and it is soldered before it is shaken.
            // The seam of what stays on over a dent that is worked is looked along.
            Check::Holds { overlay } if job.plan.stays_on().contains(&overlay) => {}
            Check::Holds { overlay } => {
                let c = job.survey.conditions.iter().find(|c| c.overlay.as_ref() == Some(overlay));
                let soldered = |s: &&plan::Step| s.kind == StepKind::OverlayBack && s.opened == Some(Opened::Overlay(overlay.clone()));
                let checked = job.plan.steps.iter().find(|s| s.checks.contains(check)).unwrap();
                let back = job.plan.steps.iter().find(soldered).unwrap_or_else(|| panic!("not soldered: {}", said()));
                assert!(plan::waits_for(&job.plan.steps, checked).contains(&back.number), "{}", said());
                mended.push(c.unwrap_or_else(|| panic!("{}", said())).kind);
            }
        }
    }
    // What is wrong besides dents is checked, or the plan says why it stays.
    for c in &job.survey.conditions {
        // With its run it goes.
        let new = |r: &plan::Replacement| r.replace && c.run.as_ref() == Some(&r.run);
        // A crack surveyed with its dent goes with that.
        let with_a_dent = |d: &instrument::Dent| c.kind == ConditionKind::Crack && d.crack.is_some() && c.is_on(&d.run);
        if job.survey.dents.iter().any(with_a_dent) {
            continue;
        }
        let checked = job.plan.mended.iter().any(|m| m.condition == c.id) || job.plan.replacements.iter().any(new);
        let stays = job.plan.not_done.iter().any(|n| n.condition.as_ref() == Some(&c.id) && !n.because.is_empty());
        assert!(checked != stays, "survey {number}: {c:?}, checked {checked}, said to stay {stays}");
    }
    // What leaks is proved with the tightness of all.
    let patches = job.plan.mended.iter().filter(|m| m.mend == plan::Mend::Patch).count();
    assert!(patches == 0 || job.plan.steps.iter().flat_map(|s| &s.checks).any(|c| *c == Check::Tight), "survey {number}");
    mended.extend(std::iter::repeat_n(ConditionKind::Hole, patches));
    assert_eq!(mended.len(), job.plan.mended.len(), "survey {number}: {:?}", job.plan.mended);
    (balls, looks, mended)
}

/// How many neighbors of a flame let go.
fn what_a_flame_lets_go_is_in_the_steps(number: u64, job: &Job) -> usize {
    let mut count = 0;
    for s in &job.plan.steps {
        for n in s.heat.iter().flat_map(|h| &h.neighbours) {
            // Whatever comes within what a sink must hold off has a sink, or lets go and is soldered again.
            let hot = n.temperature_degc.value >= n.melts_at_degc;
            assert!(!hot || n.sink || n.too_close, "survey {number}, step {}: {n:?}", s.number);
            assert!(
                !n.sink || n.too_close || n.with_sink_degc.is_some_and(|t| t < n.melts_at_degc),
                "survey {number}, step {}: {n:?}",
                s.number
            );
            if n.too_close {
                count += 1;
                let again = n.resoldered_by.and_then(|a| job.plan.steps.iter().find(|x| x.number == a));
                let again = again.unwrap_or_else(|| panic!("survey {number}, step {}: {n:?} is not soldered again", s.number));
                // A ferrule goes with the joint that it lies over.
                let with = if let Opened::Overlay(id) = &n.what {
                    job.survey.instrument.overlay(id).and_then(|o| o.slides_off_at.clone()).map(Opened::Joint)
                } else {
                    None
                };
                let its_own = again.opened.as_ref() == Some(&n.what) || (with.is_some() && again.opened == with);
                assert!(
                    matches!(again.kind, StepKind::CloseJoint | StepKind::OverlayBack) && its_own,
                    "survey {number}: {n:?} by {again:?}"
                );
            }
        }
    }
    count
}

/// Every tool of a plan touches what it works, and hangs on the rack or is made by a step before it. How many do.
fn every_tool_touches_and_is_there(number: u64, job: &Job) -> usize {
    for c in &job.plan.choices {
        if let Some(contact) = &c.method.contact {
            for t in [&contact.start, &contact.end] {
                assert!(t.gap_mm.value <= contact.allowed_mm + 1e-6, "survey {number}, {}: {t:?}", c.dent);
            }
        }
        let works = |s: &&plan::Step| s.kind == StepKind::Dent && s.dents.contains(&c.dent);
        let Some(step) = job.plan.steps.iter().find(works) else { continue };
        if let reach::ToolChoice::ToMake { make, .. } = &c.method.tool {
            let before = plan::waits_for(&job.plan.steps, step);
            for piece in &make.pieces {
                let listed = job.plan.tools_to_make.iter().any(|t| t.0.body == piece.body && t.1.contains(&c.dent));
                let words = piece.words().metric();
                let made = |s: &&plan::Step| s.kind == StepKind::MakeTool && s.what.metric().contains(&words);
                assert!(listed, "survey {number}, {}: {words} is not listed", c.dent);
                assert!(
                    job.plan.steps.iter().find(made).is_some_and(|s| before.contains(&s.number)),
                    "survey {number}, {}: {words}",
                    c.dent
                );
            }
        }
    }
    job.plan.choices.iter().filter(|c| c.method.contact.is_some()).count()
}
