//! The changes: what cargo-mutants would change, and every numeric constant halved.

use crate::run;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A crate whose changes are tried, and its files (none: all of them).
pub struct Part {
    /// The crate.
    pub package: &'static str,
    files: &'static [&'static str],
}

/// Where the mechanics, the heat, the sound and the price are.
pub const PARTS: &[Part] = &[
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
            "case_stroke",
            "rub",
            "burnishing",
            "expander",
            "draw_ring",
            "filled",
            "raising",
        ],
    },
    Part { package: "acoustics", files: &[] },
    Part { package: "quote", files: &[] },
    Part { package: "contract", files: &[] },
    Part { package: "plan", files: &["heat", "heats", "flame", "torch", "price", "assembly"] },
];

/// Files that hold figures only (the program that makes them is what is tested), and those that hold tests only.
const LEFT_OUT: &[&str] = &["force_table_data.rs", "radiation_table.rs", "tests.rs"];

/// One change: text put in the place of other text.
pub struct Change {
    /// Whose tests must notice.
    pub package: &'static str,
    /// From the workspace's folder.
    pub file: PathBuf,
    /// `file:line:column: what`.
    pub name: String,
    /// Line and column, both from 1; columns count characters.
    from: (usize, usize),
    to: (usize, usize),
    instead: String,
}

impl Change {
    /// The file's text with the change in it; none where the text has no such place.
    pub fn made_in(&self, text: &str) -> Option<String> {
        let (from, to) = (offset(text, self.from)?, offset(text, self.to)?);
        Some(format!("{}{}{}", text.get(..from)?, self.instead, text.get(to..)?))
    }
}

/// Bytes before a line and column.
fn offset(text: &str, (line, column): (usize, usize)) -> Option<usize> {
    let before: usize = text.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len).sum();
    let rest = text.get(before..)?;
    let characters = column.checked_sub(1)?;
    rest.char_indices().map(|(i, _)| i).chain([rest.len()]).nth(characters).map(|i| before + i)
}

/// All changes of the named crates (none named: of all), by crate and file; `operators`: not only the constants.
pub fn all(packages: &[String], operators: bool) -> Result<Vec<Change>, String> {
    let mut all = Vec::new();
    for part in PARTS.iter().filter(|p| packages.is_empty() || packages.iter().any(|x| x == p.package)) {
        if operators {
            all.extend(by_cargo_mutants(part)?);
        }
        all.extend(constants(part)?);
    }
    Ok(all)
}

/// Constants that an audit once changed without any test of the crate noticing, changed the same way: `(crate, file, the line,
/// what stands instead)`. Where the constant is gone, what does its work now.
const AUDITED: &[(&str, &str, &str, &str)] = &[
    // 60 passes of a roller, 600 of them: passes follow from the lift now, within these.
    ("reach", "strokes.rs", "MOST_PASSES: f64 = 40.0;", "MOST_PASSES: f64 = 400.0;"),
    ("reach", "strokes.rs", "FEWEST_PASSES: f64 = 4.0;", "FEWEST_PASSES: f64 = 40.0;"),
    // 30 blows, 300 of them: blows follow from their work now, up to this.
    ("reach", "hammering.rs", "MOST_BLOWS: f64 = 300.0;", "MOST_BLOWS: f64 = 3000.0;"),
    ("reach", "hammering.rs", "WORK_OF_A_BLOW_J: f64 = 0.3;", "WORK_OF_A_BLOW_J: f64 = 0.03;"),
    ("reach", "hammering.rs", "FIRM_BLOW_J: f64 = 1.2;", "FIRM_BLOW_J: f64 = 0.12;"),
    ("reach", "rod_strength.rs", "ROD_YIELD_MPA: f64 = 650.0;", "ROD_YIELD_MPA: f64 = 2000.0;"),
    ("reach", "pull_outside.rs", "SOLDER_HOLDS_MPA: f64 = 20.0;", "SOLDER_HOLDS_MPA: f64 = 200.0;"),
    ("plan", "flame.rs", "SOFT_HOLD_S: f64 = 20.0;", "SOFT_HOLD_S: f64 = 200.0;"),
    // 0.5 once, three laws' mean now.
    ("dent", "leaves.rs", "PRESSING: (f64, f64) = (0.25, 0.15);", "PRESSING: (f64, f64) = (0.0, 0.15);"),
    ("dent", "leaves.rs", "UNSOUND: (f64, f64) = (0.3, 0.15);", "UNSOUND: (f64, f64) = (0.9, 0.15);"),
    // 170 kJ/mol once; in the same proportion and to the same figure.
    ("metal", "anneal.rs", "ENERGY_K: f64 = 125_000.0", "ENERGY_K: f64 = 170_000.0"),
    ("metal", "anneal.rs", "ENERGY_K: f64 = 125_000.0", "ENERGY_K: f64 = 230_000.0"),
    ("metal", "anneal.rs", "GROWTH_K: f64 = 170_000.0", "GROWTH_K: f64 = 230_000.0"),
];

