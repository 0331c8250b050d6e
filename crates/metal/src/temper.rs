//! Temper: how hard the metal is from cold work.

use serde::{Deserialize, Serialize};

/// Temper in Brown & Sharpe numbers hard: how many gauge numbers the metal has been rolled down since
/// its last anneal. 0 annealed, 1 quarter hard (H01), 2 half hard (H02), 3 three-quarter hard (H03),
/// 4 hard (H04), 6 extra hard (H06), 8 spring (H08); values between are real tempers too.
///
/// One gauge number is a reduction of thickness by the factor 0.8905, so n numbers hard hold a rolling
/// strain of n · 0.11595. Source: the ASTM temper designations (ASTM B601, from memory) and the
/// definition of the Brown & Sharpe gauge (closed form: 39th root of 92 a step).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Temper(pub f64);

impl Temper {
    /// Fully annealed.
    pub const ANNEALED: Self = Self(0.0);
    /// Quarter hard, H01.
    pub const QUARTER_HARD: Self = Self(1.0);
    /// Half hard, H02.
    pub const HALF_HARD: Self = Self(2.0);
    /// Three-quarter hard, H03.
    pub const THREE_QUARTER_HARD: Self = Self(3.0);
    /// Hard, H04.
    pub const HARD: Self = Self(4.0);
    /// Extra hard, H06.
    pub const EXTRA_HARD: Self = Self(6.0);
    /// Spring, H08.
    pub const SPRING: Self = Self(8.0);
}
