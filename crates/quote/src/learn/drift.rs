//! Drift: whether what is taken lately is no longer what the model expects. A two-sided cumulative sum over standardised residuals in the
//! order of time.

use super::model::FAR;
use serde::{Deserialize, Serialize};
use units::Source;

/// Where the test comes from.
pub const CUSUM: Source = Source::from_memory(
    "tabular cumulative sum (Page, Biometrika 41 (1954)) with reference value ½ and decision limit 8 deviations: by Siegmund’s approximation (Sequential Analysis (1985)) one false alarm in about 9,500 steps",
);

/// Half of the shift that is looked for, in deviations: one deviation is found soonest.
pub const REFERENCE: f64 = 0.5;
/// Above this sum it is said.
pub const LIMIT: f64 = 8.0;

/// Lately other than before.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drift {
    /// How many of the newest are meant: since the sum last stood at nothing.
    pub newest: u32,
    /// By what factor these are longer (above 1) or shorter than expected, in the mean of their logarithms.
    pub factor: f64,
}

/// Looks for drift over residuals in the order of time: each in its deviations, with the deviation of its logarithm. Only a sum that stands
/// above the limit at the end is told: what drifted and came back is over. One step alone counts as no further than [`FAR`].
pub fn drift(residuals: impl IntoIterator<Item = (f64, f64)>) -> Option<Drift> {
    let (mut up, mut down) = (Run::default(), Run::default());
    for (z, log_sd) in residuals.into_iter().filter(|(z, s)| z.is_finite() && s.is_finite()) {
        let z = z.clamp(-FAR, FAR);
        up.add(z - REFERENCE, z * log_sd);
        down.add(-z - REFERENCE, z * log_sd);
    }
    [up, down]
        .into_iter()
        .filter(|r| r.sum > LIMIT)
        .max_by(|a, b| a.sum.total_cmp(&b.sum))
        .map(|r| Drift { newest: r.count, factor: (r.logs / f64::from(r.count.max(1))).exp() })
}

#[derive(Clone, Copy, Default)]
struct Run {
    sum: f64,
    count: u32,
    logs: f64,
}

impl Run {
    fn add(&mut self, by: f64, log: f64) {
        self.sum += by;
        if self.sum <= 0.0 {
            *self = Self::default();
        } else {
            self.count += 1;
            self.logs += log;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fixtures::Dice;

    /// Run length until the sum of either side first passes a limit.
    fn run_length(dice: &mut Dice, limit: f64, shift: f64) -> f64 {
        let (mut up, mut down, mut n) = (0.0_f64, 0.0_f64, 0.0);
        while up <= limit && down <= limit {
            let z = dice.normal() + shift;
            up = (up + z - REFERENCE).max(0.0);
            down = (down - z - REFERENCE).max(0.0);
            n += 1.0;
        }
        n
    }

    /// Siegmund: of one side 2(e^b − b − 1) with b = h + 1.166 at k = ½; both sides half of it. At h = 5: 469; the tables of quality
    /// control (Montgomery, from memory) say 465.
    #[test]
    fn false_alarms_come_as_seldom_as_is_said() {
        let siegmund = |h: f64| (h + 1.166).exp() - (h + 1.166) - 1.0;
        assert!((siegmund(5.0) - 469.0).abs() < 1.0 && (siegmund(LIMIT) - 9_550.0).abs() < 50.0, "{}", siegmund(LIMIT));
        let mut dice = Dice(5);
        let mean = (0..400).map(|_| run_length(&mut dice, 5.0, 0.0)).sum::<f64>() / 400.0;
        assert!((mean / 465.0 - 1.0).abs() < 0.15, "{mean}");
    }

    /// The tables: a shift of one deviation is found after 10.4 steps in the mean at h = 5, about 16 at h = 8 ((h + 1.166)/½ − 2).
    #[test]
    fn a_shift_is_found_soon_and_its_size_is_told() {
        let mut dice = Dice(6);
        let mean = (0..400).map(|_| run_length(&mut dice, LIMIT, 1.0)).sum::<f64>() / 400.0;
        assert!((14.0..18.5).contains(&mean), "{mean}");
        let mut with = |shift: f64| {
            let z: Vec<(f64, f64)> = (0..160).map(|i| (dice.normal() + if i < 120 { 0.0 } else { shift }, 0.3)).collect();
            drift(z)
        };
        let found = with(1.2).unwrap();
        assert!((25..60).contains(&found.newest) && (found.factor / (0.3_f64 * 1.2).exp() - 1.0).abs() < 0.12, "{found:?}");
        assert!(with(-1.2).unwrap().factor < 0.8);
        assert_eq!(with(0.0), None);
    }
}
