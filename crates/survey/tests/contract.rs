//! Contracts from their files: the demo's, the templates, and everything wrong at once.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use contract::{Skill, Standing};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use survey::contract::{InFile, templates};
use survey::{ContractRead, read_contract};

fn read(files: &BTreeMap<&str, String>) -> Result<ContractRead, Vec<InFile>> {
    let open = |name: &str| files.get(name).cloned().ok_or_else(|| format!("there is no file {name}"));
    read_contract("contract.toml", &files["contract.toml"], &open)
}

fn small() -> BTreeMap<&'static str, String> {
    let mut files: BTreeMap<&str, String> = templates().into_iter().collect();
    files.get_mut("instruments.csv").unwrap().push_str(
        "T-1,trumpet,Tessaly,Wagtail,17,North,high,yes,$600,,2026-07-31,,\nT-2,tuba,,,,South,,,,no,,tuning slide,bent by a stair\n",
    );
    files
        .get_mut("dents.csv")
        .unwrap()
        .push_str("T-1,leadpipe,2.5,3 o'clock,0.05,0.5,0.3,,,,\nT-1,bell flare,100 mm,6 o'clock,2 mm,12 mm,10 mm,across,along,4 mm,\n");
    files
}

fn demo(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../demo/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

#[test]
fn the_demo_s_district_is_read_whole() {
    let open = |name: &str| Ok(demo(name));
    let r = read_contract("pelham-ridge.contract.toml", &demo("pelham-ridge.contract.toml"), &open).unwrap();
    assert_eq!((r.surveys.len(), r.contract.horns.len(), r.contract.benches.len()), (214, 214, 3));
    assert_eq!(r.warnings, []);
    assert!(r.surveys.iter().map(|s| s.dents.len()).sum::<usize>() > 300);
    assert!(r.contract.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).count() > 40);
    assert_eq!(r.contract.benches[2].pace, 1.6);
    // Other work as a school asks for it: what sticks, cleaning, felts; all of the shop's list, some of it on instruments without a dent.
    let asked = r.surveys.iter().filter(|s| !s.work.is_empty());
    assert_eq!((asked.clone().count(), asked.filter(|s| !s.has_damage()).count()), (63, 13));
    assert!(r.unknown_work(&survey::read_shop(&demo("shop.toml")).0.standards.jobs).is_empty());
    // July 13 to August 14, 2026, Monday to Friday: 25 days (calendar); Ottilie is away for five of them.
    assert_eq!((r.contract.benches[0].days.len(), r.contract.benches[1].days.len()), (20, 25));
}

#[test]
fn the_templates_with_two_rows_are_a_contract() {
    let r = read(&small()).unwrap();
    let (one, two) = (&r.contract.horns[0], &r.contract.horns[1]);
    assert_eq!((one.priority, one.must, one.worth, one.wanted.as_deref()), (3, true, Some(Decimal::from(600)), Some("2026-07-31")));
    assert_eq!((two.priority, two.must, r.plays[1]), (2, false, Some(false)));
    let dents = &r.surveys[0].dents;
    // 2.5 in is 63.5 mm, 0.05 in 1.27 mm (closed form: 25.4 mm an inch).
    assert!(
        (dents[0].at_mm.as_ref().unwrap().value - 63.5).abs() < 1e-9 && (dents[0].depth_mm.as_ref().unwrap().value - 1.27).abs() < 1e-9
    );
    assert!(dents[1].crease.is_some() && (dents[1].crack.as_ref().unwrap().length_mm.as_ref().unwrap().value - 4.0).abs() < 1e-9);
    assert!(r.surveys[1].instrument.fits.iter().any(|f| f.state == Some(instrument::FitState::Stuck)));
    assert_eq!(r.contract.budget, Decimal::from(24_000));
    // June 8 to August 14, 2026: 50 weekdays (calendar), less June 19, July 3 and five days off.
    assert_eq!(r.contract.benches[0].days.len(), 43);
    assert_eq!(r.contract.benches[0].skills.len(), Skill::ALL.len());
}

/// What is told, with its file, row and column.
fn told(all: &[InFile]) -> Vec<(String, Option<usize>, String)> {
    all.iter().map(|p| (p.file.clone(), p.problem.line, p.problem.field.clone())).collect()
}

