//! Do the tests notice? Changes the code of the crates that compute, one change at a time, and runs the tests of the crate
//! that was changed. Outside CI: hours on two cores.
//!
//! Two kinds of change: those of cargo-mutants (functions that return something else, operators turned round), and every
//! numeric constant halved, which cargo-mutants leaves alone. Survivors that have a reason stand in `docs/mutants.md`.

use crate::run;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A crate whose changes are tried, and its files (none: all of them).
struct Part {
    package: &'static str,
    files: &'static [&'static str],
}

const PARTS: &[Part] = &[
    Part { package: "metal", files: &[] },
    Part { package: "dent", files: &[] },
    Part {
        package: "reach",
        files: &[
            "drive_force",
            "rod_strength",
            "straight_rod",
            "rolling",
            "hammering",
            "magnet",
            "pull_outside",
            "mandrel",
            "practice",
            "strokes",
            "rub",
            "burnishing",
            "expander",
            "draw_ring",
            "filled",
            "raising",
        ],
    },
    Part { package: "plan", files: &["heat", "heats", "flame", "torch", "price", "assembly"] },
];

/// Files that hold figures only; the program that makes them is what is tested.
const TABLES: &[&str] = &["force_table_data.rs"];

/// The least part of the viable changes that the tests must notice.
const LEAST: f64 = 0.85;

/// `cargo xtask mutants [PACKAGE…] [--shard K/N] [--constants]`.
pub fn check(words: &[String]) -> Result<(), String> {
    let shard = words.iter().position(|w| w == "--shard").and_then(|i| words.get(i + 1)).cloned();
    let only_constants = words.iter().any(|w| w == "--constants");
    let named: Vec<&str> = words.iter().map(String::as_str).filter(|w| !w.starts_with("--") && Some(*w) != shard.as_deref()).collect();
    let mut tally: BTreeMap<&str, Tally> = BTreeMap::new();
    for part in PARTS.iter().filter(|p| named.is_empty() || named.contains(&p.package)) {
        let entry = tally.entry(part.package).or_default();
        if !only_constants {
            by_cargo_mutants(part, shard.as_deref(), entry)?;
        }
        constants(part, shard.as_deref(), entry)?;
    }
    report(&tally)
}

/// What became of the changes.
#[derive(Default)]
struct Tally {
    caught: usize,
    /// Neither: the tests did not end in their time, which a change can bring about, or a busy machine.
    timeouts: usize,
    unviable: usize,
    missed: Vec<String>,
}

impl Tally {
    fn share(&self) -> f64 {
        let viable = self.caught + self.missed.len();
        if viable == 0 { 1.0 } else { self.caught as f64 / viable as f64 }
    }
}

fn report(tally: &BTreeMap<&str, Tally>) -> Result<(), String> {
    let known = fs::read_to_string(run::root().join("docs/mutants.md")).unwrap_or_default();
    let (mut caught, mut missed, mut unexplained) = (0, 0, Vec::new());
    println!("crate      caught  missed  not viable  out of time  share");
    for (package, t) in tally {
        println!("{package:<10} {:>6} {:>7} {:>11} {:>12} {:>5.1} %", t.caught, t.missed.len(), t.unviable, t.timeouts, 100.0 * t.share());
        caught += t.caught;
        missed += t.missed.len();
        unexplained.extend(t.missed.iter().filter(|m| !known.contains(&without_place(m))));
    }
    for m in &unexplained {
        println!("missed, and not in docs/mutants.md: {m}");
    }
    let share = if caught + missed == 0 { 1.0 } else { caught as f64 / (caught + missed) as f64 };
    println!("all: {:.1} % of {} viable changes noticed", 100.0 * share, caught + missed);
    if share >= LEAST { Ok(()) } else { Err(format!("under {:.0} %", 100.0 * LEAST)) }
}

/// A change without its line and column, which move: `file: what`.
fn without_place(mutant: &str) -> String {
    let mut parts = mutant.splitn(4, ':');
    match (parts.next(), parts.next(), parts.next(), parts.next()) {
        (Some(file), Some(_), Some(_), Some(what)) => format!("{file}:{what}"),
        _ => mutant.to_owned(),
    }
}

fn source(part: &Part) -> PathBuf {
    run::root().join("crates").join(part.package).join("src")
}

fn wanted(part: &Part, file: &Path) -> bool {
    let stem = file.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
    let name = file.file_name().and_then(|s| s.to_str()).unwrap_or_default();
    !TABLES.contains(&name) && (part.files.is_empty() || part.files.contains(&stem))
}

