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
    /// Variance of the logarithm of a lognormal quantity with this mean and deviation: ln(1 + sd²/mean²); 0 where nothing is known of it.
    pub fn log_variance(self) -> f64 {
        let mean = self.mean();
        if mean > 0.0 { (self.sd() / mean).powi(2).ln_1p() } else { 0.0 }
    }
    /// Three points with another mean and deviation, leaning as these do. Nothing takes less than nothing: where the deviation
    /// would lead below, the least is 0 and the mean is kept.
    #[must_use]
    pub fn moved_to(self, mean: f64, sd: f64) -> Self {
        if !(mean > 0.0 && mean.is_finite() && sd >= 0.0 && sd.is_finite()) {
            return self;
        }
        let span = self.most - self.least;
        let lean = if span > 0.0 { (self.likely - self.least) / span } else { 0.3 };
        let width = 6.0 * sd;
        // mean = least + width·(1 + 4·lean)/6, with likely = least + lean·width and most = least + width.
        let least = mean - width * (1.0 + 4.0 * lean) / 6.0;
        if least >= 0.0 {
            return Self::new(least, least + lean * width, least + width);
        }
        let most = width.min(6.0 * mean);
        Self::new(0.0, ((6.0 * mean - most) / 4.0).clamp(0.0, most), most)
    }
    /// Where the PERT mean and variance come from.
    pub const SOURCE: Source = Source::from_memory("PERT: Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959)");
}

#[cfg(test)]
mod tests {
    use super::ThreePoint;

    #[test]
    fn moved_points_have_the_mean_and_the_deviation_that_were_asked_for() {
        let t = ThreePoint::new(4.0, 8.0, 18.0);
        let m = t.moved_to(12.0, 1.5);
        assert!((m.mean() - 12.0).abs() < 1e-9 && (m.sd() - 1.5).abs() < 1e-9);
        // The lean is kept: 4 of 14 from the least.
        assert!(((m.likely - m.least) / (m.most - m.least) - 4.0 / 14.0).abs() < 1e-9);
        let wide = t.moved_to(12.0, 11.0);
        assert!(wide.least >= 0.0 && (wide.mean() - 12.0).abs() < 1e-9);
        assert_eq!(t.moved_to(f64::NAN, 1.0), t);
        // By hand: mean 9, deviation 7/3: ln(1 + (7/27)²) = 0.06506.
        assert!((t.log_variance() - 0.065_06).abs() < 1e-5, "{}", t.log_variance());
    }
}
