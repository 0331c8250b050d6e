//! The trade's bands beside the program's figures: times that repairers say of usual work (common practice, no source; the list stands in the
//! project's check values and in docs/answers.md). Printed by `cargo test -p job --test bands -- --nocapture`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::worked;
use fixtures::demo::read;
use fixtures::{Dice, dent, survey};
use instrument::{Condition, ConditionKind, FitKind, Kind, OverlayKind, Role, Survey, patterns};
use job::Job;
use plan::{Step, StepKind};
use reach::Opened;
use units::{Known, Origin, Unit};

fn minutes<'a>(steps: impl Iterator<Item = &'a Step>) -> f64 {
    steps.map(|s| s.minutes.mean()).sum()
}

/// A job's minutes without tools that stay in the shop.
fn work(job: &Job) -> f64 {
    minutes(job.plan.steps.iter().filter(|s| s.kind != StepKind::MakeTool))
}

fn on_dents<'a>(job: &'a Job, ids: &'a [&str]) -> impl Iterator<Item = &'a Step> {
    let work = |k| matches!(k, StepKind::Dent | StepKind::Crease | StepKind::Anneal | StepKind::OverFill);
    job.plan.steps.iter().filter(move |s| work(s.kind) && s.dents.iter().any(|d| ids.contains(&d.0.as_str())))
}

#[track_caller]
fn within(what: &str, min: f64, band: std::ops::RangeInclusive<f64>) {
    println!("{what}: {min:.0} min, the trade says {:.0} to {:.0}", band.start(), band.end());
    assert!(band.contains(&min), "{what}: {min} min");
}

fn mm(value: f64) -> Option<Known> {
    Some(Known::new("x", value, 0.1, Unit::Mm, Origin::Measured))
}

/// "A brace re-soldered under 0.5 h": a brace that let go, soldered where it lies; and one that is taken off and put back.
#[test]
fn a_brace_is_soldered_again_in_under_half_an_hour() {
    let i = patterns::pattern(Kind::Trombone).unwrap();
    let brace = i.overlays.iter().find(|o| o.kind == OverlayKind::Brace).unwrap().id.clone();
    let mut s = survey(i, vec![]);
    s.conditions = vec![Condition { overlay: Some(brace.clone()), ..Condition::new("loose", ConditionKind::LooseBrace) }];
    let job = worked(s);
    let its =
        |job: &Job, id: &instrument::OverlayId| minutes(job.plan.steps.iter().filter(|s| s.opened == Some(Opened::Overlay(id.clone()))));
    within("a loose brace soldered", its(&job, &brace), 5.0..=30.0);
    let tuba = worked(read("ox-tuba"));
    let braces = tuba.survey.instrument.overlays.iter().filter(|o| o.kind == OverlayKind::Brace).map(|o| o.id.clone());
    let off_and_back = |id: &instrument::OverlayId| tuba.plan.opened.contains(&Opened::Overlay(id.clone()));
    for id in braces.filter(off_and_back) {
        within("the tuba's brace off and back on", its(&tuba, &id), 10.0..=30.0);
    }
}

/// "A minor bell dent up to 0.5 h", the dent itself: taking apart, cleaning and looking over come once a job.
#[test]
fn a_minor_bell_dent_takes_up_to_half_an_hour() {
    for kind in [Kind::Trumpet, Kind::Cornet, Kind::Trombone, Kind::Horn, Kind::Tuba] {
        let i = patterns::pattern(kind).unwrap();
        let flare = i.runs.iter().find(|r| r.role == Role::BellFlare).or_else(|| i.runs.iter().find(|r| r.role == Role::BellStem)).unwrap();
        let at = 0.6 * flare.length_mm();
        let bore = flare.bore_at(at).value;
        let d = dent("d1", &flare.id.0, at, 1.5, 0.35 * bore.min(60.0), 0.3 * bore.min(60.0));
        let job = worked(survey(i, vec![d]));
        within(&format!("{kind:?}: a minor bell dent"), minutes(on_dents(&job, &["d1"])), 3.0..=30.0);
    }
}

