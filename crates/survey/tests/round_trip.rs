//! What is written reads back as the same survey.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test's helpers fail the test")]

mod common;

use common::any_dent;
use instrument::patterns::pattern;
use instrument::{Condition, ConditionKind, Dent, Interpolation, Kind, Survey, Wishes, Work, patterns};
use proptest::prelude::*;
use survey::{pattern_file_named, read_survey, write_survey};
use units::{Known, Origin, ThreePoint, Unit};

fn survey(kind: Kind) -> Survey {
    let mut instrument = pattern(kind).unwrap();
    for fit in &mut instrument.fits {
        fit.clearance_mm = fit.clearance_mm.take().map(|k| k.named("clearance"));
    }
    Survey {
        title: "a title with \"quotes\" and ümlauts".to_owned(),
        surveyor: "Wren Okafor".to_owned(),
        date: "2026-06-01".to_owned(),
        cleaned: Some(false),
        ..Survey::of(instrument)
    }
}

fn again(survey: &Survey) -> Survey {
    let text = write_survey(survey);
    match read_survey(&text) {
        Ok(read) => read.survey,
        Err(problems) => panic!("{}\n{text}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

#[test]
fn every_pattern_comes_back() {
    for kind in patterns::KINDS {
        let survey = survey(kind);
        assert_eq!(again(&survey), survey, "{kind:?}");
    }
}

#[test]
fn what_is_seldom_said_comes_back_too() {
    let mut survey = survey(Kind::Tuba);
    let i = &mut survey.instrument;
    i.value_money = Some(3800.5);
    i.joints[2].open_minutes = Some(ThreePoint::new(1.0 / 3.0, 5.0, 9.0));
    i.joints[2].close_minutes = Some(ThreePoint::new(1.0, 2.0, 3.0));
    i.overlays[0].off_minutes = Some(ThreePoint::new(1.0, 2.0, 3.0));
    i.overlays[0].back_minutes = Some(ThreePoint::new(0.1, 0.2, 0.3));
    i.overlays[0].filler = None;
    i.runs[3].temper.between = Interpolation::Monotone;
    i.runs[3].wall_mm.between = Interpolation::Monotone;
    i.runs[3].may_be_beryllium = true;
    survey.wishes = Wishes { keep_finish: true, keep_shut: vec![i.joints[0].id.clone()], keep_on: vec![i.overlays[0].id.clone()] };
    survey.conditions = vec![Condition {
        from_mm: Some(10.0),
        to_mm: Some(33.3),
        clock_deg: Some((350.0, 10.123)),
        through: Some(true),
        wall_left_mm: Some(Known::new("wall left", 0.2, 0.03, Unit::Mm, Origin::Assumed)),
        note: "pink\nand soft".to_owned(),
        ..Condition::new("rot", ConditionKind::RedRot).on(i.runs[1].id.clone())
    }];
    survey.work = vec![
        Work { note: "sticks in \"cold\" rooms".to_owned(), ..Work::new("w1", "clean_inside") },
        Work {
            count: 3,
            run: Some(survey.instrument.runs[1].id.clone()),
            joint: Some(survey.instrument.joints[0].id.clone()),
            optional: true,
            ..Work::new("w2", "fit_valve")
        },
    ];
    assert_eq!(again(&survey), survey);
}

/// Within the tenth of a millimetre to which a pattern file is written.
#[test]
fn a_pattern_file_says_what_the_pattern_says() {
    for (name, pattern) in patterns::all() {
        let text = pattern_file_named(name).unwrap();
        let read = read_survey(&text).unwrap_or_else(|p| panic!("{name}: {}\n{text}", p[0]));
        let i = &read.survey.instrument;
        assert_eq!((i.runs.len(), &i.joints, &i.overlays), (pattern.runs.len(), &pattern.joints, &pattern.overlays), "{name}");
        for (a, b) in i.runs.iter().zip(&pattern.runs) {
            assert_eq!((&a.id, &a.name, a.role, a.alloy, a.finish), (&b.id, &b.name, b.role, b.alloy, b.finish));
            assert!((a.length_mm() - b.length_mm()).abs() < 0.4, "{name}: {}", a.id);
            for part in [0.0, 0.3, 0.7, 1.0] {
                let (at_a, at_b) = (part * a.length_mm(), part * b.length_mm());
                for (k, l) in
                    [(a.bore_at(at_a), b.bore_at(at_b)), (a.wall_at(at_a), b.wall_at(at_b)), (a.temper_at(at_a), b.temper_at(at_b))]
                {
                    assert!(
                        (k.value - l.value).abs() < 0.01 + 0.002 * l.value && (k.sd - l.sd).abs() < 0.01,
                        "{name}: {} {k:?} {l:?}",
                        a.id
                    );
                    assert_eq!(k.origin, l.origin);
                }
            }
        }
        assert!(text.lines().all(|l| l.chars().count() < 200), "{name}: a line is too long");
        assert!(!text.contains("{ value ="), "{name}: a value is spelt out where a person reads");
    }
    assert_eq!(pattern_file_named("kazoo"), None);
    // What no pattern describes is still to be described, and the reader says so.
    assert!(read_survey(&pattern_file_named("other").unwrap()).unwrap_err()[0].what.metric().contains("no run of tube"));
}

/// Random figures of one dent, without those that cannot stand together: a profile outwards, or deeper than the dent; a width that is
/// less than the depth.
fn not_contradicting(mut dent: Dent) -> Dent {
    let mut deepest = 0.0_f64;
    for p in dent.profile_along.iter_mut().chain(&mut dent.profile_across) {
        p.depth_mm = p.depth_mm.abs();
        deepest = deepest.max(p.depth_mm);
    }
    let narrowest = [&dent.width_along_mm, &dent.width_across_mm].into_iter().flatten().map(|w| w.value).fold(f64::INFINITY, f64::min);
    dent.depth_mm = dent.depth_mm.filter(|k| k.value >= deepest && k.value <= narrowest);
    dent.wall_mm = dent.wall_mm.filter(|k| (0.05..=4.0).contains(&k.value));
    dent
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_dent_comes_back(dent in any_dent(|values| values.boxed(), "first-branch")) {
        let mut survey = survey(Kind::Tuba);
        survey.dents = vec![not_contradicting(dent)];
        prop_assert_eq!(again(&survey), survey);
    }
}
