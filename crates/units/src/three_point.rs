//! A duration or cost given as three points: least, likely, most.

use crate::Source;
use serde::{Deserialize, Serialize};

/// Three points of a duration (or another positive quantity): if all goes well, usually, if it fights back.
///
/// Mean and variance are those of the PERT (beta) distribution: mean (a + 4m + b)/6, variance
/// ((b − a)/6)². Source: from memory of Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ThreePoint {
    /// If all goes well.
    pub least: f64,
    /// What it usually takes.
    pub likely: f64,
    /// If it fights back.
    pub most: f64,
}

impl ThreePoint {
    /// Three points in rising order; points out of order are sorted.
    pub fn new(least: f64, likely: f64, most: f64) -> Self {
        let mut p = [least, likely, most];
        p.sort_by(f64::total_cmp);
        Self { least: p[0], likely: p[1], most: p[2] }
    }
    /// Nothing at all.
    pub const ZERO: Self = Self { least: 0.0, likely: 0.0, most: 0.0 };
    /// PERT mean.
    pub fn mean(self) -> f64 {
        (self.least + 4.0 * self.likely + self.most) / 6.0
    }
    /// PERT standard deviation.
    pub fn sd(self) -> f64 {
        (self.most - self.least) / 6.0
    }
    /// All three points times `k` (k ≥ 0).
    #[must_use]
    pub fn times(self, k: f64) -> Self {
        Self { least: self.least * k, likely: self.likely * k, most: self.most * k }
    }
    /// Point by point sum (what full correlation gives).
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { least: self.least + other.least, likely: self.likely + other.likely, most: self.most + other.most }
    }
    /// Where the PERT mean and variance come from.
    pub const SOURCE: Source = Source::from_memory("PERT: Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959)");
}
