//! The fuzz targets (`tests/fuzz.rs` of four crates) for so many minutes each, two at a time: as many as the smallest machine has cores.

use crate::run;
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;

/// A crate's targets: their program, and the folder in which it runs.
struct Targets {
    program: String,
    folder: String,
}

/// Runs them.
pub fn check(minutes: f64) -> Result<(), String> {
    let told = run::linted_output(&["test", "--workspace", "--locked", "--test", "fuzz", "--no-run", "--message-format", "json"])?;
    let all: Vec<Targets> = told
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter(|m| m["target"]["name"] == "fuzz")
        .filter_map(|m| {
            let folder = Path::new(m["manifest_path"].as_str()?).parent()?.display().to_string();
            Some(Targets { program: m["executable"].as_str()?.to_owned(), folder })
        })
        .collect();
    if all.is_empty() {
        return Err("there are no fuzz targets".to_owned());
    }
    let waiting = Mutex::new(all);
    let next = || waiting.lock().map_or(None, |mut all| all.pop());
    let worker = || -> Result<(), String> {
        while let Some(targets) = next() {
            one(&targets, minutes)?;
        }
        Ok(())
    };
    std::thread::scope(|s| {
        let two = [s.spawn(worker), s.spawn(worker)];
        two.into_iter().try_for_each(|t| t.join().map_err(|_| "a fuzz worker panicked".to_owned())?)
    })
}

/// The targets of one crate, one after the other, in the time for all of them.
fn one(targets: &Targets, minutes: f64) -> Result<(), String> {
    let listed = run::output(&targets.program, &["--list"])?;
    let count = listed.lines().filter(|l| l.ends_with(": test")).count().max(1);
    let seconds = (60.0 * minutes / count as f64).to_string();
    let ran = Command::new(&targets.program)
        .args(["--nocapture", "--test-threads", "1"])
        .env("FUZZ_SECONDS", &seconds)
        .current_dir(&targets.folder)
        .output()
        .map_err(|e| format!("{}: {e}", targets.program))?;
    let said = String::from_utf8_lossy(&ran.stdout);
    for line in said.lines().filter(|l| l.contains(" inputs from ")) {
        println!("{line}");
    }
    if ran.status.success() { Ok(()) } else { Err(format!("{}\n{said}\n{}", targets.folder, String::from_utf8_lossy(&ran.stderr))) }
}
