//! The error of every parser: what was read, and what would be accepted.

use thiserror::Error;

/// A text that could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("“{read}” cannot be read; write {accepted}")]
pub struct ParseError {
    /// What was read (cut short where it is long).
    pub read: String,
    /// What would be accepted, with examples.
    pub accepted: String,
}

impl ParseError {
    /// An error about a text.
    pub fn new(read: &str, accepted: impl Into<String>) -> Self {
        let mut short: String = read.chars().take(60).collect();
        if short.len() < read.len() {
            short.push('…');
        }
        Self { read: short, accepted: accepted.into() }
    }
}
