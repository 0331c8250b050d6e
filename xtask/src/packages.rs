//! Debian packages that the tests need.

use crate::run;
use std::process::{Command, Stdio};

/// Makes sure that each program is there; installs its Debian package where it is not.
pub fn have(wanted: &[(&str, &str)]) -> Result<(), String> {
    let missing: Vec<&str> = wanted.iter().filter(|(program, _)| !on_path(program)).map(|(_, package)| *package).collect();
    if missing.is_empty() {
        return Ok(());
    }
    if !on_path("apt-get") {
        return Err(format!("the tests need {}; install it and start again", missing.join(", ")));
    }
    let sudo: &[&str] = if is_root() { &[] } else { &["sudo"] };
    let apt = |args: &[&str]| {
        let words: Vec<&str> = sudo.iter().chain(["apt-get"].iter()).chain(args).copied().collect();
        run::command(words[0], &words[1..], &run::root())
    };
    apt(&["update", "-qq"])?;
    let mut install = vec!["install", "-y", "-qq", "--no-install-recommends"];
    install.extend(missing);
    apt(&install)
}

fn on_path(program: &str) -> bool {
    let Some(path) = std::env::var_os("PATH") else { return false };
    std::env::split_paths(&path).any(|dir| dir.join(program).is_file())
}

fn is_root() -> bool {
    Command::new("id").arg("-u").stderr(Stdio::null()).output().is_ok_and(|o| o.stdout.trim_ascii() == b"0")
}
