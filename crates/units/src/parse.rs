//! The error of every parser: what was read, what is wrong with it, and what would be accepted.

use thiserror::Error;

/// Why a text could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub enum Cause {
    /// It is nothing that is meant here.
    #[default]
    Unreadable,
    /// A number without its unit.
    NoUnit,
    /// A number with a unit of something else, or of nothing.
    OtherUnit {
        /// The unit as written.
        unit: String,
    },
    /// `1,250`: twelve hundred and fifty, or one and a quarter.
    Thousands,
    /// `3/0`.
    DividedByZero,
    /// `1 3/2`: what stands behind a whole number is no part of one.
    FractionAboveOne,
    /// `5 to 3 mm`.
    Falling,
    /// `3-5 mm`: a range is written with “to”.
    Hyphen,
    /// `25 o'clock`, `3:75`.
    NoSuchHour,
    /// `12,50`: an amount of money with a comma before its cents.
    DecimalComma,
    /// `-5`, where nothing can be below zero.
    Negative,
}

/// A text that could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{}; {}", self.what(), self.hint())]
pub struct ParseError {
    /// What was read (cut short where it is long).
    pub read: String,
    /// Why it could not be.
    pub cause: Cause,
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
        Self { read: short, cause: Cause::Unreadable, accepted: accepted.into() }
    }

    /// The same with its cause.
    #[must_use]
    pub fn by(mut self, cause: Cause) -> Self {
        self.cause = cause;
        self
    }

    /// What is wrong, in words.
    pub fn what(&self) -> String {
        let read = &self.read;
        match &self.cause {
            Cause::Unreadable => format!("“{read}” cannot be read"),
            Cause::NoUnit => format!("“{read}” has no unit"),
            Cause::OtherUnit { unit } => format!("“{read}” cannot be read: “{unit}” is no unit that can stand here"),
            Cause::Thousands => format!("“{read}” can be read two ways: its comma parts thousands, or it is a decimal point"),
            Cause::DividedByZero => format!("“{read}” divides by zero"),
            Cause::FractionAboveOne => format!("“{read}”: the fraction behind the whole number is not below one"),
            Cause::Falling => format!("“{read}” falls: its first end is larger than its second"),
            Cause::Hyphen => format!("“{read}” holds two numbers with a hyphen between"),
            Cause::NoSuchHour => format!("“{read}” is on no clock: its hours go to 12, its minutes to 59"),
            Cause::DecimalComma => format!("“{read}” has a comma where a point parts the cents"),
            Cause::Negative => format!("“{read}” is below zero"),
        }
    }

    /// How to mend it, in words.
    pub fn hint(&self) -> String {
        let accepted = &self.accepted;
        match &self.cause {
            Cause::Thousands => {
                format!("write {} or {}, whichever was meant", self.read.replace(',', ""), self.read.replace(',', "."))
            }
            Cause::DecimalComma => format!("write {}", self.read.replace(',', ".")),
            Cause::DividedByZero => format!("look at the figure under the stroke; write {accepted}"),
            Cause::Falling => "put the smaller end first, like 3 to 5 mm".to_owned(),
            Cause::Hyphen => "write a range with “to”, like 3 to 5 mm".to_owned(),
            Cause::NoUnit => format!("write the unit too: {accepted}"),
            _ => format!("write {accepted}"),
        }
    }
}
