//! A line of a bill.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What a line of the bill is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// Work, and parts that go with it.
    #[default]
    Work,
    /// Parts alone.
    Parts,
    /// Tools made for the job.
    Tools,
    /// Shop supplies: solder, gas, abrasives, a part of the labor.
    Supplies,
    /// Taking in, handling and billing.
    Handling,
    /// What lacks to the least charge of a job.
    Minimum,
    /// The surcharge of a job that goes before others.
    Rush,
    /// A discount: below zero.
    Discount,
    /// What brings the total to the shop's step.
    Rounding,
}

/// A line of the bill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What kind of line.
    #[serde(default)]
    pub kind: LineKind,
    /// What it is for, in plain words.
    pub what: String,
    /// Bench minutes charged.
    pub minutes: Decimal,
    /// Labour, to the cent.
    pub labour: Decimal,
    /// Parts and material, to the cent.
    pub parts: Decimal,
    /// Tax on both, to the cent.
    pub tax: Decimal,
}

impl Line {
    /// A line of nothing.
    pub fn new(kind: LineKind, what: impl Into<String>) -> Self {
        let (what, zero) = (what.into(), Decimal::ZERO);
        Self { kind, what, minutes: zero, labour: zero, parts: zero, tax: zero }
    }

    /// All of it.
    pub fn total(&self) -> Decimal {
        self.labour + self.parts + self.tax
    }

    /// All but the tax.
    pub fn before_tax(&self) -> Decimal {
        self.labour + self.parts
    }
}