fn files_below(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(files_below(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn by_cargo_mutants(part: &Part, shard: Option<&str>, tally: &mut Tally) -> Result<(), String> {
    let root = run::root();
    let out = root.join("target/mutants").join(part.package);
    let _ = fs::remove_dir_all(out.join("mutants.out"));
    fs::create_dir_all(&out).map_err(|e| format!("{}: {e}", out.display()))?;
    let mut command = Command::new("cargo");
    command.current_dir(&root).args(["mutants", "--package", part.package, "--jobs", "2", "--no-times", "--colors", "never"]);
    command.arg("--output").arg(&out).args(["--profile", "mutants", "--timeout-multiplier", "5", "--minimum-test-timeout", "180"]);
    for file in files_below(&source(part)).iter().filter(|f| wanted(part, f)) {
        if let Ok(file) = file.strip_prefix(&root) {
            command.arg("--file").arg(file);
        }
    }
    if let Some(shard) = shard {
        command.args(["--shard", shard]);
    }
    // Exit code 2 says that some were missed, 3 that some ran out of time: both are in the outcomes.
    let status = command.status().map_err(|e| format!("cargo mutants did not start ({e}); `cargo install cargo-mutants --locked`"))?;
    if !matches!(status.code(), Some(0 | 2 | 3)) {
        return Err(format!("cargo mutants ended with {status}"));
    }
    let path = out.join("mutants.out/outcomes.json");
    let text = fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let all: Value = serde_json::from_str(&text).map_err(|e| format!("{}: {e}", path.display()))?;
    for outcome in all["outcomes"].as_array().into_iter().flatten() {
        let name = outcome["scenario"]["Mutant"]["name"].as_str().unwrap_or_default();
        match outcome["summary"].as_str() {
            Some("CaughtMutant") => tally.caught += 1,
            Some("Timeout") => tally.timeouts += 1,
            Some("MissedMutant") => tally.missed.push(name.to_owned()),
            Some("Unviable") => tally.unviable += 1,
            _ => {}
        }
    }
    Ok(())
}

/// Halves each numeric constant of a part, one after the other, in a copy of the tree.
fn constants(part: &Part, shard: Option<&str>, tally: &mut Tally) -> Result<(), String> {
    let root = run::root();
    let tree = root.join("target/mutants/tree");
    copy_tree(&root, &tree)?;
    let mut all = Vec::new();
    for file in files_below(&source(part)).into_iter().filter(|f| wanted(part, f)) {
        let text = fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        let file = file.strip_prefix(&root).map_err(|e| e.to_string())?.to_path_buf();
        for (number, line) in text.lines().enumerate() {
            // What follows `mod tests` tests; its constants are its own.
            if line.starts_with("mod tests") {
                break;
            }
            if let Some(halved) = halved(line) {
                all.push((file.clone(), number, halved, line.trim().to_owned()));
            }
        }
    }
    let (k, n) = shard.and_then(|s| s.split_once('/')).and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?))).unwrap_or((0, 1));
    for (file, number, halved, line) in all.into_iter().skip(k).step_by(n) {
        let place = tree.join(&file);
        let text = fs::read_to_string(&place).map_err(|e| format!("{}: {e}", place.display()))?;
        let mut lines: Vec<&str> = text.lines().collect();
        lines[number] = &halved;
        fs::write(&place, lines.join("\n") + "\n").map_err(|e| e.to_string())?;
        let built = test(&tree, part.package, true)?;
        let passed = built && test(&tree, part.package, false)?;
        fs::write(&place, &text).map_err(|e| e.to_string())?;
        let what = format!("{}:{}:1: halve `{line}`", file.display(), number + 1);
        println!(
            "{} {what}",
            if !built {
                "not viable"
            } else if passed {
                "MISSED"
            } else {
                "caught"
            }
        );
        match (built, passed) {
            (false, _) => tally.unviable += 1,
            (true, true) => tally.missed.push(what),
            (true, false) => tally.caught += 1,
        }
    }
    Ok(())
}

fn test(tree: &Path, package: &str, only_build: bool) -> Result<bool, String> {
    let mut command = Command::new("cargo");
    command.current_dir(tree).args(["test", "--quiet", "--package", package, "--profile", "mutants", "--lib", "--tests"]);
    if only_build {
        command.arg("--no-run");
    }
    command.env("CARGO_TARGET_DIR", tree.join("target")).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().map(|s| s.success()).map_err(|e| format!("cargo did not start: {e}"))
}

/// The line of a numeric constant with half its value; none where the line is no such thing.
fn halved(line: &str) -> Option<String> {
    let (head, rest) = line.split_once("const ")?;
    let (name, rest) = rest.split_once(':')?;
    let (kind, rest) = rest.split_once('=')?;
    let (value, tail) = rest.split_once(';')?;
    let kind = kind.trim();
    let plain: String = value.trim().chars().filter(|c| *c != '_').collect();
    let half = match kind {
        "f64" => format!("{:?}", 0.5 * plain.parse::<f64>().ok().filter(|v| *v != 0.0)?),
        "usize" | "u32" | "u64" => (plain.parse::<u64>().ok().filter(|v| *v > 1)? / 2).to_string(),
        _ => return None,
    };
    Some(format!("{head}const {name}: {kind} = {half};{tail}"))
}

/// The tree without what git does not keep; files that are the same are left as they are, so that little is built anew.
fn copy_tree(from: &Path, to: &Path) -> Result<(), String> {
    let listed = Command::new("git").current_dir(from).args(["ls-files", "-z"]).output().map_err(|e| format!("git: {e}"))?;
    for name in String::from_utf8_lossy(&listed.stdout).split('\0').filter(|n| !n.is_empty()) {
        let (a, b) = (from.join(name), to.join(name));
        let Ok(new) = fs::read(&a) else { continue };
        if fs::read(&b).is_ok_and(|old| old == new) {
            continue;
        }
        if let Some(dir) = b.parent() {
            fs::create_dir_all(dir).map_err(|e| format!("{}: {e}", dir.display()))?;
        }
        fs::write(&b, new).map_err(|e| format!("{}: {e}", b.display()))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_constant_is_halved_and_nothing_else_is() {
        assert_eq!(halved("const A_N: f64 = 1_000.0; // why").as_deref(), Some("const A_N: f64 = 500.0; // why"));
        assert_eq!(halved("    pub const TURNS: usize = 9;").as_deref(), Some("    pub const TURNS: usize = 4;"));
        assert_eq!(halved("const ZERO: f64 = 0.0;"), None);
        assert_eq!(halved("const B: (f64, f64) = (1.0, 2.0);"), None);
        assert_eq!(halved("let a = 2.0;"), None);
    }

    #[test]
    fn a_place_is_taken_out_of_a_name() {
        assert_eq!(without_place("crates/x/src/a.rs:12:5: replace + with -"), "crates/x/src/a.rs: replace + with -");
    }
}
