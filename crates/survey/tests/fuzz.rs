//! Whatever stands in a file, a form or what the record kept: reading it never panics and never hangs; what was read can be written,
//! and reads again as the same. `FUZZ_SECONDS` says how long it is tried, `cargo xtask fuzz` does so for an hour or a minute.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::demo::{ALL_CASES, read, text};
use fixtures::fuzz;
use instrument::Survey;
use instrument::fields::STATION;
use instrument::fields::dent as d;
use std::collections::BTreeMap;
use std::time::Duration;
use survey::damage::Form;
use survey::kept::{Kept, survey_from_json, survey_to_json};
use survey::parts::Part;
use survey::{read_rack, read_rack_csv, read_shop, read_survey, write_survey};
use units::LengthUnit;

/// What stands in files and forms beside their own words.
const WORDS: &[&[u8]] = &[
    b"3 3/16 in",
    b"1/2\"",
    b"12 mm",
    b"-0.1 mm",
    b"about 3 mm",
    b"2..4 mm",
    b"1e400 mm",
    b"0 mm",
    b"90 deg",
    b"7:30",
    b"$12.50",
    b"[[dent]]",
    b"[[run]]",
    b"[instrument]",
    b"pattern = \"tuba\"",
    b"true",
    b"[]",
    b"{}",
    b"\"\"",
    b"\"\"\"",
    b"null",
    b"\xff\xfe",
    b"\0",
    b"\r\n",
    b",,,,",
    b";",
    "½".as_bytes(),
    "µ".as_bytes(),
    "\u{202e}".as_bytes(),
    "−".as_bytes(),
    b"at = ",
    b"depth = ",
    b"id = ",
    b"2026-02-30",
];

pub(crate) fn files(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    if let Ok(read) = read_survey(&text) {
        whole(&read.survey);
    }
    let _ = read_rack(&text);
    let _ = read_rack_csv(&text);
    let _ = read_shop(&text);
}

fn whole(survey: &Survey) {
    let json = survey_to_json(survey).unwrap();
    let back = survey_from_json(&json).unwrap();
    assert_eq!(survey_to_json(&back).unwrap(), json, "what the record keeps is another survey");
    let written = write_survey(survey);
    if let Err(problems) = read_survey(&written) {
        panic!("what was written does not read: {problems:?}\n{written}");
    }
}

/// What the record kept, as an import or a restored backup brings it.
pub(crate) fn kept(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    if let Ok(survey) = survey_from_json(&text) {
        let _ = survey_to_json(&survey);
        let _ = write_survey(&survey);
    }
    if let Ok(kept) = Kept::from_json(&text) {
        let _ = kept.to_json();
        let _ = kept.shown(LengthUnit::Inch);
    }
}

/// A form of the tablet: "key = text" lines; and each text as a measure.
pub(crate) fn forms(survey: &Survey, input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    let fields: BTreeMap<String, _> =
        text.lines().filter_map(|l| l.split_once('=')).map(|(k, v)| (k.trim().to_owned(), v.trim().into())).collect();
    for (_, value) in text.lines().filter_map(|l| l.split_once('=')) {
        for unit in [None, Some(LengthUnit::Mm), Some(LengthUnit::Inch)] {
            let _ = units::length::parse_length_mm(value, unit);
        }
        let _ = units::measured::parse_measured_mm(value, &STATION);
        let _ = (
            units::angle::parse_angle_deg(value),
            units::duration::parse_minutes(value),
            units::force::parse_force_n(value),
            units::money::parse_money(value),
        );
    }
    let form = Form(fields);
    for unit in [LengthUnit::Mm, LengthUnit::Inch] {
        let (kept, _) = form.dent_in(unit, "d1", survey, None);
        if let Some(kept) = kept {
            let json = kept.to_json().unwrap();
            assert_eq!(Kept::from_json(&json).unwrap().to_json().unwrap(), json);
            // Opened and saved unchanged it is the same dent.
            let (again, _) = kept.shown(unit).dent_in(unit, "d1", survey, Some(&kept));
            assert_eq!(again.unwrap().dent, kept.dent, "{}", text);
        }
        let _ = form.condition_in(unit, "c1", &survey.instrument, None);
        // One part each time: to write and read a whole survey is slow in a build for tests.
        let parts = parts(survey);
        if let (Some(next), _) = parts[input.len() % parts.len()].changed(survey, &form, unit) {
            whole(&next);
        }
    }
}

fn parts(survey: &Survey) -> Vec<Part> {
    let i = &survey.instrument;
    let mut all = vec![Part::Whole];
    all.extend(i.runs.iter().map(|r| Part::Run(r.id.clone())));
    all.extend(i.joints.iter().map(|j| Part::Joint(j.id.clone())));
    all.extend(i.overlays.iter().map(|o| Part::Overlay(o.id.clone())));
    all.extend(i.fits.iter().map(|f| Part::Fit(f.id.clone())));
    all
}

#[test]
fn every_file() {
    let mut corpus: Vec<Vec<u8>> = ALL_CASES.iter().map(|c| text(&format!("{c}.survey.toml")).into_bytes()).collect();
    corpus.extend(["rack.toml", "rack.csv", "shop.toml"].map(|f| text(f).into_bytes()));
    corpus.push(b"trueround_survey = 1\n[instrument]\npattern = \"bugle\"\n[[dent]]\nid = \"d1\"\nrun = \"bell-stem\"\nat = \"50 mm\"\ndepth = \"2 mm\"\n".to_vec());
    fuzz::run("files", &corpus, WORDS, Duration::from_secs(20), files);
}

#[test]
fn everything_that_the_record_kept() {
    let corpus: Vec<Vec<u8>> = ALL_CASES
        .iter()
        .flat_map(|c| {
            let survey = read(c);
            let mut all: Vec<Vec<u8>> = survey.dents.iter().take(3).map(|d| Kept::from_dent(d).to_json().unwrap().into_bytes()).collect();
            all.push(survey_to_json(&survey).unwrap().into_bytes());
            all
        })
        .collect();
    fuzz::run("kept", &corpus, WORDS, Duration::from_secs(20), kept);
}

#[test]
fn every_form_of_the_tablet() {
    let survey = read("linnet-trumpet");
    let lines = |form: Form| form.0.iter().map(|(k, v)| format!("{k} = {}\n", v.text())).collect::<String>().into_bytes();
    let mut corpus: Vec<Vec<u8>> = survey.dents.iter().map(|d| lines(Kept::from_dent(d).shown(LengthUnit::Mm))).collect();
    corpus.extend(parts(&survey).iter().filter_map(|p| p.shown(&survey, LengthUnit::Inch)).map(lines));
    corpus.push(d::FIELDS.iter().map(|f| format!("{} = 1\n", f.key)).collect::<String>().into_bytes());
    fuzz::run("forms", &corpus, WORDS, Duration::from_secs(20), |input| forms(&survey, input));
}
