//! Each thing that can be wrong with a survey is found where it is, with a hint.

#![allow(clippy::unwrap_used, reason = "a helper of tests; a run that is missing fails the test")]

mod common;

use common::{deg, dent, mm, tuba};
use instrument::check::{Severity, problems};
use instrument::{Dent, Instrument, Profile, Survey};
use proptest::prelude::*;
use units::Origin;

/// Path and severity of the problems of a survey that was spoilt.
fn spoilt(spoil: impl FnOnce(&mut Survey)) -> Vec<(String, Severity)> {
    let mut survey = tuba();
    spoil(&mut survey);
    let found = problems(&survey);
    assert!(found.iter().all(|p| !p.what.is_empty() && !p.hint.is_empty()));
    found.into_iter().map(|p| (p.path, p.severity)).collect()
}

fn has(found: &[(String, Severity)], path: &str, severity: Severity) -> bool {
    found.iter().any(|(p, s)| p == path && *s == severity)
}

fn run<'a>(i: &'a mut Instrument, id: &str) -> &'a mut instrument::Run {
    i.runs.iter_mut().find(|r| r.id.0 == id).unwrap()
}

#[test]
fn a_sound_tuba_with_a_dent_has_no_problem() {
    assert_eq!(spoilt(|s| s.dents.push(Dent { at_mm: mm(100.0), clock_deg: deg(90.0), ..dent("third-branch") })), []);
}

#[test]
fn every_spoilt_part_is_found() {
    use Severity::{Error, Warning};
    let constant = |v| Profile::constant(v, 0.1, Origin::Measured);
    type Spoil = Box<dyn Fn(&mut Survey)>;
    let cases: Vec<(&str, Severity, Spoil)> = vec![
        ("runs.third-branch.bore", Error, Box::new(move |s| run(&mut s.instrument, "third-branch").bore_mm = constant(0.0))),
        ("runs.third-branch.bore", Error, Box::new(|s| run(&mut s.instrument, "third-branch").bore_mm.points.clear())),
        ("runs.third-branch.bore", Error, Box::new(|s| run(&mut s.instrument, "third-branch").bore_mm.points.reverse())),
        ("runs.third-branch.wall", Error, Box::new(move |s| run(&mut s.instrument, "third-branch").wall_mm = constant(f64::NAN))),
        ("runs.first-branch.wall", Error, Box::new(move |s| run(&mut s.instrument, "first-branch").wall_mm = constant(14.0))),
        ("runs.third-branch.temper", Error, Box::new(move |s| run(&mut s.instrument, "third-branch").temper = constant(40.0))),
        ("runs.third-branch.axis", Error, Box::new(|s| run(&mut s.instrument, "third-branch").axis.segments.clear())),
        (
            "runs.third-branch",
            Error,
            Box::new(|s| s.instrument.joints.retain(|j| j.a.run.0 != "third-branch" && j.b.run.0 != "third-branch")),
        ),
        ("runs.leadpipe", Error, Box::new(|s| run(&mut s.instrument, "receiver").id = "leadpipe".into())),
        ("joints.third-branch--bottom-bow", Error, Box::new(move |s| run(&mut s.instrument, "third-branch").bore_mm = constant(40.0))),
        (
            "joints.third-branch--bottom-bow",
            Warning,
            Box::new(move |s| run(&mut s.instrument, "third-branch").bore_mm.points[1].value = 73.0),
        ),
        ("joints.receiver--leadpipe", Error, Box::new(|s| s.instrument.joints[0].b.run = "mouthpipe".into())),
        ("joints.receiver--leadpipe.overlap", Error, Box::new(|s| s.instrument.joints[0].overlap_mm = f64::NAN)),
        (
            "fits.tuning-slide-first-leg",
            Warning,
            Box::new(move |s| run(&mut s.instrument, "tuning-slide-first-outer").bore_mm = constant(18.0)),
        ),
        (
            "fits.third-valve",
            Error,
            Box::new(|s| s.instrument.fits.iter_mut().find(|f| f.id.0 == "third-valve").unwrap().inner = "plunger".into()),
        ),
        (
            "overlays.bottom-bow-guard.covers",
            Error,
            Box::new(|s| s.instrument.overlays.iter_mut().find(|o| o.id.0 == "bottom-bow-guard").unwrap().covers[0].to_mm = 900.0),
        ),
        (
            "overlays.bottom-bow-guard",
            Error,
            Box::new(|s| s.instrument.overlays.iter_mut().find(|o| o.id.0 == "bottom-bow-guard").unwrap().covers.clear()),
        ),
        ("dents.d.run", Error, Box::new(|s| s.dents.push(dent("third-brnch")))),
        ("dents.d.at", Error, Box::new(|s| s.dents.push(Dent { at_mm: mm(900.0), ..dent("third-branch") }))),
        ("dents.d.at", Error, Box::new(|s| s.dents.push(Dent { at_mm: mm(f64::NAN), ..dent("third-branch") }))),
        ("dents.d.depth", Error, Box::new(|s| s.dents.push(Dent { depth_mm: mm(80.0), ..dent("third-branch") }))),
        ("dents.d.depth", Error, Box::new(|s| s.dents.push(Dent { depth_mm: mm(-4.0), ..dent("third-branch") }))),
        ("dents.d.depth", Warning, Box::new(|s| s.dents.push(Dent { depth_mm: None, ..dent("third-branch") }))),
        ("dents.d.wall", Error, Box::new(|s| s.dents.push(Dent { wall_mm: mm(5.0), ..dent("third-branch") }))),
        ("dents.d.across", Error, Box::new(|s| s.dents.push(Dent { width_across_mm: mm(400.0), ..dent("third-branch") }))),
        ("dents.d.pushed_in_by", Error, Box::new(|s| s.dents.push(Dent { pushed_in_by: Some("no-brace".into()), ..dent("third-branch") }))),
        ("dents.d", Error, Box::new(|s| s.dents.extend([dent("third-branch"), dent("third-branch")]))),
        ("wishes.keep_shut", Error, Box::new(|s| s.wishes.keep_shut.push("no-joint".into()))),
    ];
    for (path, severity, spoil) in cases {
        let found = spoilt(spoil);
        assert!(has(&found, path, severity), "{path} {severity:?} not in {found:#?}");
    }
}

