//! Running other programs and saying so.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The workspace's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(PathBuf::new, Path::to_path_buf)
}

/// Runs cargo in the workspace.
pub fn cargo(args: &[&str]) -> Result<(), String> {
    command("cargo", args, &root())
}

/// Runs cargo with clippy as the compiler of this workspace's own crates: what it builds is linted, any warning is an error, and
/// the three hundred crates underneath are compiled once, not once for the lints and once for the tests. It is what
/// `cargo clippy` does itself, with `cargo test` in the place of `cargo check`.
pub fn linted(args: &[&str]) -> Result<(), String> {
    println!("> cargo {} (linted)", args.join(" "));
    let status = linting(args).status().map_err(|e| format!("cargo did not start: {e}"))?;
    if status.success() { Ok(()) } else { Err(format!("`cargo {}` ended with {status}", args.join(" "))) }
}

/// The same, for what cargo prints: of a build that stands already nothing is built again.
pub fn linted_output(args: &[&str]) -> Result<String, String> {
    let ran = linting(args).output().map_err(|e| format!("cargo did not start: {e}"))?;
    if !ran.status.success() {
        return Err(format!("`cargo {}` ended with {}\n{}", args.join(" "), ran.status, String::from_utf8_lossy(&ran.stderr)));
    }
    String::from_utf8(ran.stdout).map_err(|e| format!("cargo prints no text: {e}"))
}

fn linting(args: &[&str]) -> Command {
    const EACH: &str = "__CLIPPY_HACKERY__";
    let lints = format!("-D{EACH}warnings{EACH}");
    let mut cargo = Command::new("cargo");
    cargo.args(args).current_dir(root()).env("RUSTC_WORKSPACE_WRAPPER", "clippy-driver").env("CLIPPY_ARGS", lints);
    cargo
}

/// Runs a program in a folder; an exit code other than 0 is an error.
pub fn command(program: &str, args: &[&str], dir: &Path) -> Result<(), String> {
    println!("> {program} {}", args.join(" "));
    let status = Command::new(program).args(args).current_dir(dir).status().map_err(|e| format!("{program} did not start: {e}"))?;
    if status.success() { Ok(()) } else { Err(format!("`{program} {}` ended with {status}", args.join(" "))) }
}

/// Where cargo puts a program of this workspace.
pub fn binary(name: &str) -> String {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from);
    target.join("debug").join(name).to_string_lossy().into_owned()
}

/// What a program prints.
pub fn output(program: &str, args: &[&str]) -> Result<String, String> {
    let ran = Command::new(program).args(args).current_dir(root()).output().map_err(|e| format!("{program} did not start: {e}"))?;
    String::from_utf8(ran.stdout).map_err(|e| format!("`{program}` prints no text: {e}"))
}