#[test]
fn everything_wrong_is_told_at_once_and_nothing_is_taken() {
    let mut files = small();
    let at = |files: &BTreeMap<&str, String>, name: &str| files[name].lines().count();
    let toml = files["contract.toml"].replace("\"$24,000\"", "\"much\"").replace("hours = \"6 h\"", "hours = \"long\"");
    files.insert("contract.toml", toml);
    files.get_mut("instruments.csv").unwrap().push_str("T-2,trumpett,,,,North,soon,maybe,,,31.7.,,\n");
    files.get_mut("dents.csv").unwrap().push_str("T-9,leadpipe,1,3 o'clock,0.1,0.5,0.3,,,,\nT-1,ledpipe,1,noon,0.1,0.5,0.3,sideways,,,\n");
    let (i, d) = (at(&files, "instruments.csv"), at(&files, "dents.csv"));
    let wrong = read(&files).unwrap_err();
    let told = told(&wrong);
    for (file, line, field) in [
        ("instruments.csv", i, "tag"),
        ("instruments.csv", i, "pattern"),
        ("instruments.csv", i, "priority"),
        ("instruments.csv", i, "must"),
        ("instruments.csv", i, "wanted"),
        ("dents.csv", d - 1, "tag"),
        ("dents.csv", d, "where"),
        ("dents.csv", d, "crease"),
    ] {
        assert!(told.contains(&(file.to_owned(), Some(line), field.to_owned())), "{file} {line} {field} is not in {told:#?}");
    }
    assert!(told.iter().any(|t| t.0 == "contract.toml" && t.2 == "budget"), "{told:#?}");
    assert!(told.iter().any(|t| t.0 == "contract.toml" && t.2.ends_with("hours")), "{told:#?}");
    assert!(wrong.iter().all(|p| !p.problem.hint.metric().is_empty()));
}

/// Other work stands in the instruments' table by the shop's keys; what the shop's list does not have is told row by row.
#[test]
fn other_work_is_read_and_what_no_list_has_is_told() {
    let mut files = small();
    files.get_mut("instruments.csv").unwrap().push_str(
        "T-3,trumpet,,,,North,,,,,,,,clean_inside; 3 valve felts\nT-4,cornet,,,,North,,,,,,,,time_valvs;gild\nT-5,cornet,,,,North,,,,,,,,90 valve_felts\n",
    );
    let line = files["instruments.csv"].lines().count();
    assert_eq!(told(&read(&files).unwrap_err()), [("instruments.csv".to_owned(), Some(line), "work".to_owned())]);
    let without = files["instruments.csv"].replace("90 valve_felts", "");
    files.insert("instruments.csv", without);
    let r = read(&files).unwrap();
    let asked = |n: usize| r.surveys[n].work.iter().map(|w| (w.id.0.as_str(), w.job.as_str(), w.count)).collect::<Vec<_>>();
    assert_eq!(asked(2), [("w1", "clean_inside", 1), ("w2", "valve_felts", 3)]);
    assert_eq!(asked(0), []);
    let list = plan::standard_job::common_practice();
    let unknown = r.unknown_work(&list);
    assert_eq!(told(&unknown), [line - 1, line - 1].map(|l| ("instruments.csv".to_owned(), Some(l), "work".to_owned())));
    assert!(unknown[0].problem.hint.metric().contains("time_valves") && unknown[1].problem.what.metric().contains("gild"));
}

/// A misspelled pattern is one mistake: its instrument's dents and marks are not refused for it. What is wrong with them besides is told.
#[test]
fn a_misspelled_pattern_is_told_once_and_its_dents_by_what_is_wrong_with_them() {
    let mut files = small();
    let toml = files["contract.toml"].replace("# done =", "done =");
    files.insert("contract.toml", toml);
    files.get_mut("instruments.csv").unwrap().push_str("T-3,trumpett,,,,North,,,,,,,\nT-4,xyzzy,,,,North,,,,,,,\n");
    files.get_mut("dents.csv").unwrap().push_str(
        "T-3,leadpipe,2.5,3 o'clock,0.05,0.5,0.3,,,,\nT-3,no such tube,2.5,3 o'clock,deep,0.5,0.3,,,,\nT-4,leadpipe,2.5,3 o'clock,0.05,0.5,0.3,,,,\n",
    );
    files.get_mut("done.csv").unwrap().push_str("T-3,done,play,bench 1,40 min\n");
    let (i, d) = (files["instruments.csv"].lines().count(), files["dents.csv"].lines().count());
    let is = |file: &str, line: usize, field: &str| (file.to_owned(), Some(line), field.to_owned());
    assert_eq!(
        told(&read(&files).unwrap_err()),
        [is("instruments.csv", i - 1, "pattern"), is("instruments.csv", i, "pattern"), is("dents.csv", d - 1, "depth")]
    );
}

#[test]
fn a_column_that_is_not_there_and_a_file_that_is_not_there_are_told() {
    let mut files = small();
    let head = files["dents.csv"].replace("tag,where", "tag,were");
    files.insert("dents.csv", head);
    files.remove("instruments.csv");
    let told = told(&read(&files).unwrap_err());
    assert!(told.iter().any(|t| t.0 == "contract.toml" && t.2 == "instruments"), "{told:?}");
    assert!(
        told.iter().any(|t| t.0 == "dents.csv" && t.2 == "were") && told.iter().any(|t| t.0 == "dents.csv" && t.2 == "where"),
        "{told:?}"
    );
}
