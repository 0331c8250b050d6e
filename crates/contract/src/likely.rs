//! How likely all benches are to be done by the deadline.
//!
//! A bench's time is the sum of its jobs', times a factor for the person and one for the contract, which all benches share.
//! Jobs are independent but for those; sums and products are taken as lognormal with the same mean and variance (as
//! `quote::times::SUM` says of one job).

use crate::model::Spread;
use quote::times::normal_cdf;

/// What a bench has to do.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// Mean of its jobs' sum, minutes.
    pub mean_min: f64,
    /// Variance of its jobs' sum, minutes squared.
    pub variance: f64,
    /// What there is, minutes.
    pub there_min: f64,
}

impl Load {
    /// Adds a job.
    pub fn add(&mut self, mean_min: f64, sd_min: f64) {
        self.mean_min += mean_min;
        self.variance += sd_min * sd_min;
    }

    /// The likelihood that the bench is done where the contract's factor is `factor` and its mean work is `k` times as much.
    fn done(&self, k: f64, factor: f64, person: f64) -> f64 {
        if !(self.mean_min > 0.0) {
            return 1.0;
        }
        if !(self.there_min > 0.0) {
            return 0.0;
        }
        let jobs = self.variance / (self.mean_min * self.mean_min);
        // Closed form: (1 + cv²) of a product of independent factors is the product of theirs.
        let s2 = ((1.0 + jobs) * (1.0 + person * person)).ln();
        let z = (self.there_min / (self.mean_min * k * factor)).ln() + 0.5 * s2;
        if s2 <= 0.0 { f64::from(u8::from(z >= 0.0)) } else { normal_cdf(z / s2.sqrt()) }
    }
}

/// The likelihood that all benches are done, each with `k` times its mean work; by Simpson's rule over the shared factor.
fn all_done_at(loads: &[Load], spread: Spread, k: f64) -> f64 {
    const STEPS: i32 = 160;
    const TO: f64 = 6.0;
    let s = (1.0 + spread.contract * spread.contract).ln().sqrt();
    let h = 2.0 * TO / f64::from(STEPS);
    let (mut sum, mut weights) = (0.0, 0.0);
    for i in 0..=STEPS {
        let z = -TO + h * f64::from(i);
        let simpson = if i == 0 || i == STEPS { 1.0 } else { 2.0 + 2.0 * f64::from(i % 2) };
        let w = simpson * (-0.5 * z * z).exp();
        let factor = (s * z - 0.5 * s * s).exp();
        sum += w * loads.iter().map(|l| l.done(k, factor, spread.person)).product::<f64>();
        weights += w;
    }
    sum / weights
}

/// The likelihood that all benches are done in the minutes that they have.
pub fn all_done(loads: &[Load], spread: Spread) -> f64 {
    all_done_at(loads, spread, 1.0)
}

/// The likelihood that one bench is.
pub fn one_done(load: &Load, spread: Spread) -> f64 {
    all_done_at(std::slice::from_ref(load), spread, 1.0)
}

/// By how much the benches' mean work may be multiplied so that all are done with the likelihood that is asked for.
pub fn stretch(loads: &[Load], spread: Spread, likelihood: f64) -> f64 {
    let (mut low, mut high) = (0.0, 50.0);
    for _ in 0..60 {
        let k = 0.5 * (low + high);
        if all_done_at(loads, spread, k) >= likelihood { low = k } else { high = k }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;
    use quote::times::normal_quantile;

    #[test]
    fn one_bench_with_one_factor_is_the_lognormal_of_the_tables() {
        // Closed form: without spread of the jobs, P(T ≤ there) of a lognormal factor with cv c and mean 1; at likelihood p the
        // mean may be there·exp(s²/2 − z_p s), s² = ln(1 + c²); z_0.8 = 0.841621 (standard normal table).
        let load = Load { mean_min: 1000.0, variance: 0.0, there_min: 1000.0 };
        for (person, contract) in [(0.2, 0.0), (0.1, 0.2)] {
            let s2 = ((1.0_f64 + person * person) * (1.0 + contract * contract)).ln();
            let expected = (0.5 * s2 - 0.841_621 * s2.sqrt()).exp();
            assert!((stretch(&[load], Spread { person, contract }, 0.8) - expected).abs() < 1e-4, "{person} {contract}");
        }
        assert!((normal_quantile(0.8) - 0.841_621).abs() < 1e-6);
    }

    #[test]
    fn benches_apart_multiply_and_benches_with_one_factor_go_together() {
        let load = Load { mean_min: 1000.0, variance: 10_000.0, there_min: 1084.0 };
        let apart = Spread { person: 0.0, contract: 0.0 };
        let one = one_done(&load, apart);
        assert!((all_done(&[load; 3], apart) - one.powi(3)).abs() < 1e-9);
        let shared = Spread { person: 0.0, contract: 0.3 };
        let (one, three) = (one_done(&load, shared), all_done(&[load; 3], shared));
        assert!(three > one.powi(3) + 0.05 && three < one);
    }
}
