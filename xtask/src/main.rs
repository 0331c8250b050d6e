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
    run::cargo(&["clippy", "--workspace", "--all-targets", "--locked", "--", "-D", "warnings"])?;
    licences::check()?;
    run::cargo(&["test", "--workspace", "--locked"])
}

/// The pages in a real browser. Not part of `test` yet: not every one of these tests has been seen to pass.
fn pages() -> Result<(), String> {
    packages::have(&[("chromium", "chromium")])?;
    run::cargo(&["build", "--package", "trueround", "--locked"])?;
    browser("test")
}

/// The pictures of the README: every page of the shop, and the first pages of the demo's papers.
fn pictures() -> Result<(), String> {
    packages::have(&[("chromium", "chromium"), ("pdftoppm", "poppler-utils")])?;
    run::cargo(&["build", "--package", "trueround", "--locked"])?;
    browser("pictures")?;
    let root = run::root();
    let out = root.join("target/pictures");
    let out = out.to_string_lossy();
    run::cargo(&["run", "--quiet", "--package", "trueround", "--locked", "--", "plan", "demo/ox-tuba.survey.toml", "--out", &out])?;
    for (paper, page) in PAPERS {
        let pdf = format!("{out}/{paper}.pdf");
        let png = format!("docs/pictures/{paper}-{page}");
        run::command("pdftoppm", &["-r", "80", "-png", "-singlefile", "-f", page, "-l", page, &pdf, &png], &root)?;
    }
    Ok(())
}

/// Pages of the papers that are pictured.
const PAPERS: &[(&str, &str)] = &[("bench-card", "1"), ("bench-card", "14"), ("quote", "1")];

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
