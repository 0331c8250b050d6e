//! How a command fails: what is told, and with which exit code. Nothing has been written when it does.

use std::fmt::Display;
use std::path::Path;
use std::process::ExitCode;

/// A failure.
#[derive(Debug)]
pub enum Fail {
    /// The input is wrong: exit code 2.
    Input(Vec<String>),
    /// The machine, the disk or the network: exit code 1.
    Machine(String),
}

impl Fail {
    /// Wrong input, in one line.
    pub fn input(what: impl Into<String>) -> Self {
        Self::Input(vec![what.into()])
    }

    /// A file that could not be read or written.
    pub fn file(path: &Path, why: impl Display) -> Self {
        Self::Machine(format!("{}: {why}", path.display()))
    }

    /// As a line of the log.
    pub fn words(&self) -> String {
        match self {
            Self::Input(lines) => lines.join("; "),
            Self::Machine(what) => what.clone(),
        }
    }

    /// Tells it and gives the exit code.
    pub fn tell(self) -> ExitCode {
        match self {
            Self::Input(lines) => {
                for line in lines {
                    anstream::eprintln!("{line}");
                }
                ExitCode::from(2)
            }
            Self::Machine(what) => {
                anstream::eprintln!("{what}");
                ExitCode::FAILURE
            }
        }
    }
}

/// Result of a command.
pub type Done<T = ()> = Result<T, Fail>;
