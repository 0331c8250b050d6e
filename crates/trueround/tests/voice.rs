//! How the terminal speaks (shared voice sheet): what the commands print, their help and what they say to what is wrong, in both systems of
//! units; see `fixtures::voice`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::demo;
use fixtures::voice::{self, Matter, Reader};
use std::ffi::OsString;
use std::path::Path;
use std::process::Command;
use units::LengthUnit;

/// What a command prints: to whom it goes on, and to whom it complains.
fn printed(folder: &Path, args: &[&str]) -> String {
    let args: Vec<OsString> = args.iter().map(OsString::from).collect();
    let o = Command::new(env!("CARGO_BIN_EXE_trueround")).args(&args).current_dir(folder).output().unwrap();
    format!("{}\n{}", String::from_utf8_lossy(&o.stdout), String::from_utf8_lossy(&o.stderr))
}

/// Lines that a terminal broke belong together: a paragraph's second line begins with the same blanks.
fn paragraphs(text: &str) -> String {
    let mut out = String::new();
    let indent = |l: &str| l.len() - l.trim_start().len();
    let mut last = usize::MAX;
    for line in text.lines() {
        let goes_on = !line.trim().is_empty() && last == indent(line) && last >= 10;
        out.push(if goes_on { ' ' } else { '\n' });
        out.push_str(line.trim());
        last = if line.trim().is_empty() { usize::MAX } else { indent(line) };
    }
    out
}

#[test]
fn the_plan_is_told_in_the_units_that_were_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut faults = Vec::new();
    for name in ["ox-tuba", "linnet-trumpet", "heron-trombone", "leadpipe-red-rot"] {
        let survey = demo::read(name);
        let (rack, _) = demo::rack_and_shop();
        let mut theirs: Vec<String> = rack.tools.into_iter().flat_map(|t| [t.name, t.place, t.condition]).collect();
        theirs.push(survey.title);
        let case = demo::path(&format!("{name}.survey.toml"));
        for (units, unit) in [("mm", LengthUnit::Mm), ("in", LengthUnit::Inch)] {
            let out = folder.path().join(format!("{name}-{units}"));
            let said = printed(folder.path(), &["plan", case.to_str().unwrap(), "--out", out.to_str().unwrap(), "--units", units]);
            assert!(said.contains("Offers"), "{said}");
            voice::keep(&format!("console-{name}-{units}"), &said);
            faults.extend(Reader::new(unit, theirs.clone()).faults(&format!("plan {name} {units}"), &said, Matter::Said));
        }
    }
    voice::none(faults);
}

#[test]
fn the_other_commands_speak_so_too() {
    let folder = tempfile::tempdir().unwrap();
    let (at, data) = (folder.path(), folder.path().join("shop"));
    let data = data.to_str().unwrap();
    store::Store::open(Path::new(data)).unwrap();
    let tuba = demo::path("ox-tuba.survey.toml");
    let tuba = tuba.to_str().unwrap();
    let text = demo::text("linnet-trumpet.survey.toml");
    let bad = |name: &str, from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        std::fs::write(at.join(name), text.replacen(from, to, 1)).unwrap();
    };
    bad("unknown.survey.toml", "[[dent]]", "[[dent]]\ndistance = \"4 mm\"");
    bad("unit.survey.toml", "depth = ", "depth = \"4 stone\" # ");
    std::fs::write(at.join("torn.survey.toml"), "trueround_survey = [").unwrap();
    let calls: &[&[&str]] = &[
        &["check", tuba],
        &["check", "unknown.survey.toml"],
        &["check", "unit.survey.toml"],
        &["check", "torn.survey.toml"],
        &["check", "nowhere.survey.toml"],
        &["pattern", "trumpet", "--out", "t.survey.toml"],
        &["pattern", "kazoo"],
        &[
            "plan",
            tuba,
            "--out",
            "p",
            "--leave",
            "d99",
            "--work-by",
            "d1=magic",
            "--deadline",
            "soon",
            "--without",
            "rod-0",
            "--keep-on",
            "x",
        ],
        &["plan", tuba, "--out", "p", "--keep-shut", "x", "--no-flame", "x", "--take-off", "x", "--anneal", "x"],
        &["doctor", "--data", data],
        &["doctor", "--data", "nowhere"],
        &["backup", "--data", data, "b.zip", "--plain"],
        &["restore", "b.zip", "--data", "again"],
        &["restore", "b.zip", "--data", data],
        &["export", "--data", data, "out"],
        &["import", "out", "--data", "third"],
        &["customer", "export", "7", "--data", data, "--to", "seven"],
        &["password", "nobody", "--data", data],
    ];
    let mut all = String::new();
    for call in calls {
        all.push_str(&format!("\n$ trueround {}\n\n{}", call.join(" "), printed(at, call)));
    }
    for name in [
        "", "plan", "check", "pattern", "serve", "demo", "doctor", "backup", "restore", "export", "import", "customer", "password",
        "schema",
    ] {
        let call: Vec<&str> = [name, "--help"].into_iter().filter(|w| !w.is_empty()).collect();
        let help = printed(at, &call);
        assert!(help.contains("Usage"), "{help}");
        all.push_str(&format!("\n$ trueround {}\n\n{}", call.join(" "), paragraphs(&help)));
    }
    let all = all.replace(at.to_str().unwrap(), "FOLDER");
    voice::keep("console-others", &all);
    // The help of `--units` names both systems, and what a unit that is none is answered with, too.
    let both = |l: &&str| ["mm, ", "--units", "or in millimeters"].iter().any(|both| l.contains(both));
    let lines: Vec<&str> = all.lines().filter(|l| !both(l)).collect();
    voice::none(Reader::new(LengthUnit::Mm, []).faults("command", &lines.join("\n"), Matter::Said));
}
