//! A shop's own times: each finished step tells how long it took against the standard, and the standard moves.
//!
//! The logarithm of (time taken / standard's mean) is normal with unknown mean and spread; what is believed of the two is
//! normal–gamma and stays so after each observation (conjugate update). Each kind of step has its own belief, and each
//! person within it, who starts from what is known of everybody.

use plan::StepKind;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::{Source, ThreePoint};

/// Where the update comes from.
pub const UPDATE: Source = Source::from_memory(
    "normal–gamma conjugate update of an unknown mean and precision: DeGroot, Optimal Statistical Decisions (1970), chapter 9; predictive distribution Student's t",
);

/// A finished step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Taken {
    /// What kind of step.
    pub kind: StepKind,
    /// Who did it.
    pub person: String,
    /// Mean of the standard by which it was planned, minutes.
    pub planned_min: f64,
    /// Minutes that it took.
    pub took_min: f64,
}

/// What is believed of the logarithm of a ratio: its mean is `mean`, known as from `weight` observations; its spread is
/// known as from `2·shape` observations with the sum of squares `2·rate`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Belief {
    /// Mean of the logarithm.
    pub mean: f64,
    /// Observations that this is worth (κ).
    pub weight: f64,
    /// Shape of the precision's gamma distribution (α).
    pub shape: f64,
    /// Rate of it (β).
    pub rate: f64,
}

/// The standard counts as much as this many observations: a shop's own figure is worth a handful of jobs. Common practice,
/// no source.
const STANDARD_COUNTS: f64 = 4.0;

impl Belief {
    /// What a standard says of itself: right in the middle, as wide as its three points.
    pub fn of_standard(standard: ThreePoint) -> Self {
        let mean = standard.mean();
        let cv = if mean > 0.0 { (standard.sd() / mean).clamp(0.05, 2.0) } else { 0.3 };
        let variance = (1.0 + cv * cv).ln();
        let shape = 0.5 * STANDARD_COUNTS + 1.0;
        // The expected variance β/(α − 1) is the standard's; the ratio's mean is 1, so its logarithm's is −σ²/2.
        Self { mean: -0.5 * variance, weight: STANDARD_COUNTS, shape, rate: variance * (shape - 1.0) }
    }

    /// After some observed logarithms. What is no number counts for nothing.
    #[must_use]
    pub fn after(self, logs: &[f64]) -> Self {
        let seen: Vec<f64> = logs.iter().copied().filter(|x| x.is_finite()).collect();
        let n = seen.len() as f64;
        if n == 0.0 {
            return self;
        }
        let average = seen.iter().sum::<f64>() / n;
        let squares: f64 = seen.iter().map(|x| (x - average).powi(2)).sum();
        let weight = self.weight + n;
        Self {
            mean: (self.weight * self.mean + n * average) / weight,
            weight,
            shape: self.shape + 0.5 * n,
            rate: self.rate + 0.5 * squares + 0.5 * self.weight * n * (average - self.mean).powi(2) / weight,
        }
    }

    /// Expected variance of a single logarithm that is still to come: β/(α − 1) · (1 + 1/κ), the variance of the predictive
    /// Student's t (2α degrees of freedom).
    pub fn predictive_variance(self) -> f64 {
        self.rate / (self.shape - 1.0).max(0.1) * (1.0 + 1.0 / self.weight.max(0.1))
    }

    /// The same belief, worth no more than so many observations: where a person starts from what everybody takes.
    #[must_use]
    fn at_most(self, counts: f64) -> Self {
        if self.weight <= counts {
            return self;
        }
        let variance = self.rate / (self.shape - 1.0).max(0.1);
        let shape = 0.5 * counts + 1.0;
        Self { mean: self.mean, weight: counts, shape, rate: variance * (shape - 1.0) }
    }

    /// The standard as it now should stand: its mean and deviation are those of the predictive lognormal, its likely point
    /// moves with the ratio.
    pub fn standard(self, old: ThreePoint) -> ThreePoint {
        let variance = self.predictive_variance().min(2.0);
        let mean = old.mean() * (self.mean + 0.5 * variance).exp();
        if !(mean > 0.0 && mean.is_finite()) {
            return old;
        }
        let sd = mean * variance.exp_m1().sqrt();
        // Keep the old shape's lean: the part of the span that lies below the likely point.
        let span = old.most - old.least;
        let lean = if span > 0.0 { (old.likely - old.least) / span } else { 0.3 };
        let width = 6.0 * sd;
        // mean = least + width·(1 + 4·lean)/6 with likely = least + lean·width, most = least + width.
        let least = mean - width * (1.0 + 4.0 * lean) / 6.0;
        if least >= 0.0 {
            return ThreePoint::new(least, least + lean * width, least + width);
        }
        // Nothing takes less than nothing: least 0, the mean kept by the likely point, the deviation by the most.
        let most = width.min(6.0 * mean);
        ThreePoint::new(0.0, ((6.0 * mean - most) / 4.0).clamp(0.0, most), most)
    }
}

/// What a shop's history says of its standards.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct History {
    /// What was taken.
    pub taken: Vec<Taken>,
}