/// The changes of [`AUDITED`]; an error where one of the lines is no longer there, for then the list is to be looked through.
pub fn audited(packages: &[String]) -> Result<Vec<Change>, String> {
    let mut all = Vec::new();
    for part in PARTS.iter().filter(|p| packages.is_empty() || packages.iter().any(|x| x == p.package)) {
        for (_, file, line, instead) in AUDITED.iter().filter(|a| a.0 == part.package) {
            let file = PathBuf::from(format!("crates/{}/src/{file}", part.package));
            let text = fs::read_to_string(run::root().join(&file)).map_err(|e| format!("{}: {e}", file.display()))?;
            let found = text.lines().enumerate().find_map(|(i, l)| Some((i + 1, l[..l.find(line)?].chars().count() + 1)));
            let from = found.ok_or_else(|| format!("{}: no `{line}`; see `AUDITED`", file.display()))?;
            let name = format!("{}:{}:{}: audit: `{instead}`", file.display(), from.0, from.1);
            let to = (from.0, from.1 + line.chars().count());
            all.push(Change { package: part.package, file, name, from, to, instead: (*instead).to_owned() });
        }
    }
    Ok(all)
}

fn by_cargo_mutants(part: &Part) -> Result<Vec<Change>, String> {
    let said = Command::new("cargo")
        .current_dir(run::root())
        .args(["mutants", "--package", part.package, "--list", "--json", "--colors", "never"])
        .output()
        .map_err(|e| format!("cargo did not start: {e}"))?;
    if !said.status.success() {
        let why = String::from_utf8_lossy(&said.stderr);
        return Err(format!("cargo mutants: {why}`cargo install cargo-mutants --locked` if it is not there"));
    }
    let listed: Value = serde_json::from_slice(&said.stdout).map_err(|e| format!("cargo mutants --list: {e}"))?;
    let listed = listed.as_array().ok_or("cargo mutants --list gives no list")?;
    let mut all = Vec::new();
    for m in listed {
        let change = read(part.package, m).ok_or_else(|| format!("cargo mutants lists what is not understood here: {m}"))?;
        if wanted(part, &change.file) {
            all.push(change);
        }
    }
    Ok(all)
}

fn read(package: &'static str, m: &Value) -> Option<Change> {
    let place = |end: &str| {
        let at = |what: &str| m["span"][end][what].as_u64().and_then(|n| usize::try_from(n).ok());
        Some((at("line")?, at("column")?))
    };
    Some(Change {
        package,
        file: PathBuf::from(m["file"].as_str()?),
        name: m["name"].as_str()?.to_owned(),
        from: place("start")?,
        to: place("end")?,
        // With room on either side: a word may stand beside it.
        instead: format!(" {} ", m["replacement"].as_str()?),
    })
}

fn wanted(part: &Part, file: &Path) -> bool {
    let stem = file.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
    let name = file.file_name().and_then(|s| s.to_str()).unwrap_or_default();
    !LEFT_OUT.contains(&name) && (part.files.is_empty() || part.files.contains(&stem))
}

