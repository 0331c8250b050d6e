//! The main job through the binary: what it writes, what it says, and what it does with input that is wrong.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

fn trueround(args: &[&dyn AsRef<std::ffi::OsStr>]) -> Output {
    let mut c = Command::new(env!("CARGO_BIN_EXE_trueround"));
    for a in args {
        c.arg(a.as_ref());
    }
    c.output().unwrap()
}

fn printed(o: &Output) -> String {
    String::from_utf8_lossy(&o.stderr).into_owned()
}

#[test]
fn the_tubas_plan_is_written_whole() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("plan");
    let o = trueround(&[&"plan", &demo("ox-tuba.survey.toml"), &"--out", &out]);
    assert!(o.status.success(), "{}", printed(&o));
    let said = String::from_utf8(o.stdout).unwrap();
    for word in ["Playing condition", "Dents out", "Restored", "third valve", "N", "$"] {
        assert!(said.contains(word), "“{word}” is not in:\n{said}");
    }
    assert!(!said.contains('\u{1b}'), "colour where no terminal shows it");
    for pdf in ["bench-card.pdf", "quote.pdf"] {
        assert!(std::fs::read(out.join(pdf)).unwrap().starts_with(b"%PDF-"));
    }
    let bytes = std::fs::read(out.join("plan.json")).unwrap();
    // Each method tells how its force is led along the way, and why others are rejected: that is most of it. How hot the tubes get along
    // themselves is 11 kB, how it plays 10 kB.
    assert!(bytes.len() < 1_850_000, "plan.json has {} bytes", bytes.len());
    let json: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
    assert_eq!((json["plan_json_version"].as_u64(), json["level"].as_str()), (Some(3), Some("good")));
    // Every figure's reason stands in the table, and every known that it is made from.
    let reason = json["assessments"][0]["force_inside_n"]["reason"].as_u64().unwrap() as usize;
    let row = &json["reasons"][reason];
    assert!(json["formulas"][row["formula"].as_u64().unwrap() as usize].is_string());
    assert!(json["sources"][row["source"].as_u64().unwrap() as usize]["text"].is_string());
    for input in row["inputs"].as_array().unwrap() {
        assert!(json["knowns"][input[0].as_u64().unwrap() as usize]["name"].is_string(), "{input}");
    }
    assert!(json["plan"]["steps"].as_array().unwrap().len() > 40);
    // Each caution stands once, with its words and the steps that raise it; the terminal names it with the same steps.
    let cautions = json["cautions"].as_array().unwrap();
    assert!(said.contains("Cautions (steps): flame (") && cautions.len() > 8, "{said}");
    for c in cautions {
        let (key, numbers) = (c["caution"].as_str().unwrap(), c["steps"].as_array().unwrap());
        assert!(!numbers.is_empty() && c["text"].as_str().is_some_and(|t| t.ends_with('.')), "{c}");
        assert!(said.contains(&format!("{} (", c["name"].as_str().unwrap())), "{key} is not named:\n{said}");
        for step in json["plan"]["steps"].as_array().unwrap() {
            let beside = step["cautions"].as_array().unwrap().iter().any(|k| k == key);
            assert_eq!(beside, numbers.contains(&step["number"]), "{key}: {step}");
        }
    }
    let drawings: Vec<_> = std::fs::read_dir(out.join("drawings")).unwrap().collect();
    assert!(drawings.len() > 20);
    // Nothing else lies about: no work folder was left behind.
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn inches_are_shown_where_they_are_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    let o = trueround(&[&"plan", &demo("heron-trombone.survey.toml"), &"--out", &dir.path().join("p"), &"--units", &"in"]);
    assert!(o.status.success(), "{}", printed(&o));
    assert!(String::from_utf8(o.stdout).unwrap().contains(" in,"));
}

#[test]
fn what_a_decision_changes_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let case = demo("linnet-trumpet.survey.toml");
    let plan = |more: &[&str]| {
        let out = dir.path().join("p");
        let mut args: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"plan", &case, &"--out", &out];
        args.extend(more.iter().map(|m| m as &dyn AsRef<std::ffi::OsStr>));
        trueround(&args)
    };
    let free = String::from_utf8(plan(&[]).stdout).unwrap();
    assert!(free.contains("(proved)") && free.contains("Other plans") && !free.contains("your decisions"), "{free}");
    let o = plan(&["--leave", "d1", "--deadline", "8 h", "--no-flame", "all"]);
    let said = String::from_utf8(o.stdout).unwrap();
    assert!(said.contains("What your decisions change") && said.contains("dent d1:") && said.contains("→ not worked"), "{said}");
    let o = plan(&["--leave", "d99", "--work-by", "d1=magic", "--deadline", "soon", "--without", "rod-0"]);
    assert_eq!(o.status.code(), Some(2));
    for words in
        ["--leave d99: there is no dent", "d1, d2", "=magic", "straight-rod", "--deadline soon", "45 min", "--without rod-0", "To mend it"]
    {
        assert!(printed(&o).contains(words), "“{words}” is not in:\n{}", printed(&o));
    }
    // A folder that is a file is told before anything is worked out.
    let file = dir.path().join("file");
    std::fs::write(&file, "x").unwrap();
    let o = trueround(&[&"plan", &case, &"--out", &file]);
    assert_eq!(o.status.code(), Some(2));
    assert!(printed(&o).contains("this is a file"), "{}", printed(&o));
}

