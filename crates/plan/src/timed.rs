//! What a shop's own timed steps say of its standards: a factor on the mean and one on the spread, by kind of step and by the method or the
//! opening within it. Plain data; `quote::learn` makes it from the steps that were finished.

use crate::step_kind::{StepKind, Within};
use reach::MethodKind;
use serde::{Deserialize, Serialize};
use units::ThreePoint;

/// How timed steps move a standard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Factor {
    /// On the mean: 1.2 is a fifth longer.
    pub mean: f64,
    /// On the variance of the logarithm.
    pub dispersion: f64,
    /// Added to the variance of the logarithm: what a job's steps have in common, and how little is known of the mean yet.
    pub added_log_variance: f64,
}

/// The least variance of a logarithm that is taken out again of a standard that was moved: a step is never as sure as that. (A deviation
/// of 5 %.)
const LEAST_LOG_VARIANCE: f64 = 0.0025;

impl Factor {
    /// Moves nothing.
    pub const NONE: Self = Self { mean: 1.0, dispersion: 1.0, added_log_variance: 0.0 };

    /// A standard as timed steps have it: the deviation is that of a lognormal time.
    #[must_use]
    pub fn on(self, standard: ThreePoint) -> ThreePoint {
        let mean = standard.mean() * self.mean;
        let log_variance = (self.dispersion * standard.log_variance() + self.added_log_variance).clamp(0.0, 2.0);
        standard.moved_to(mean, mean * log_variance.exp_m1().sqrt())
    }

    /// The standard that this factor was laid on.
    #[must_use]
    pub fn off(self, moved: ThreePoint) -> ThreePoint {
        if !(self.mean > 0.0 && self.dispersion > 0.0) {
            return moved;
        }
        let mean = moved.mean() / self.mean;
        let log_variance = ((moved.log_variance() - self.added_log_variance) / self.dispersion).max(LEAST_LOG_VARIANCE);
        moved.moved_to(mean, mean * log_variance.exp_m1().sqrt())
    }
}

/// The factor of one standard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TimedStandard {
    /// Kind of step.
    pub kind: StepKind,
    /// Method or opening; none: what is not told apart, and what has none of its own.
    #[serde(default)]
    pub within: Option<Within>,
    /// The factor.
    pub factor: Factor,
}

/// All that timed steps say; nothing where none were timed.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Timed {
    /// For kinds that nobody has timed: how this shop takes steps in general.
    #[serde(default)]
    pub others: Option<Factor>,
    /// The standards that were timed.
    #[serde(default)]
    pub standards: Vec<TimedStandard>,
}

impl Timed {
    /// Whether nothing was timed.
    pub fn is_empty(&self) -> bool {
        self.others.is_none() && self.standards.is_empty()
    }

    /// The factor of a kind and what is within it: its own, else its kind's, else the shop's.
    pub fn factor(&self, kind: StepKind, within: Option<Within>) -> Factor {
        let of = |within: Option<Within>| self.standards.iter().find(|s| s.kind == kind && s.within == within).map(|s| s.factor);
        within.and_then(|w| of(Some(w))).or_else(|| of(None)).or(self.others).unwrap_or(Factor::NONE)
    }
}

/// As what a step is timed: ridges worked down over a fill are the second half of the dent's own method.
pub fn timed_as(kind: StepKind, within: Option<Within>) -> (StepKind, Option<Within>) {
    match kind {
        StepKind::OverFill => (StepKind::Dent, Some(Within::Method(MethodKind::FilledBend))),
        _ => (kind, within),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DENT: ThreePoint = ThreePoint { least: 4.0, likely: 8.0, most: 18.0 };

    /// By hand: mean 9 × 1.5 = 13.5; ln variance 0.5 · ln(1 + (7/27)²) + 0.02 = 0.05253, deviation 13.5 · √(e^0.05253 − 1) = 3.1354.
    #[test]
    fn a_factor_moves_mean_and_deviation_and_can_be_taken_off_again() {
        let f = Factor { mean: 1.5, dispersion: 0.5, added_log_variance: 0.02 };
        let moved = f.on(DENT);
        assert!((moved.mean() - 13.5).abs() < 1e-9 && (moved.sd() - 3.1354).abs() < 1e-3, "{} {}", moved.mean(), moved.sd());
        let back = f.off(moved);
        assert!((back.mean() - DENT.mean()).abs() < 1e-9 && (back.sd() - DENT.sd()).abs() < 1e-9);
        let same = Factor::NONE.on(DENT);
        for (a, b) in [(same.least, DENT.least), (same.likely, DENT.likely), (same.most, DENT.most)] {
            assert!((a - b).abs() < 1e-9, "{same:?}");
        }
    }

    #[test]
    fn a_method_that_was_not_timed_takes_its_kinds_factor_and_a_kind_the_shops() {
        let of = |mean| Factor { mean, ..Factor::NONE };
        let mandrel = Some(Within::Method(MethodKind::Mandrel));
        let standards = vec![
            TimedStandard { kind: StepKind::Dent, within: None, factor: of(1.2) },
            TimedStandard { kind: StepKind::Dent, within: mandrel, factor: of(1.4) },
        ];
        let timed = Timed { others: Some(of(1.1)), standards };
        let mean = |kind, within| timed.factor(kind, within).mean;
        assert_eq!((mean(StepKind::Dent, mandrel), mean(StepKind::Dent, Some(Within::Method(MethodKind::Magnet)))), (1.4, 1.2));
        assert_eq!((mean(StepKind::Patch, None), Timed::default().factor(StepKind::Patch, None)), (1.1, Factor::NONE));
    }
}
