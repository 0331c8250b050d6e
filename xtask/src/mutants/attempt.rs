//! One change tried: made in a copy of the tree, built, and held to the tests of its crate.

use super::list::{self, Change};
use crate::run;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What became of a change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// A test of the crate failed.
    Caught,
    /// All passed.
    Missed,
    /// It does not compile.
    Unviable,
    /// The tests did not end in their time.
    OutOfTime,
}

impl Outcome {
    /// As a line of the log says it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Caught => "caught",
            Self::Missed => "MISSED",
            Self::Unviable => "not viable",
            Self::OutOfTime => "out of time",
        }
    }
}

/// So many times as long as the tests of the unchanged crate took, and no less than this: the machine may be busy.
const TIMES: u32 = 8;
const LEAST_TIME: Duration = Duration::from_secs(90);

/// A tree with its own builds, for the changes of one crate.
pub struct Bench {
    tree: PathBuf,
    package: &'static str,
    skip: Vec<String>,
    most: Duration,
}

impl Bench {
    /// Copies the tree, builds it and runs the tests of the unchanged crate, which must pass.
    pub fn new(package: &'static str, number: usize, skip: &[String]) -> Result<Self, String> {
        let tree = run::root().join(format!("target/mutants/{package}-{number}"));
        copy_tree(&run::root(), &tree)?;
        let mut bench = Self { tree, package, skip: skip.to_vec(), most: Duration::from_secs(1800) };
        let begun = Instant::now();
        for which in BOTH {
            let tests = bench.built(which)?.ok_or_else(|| format!("{package} does not build unchanged"))?;
            if bench.run(&tests, begun)? != Outcome::Missed {
                return Err(format!("a test of {package} fails unchanged: what is caught would say nothing"));
            }
        }
        let begun = Instant::now();
        for which in BOTH {
            bench.run(&bench.built(which)?.unwrap_or_default(), begun)?;
        }
        bench.most = (TIMES * begun.elapsed()).max(LEAST_TIME);
        Ok(bench)
    }

    /// Makes a change, sees what the tests say, and takes it back.
    pub fn attempt(&self, change: &Change) -> Result<Outcome, String> {
        let place = self.tree.join(&change.file);
        let text = fs::read_to_string(&place).map_err(|e| format!("{}: {e}", place.display()))?;
        let changed = change.made_in(&text).ok_or_else(|| format!("no such place: {}", change.name))?;
        fs::write(&place, changed).map_err(|e| format!("{}: {e}", place.display()))?;
        let outcome = self.outcome();
        fs::write(&place, text).map_err(|e| format!("{}: {e}", place.display()))?;
        outcome
    }

    /// The tests beside the code first: what they notice needs no further building.
    fn outcome(&self) -> Result<Outcome, String> {
        for which in BOTH {
            let Some(tests) = self.built(which)? else { return Ok(Outcome::Unviable) };
            let outcome = self.run(&tests, Instant::now())?;
            if outcome != Outcome::Missed {
                return Ok(outcome);
            }
        }
        Ok(Outcome::Missed)
    }

    /// Builds the crate's tests and gives their programs; none where the crate does not build.
    fn built(&self, which: Which) -> Result<Option<Vec<PathBuf>>, String> {
        // Not by its name: another crate may be called the same.
        let manifest = format!("crates/{}/Cargo.toml", self.package);
        let said = Command::new("cargo")
            .current_dir(&self.tree)
            .args([
                "test",
                "--quiet",
                "--offline",
                "--manifest-path",
                &manifest,
                "--profile",
                "mutants",
                "--no-run",
                "--message-format",
                "json",
            ])
            .args(which)
            .env("CARGO_TARGET_DIR", self.tree.join("target"))
            .stderr(Stdio::null())
            .output()
            .map_err(|e| format!("cargo did not start: {e}"))?;
        if !said.status.success() {
            return Ok(None);
        }
        let text = String::from_utf8_lossy(&said.stdout);
        let lines = text.lines().filter_map(|l| serde_json::from_str::<Value>(l).ok());
        Ok(Some(lines.filter_map(|l| l["executable"].as_str().map(PathBuf::from)).collect()))
    }

    /// Runs test programs until one fails.
    fn run(&self, tests: &[PathBuf], begun: Instant) -> Result<Outcome, String> {
        let home = self.tree.join("crates").join(self.package);
        for test in tests {
            let mut command = Command::new(test);
            command.current_dir(&home).env("CARGO_MANIFEST_DIR", &home).stdout(Stdio::null()).stderr(Stdio::null());
            for name in &self.skip {
                command.args(["--skip", name]);
            }
            // Always the same cases, and no file of failures that would make a later change's tests others.
            command.env("PROPTEST_RNG_SEED", "1").env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1");
            let mut child = command.spawn().map_err(|e| format!("{}: {e}", test.display()))?;
            loop {
                match child.try_wait().map_err(|e| format!("{}: {e}", test.display()))? {
                    Some(status) if status.success() => break,
                    Some(_) => return Ok(Outcome::Caught),
                    None if begun.elapsed() > self.most => {
                        // It may have ended in between; what it said then comes too late.
                        let _ = child.kill();
                        let _ = child.wait();
                        return Ok(Outcome::OutOfTime);
                    }
                    None => std::thread::sleep(Duration::from_millis(20)),
                }
            }
        }
        Ok(Outcome::Missed)
    }
}

/// Which tests cargo builds.
type Which = &'static [&'static str];

/// Those beside the code, then those in the crate's `tests`.
const BOTH: [Which; 2] = [&["--lib"], &["--test", "*"]];

/// The tree without what git does not keep; files that are the same are left as they are, so that little is built anew, and
/// what is no longer there goes.
fn copy_tree(from: &Path, to: &Path) -> Result<(), String> {
    let listed = Command::new("git").current_dir(from).args(["ls-files", "-z"]).output().map_err(|e| format!("git: {e}"))?;
    let listed = String::from_utf8_lossy(&listed.stdout).into_owned();
    for name in listed.split('\0').filter(|n| !n.is_empty()) {
        let (a, b) = (from.join(name), to.join(name));
        let Ok(new) = fs::read(&a) else {
            let _ = fs::remove_file(&b);
            continue;
        };
        if fs::read(&b).is_ok_and(|old| old == new) {
            continue;
        }
        if let Some(dir) = b.parent() {
            fs::create_dir_all(dir).map_err(|e| format!("{}: {e}", dir.display()))?;
        }
        fs::write(&b, new).map_err(|e| format!("{}: {e}", b.display()))?;
    }
    // A module that was moved would be there twice.
    for old in list::files_below(&to.join("crates")).into_iter().filter(|f| f.strip_prefix(to).is_ok_and(|f| !from.join(f).exists())) {
        fs::remove_file(&old).map_err(|e| format!("{}: {e}", old.display()))?;
    }
    Ok(())
}
