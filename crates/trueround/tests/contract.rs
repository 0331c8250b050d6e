//! `trueround contract`, from the outside: from the tables to the papers.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use contract::bare::Problem;
use std::path::Path;
use std::process::{Command, Output};

fn run(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_trueround")).arg("contract").args(args).current_dir(folder).output().unwrap()
}

fn said(o: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&o.stdout), String::from_utf8_lossy(&o.stderr))
}

fn append(folder: &Path, name: &str, rows: &str) {
    let path = folder.join(name);
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(path, text + rows).unwrap();
}

/// The templates, filled in with eight horns.
fn filled(folder: &Path) {
    let o = run(folder, &["--template", "c"]);
    assert!(o.status.success(), "{}", said(&o));
    let c = folder.join("c");
    let again = run(folder, &["--template", "c"]);
    assert_eq!(again.status.code(), Some(2), "a file that is there is not written over");
    for n in 1..=8 {
        let pattern = if n % 3 == 0 { "trombone" } else { "trumpet" };
        let must = if n < 3 { "yes" } else { "" };
        append(&c, "instruments.csv", &format!("H-{n},{pattern},Tessaly,Wagtail,{n},North,,{must},$700,,,,\n"));
        append(&c, "dents.csv", &format!("H-{n},bell flare,5,{n} o'clock,0.12,0.6,0.5,,,,\n"));
        let tube = if n % 3 == 0 { "tuning slide crook" } else { "leadpipe" };
        append(&c, "dents.csv", &format!("H-{n},{tube},2,3 o'clock,0.09,0.4,0.3,,,,\n"));
    }
    let toml = std::fs::read_to_string(c.join("contract.toml")).unwrap();
    std::fs::write(c.join("contract.toml"), toml.replace("$24,000", "$900")).unwrap();
}

