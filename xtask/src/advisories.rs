//! Known holes in the crates that the build brings: the locked versions against the RustSec advisory database.

use crate::run;
use rustsec::advisory::Informational;
use rustsec::report::Settings;
use rustsec::{Database, Lockfile, Report};
use std::path::{Path, PathBuf};
use std::process::Command;

/// An advisory that is known and lived with until a day, and why.
struct Exception {
    id: &'static str,
    until: &'static str,
    why: &'static str,
}

/// What is lived with. Each is looked at again on its day, when the check fails.
const EXCEPTIONS: &[Exception] = &[
    lived_with("RUSTSEC-2024-0436", "paste comes with pulp; a macro at build time"),
    lived_with("RUSTSEC-2026-0206", "rustybuzz comes with usvg; it shapes the text of our own drawings in the shipped fonts"),
    lived_with("RUSTSEC-2026-0192", "ttf-parser comes with usvg; it reads the shipped fonts"),
];

/// Until the spring release of what reads drawings is looked at.
const fn lived_with(id: &'static str, why: &'static str) -> Exception {
    Exception { id, until: "2027-02-28", why }
}

/// The snapshot that lies beside the project on the machines that build it.
const SNAPSHOT: &str = "../shared/advisory-db.bundle";
/// Where the database is to be had where there is none.
const NETWORK: &str = "https://github.com/RustSec/advisory-db";

/// Every advisory about a locked crate that is no exception is an error, and so is an exception whose day has passed or that nothing
/// needs. Where the database is not to be had, it says so and goes on.
pub fn check() -> Result<(), String> {
    let root = run::root();
    let Some((folder, from)) = database(&root) else {
        println!("advisories: neither {SNAPSHOT} nor the network has the database; NOT CHECKED");
        return Ok(());
    };
    let database = Database::open(&folder).map_err(|e| format!("the advisory database cannot be read: {e}"))?;
    let lock = Lockfile::load(root.join("Cargo.lock")).map_err(|e| format!("Cargo.lock cannot be read: {e}"))?;
    let settings = Settings {
        informational_warnings: vec![Informational::Notice, Informational::Unmaintained, Informational::Unsound],
        ..Settings::default()
    };
    let report = Report::generate(&database, &lock, &settings);
    let mut found: Vec<(String, String)> = report
        .vulnerabilities
        .list
        .iter()
        .map(|v| (v.advisory.id.to_string(), format!("{} {}: {}", v.package.name, v.package.version, v.advisory.title)))
        .collect();
    for (kind, warnings) in &report.warnings {
        for w in warnings {
            let (id, title) = w
                .advisory
                .as_ref()
                .map_or_else(|| (format!("{kind:?}:{}", w.package.name), String::new()), |a| (a.id.to_string(), a.title.clone()));
            found.push((id, format!("{} {} ({kind:?}): {title}", w.package.name, w.package.version)));
        }
    }
    let problems = judged(&found, EXCEPTIONS, &today()?);
    println!("advisories: {} about the {} locked crates, {} lived with ({from})", found.len(), lock.packages.len(), EXCEPTIONS.len());
    if problems.is_empty() { Ok(()) } else { Err(format!("advisories:\n  {}", problems.join("\n  "))) }
}

/// What is wrong: advisories without an exception, exceptions past their day or without need.
fn judged(found: &[(String, String)], exceptions: &[Exception], today: &str) -> Vec<String> {
    let excused = |id: &str| exceptions.iter().any(|e| e.id == id);
    let mut problems: Vec<String> = found.iter().filter(|(id, _)| !excused(id)).map(|(id, words)| format!("{id}: {words}")).collect();
    for e in exceptions {
        if e.until < today {
            problems.push(format!("{}: lived with until {}, which has passed ({})", e.id, e.until, e.why));
        } else if found.iter().all(|(id, _)| id != e.id) {
            problems.push(format!("{}: nothing needs this exception any more; take it out", e.id));
        }
    }
    problems
}

/// The database in a folder, and where it came from.
fn database(root: &Path) -> Option<(PathBuf, &'static str)> {
    let folder = root.join("target/advisory-db");
    let clone = |from: &str, more: &[&str]| {
        let _ = std::fs::remove_dir_all(&folder);
        let status =
            Command::new("git").args(["clone", "--quiet"]).args(more).arg(from).arg(&folder).stderr(std::process::Stdio::null()).status();
        status.is_ok_and(|s| s.success()) && folder.join("crates").is_dir()
    };
    let snapshot = root.join(SNAPSHOT);
    if snapshot.exists() && clone(&snapshot.to_string_lossy(), &[]) {
        return Some((folder, "from the snapshot"));
    }
    clone(NETWORK, &["--depth", "1"]).then_some((folder, "from the network"))
}

fn today() -> Result<String, String> {
    Ok(jiff::Timestamp::now().to_string().chars().take(10).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_found_must_be_excused_and_excuses_end() {
        let found = [("RUSTSEC-1".to_owned(), "a 1.0".to_owned()), ("RUSTSEC-2".to_owned(), "b 1.0".to_owned())];
        let excuse = |id, until| Exception { id, until, why: "because" };
        let judge = |exceptions: &[Exception]| judged(&found, exceptions, "2026-11-26").len();
        assert_eq!(judge(&[]), 2);
        assert_eq!(judge(&[excuse("RUSTSEC-1", "2026-12-01")]), 1);
        assert_eq!(judge(&[excuse("RUSTSEC-1", "2026-12-01"), excuse("RUSTSEC-2", "2026-11-26")]), 0);
        assert_eq!(judge(&[excuse("RUSTSEC-1", "2026-12-01"), excuse("RUSTSEC-2", "2026-11-25")]), 1);
        assert_eq!(judge(&[excuse("RUSTSEC-1", "2026-12-01"), excuse("RUSTSEC-2", "2027-01-01"), excuse("RUSTSEC-3", "2027-01-01")]), 1);
    }
}
