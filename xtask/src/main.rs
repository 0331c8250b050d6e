//! The errands of the day, so that nobody remembers flags: `cargo xtask test | pages | bench | licences | pictures`.

mod licences;
mod packages;
mod run;

use std::process::ExitCode;

const HELP: &str = "cargo xtask test      everything that must pass: format, lints, tests, doc tests, licences
cargo xtask pages     the pages in a real browser (not part of `test` yet)
cargo xtask bench     the timing benches (criterion)
cargo xtask licences  which licences the crates bring
cargo xtask pictures  makes docs/pictures anew from the demo";

/// Crates whose lints are gated: those seen clean. The aim is all of them, with all targets.
const LINTED: &[&str] = &["units", "metal", "instrument", "dent", "reach", "plan", "store", "xtask"];
/// Crates whose tests are gated: those seen to pass. The others have tests that nobody has seen pass
/// as they stand now; they are built, and join this list once they have been.
const TESTED: &[&str] = &["metal", "instrument", "dent", "plan", "store", "job"];

fn main() -> ExitCode {
    let errand = std::env::args().nth(1).unwrap_or_default();
    let done = match errand.as_str() {
        "test" => test(),
        "pages" => pages(),
        "bench" => run::cargo(&["bench", "--workspace"]),
        "licences" => licences::check(),
        "pictures" => pictures(),
        _ => {
            println!("{HELP}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("xtask {errand}: {what}");
            ExitCode::FAILURE
        }
    }
}

fn test() -> Result<(), String> {
    run::cargo(&["fmt", "--all", "--check"])?;
    let mut clippy = vec!["clippy", "--lib", "--bins", "--locked"];
    clippy.extend(LINTED.iter().flat_map(|c| ["-p", *c]));
    clippy.extend(["--", "-D", "warnings"]);
    run::cargo(&clippy)?;
    licences::check()?;
    let mut tests = vec!["test", "--locked"];
    tests.extend(TESTED.iter().flat_map(|c| ["-p", *c]));
    run::cargo(&tests)?;
    run::cargo(&["build", "--locked", "--package", "trueround"])
}

/// The pages in a real browser. Not part of `test` yet: not every one of these tests has been seen to pass.
fn pages() -> Result<(), String> {
    packages::have(&[("chromium", "chromium")])?;
    run::cargo(&["build", "--package", "trueround", "--locked"])?;
    browser("test")
}

fn pictures() -> Result<(), String> {
    packages::have(&[("chromium", "chromium"), ("pdftoppm", "poppler-utils")])?;
    run::cargo(&["build", "--package", "trueround", "--locked"])?;
    browser("pictures")
}

/// Runs a script of `tests/browser` (Node, playwright-core, axe-core), after installing its locked packages.
fn browser(script: &str) -> Result<(), String> {
    let dir = run::root().join("tests/browser");
    if !dir.join("package.json").exists() {
        return Ok(());
    }
    if !dir.join("node_modules").exists() {
        run::command("npm", &["ci", "--no-audit", "--no-fund"], &dir)?;
    }
    run::command("npm", &["run", "--silent", script], &dir)
}
