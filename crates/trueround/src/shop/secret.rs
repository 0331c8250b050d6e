//! Passwords and passphrases: typed without showing, or from a file, the environment or what is piped in. Never from the command line,
//! where every account of the machine reads them while the program runs, and the shell keeps them.

use super::args::Sealing;
use crate::fail::{Done, Fail};
use std::io::{BufRead, IsTerminal};
use std::path::Path;

/// The variable that may hold the passphrase of backups.
pub const PASSPHRASE: &str = "TRUEROUND_PASSPHRASE";
/// The variable that may hold a new password.
pub const PASSWORD: &str = "TRUEROUND_PASSWORD";

/// The passphrase that seals: none where none is wanted.
pub fn passphrase(sealing: &Sealing) -> Done<Option<String>> {
    if sealing.plain {
        return Ok(None);
    }
    let question = "Passphrase that seals the backup (it does not show; --plain for none): ";
    let passphrase = new(sealing.passphrase_file.as_deref(), PASSPHRASE, question)?;
    if passphrase.chars().count() < store::seal::LEAST_PASSPHRASE {
        return Err(Fail::input(format!("a passphrase needs at least {} characters", store::seal::LEAST_PASSPHRASE)));
    }
    Ok(Some(passphrase))
}

/// A secret that is there already: from its file, else from the environment, else asked for.
pub fn of(file: Option<&Path>, variable: &str, question: &str) -> Done<String> {
    match file {
        Some(file) => first_line(file),
        None => match std::env::var(variable) {
            Ok(text) => Ok(text),
            Err(_) => asked(question),
        },
    }
}

/// A new secret: as [`of`], and where somebody types it, twice.
pub fn new(file: Option<&Path>, variable: &str, question: &str) -> Done<String> {
    let text = of(file, variable, question)?;
    let typed = file.is_none() && std::env::var(variable).is_err() && std::io::stdin().is_terminal();
    if typed && asked("Once more: ")? != text {
        return Err(Fail::input("the two are not the same; nothing was done"));
    }
    Ok(text)
}

fn first_line(file: &Path) -> Done<String> {
    let text = std::fs::read_to_string(file).map_err(|e| Fail::input(format!("{}: {e}", file.display())))?;
    Ok(text.lines().next().unwrap_or("").trim().to_owned())
}

/// From the keyboard, without showing what is typed; or a line of what is piped in.
fn asked(question: &str) -> Done<String> {
    let failed = |e: std::io::Error| Fail::input(e.to_string());
    if std::io::stdin().is_terminal() {
        return rpassword::prompt_password(question).map_err(failed);
    }
    let mut line = String::new();
    std::io::stdin().lock().read_line(&mut line).map_err(failed)?;
    Ok(line.trim_end_matches(['\n', '\r']).to_owned())
}
