//! `trueround sound`, from the outside.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::path::Path;
use std::process::{Command, Output};

fn sound(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_trueround")).arg("sound").args(args).output().unwrap()
}

fn read(dir: &Path, name: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(dir.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    text.lines().map(|l| l.split(',').map(str::to_owned).collect()).collect()
}

fn data(name: &str) -> String {
    format!("{}/../acoustics/tests/data/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// The trumpet's measured peaks (see acoustics/tests/bores.rs) come out of the command within 1 %.
#[test]
fn a_bore_s_impedance_and_resonances() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("new/folder");
    let done = sound(&["--bore", &data("trumpet.csv"), "--out", out.to_str().unwrap()]);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let z = read(&out, "impedance.csv");
    assert_eq!(z[0], ["hz", "re", "im"]);
    assert_eq!(z.len(), 3982);
    assert!(z[1..].iter().flatten().all(|v| v.parse::<f64>().is_ok_and(f64::is_finite)));
    let r = read(&out, "resonances.csv");
    assert_eq!(r[0], ["mode", "hz", "magnitude", "q"]);
    for (row, measured) in r[1..].iter().zip([83.5, 234.2, 353.1, 469.1, 591.9, 702.7, 812.5]) {
        let hz: f64 = row[1].parse().unwrap();
        assert!((hz / measured - 1.0).abs() < 0.01, "{row:?} for {measured}");
    }
    assert!(std::fs::read_to_string(out.join("impedance.svg")).unwrap().contains("<svg"));
}

/// Every option reaches the sums: each moves the resonances as they are written.
#[test]
fn every_option_counts() {
    let dir = tempfile::tempdir().unwrap();
    let written = |more: &[&str]| -> String {
        let out = dir.path().join("out");
        let bore = data("trombone.csv");
        let mut args = vec!["--bore", &bore, "--out", out.to_str().unwrap()];
        args.extend(more);
        let done = sound(&args);
        assert!(done.status.success(), "{more:?}: {}", String::from_utf8_lossy(&done.stderr));
        std::fs::read_to_string(out.join("resonances.csv")).unwrap()
    };
    let plain = written(&[]);
    for more in [
        ["--temperature-c", "25"],
        ["--humidity-percent", "90"],
        ["--losses", "none"],
        ["--losses", "fast"],
        ["--radiation", "flanged"],
        ["--waves", "spherical"],
        ["--mouthpiece", "trombone"],
    ] {
        assert_ne!(written(&more), plain, "{more:?}");
    }
    assert_eq!(written(&["--mouthpiece", "none"]), plain);
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    let dir = tempfile::tempdir().unwrap();
    let bad = dir.path().join("bad.csv");
    std::fs::write(&bad, "station_mm,diameter_mm\n0,10\n20,ten\n").unwrap();
    let out = dir.path().join("out");
    let told = |args: &[&str]| {
        let done = sound(args);
        assert_eq!(done.status.code(), Some(2), "{args:?}");
        String::from_utf8_lossy(&done.stderr).into_owned()
    };
    let (bad, to) = (bad.to_str().unwrap(), out.to_str().unwrap());
    let said = told(&["--bore", bad, "--out", to]);
    assert!(said.contains("line 3") && said.contains("To mend it"), "{said}");
    assert!(told(&["--bore", &data("trumpet.csv"), "--out", to, "--mouthpiece", "kazoo"]).contains("kazoo"));
    assert!(told(&["--bore", &data("trumpet.csv"), "--out", to, "--to-hz", "5"]).contains("To mend it"));
    assert!(told(&["--bore", &data("trumpet.csv"), "--out", to, "--temperature-c", "300"]).contains("°C"));
    assert!(!out.exists(), "something was written");
}

#[test]
fn a_survey_s_dents_in_cents() {
    let dir = tempfile::tempdir().unwrap();
    let survey = fixtures::demo::path("linnet-trumpet.survey.toml");
    let done = sound(&[survey.to_str().unwrap(), "--out", dir.path().to_str().unwrap()]);
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(said.contains("d6 (second-valve-casing): on a valve") && said.contains("Assumed") && said.contains("mouthpiece"), "{said}");
    let dents = read(dir.path(), "dents.csv");
    assert_eq!(dents[0], ["dent", "valves", "mode", "note", "cents", "cents_low", "cents_high", "apart"]);
    assert!(dents.iter().any(|r| r[0] == "d1" && r[3] == "G4"));
    let notes = read(dir.path(), "notes.csv");
    assert!(notes.iter().any(|r| r[0] == "first and third valves"), "{notes:?}");
    for name in ["impedance.csv", "resonances.csv", "impedance.svg", "cents.svg"] {
        assert!(dir.path().join(name).exists(), "{name}");
    }
}

/// A double horn with a dent on each side: each is met where it lies, its rows say on which side, and every row has as many fields as
/// the head.
#[test]
fn a_double_horn_s_two_sides() {
    let dir = tempfile::tempdir().unwrap();
    let (survey, out) = (dir.path().join("horn.survey.toml"), dir.path().join("out"));
    let pattern =
        Command::new(env!("CARGO_BIN_EXE_trueround")).args(["pattern", "horn", "--out", survey.to_str().unwrap()]).output().unwrap();
    assert!(pattern.status.success(), "{}", String::from_utf8_lossy(&pattern.stderr));
    let mut text = std::fs::read_to_string(&survey).unwrap();
    assert!(text.contains("F tuning slide") && !text.contains(" f tuning slide"), "the F side is spoken of as F");
    for (id, run) in [("d1", "f-tube"), ("d2", "third-to-rear-change-knuckle")] {
        text.push_str(&format!(
            "\n[[dent]]\nid = \"{id}\"\nrun = \"{run}\"\nat = \"30 mm\"\nclock = \"12:00\"\ndepth = \"2 mm\"\nalong = \"14 mm\"\nacross = \"10 mm\"\n"
        ));
    }
    std::fs::write(&survey, text).unwrap();
    let done = sound(&[survey.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    for name in ["dents.csv", "notes.csv"] {
        let rows = read(&out, name);
        assert!(rows.len() > 90 && rows.iter().all(|r| r.len() == rows[0].len()), "{name}");
    }
    let rows = read(&out, "dents.csv");
    let on_f = |id: &str| rows.iter().filter(|r| r[0] == id).map(|r| r[1].contains("F side")).collect::<Vec<_>>();
    assert!(on_f("d1").len() >= 7 && on_f("d1").iter().all(|f| *f));
    assert!(on_f("d2").len() >= 7 && on_f("d2").iter().all(|f| !f));
}
