//! How long a job takes: the sum of its steps, whose times go together.

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal};
use units::{Source, ThreePoint};

/// Where the sum comes from.
pub const SUM: Source = Source::from_memory(
    "PERT mean and variance of each step (Malcolm, Roseboom, Clark & Fazar 1959); one correlation between all steps; the sum taken as lognormal with the same mean and variance (Fenton, IRE Trans. Commun. Syst. 8 (1960))",
);

/// A job's time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Times {
    /// Mean, minutes.
    pub mean_min: f64,
    /// Standard deviation, minutes.
    pub sd_min: f64,
    /// One job in ten is done by then, minutes.
    pub p10_min: f64,
    /// One in two.
    pub p50_min: f64,
    /// Nine in ten.
    pub p90_min: f64,
    /// The correlation between any two steps that was used.
    pub correlation: f64,
}

impl Times {
    /// The time of steps that go together by `correlation` (0 to 1), from their minutes.
    pub fn of(minutes: impl IntoIterator<Item = ThreePoint>, correlation: f64) -> Self {
        let rho = if correlation.is_finite() { correlation.clamp(0.0, 1.0) } else { 0.0 };
        let (mut mean, mut sum_sd, mut sum_var) = (0.0, 0.0, 0.0);
        for m in minutes {
            mean += m.mean();
            sum_sd += m.sd();
            sum_var += m.sd() * m.sd();
        }
        // Var Σ = Σσ² + ρ Σ_{i≠j} σᵢσⱼ.
        let sd = ((1.0 - rho) * sum_var + rho * sum_sd * sum_sd).max(0.0).sqrt();
        Self::lognormal(mean, sd, rho)
    }

    /// The time of steps that have one factor in common whose logarithm has this variance; the rest of each step's deviation is its own.
    ///
    /// Closed form: two steps of means a and b that share it have the covariance a·b·(e^variance − 1).
    pub fn of_common(minutes: impl IntoIterator<Item = ThreePoint>, common_log_variance: f64) -> Self {
        let shared = if common_log_variance.is_finite() { common_log_variance.clamp(0.0, 2.0).exp_m1() } else { 0.0 };
        let (mut mean, mut own, mut sum_sd, mut sum_var) = (0.0, 0.0, 0.0, 0.0);
        for m in minutes {
            mean += m.mean();
            own += (m.sd().powi(2) - m.mean().powi(2) * shared).max(0.0);
            sum_sd += m.sd();
            sum_var += m.sd().powi(2);
        }
        let variance: f64 = own + mean * mean * shared;
        let pairs = sum_sd * sum_sd - sum_var;
        let correlation = if pairs > 0.0 { ((variance - sum_var) / pairs).clamp(0.0, 1.0) } else { 0.0 };
        Self::lognormal(mean, variance.max(0.0).sqrt(), correlation)
    }

    /// The same median with a spread of the logarithm that is so many times as wide.
    #[must_use]
    pub fn spread_by(&self, k: f64) -> Self {
        if !(self.mean_min > 0.0 && k > 0.0 && k.is_finite()) {
            return *self;
        }
        let log_variance = (1.0 + (self.sd_min / self.mean_min).powi(2)).ln() * k * k;
        let mean = self.p50_min * (0.5 * log_variance).exp();
        Self::lognormal(mean, mean * log_variance.exp_m1().sqrt(), self.correlation)
    }

    fn lognormal(mean_min: f64, sd_min: f64, correlation: f64) -> Self {
        let mut t = Self { mean_min, sd_min, p10_min: 0.0, p50_min: 0.0, p90_min: 0.0, correlation };
        t.p10_min = t.quantile_min(0.1);
        t.p50_min = t.quantile_min(0.5);
        t.p90_min = t.quantile_min(0.9);
        t
    }

    /// The time within which a part `p` of such jobs is done, minutes.
    pub fn quantile_min(&self, p: f64) -> f64 {
        if !(self.mean_min > 0.0) {
            return 0.0;
        }
        let s2 = (1.0 + (self.sd_min / self.mean_min).powi(2)).ln();
        (self.mean_min.ln() - 0.5 * s2 + s2.sqrt() * normal_quantile(p)).exp()
    }

    /// The part of such jobs that is done within so many minutes.
    pub fn done_within(&self, minutes: f64) -> f64 {
        if !(self.mean_min > 0.0) {
            return 1.0;
        }
        if !(minutes > 0.0) {
            return 0.0;
        }
        let s2 = (1.0 + (self.sd_min / self.mean_min).powi(2)).ln();
        if s2 <= 0.0 {
            return if minutes >= self.mean_min { 1.0 } else { 0.0 };
        }
        normal_cdf((minutes.ln() - self.mean_min.ln() + 0.5 * s2) / s2.sqrt())
    }
}

/// Distribution function of the normal distribution.
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// Its inverse, for p held between 0.0001 and 0.9999.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(if p.is_finite() { p.clamp(1e-4, 1.0 - 1e-4) } else { 0.5 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_the_tables() {
        // Standard normal tables (closed form): Φ⁻¹(0.9) = 1.281552, Φ⁻¹(0.95) = 1.644854, Φ⁻¹(0.975) = 1.959964.
        for (p, z) in [(0.5, 0.0), (0.9, 1.281_552), (0.95, 1.644_854), (0.975, 1.959_964), (0.1, -1.281_552)] {
            assert!((normal_quantile(p) - z).abs() < 1e-5);
        }
    }

    #[test]
    fn certain_steps_make_a_certain_sum() {
        let t = Times::of([ThreePoint::new(5.0, 5.0, 5.0); 3], 0.5);
        assert!((t.p10_min - 15.0).abs() < 1e-9 && (t.p90_min - 15.0).abs() < 1e-9);
        assert_eq!(Times::of([], 0.5).p90_min, 0.0);
    }

    /// By hand: two steps of mean 10 and deviation 5 with e^v − 1 = 0.09: each 3 of 5 in common, so 2·16 + 0.09·400 = 68.
    #[test]
    fn what_is_in_common_adds_up_and_what_is_not_does_not() {
        let step = ThreePoint::new(0.0, 7.5, 30.0);
        assert!((step.mean() - 10.0).abs() < 1e-9 && (step.sd() - 5.0).abs() < 1e-9);
        let t = Times::of_common([step; 2], 1.09_f64.ln());
        assert!((t.sd_min * t.sd_min - 68.0).abs() < 1e-9 && (t.correlation - 9.0 / 25.0).abs() < 1e-9);
        assert!((Times::of_common([step; 4], 0.0).sd_min - 10.0).abs() < 1e-9);
        let wide = t.spread_by(2.0);
        assert!((wide.p50_min - t.p50_min).abs() < 1e-9);
        assert!(((wide.p90_min / wide.p50_min).ln() / (t.p90_min / t.p50_min).ln() - 2.0).abs() < 1e-9);
    }

    #[test]
    fn full_correlation_adds_deviations_none_adds_variances() {
        let step = ThreePoint::new(4.0, 10.0, 28.0);
        assert!((Times::of([step; 4], 1.0).sd_min - 16.0).abs() < 1e-9);
        assert!((Times::of([step; 4], 0.0).sd_min - 8.0).abs() < 1e-9);
    }
}
