//! The tasks of the day, so that nobody remembers flags: `cargo xtask test | pages | bench | fuzz | licences | advisories | pictures | mutants`.

mod advisories;
mod licences;
mod mutants;
mod packages;
mod run;
mod suites;

use std::process::ExitCode;

const HELP: &str = "cargo xtask test      everything that must pass: format, lints, licences, advisories, tests, doc tests, the pages in a real browser
cargo xtask pages     the pages in a real browser only
cargo xtask bench     the timing benches (criterion)
cargo xtask fuzz      whatever comes in, changed at random: [MINUTES] for each crate's targets (1)
cargo xtask licences  which licences the crates bring
cargo xtask advisories whether a crate that the build brings has a known hole
cargo xtask pictures  makes docs/pictures anew from the demo
cargo xtask mutants   changes the computing code bit by bit and sees whether the tests notice (hours):
                      [PACKAGE…] [--sample N] [--seed S] [--jobs N] [--minutes M] [--only TEXT] [--skip TEST] [--constants | --audited] [--list]";

fn main() -> ExitCode {
    let task = std::env::args().nth(1).unwrap_or_default();
    let done = match task.as_str() {
        "test" => test(),
        "pages" => pages(),
        "bench" => run::cargo(&["bench", "--workspace"]),
        "fuzz" => fuzz(std::env::args().nth(2).and_then(|m| m.parse().ok()).unwrap_or(1.0)),
        "licences" => licences::check(),
        "advisories" => advisories::check(),
        "pictures" => pictures(),
        "mutants" => mutants::check(&std::env::args().skip(2).collect::<Vec<_>>()),
        _ => {
            println!("{HELP}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("xtask {task}: {what}");
            ExitCode::FAILURE
        }
    }
}

/// The compiler that everything is built and tested with; written here because not every machine can fetch another.
const TOOLCHAIN: &str = "1.95.0";

/// Refuses another compiler: what passes here passes everywhere.
fn toolchain() -> Result<(), String> {
    let told = run::output("rustc", &["--version"])?;
    let here = told.split_whitespace().nth(1).unwrap_or_default();
    if here == TOOLCHAIN {
        return Ok(());
    }
    Err(format!(
        "the tests are for rustc {TOOLCHAIN} and this is {here}: `rustup toolchain install {TOOLCHAIN}`, then `cargo +{TOOLCHAIN} xtask test`"
    ))
}

fn test() -> Result<(), String> {
    toolchain()?;
    run::cargo(&["fmt", "--all", "--check"])?;
    // What the pages need comes over the network while the compiler is at work.
    let coming = std::thread::spawn(fetched);
    timed("licences and advisories", || licences::check().and_then(|()| advisories::check()))?;
    timed("build, linted", || run::linted(&["test", "--workspace", "--all-targets", "--locked", "--no-run"]))?;
    timed("test programs", || suites::run(suites::built()?, 1.0))?;
    timed("doc tests", || run::linted(&["test", "--workspace", "--locked", "--doc"]))?;
    timed("packages that were still on their way", || coming.join().unwrap_or_else(|_| Err("fetching packages fell over".to_owned())))?;
    timed("pages in the browser", pages)
}

/// What the pages' tests need of Debian's packages and npm's.
fn fetched() -> Result<(), String> {
    packages::have(PAGES_NEED)?;
    // The same engine without the browser's own windows takes two thirds of the processor time; where there is none, the browser.
    packages::have(&[("chromium-headless-shell", "chromium-headless-shell")]).or_else(|_| packages::have(&[CHROMIUM]))?;
    node_modules()
}

/// Programs that the pages' tests call, each with its Debian package.
const PAGES_NEED: &[(&str, &str)] = &[("openssl", "openssl"), ("pdftotext", "poppler-utils")];

/// The browser, for pictures and where its engine alone is not to be had.
const CHROMIUM: (&str, &str) = ("chromium", "chromium");

/// Says how long a part took.
fn timed(what: &str, part: impl FnOnce() -> Result<(), String>) -> Result<(), String> {
    let began = std::time::Instant::now();
    let done = part();
    println!("{:6.0} s  {what}", began.elapsed().as_secs_f64());
    done
}

/// The fuzz targets for so many minutes a crate.
fn fuzz(minutes: f64) -> Result<(), String> {
    suites::run(suites::built()?.into_iter().filter(suites::Suite::fuzzes).collect(), minutes)
}

/// The program as the tests build it: the same selection of crates, so that the libraries are not built once more.
fn build() -> Result<(), String> {
    run::linted(&["test", "--workspace", "--locked", "--no-run"])
}

/// The pages in a real browser.
fn pages() -> Result<(), String> {
    fetched()?;
    build()?;
    browser("test")
}

/// The pictures of the README: every page of the shop, and the first pages of the demo's papers.
fn pictures() -> Result<(), String> {
    packages::have(&[CHROMIUM, ("pdftoppm", "poppler-utils")])?;
    build()?;
    browser("pictures")?;
    let root = run::root();
    let out = root.join("target/pictures");
    let out = out.to_string_lossy();
    run::command(&run::binary("trueround"), &["plan", "demo/ox-tuba.survey.toml", "--reasons", "--out", &out], &root)?;
    run::command(&run::binary("trueround"), &["contract", "demo/pelham-ridge.contract.toml", "--out", &out], &root)?;
    for (paper, page, picture) in PAPERS {
        let (pdf, png) = (format!("{out}/{paper}.pdf"), format!("docs/pictures/{picture}"));
        run::command("pdftoppm", &["-r", "80", "-png", "-singlefile", "-f", page, "-l", page, &pdf, &png], &root)?;
    }
    Ok(())
}

/// Pages of the papers that are pictured, and the pictures' names.
const PAPERS: &[(&str, &str, &str)] = &[
    ("bench-card", "1", "bench-card-1"),
    ("bench-card", "5", "bench-card-setup"),
    ("quote", "1", "quote-1"),
    ("reasons", "1", "reasons-1"),
    ("report", "1", "contract-report-1"),
    ("work-list", "1", "work-list-1"),
];

/// Installs the locked packages of `tests/browser` (playwright-core, axe-core).
fn node_modules() -> Result<(), String> {
    let dir = run::root().join("tests/browser");
    if dir.join("node_modules").exists() {
        return Ok(());
    }
    run::command("npm", &["ci", "--no-audit", "--no-fund"], &dir)
}

/// Runs a script of `tests/browser` (Node).
fn browser(script: &str) -> Result<(), String> {
    node_modules()?;
    run::command("npm", &["run", "--silent", script], &run::root().join("tests/browser"))
}
