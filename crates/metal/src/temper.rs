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

    /// Factor of thickness of one Brown & Sharpe gauge number: the 39th root of 92, inverted (closed form: No. 0000 is
    /// 0.46 in, No. 36 is 0.005 in, 39 steps between).
    pub const STEP: f64 = 0.890_525_71;

    /// Numbers hard, held between 0 and 8 (the range of the tables). What is not a number counts as annealed; the check
    /// of a survey refuses it before it comes here.
    pub fn numbers(self) -> f64 {
        if self.0.is_nan() { 0.0 } else { self.0.clamp(0.0, 8.0) }
    }

    /// Reduction of thickness by rolling since the last anneal, 0 to 1.
    pub fn reduction(self) -> f64 {
        1.0 - Self::STEP.powf(self.numbers())
    }

    /// Effective (von Mises) plastic strain of that rolling: 2/√3 times the logarithm of the thickness ratio, because
    /// strip is rolled without growing wider (closed form, plane strain).
    pub fn rolling_strain(self) -> f64 {
        -2.0 / 3.0_f64.sqrt() * self.numbers() * Self::STEP.ln()
    }

    /// The temper's trade name, that of the nearest named temper.
    pub fn name(self) -> &'static str {
        const NAMED: [(f64, &str); 7] = [
            (0.0, "annealed"),
            (1.0, "quarter hard"),
            (2.0, "half hard"),
            (3.0, "three-quarter hard"),
            (4.0, "hard"),
            (6.0, "extra hard"),
            (8.0, "spring"),
        ];
        let n = self.numbers();
        NAMED.iter().min_by(|a, b| (a.0 - n).abs().total_cmp(&(b.0 - n).abs())).map_or("annealed", |t| t.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_those_of_the_nearest_temper() {
        assert_eq!(Temper(1.8).name(), "half hard");
        assert_eq!(Temper(5.2).name(), "extra hard");
        assert_eq!(Temper(99.0).name(), "spring");
        assert_eq!(Temper(f64::NAN).name(), "annealed");
    }

    #[test]
    fn the_step_is_the_gauge_s() {
        assert!((Temper::STEP - 92.0_f64.powf(-1.0 / 39.0)).abs() < 1e-8);
    }
}