#[test]
fn from_tables_to_papers_and_a_plan_made_again() {
    let dir = tempfile::tempdir().unwrap();
    filled(dir.path());
    let o = run(dir.path(), &["c/contract.toml", "--out", "out", "--seconds", "30"]);
    assert!(o.status.success(), "{}", said(&o));
    let out = dir.path().join("out");
    let bytes = |name: &str| std::fs::read(out.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert!(bytes("report.pdf").starts_with(b"%PDF") && bytes("work-list.pdf").starts_with(b"%PDF"));
    let problem: Problem = serde_json::from_slice(&bytes("problem.json")).unwrap();
    assert_eq!(problem.wrong(), Vec::<String>::new());
    let answer = problem.answer.clone().unwrap();
    assert!(problem.holds(&answer.chosen) && answer.bound >= answer.value && answer.value > 0.0);
    assert!(answer.chosen.len() < 8, "the budget is short");
    // Every must is chosen, or plays as it is.
    assert!(problem.instruments.iter().filter(|i| i.must).all(|i| answer.chosen.contains_key(&i.id)));
    let whole: serde_json::Value = serde_json::from_slice(&bytes("contract.json")).unwrap();
    assert!(whole["plan"]["likelihood"].as_f64().unwrap() >= 0.8);
    let list = String::from_utf8(bytes("work-list.csv")).unwrap();
    assert!(answer.chosen.keys().all(|tag| list.contains(tag)));
    let calendar = String::from_utf8(bytes("calendar.ics")).unwrap();
    let uids: Vec<&str> = calendar.lines().filter(|l| l.starts_with("UID:")).collect();
    assert!(calendar.starts_with("BEGIN:VCALENDAR") && !uids.is_empty());
    assert_eq!(uids.iter().collect::<std::collections::BTreeSet<_>>().len(), uids.len(), "each event has its own name");
    // RFC 5545, 3.1: lines of 75 octets at most, ended by CR LF.
    assert!(calendar.split_terminator("\r\n").all(|l| l.len() <= 75 && !l.contains('\n')));

    // One is done, the budget grows: the difference is told, and what is done is left alone.
    let (tag, (level, bench)) = answer.chosen.iter().next().unwrap();
    let c = dir.path().join("c");
    append(&c, "done.csv", &format!("{tag},done,{level},{bench},2 h\n"));
    let toml = std::fs::read_to_string(c.join("contract.toml")).unwrap();
    std::fs::write(c.join("contract.toml"), toml.replace("# done =", "done =").replace("$900", "$1,500")).unwrap();
    let o = run(dir.path(), &["c/contract.toml", "--out", "again", "--before", "out/contract.json"]);
    assert!(o.status.success(), "{}", said(&o));
    assert!(said(&o).contains("1 instruments are done or begun") && said(&o).contains("left →"), "{}", said(&o));
    let again: Problem = serde_json::from_slice(&std::fs::read(dir.path().join("again/problem.json")).unwrap()).unwrap();
    assert!(again.instruments.iter().all(|i| i.id != *tag) && again.answer.unwrap().chosen.len() > answer.chosen.len() - 1);
}

/// A tool that was made for a horn that is done is spent, although no record holds what it cost: terminal, report and contract.json say so.
#[test]
fn a_tool_made_for_what_is_done_is_spent() {
    let dir = tempfile::tempdir().unwrap();
    filled(dir.path());
    let c = dir.path().join("c");
    // A rack of one rod: nothing on it reaches into a leadpipe.
    let rack = include_str!("../../../demo/rack.toml").split("[[tool]]").take(2).collect::<Vec<_>>().join("[[tool]]");
    std::fs::write(dir.path().join("rack.toml"), rack).unwrap();
    let plan = |out: &str| {
        let o = run(dir.path(), &["c/contract.toml", "--out", out, "--seconds", "30", "--rack", "rack.toml"]);
        assert!(o.status.success(), "{}", said(&o));
        let whole: serde_json::Value = serde_json::from_slice(&std::fs::read(dir.path().join(out).join("contract.json")).unwrap()).unwrap();
        (said(&o), whole)
    };
    let (_, before) = plan("before");
    let money = |v: &serde_json::Value| v.as_str().unwrap().parse::<rust_decimal::Decimal>().unwrap();
    let horns = before["contract"]["horns"].as_array().unwrap();
    let (horn, offer) = horns
        .iter()
        .find_map(|h| h["offers"].as_array().unwrap().iter().find(|o| !o["tools"].as_array().unwrap().is_empty()).map(|o| (h, o)))
        .unwrap();
    let needed = offer["tools"].as_array().unwrap();
    let tools = before["contract"]["tools"].as_array().unwrap().iter();
    let cost: rust_decimal::Decimal = tools.filter(|t| needed.contains(&t["id"])).map(|t| money(&t["cost"])).sum();
    assert!(cost > rust_decimal::Decimal::ZERO);
    let (tag, level) = (horn["tag"].as_str().unwrap(), offer["level"].as_str().unwrap().to_lowercase());
    append(&c, "done.csv", &format!("{tag},done,{level},bench 1,2 h\n"));
    let toml = std::fs::read_to_string(c.join("contract.toml")).unwrap();
    std::fs::write(c.join("contract.toml"), toml.replace("# done =", "done =")).unwrap();
    let (told, after) = plan("after");
    assert_eq!(money(&after["contract"]["tools_paid"]), cost);
    assert_eq!(money(&after["plan"]["spent"]), cost + money(&offer["cost"]));
    assert!(told.contains(&format!("for what is done, of that {} for tools;", units::money::show_whole(cost, "$"))), "{told}");
}

#[test]
fn three_mistakes_are_told_together_and_nothing_is_written() {
    let dir = tempfile::tempdir().unwrap();
    filled(dir.path());
    let c = dir.path().join("c");
    append(&c, "instruments.csv", "H-9,trumpett,,,,North,,,,,,,\n");
    append(&c, "dents.csv", "H-77,leadpipe,2,3 o'clock,0.09,0.4,0.3,,,,\nH-1,leadpipe,2,3 o'clock,deep,0.4,0.3,,,,\n");
    let o = run(dir.path(), &["c/contract.toml", "--out", "out"]);
    assert_eq!(o.status.code(), Some(2));
    for words in ["instruments.csv: line", "did you mean “trumpet”", "dents.csv: line", "H-77", "deep", "3 things to mend"] {
        assert!(said(&o).contains(words), "{words} is not in {}", said(&o));
    }
    assert!(!dir.path().join("out").exists());
}

#[test]
fn musts_that_do_not_fit_are_told() {
    let dir = tempfile::tempdir().unwrap();
    filled(dir.path());
    let c = dir.path().join("c");
    let toml = std::fs::read_to_string(c.join("contract.toml")).unwrap();
    std::fs::write(c.join("contract.toml"), toml.replace("$900", "$40").replace("minimum = \"play\"", "minimum = \"good\"")).unwrap();
    let o = run(dir.path(), &["c/contract.toml", "--out", "out"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(said(&o).contains("do not fit") && said(&o).contains("It would fit with a budget of"), "{}", said(&o));
}
