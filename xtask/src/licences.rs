//! Every crate that the build brings must be under a licence that the project may ship.

use crate::run;
use std::process::Command;

/// Licences that may be shipped, as SPDX names.
const ALLOWED: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "0BSD",
    "ISC",
    "Zlib",
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
    "CC0-1.0",
    "BSL-1.0",
    "MIT-0",
    "CDLA-Permissive-2.0",
    "blessing",
];

/// Prints the crates whose licence is not on the list; any such crate is an error.
pub fn check() -> Result<(), String> {
    let out = Command::new("cargo")
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(run::root())
        .output()
        .map_err(|e| format!("cargo metadata did not start: {e}"))?;
    let metadata: serde_json::Value = serde_json::from_slice(&out.stdout).map_err(|e| format!("cargo metadata printed no JSON: {e}"))?;
    let packages = metadata["packages"].as_array().ok_or("cargo metadata named no packages")?;
    let mut bad = Vec::new();
    for p in packages {
        let name = p["name"].as_str().unwrap_or("?");
        let licence = p["license"].as_str().unwrap_or("");
        if !allowed(licence) {
            bad.push(format!("{name}: {}", if licence.is_empty() { "no licence named" } else { licence }));
        }
    }
    println!("licences: {} crates, {} not allowed", packages.len(), bad.len());
    if bad.is_empty() { Ok(()) } else { Err(format!("licences not on the list:\n  {}", bad.join("\n  "))) }
}

/// Whether a licence expression can be met from the list: one side of an `OR`, every side of an `AND`.
fn allowed(expression: &str) -> bool {
    let plain = expression.replace('/', " OR ").replace(['(', ')'], "");
    plain.split(" AND ").all(|all| all.split(" OR ").any(|one| ALLOWED.contains(&one.trim())))
}

#[cfg(test)]
mod tests {
    use super::allowed;

    #[test]
    fn an_or_needs_one_and_an_and_needs_all() {
        assert!(allowed("MIT OR GPL-3.0"));
        assert!(allowed("(MIT OR Apache-2.0) AND Unicode-3.0"));
        assert!(!allowed("GPL-3.0"));
        assert!(!allowed("MIT AND GPL-3.0"));
        assert!(!allowed(""));
    }
}
