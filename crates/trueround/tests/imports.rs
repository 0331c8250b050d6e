//! The direction of imports, and who may know what: read from the crates' own manifests.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use std::collections::BTreeMap;
use std::path::Path;

/// The crates in the order of knowledge: each may know those before it.
const ORDER: [&str; 17] = [
    "units",
    "metal",
    "instrument",
    "dent",
    "acoustics",
    "reach",
    "plan",
    "quote",
    "draw",
    "job",
    "contract",
    "survey",
    "paper",
    "report",
    "store",
    "web",
    "trueround",
];
/// Crates that know no file, database, screen or clock.
const PURE: [&str; 13] =
    ["units", "metal", "instrument", "dent", "acoustics", "reach", "plan", "quote", "draw", "job", "contract", "fem", "paper"];
/// What only some may depend on.
const RESERVED: [(&str, &[&str]); 11] = [
    ("toml", &["survey"]),
    ("toml_edit", &["survey"]),
    ("rusqlite", &["store"]),
    ("axum", &["web"]),
    ("maud", &["web"]),
    ("krilla", &["paper"]),
    ("parley", &["paper"]),
    ("paper", &["report"]),
    ("jiff", &["web", "trueround", "report", "survey"]),
    ("tokio", &["web", "trueround"]),
    ("clap", &["trueround"]),
];

/// Crates that ship nothing: what tests share, and the reference for the force table.
const FOR_TESTS: [&str; 2] = ["fixtures", "fem"];

/// The dependencies (not the dev-dependencies) of every crate.
fn dependencies() -> BTreeMap<String, Vec<String>> {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(crates).unwrap() {
        let path = entry.unwrap().path().join("Cargo.toml");
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let name = path.parent().unwrap().file_name().unwrap().to_string_lossy().into_owned();
        let section = text.split("[dependencies]").nth(1).map_or("", |s| s.split("\n[").next().unwrap_or(s));
        let names = section
            .lines()
            .filter_map(|l| l.split(['=', '.']).next())
            .map(str::trim)
            .filter(|n| !n.is_empty() && !n.starts_with('#'))
            .map(str::to_owned)
            .collect();
        all.insert(name, names);
    }
    all
}

#[test]
fn every_crate_knows_only_those_before_it() {
    let all = dependencies();
    assert!(all.len() >= ORDER.len(), "the manifests were not found");
    for (name, needs) in &all {
        let Some(place) = ORDER.iter().position(|c| c == name) else { continue };
        for need in needs {
            if let Some(other) = ORDER.iter().position(|c| c == need) {
                assert!(other < place, "{name} knows {need}, which stands above it");
            }
        }
    }
}

#[test]
fn what_tests_share_ships_with_nothing_and_knows_nothing_above_the_files() {
    let all = dependencies();
    for (name, needs) in &all {
        for kept_out in FOR_TESTS {
            assert!(!needs.iter().any(|n| n == kept_out), "{name} ships {kept_out}");
        }
    }
    let highest = ORDER.iter().position(|c| *c == "survey").unwrap();
    let needs = &all["fixtures"];
    assert!(!needs.is_empty());
    // It reads drawings back, which are text: what reads them is none of this workspace's crates.
    for need in needs.iter().filter(|n| *n != "roxmltree") {
        assert!(ORDER[..=highest].contains(&need.as_str()), "fixtures knows {need}");
    }
    // The tests of a low crate are not to wait for those above it.
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().join("fixtures/Cargo.toml");
    let text = std::fs::read_to_string(manifest).unwrap();
    for need in needs.iter().filter(|n| ORDER.iter().position(|c| c == n) > ORDER.iter().position(|c| *c == "instrument")) {
        assert!(text.contains(&format!("{need} = {{ workspace = true, optional = true }}")), "{need} is always built");
    }
}

#[test]
fn toml_sql_http_and_clocks_are_known_to_few() {
    for (name, needs) in dependencies() {
        for (what, who) in RESERVED {
            let knows = needs.iter().any(|n| n == what);
            assert!(!knows || who.contains(&name.as_str()), "{name} knows {what}");
        }
    }
}

#[test]
fn pure_crates_touch_no_file_and_no_clock() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    for name in PURE {
        let mut files = Vec::new();
        walk(&crates.join(name).join("src"), &mut files);
        assert!(!files.is_empty(), "{name} has no source");
        for file in files {
            let text = std::fs::read_to_string(&file).unwrap();
            let shipped = text.split("#[cfg(test)]").next().unwrap_or(&text);
            for word in ["std::fs", "std::net", "std::env", "SystemTime", "Instant::now", "println!", "std::process"] {
                assert!(!shipped.contains(word), "{} uses {word}", file.display());
            }
        }
    }
}

/// The README's first command builds without the feature `shop`: what that feature brings is named in `src/shop` alone.
#[test]
fn what_plans_from_files_names_nothing_of_the_shop() {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    let manifest = std::fs::read_to_string(own.join("Cargo.toml")).unwrap();
    let brings = manifest.lines().find_map(|l| l.strip_prefix("shop = [")).unwrap();
    let brings: Vec<String> = brings.split('"').filter_map(|w| w.strip_prefix("dep:")).map(|w| w.replace('-', "_")).collect();
    assert!(brings.contains(&"web".to_owned()) && brings.contains(&"store".to_owned()), "{brings:?}");
    let mut files = Vec::new();
    walk(&own.join("src"), &mut files);
    files.retain(|f| !f.starts_with(own.join("src/shop")));
    assert!(files.len() > 10);
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        for word in &brings {
            let names =
                text.match_indices(&format!("{word}::")).any(|(at, _)| !text[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_'));
            assert!(!names, "{} names {word}", file.display());
        }
    }
}

fn walk(dir: &Path, files: &mut Vec<std::path::PathBuf>) {
    let Ok(entries) = std::fs::read_dir(dir) else { return };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            walk(&path, files);
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
}