impl History {
    fn logs<'a>(&'a self, kind: StepKind, person: Option<&'a str>) -> Vec<f64> {
        self.taken
            .iter()
            .filter(|t| t.kind == kind && person.is_none_or(|p| t.person == p))
            .filter(|t| t.planned_min > 0.0 && t.took_min > 0.0)
            .map(|t| (t.took_min / t.planned_min).ln())
            .collect()
    }

    /// How many steps of a kind (by a person) are known.
    pub fn known(&self, kind: StepKind, person: Option<&str>) -> usize {
        self.logs(kind, person).len()
    }

    /// What is believed of a kind of step.
    pub fn belief(&self, kind: StepKind, standard: ThreePoint) -> Belief {
        Belief::of_standard(standard).after(&self.logs(kind, None))
    }

    /// What is believed of a person at a kind of step: starts from what everybody takes, then their own.
    pub fn belief_of(&self, kind: StepKind, person: &str, standard: ThreePoint) -> Belief {
        let others: Vec<f64> = self
            .taken
            .iter()
            .filter(|t| t.kind == kind && t.person != person && t.planned_min > 0.0 && t.took_min > 0.0)
            .map(|t| (t.took_min / t.planned_min).ln())
            .collect();
        Belief::of_standard(standard).after(&others).at_most(STANDARD_COUNTS).after(&self.logs(kind, Some(person)))
    }

    /// The shop's standards as its history has them.
    pub fn standards(&self, old: &BTreeMap<StepKind, ThreePoint>) -> BTreeMap<StepKind, ThreePoint> {
        old.iter().map(|(k, t)| (*k, if self.known(*k, None) == 0 { *t } else { self.belief(*k, *t).standard(*t) })).collect()
    }

    /// The standards of a person.
    pub fn standards_of(&self, person: &str, old: &BTreeMap<StepKind, ThreePoint>) -> BTreeMap<StepKind, ThreePoint> {
        old.iter().map(|(k, t)| (*k, if self.known(*k, None) == 0 { *t } else { self.belief_of(*k, person, *t).standard(*t) })).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DENT: ThreePoint = ThreePoint { least: 4.0, likely: 8.0, most: 18.0 };

    #[test]
    fn the_update_is_the_one_of_the_book() {
        // Closed form: κ₀ = 1, μ₀ = 0, α₀ = 2, β₀ = 1; data 1 and 3: x̄ = 2, Σ(x − x̄)² = 2.
        let b = Belief { mean: 0.0, weight: 1.0, shape: 2.0, rate: 1.0 }.after(&[1.0, 3.0]);
        assert!((b.mean - 4.0 / 3.0).abs() < 1e-12 && b.weight == 3.0 && b.shape == 3.0);
        // β = 1 + 2/2 + 1·2·(2 − 0)²/(2·3) = 2 + 4/3.
        assert!((b.rate - (2.0 + 4.0 / 3.0)).abs() < 1e-12);
        // One by one comes to the same.
        let one = Belief { mean: 0.0, weight: 1.0, shape: 2.0, rate: 1.0 }.after(&[1.0]).after(&[3.0]);
        assert!((one.rate - b.rate).abs() < 1e-12 && (one.mean - b.mean).abs() < 1e-12);
    }

    #[test]
    fn nothing_learnt_changes_nothing() {
        let history = History::default();
        let old = BTreeMap::from([(StepKind::Dent, DENT)]);
        assert_eq!(history.standards(&old), old);
    }

    #[test]
    fn a_slow_shop_learns_that_it_is_slow_and_a_steady_one_that_it_is_steady() {
        let taken = |n: usize, scatter: f64| History {
            taken: (0..n)
                .map(|i| Taken {
                    kind: StepKind::Dent,
                    person: "a".to_owned(),
                    planned_min: DENT.mean(),
                    took_min: 1.5 * DENT.mean() * if i % 2 == 0 { scatter } else { 1.0 / scatter },
                })
                .collect(),
        };
        let standard = |h: &History| h.belief(StepKind::Dent, DENT).standard(DENT);
        let (few, many) = (standard(&taken(2, 1.05)), standard(&taken(200, 1.05)));
        assert!(DENT.mean() < few.mean() && few.mean() < many.mean() && (many.mean() / (1.5 * DENT.mean()) - 1.0).abs() < 0.03);
        assert!(many.sd() / many.mean() < 0.12 && few.sd() > many.sd());
        assert!(standard(&taken(200, 1.6)).sd() > 2.0 * many.sd());
    }

    #[test]
    fn a_new_person_starts_from_everybody_and_moves_to_their_own_pace() {
        let mut history = History::default();
        let mut add = |person: &str, factor: f64, n: usize| {
            history.taken.extend((0..n).map(|_| Taken {
                kind: StepKind::Dent,
                person: person.to_owned(),
                planned_min: 10.0,
                took_min: 10.0 * factor,
            }));
        };
        add("quick", 0.8, 40);
        add("new", 1.6, 3);
        let mean = |p: &str, h: &History| h.belief_of(StepKind::Dent, p, DENT).mean.exp();
        assert!(mean("quick", &history) < 0.9);
        let at_first = mean("new", &history);
        assert!(at_first > 0.9 && at_first < 1.4);
        history.taken.extend((0..60).map(|_| Taken { kind: StepKind::Dent, person: "new".to_owned(), planned_min: 10.0, took_min: 16.0 }));
        assert!((mean("new", &history) - 1.6).abs() < 0.1);
    }
}
