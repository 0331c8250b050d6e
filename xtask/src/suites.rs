//! The test programs, two more at a time than the machine has cores: cargo runs them one after the other, and those that wait (timeouts,
//! kills, a browser's server) or use one core leave the other idle.

use crate::run;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::time::Instant;

/// Programs that last longest, the longest first: begun first, so that no core is idle at the end. Others come after those that are fuzzed,
/// which last a minute each and use one core.
const LONG: [&str; 10] = [
    "web/pages",
    "trueround/attack",
    "job/remembered",
    "report/report",
    "job/decisions",
    "report/voice",
    "job/promises",
    "report/papers",
    "fem/published",
    "job/what_if",
];

/// A test program: the name of its crate and its own, the program, the folder in which it runs.
pub struct Suite {
    pub name: String,
    program: PathBuf,
    folder: PathBuf,
}

impl Suite {
    /// Whether whatever comes in is changed at random in it.
    pub fn fuzzes(&self) -> bool {
        self.name.ends_with("/fuzz")
    }
}

/// The test programs of the workspace: built where they do not stand yet, with the lints.
pub fn built() -> Result<Vec<Suite>, String> {
    let told = run::linted_output(&["test", "--workspace", "--locked", "--no-run", "--message-format", "json"])?;
    let all: Vec<Suite> = told
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter(|m| m["profile"]["test"] == true)
        .filter_map(|m| {
            let folder = Path::new(m["manifest_path"].as_str()?).parent()?.to_path_buf();
            let own = m["target"]["name"].as_str()?;
            let name = format!("{}/{own}", folder.file_name()?.to_string_lossy());
            Some(Suite { name, program: m["executable"].as_str()?.into(), folder })
        })
        .collect();
    if all.is_empty() {
        return Err("cargo names no test programs".to_owned());
    }
    match LONG.iter().find(|long| all.iter().all(|s| s.name != **long)) {
        Some(gone) => Err(format!("there is no test program {gone} any more: xtask/src/suites.rs names it among the long ones")),
        None => Ok(all),
    }
}

/// Runs them all, the fuzz targets for so many minutes a program; one that fails is told whole, and the others go on.
pub fn run(all: Vec<Suite>, minutes: f64) -> Result<(), String> {
    let count = all.len();
    let began = Instant::now();
    // Taken from the end.
    let mut waiting = all;
    waiting.sort_by_key(|s| std::cmp::Reverse(turn(s)));
    let (waiting, failed) = (Mutex::new(waiting), Mutex::new(Vec::new()));
    let next = || waiting.lock().map_or(None, |mut w| w.pop());
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) + 2 {
            scope.spawn(|| {
                while let Some(suite) = next() {
                    if let Err(why) = one(&suite, minutes) {
                        println!("FAILED {}: {why}", suite.name);
                        if let Ok(mut f) = failed.lock() {
                            f.push(suite.name);
                        }
                    }
                }
            });
        }
    });
    let failed = failed.into_inner().unwrap_or_else(|_| vec!["a thread of this task".to_owned()]);
    println!("{count} test programs in {:.0} s", began.elapsed().as_secs_f64());
    if failed.is_empty() { Ok(()) } else { Err(format!("failed: {}", failed.join(", "))) }
}

/// When a program's turn comes.
fn turn(suite: &Suite) -> usize {
    LONG.iter().position(|long| *long == suite.name).unwrap_or(if suite.fuzzes() { LONG.len() } else { LONG.len() + 1 })
}

/// One program, with the folder and the names that cargo gives it.
fn one(suite: &Suite, minutes: f64) -> Result<(), String> {
    let began = Instant::now();
    let mut program = Command::new(&suite.program);
    program.current_dir(&suite.folder).env("CARGO_MANIFEST_DIR", &suite.folder);
    if suite.fuzzes() {
        let listed = Command::new(&suite.program).arg("--list").current_dir(&suite.folder).output().map_err(|e| e.to_string())?;
        let targets = String::from_utf8_lossy(&listed.stdout).lines().filter(|l| l.ends_with(": test")).count().max(1);
        program.args(["--nocapture", "--test-threads", "1"]).env("FUZZ_SECONDS", (60.0 * minutes / targets as f64).to_string());
    }
    let ran = program.output().map_err(|e| format!("{}: {e}", suite.program.display()))?;
    let said = String::from_utf8_lossy(&ran.stdout);
    if !ran.status.success() {
        return Err(format!("{}\n{said}\n{}", ran.status, String::from_utf8_lossy(&ran.stderr)));
    }
    let count = said.lines().find(|l| l.starts_with("test result:")).and_then(|l| l.split_whitespace().nth(3)).unwrap_or("0");
    println!("{:6.1} s  {}: {count} passed", began.elapsed().as_secs_f64(), suite.name);
    for line in said.lines().filter(|l| suite.fuzzes() && l.contains(" inputs from ")) {
        println!("          {line}");
    }
    Ok(())
}