/// A bad survey: exit code 2, a message that holds every one of the words, and nothing written.
fn refused(text: &[u8], words: &[&str]) {
    let dir = tempfile::tempdir().unwrap();
    let case = dir.path().join("bad.survey.toml");
    std::fs::write(&case, text).unwrap();
    let out = dir.path().join("plan");
    for args in [vec!["plan"], vec!["check"]] {
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&args[0], &case];
        if args[0] == "plan" {
            all.push(&"--out");
            all.push(&out);
        }
        let o = trueround(&all);
        assert_eq!(o.status.code(), Some(2), "{args:?}: {}", printed(&o));
        for w in words {
            assert!(printed(&o).contains(w), "“{w}” is not in: {}", printed(&o));
        }
    }
    assert!(!out.exists());
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1, "something was written");
}

const HEAD: &str = "trueround_survey = 1\n[instrument]\npattern = \"trumpet\"\n";

#[test]
fn a_wrong_unit_is_told_with_its_line() {
    refused(format!("{HEAD}[[dent]]\nrun = \"leadpipe\"\ndepth = \"4 stone\"\n").as_bytes(), &["line 6", "depth", "4 stone", "mm"]);
    refused(format!("{HEAD}[[dent]]\nrun = \"leadpipe\"\ndepth = 4\n").as_bytes(), &["line 6", "depth", "unit"]);
}

#[test]
fn a_dent_outside_its_run_is_told_with_its_line() {
    refused(format!("{HEAD}[[dent]]\nrun = \"leadpipe\"\nat = \"3 m\"\ndepth = \"2 mm\"\n").as_bytes(), &["line 6", "leadpipe", "3000"]);
}

#[test]
fn a_run_that_meets_nothing_is_told_with_its_line() {
    refused(
        format!("{HEAD}[[run]]\nid = \"lost-tube\"\nlength = \"200 mm\"\nbore = \"12 mm\"\n").as_bytes(),
        &["line 5", "lost-tube", "meets nothing"],
    );
}

#[test]
fn a_bore_of_zero_and_nan_are_told_with_their_line() {
    refused(format!("{HEAD}[[run]]\nid = \"leadpipe\"\nbore = \"0 mm\"\n").as_bytes(), &["line 6", "bore"]);
    refused(format!("{HEAD}[[dent]]\nrun = \"leadpipe\"\ndepth = nan\n").as_bytes(), &["line 6", "depth"]);
}

#[test]
fn text_that_is_no_survey_is_refused() {
    refused(b"Dear shop, my horn is bent.\n", &["line 1"]);
    refused(b"", &["survey"]);
    refused(&[0xFF, 0xFE, 0x00, 0x41], &["UTF-8"]);
    refused(format!("{HEAD}[[dent]]\nrun = \"leadpipe\"\ndeepness = \"4 mm\"\n").as_bytes(), &["line 6", "deepness"]);
}

#[test]
fn a_file_of_50_mb_is_refused_before_it_is_read() {
    refused(&vec![b' '; 50_000_000], &["50"]);
}

#[test]
fn a_missing_file_is_told() {
    let o = trueround(&[&"check", &"no-such.survey.toml"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(printed(&o).contains("no-such.survey.toml"));
}

#[test]
fn a_pattern_can_be_planned_as_it_is_written() {
    let dir = tempfile::tempdir().unwrap();
    for name in ["trumpet", "tuba", "alto-horn", "sousaphone"] {
        let case = dir.path().join(format!("{name}.survey.toml"));
        let o = trueround(&[&"pattern", &name, &"--out", &case]);
        assert!(o.status.success(), "{}", printed(&o));
        let o = trueround(&[&"check", &case]);
        assert!(o.status.success(), "{name}: {}", printed(&o));
        // A file that is there is never written over.
        assert_eq!(trueround(&[&"pattern", &name, &"--out", &case]).status.code(), Some(2));
    }
    let o = trueround(&[&"pattern", &"kazoo"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(printed(&o).contains("euphonium"));
}

#[test]
fn help_and_completions_are_there() {
    let o = trueround(&[&"--help"]);
    assert!(String::from_utf8(o.stdout).unwrap().contains("pattern"));
    let o = trueround(&[&"completions", &"bash"]);
    assert!(String::from_utf8(o.stdout).unwrap().contains("trueround"));
}