#[test]
fn a_mistyped_run_is_guessed() {
    let hint = |wanted: &str| {
        let mut survey = tuba();
        survey.dents.push(dent(wanted));
        problems(&survey).remove(0).hint
    };
    assert_eq!(hint("third-brnch").metric(), "did you mean third-branch?");
    assert!(hint("garland bow").metric().contains("small-bow"));
    assert!(hint("xyzzy").metric().starts_with("name one of the runs: receiver, leadpipe"));
}

proptest! {
    /// Whatever number a field of a whole instrument gets, nothing panics, and what is not finite is an error.
    #[test]
    fn no_number_in_an_instrument_panics(which in 0_usize..58, value in prop::num::f64::ANY, part in 0..4) {
        let mut survey = tuba();
        let runs = survey.instrument.runs.len();
        let r = &mut survey.instrument.runs[which % runs];
        let id = r.id.clone();
        match part {
            0 => r.bore_mm.points[0].value = value,
            1 => r.wall_mm.points[0].value = value,
            2 => r.temper.points[0].value = value,
            _ => r.bore_mm.points[0].at_mm = value,
        }
        survey.dents.push(Dent { at_mm: mm(value), ..dent(&id.0) });
        let found = problems(&survey);
        prop_assert!(value.is_finite() || found.iter().any(|p| p.severity == Severity::Error));
        let _ = survey.site(&survey.dents[0]);
        let _ = survey.instrument.air_path();
    }
}