/// All Rust files under a folder.
pub fn files_below(dir: &Path) -> Vec<PathBuf> {
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

fn constants(part: &Part) -> Result<Vec<Change>, String> {
    let root = run::root();
    let mut all = Vec::new();
    for file in files_below(&root.join("crates").join(part.package).join("src")).into_iter().filter(|f| wanted(part, f)) {
        let text = fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        let file = file.strip_prefix(&root).map_err(|e| e.to_string())?.to_path_buf();
        for (number, line) in text.lines().enumerate() {
            // What follows `mod tests` tests; its constants are its own.
            if line.starts_with("mod tests") {
                break;
            }
            if let Some(halved) = halved(line) {
                all.push(Change {
                    package: part.package,
                    name: format!("{}:{}:1: halve `{}`", file.display(), number + 1, line.trim()),
                    file: file.clone(),
                    from: (number + 1, 1),
                    to: (number + 1, line.chars().count() + 1),
                    instead: halved,
                });
            }
        }
    }
    Ok(all)
}

/// The line of a numeric constant with half its value; none where the line is no such thing.
fn halved(line: &str) -> Option<String> {
    let (head, rest) = line.split_once("const ")?;
    let (name, rest) = rest.split_once(':')?;
    let (kind, rest) = rest.split_once('=')?;
    let (value, tail) = rest.split_once(';')?;
    let kind = kind.trim();
    let half = match kind {
        "f64" => halved_expression(value.trim())?,
        "usize" | "u32" | "u64" => (plain(value).parse::<u64>().ok().filter(|v| *v > 1)? / 2).to_string(),
        _ => return None,
    };
    Some(format!("{head}const {name}: {kind} = {half};{tail}"))
}

/// Half of a number, or of what is reckoned from numbers: `1.0 / 30.0` is `0.5 * (1.0 / 30.0)`.
fn halved_expression(value: &str) -> Option<String> {
    match plain(value).parse::<f64>() {
        Ok(v) => (v != 0.0 && v.is_finite()).then(|| format!("{:?}", 0.5 * v)),
        Err(_) => value.contains(|c: char| c.is_ascii_digit()).then(|| format!("0.5 * ({value})")),
    }
}

fn plain(value: &str) -> String {
    value.trim().chars().filter(|c| *c != '_').collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_constant_is_halved_and_nothing_else_is() {
        assert_eq!(halved("const A_N: f64 = 1_000.0; // why").as_deref(), Some("const A_N: f64 = 500.0; // why"));
        assert_eq!(halved("    pub const TURNS: usize = 9;").as_deref(), Some("    pub const TURNS: usize = 4;"));
        assert_eq!(halved("const PART: f64 = 1.0 / 30.0;").as_deref(), Some("const PART: f64 = 0.5 * (1.0 / 30.0);"));
        assert_eq!(halved("const ZERO: f64 = 0.0;"), None);
        assert_eq!(halved("const B: (f64, f64) = (1.0, 2.0);"), None);
        assert_eq!(halved("let a = 2.0;"), None);
    }

    #[test]
    fn a_change_is_made_in_its_place_and_nowhere_else() {
        let change = |from, to, instead: &str| Change {
            package: "metal",
            file: PathBuf::new(),
            name: String::new(),
            from,
            to,
            instead: instead.to_owned(),
        };
        let text = "// σ₀ ± one\nlet a = b + c;\nlast";
        assert_eq!(change((2, 11), (2, 12), "-").made_in(text).as_deref(), Some("// σ₀ ± one\nlet a = b - c;\nlast"));
        // Columns count characters, not bytes.
        assert_eq!(change((1, 7), (1, 8), "∓").made_in(text).as_deref(), Some("// σ₀ ∓ one\nlet a = b + c;\nlast"));
        assert_eq!(change((1, 9), (2, 4), "x").made_in(text).as_deref(), Some("// σ₀ ± x a = b + c;\nlast"));
        assert_eq!(change((9, 1), (9, 2), "-").made_in(text), None);
    }
}