/// "A hand-slide alignment up to 0.5 h", and "a hand slide about 1 h": two dents of the demo's slide with its truing and its check.
#[test]
fn a_hand_slide_takes_about_an_hour_and_its_alignment_half_of_one() {
    let i = patterns::pattern(Kind::Trombone).unwrap();
    let fit = i.fits.iter().find(|f| f.kind == FitKind::HandSlide).unwrap().id.clone();
    let mut s = survey(i, vec![]);
    s.conditions = vec![Condition {
        fit: Some(fit),
        out_of_line_mm: mm(0.4),
        over_mm: mm(600.0),
        ..Condition::new("bent", ConditionKind::BentHandSlide)
    }];
    let bent = worked(s);
    within("a hand slide straightened", minutes(bent.plan.steps.iter().filter(|s| s.kind == StepKind::StraightenSlide)), 10.0..=30.0);
    let job = worked(read("heron-trombone"));
    let of_slide = |r: Role| matches!(r, Role::HandSlideOuter | Role::HandSlideInner | Role::HandSlideCrook);
    let on_it = job.survey.dents.iter().filter(|d| job.survey.instrument.run(&d.run).is_some_and(|r| of_slide(r.role)));
    let slide: Vec<&str> = on_it.map(|d| d.id.0.as_str()).collect();
    assert!(slide.len() >= 2, "{slide:?}");
    let fits = job.plan.steps.iter().filter(|s| s.kind == StepKind::TrueFit);
    within("the demo's hand slide", minutes(on_dents(&job, &slide)) + minutes(fits), 40.0..=80.0);
}

/// "A tuba's bottom bow about 2 h": the demo's six dents of it take that. Taking it out and soldering it in again stands on top of the band:
/// two joints with their ferrules, the brace over them, and two guards that let go in their heat. docs/answers.md argues the exception.
#[test]
fn a_bottom_bows_dents_take_about_two_hours() {
    let mut s: Survey = read("ox-tuba");
    s.dents.retain(|d| d.run.0 == "bottom-bow");
    s.conditions.clear();
    s.instrument.fits.iter_mut().for_each(|f| f.state = None);
    let ids: Vec<String> = s.dents.iter().map(|d| d.id.0.clone()).collect();
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let job = worked(s);
    within("six dents of a bottom bow", minutes(on_dents(&job, &ids)), 90.0..=150.0);
    let soldered = |k| matches!(k, StepKind::OpenJoint | StepKind::CloseJoint | StepKind::OverlayOff | StepKind::OverlayBack);
    println!("of it opened, closed and soldered again: {:.0} min", minutes(job.plan.steps.iter().filter(|s| soldered(s.kind))));
    println!("exception: the bow taken out and put back, checked and wiped over: {:.0} min, the trade says about 120", work(&job));
    assert!((300.0..=380.0).contains(&work(&job)), "the exception that docs/answers.md argues has moved: {}", work(&job));
}

/// "A whole tuba with many dents up to two days": 16 h. The demo's has 41 dents, a crack, a stuck slide and a valve that binds. Its dents alone
/// stay within two days; with what is opened, soldered and proved it stands above the band. docs/answers.md takes the hours apart.
#[test]
fn a_whole_tubas_dents_take_up_to_two_days() {
    let job = worked(read("ox-tuba"));
    let dents: Vec<&str> = job.survey.dents.iter().map(|d| d.id.0.as_str()).collect();
    within("41 dents of the demo's tuba", minutes(on_dents(&job, &dents)), 480.0..=960.0);
    let tools = minutes(job.plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool));
    println!("exception: the whole job {:.0} min, and {tools:.0} min of tools that stay; the trade says up to 960", work(&job));
    assert!((1_200.0..=1_440.0).contains(&work(&job)), "the exception that docs/answers.md argues has moved: {}", work(&job));
}

/// "Mean school job about 2 h": sixty school jobs, trumpets and cornets, trombones and horns, one to four dents each, cleaned first as a
/// school's are.
#[test]
fn a_school_job_takes_about_two_hours() {
    let mut dice = Dice(2023);
    let kinds = [Kind::Trumpet, Kind::Trumpet, Kind::Cornet, Kind::Trombone, Kind::Trombone, Kind::Horn];
    let n = 60;
    let mut sum = 0.0;
    for i in 0..n {
        let instrument = patterns::pattern(kinds[i % kinds.len()]).unwrap();
        let places: Vec<_> = instrument
            .runs
            .iter()
            .filter(|r| matches!(r.role, Role::BellFlare | Role::BellStem | Role::Bow | Role::Leadpipe | Role::TuningSlideCrook))
            .cloned()
            .collect();
        let dents = (0..1 + dice.below(4)).map(|d| {
            let run = &places[dice.below(places.len())];
            let at = dice.between(0.2, 0.8) * run.length_mm();
            let across = run.outside_diameter_at(at).min(60.0);
            dent(&format!("d{}", d + 1), &run.id.0, at, (dice.between(0.04, 0.12) * across).max(0.5), 0.8 * across, 0.6 * across)
        });
        let mut s = survey(instrument.clone(), dents.collect());
        s.cleaned = None;
        sum += work(&worked(s));
    }
    within("a school job, the mean of sixty", sum / n as f64, 80.0..=180.0);
}
