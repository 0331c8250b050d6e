//! The time of a job: the steps' three points summed with correlation.
//!
//! Each step has the PERT mean m and deviation s; with a correlation r between every two steps of a job the sum has mean Σm
//! and variance (1 − r)·Σs² + r·(Σs)² (closed form). The sum is taken as lognormal with these two moments, because a job
//! never takes less than nothing and its long side is up (common practice, no source).

use plan::Plan;
use serde::{Deserialize, Serialize};
use units::ThreePoint;

/// Minutes of a job.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobMinutes {
    /// Mean.
    pub mean: f64,
    /// One job in ten takes less.
    pub p10: f64,
    /// Half of the jobs take less.
    pub p50: f64,
    /// Nine jobs in ten take less.
    pub p90: f64,
    /// Deviation of the logarithm; 0 where the time is certain.
    pub log_sd: f64,
}

impl JobMinutes {
    /// Of a plan's steps.
    pub fn of(plan: &Plan, correlation: f64) -> Self {
        let parts: Vec<ThreePoint> = plan.steps.iter().map(|s| s.minutes).collect();
        Self::sum(&parts, correlation)
    }

    /// Of three-point times with a correlation (0 to 1) between every two of them.
    pub fn sum(parts: &[ThreePoint], correlation: f64) -> Self {
        let r = correlation.clamp(0.0, 1.0);
        let mean: f64 = parts.iter().map(|p| p.mean()).sum();
        let squares: f64 = parts.iter().map(|p| p.sd() * p.sd()).sum();
        let plain: f64 = parts.iter().map(|p| p.sd()).sum();
        let variance = (1.0 - r) * squares + r * plain * plain;
        if mean <= 0.0 {
            return Self { mean: 0.0, p10: 0.0, p50: 0.0, p90: 0.0, log_sd: 0.0 };
        }
        let log_sd = (1.0 + variance / (mean * mean)).ln().sqrt();
        let p50 = mean * (-log_sd * log_sd / 2.0).exp();
        // 1.2816 is the 90 % point of the normal distribution.
        Self { mean, p10: p50 * (-Z10 * log_sd).exp(), p50, p90: p50 * (Z10 * log_sd).exp(), log_sd }
    }

    /// The minutes within which a part (0 to 1) of such jobs stays.
    pub fn within(&self, part: f64) -> f64 {
        self.p50 * (normal_quantile(part.clamp(0.01, 0.99)) * self.log_sd).exp()
    }
}

const Z10: f64 = 1.281_551_565_544_600_4;

/// Quantile of the standard normal distribution: Acklam's rational approximation, relative error below 1.2e-9 (from memory
/// of P. J. Acklam, 2003).
pub fn normal_quantile(p: f64) -> f64 {
    const A: [f64; 6] =
        [-3.969_683_028_665_376e1, 2.209_460_984_245_205e2, -2.759_285_104_469_687e2, 1.383_577_518_672_690e2, -3.066_479_806_614_716e1, 2.506_628_277_459_239];
    const B: [f64; 5] = [-5.447_609_879_822_406e1, 1.615_858_368_580_409e2, -1.556_989_798_598_866e2, 6.680_131_188_771_972e1, -1.328_068_155_288_572e1];
    const C: [f64; 6] =
        [-7.784_894_002_430_293e-3, -3.223_964_580_411_365e-1, -2.400_758_277_161_838, -2.549_732_539_343_734, 4.374_664_141_464_968, 2.938_163_982_698_783];
    const D: [f64; 4] = [7.784_695_709_041_462e-3, 3.224_671_290_700_398e-1, 2.445_134_137_142_996, 3.754_408_661_907_416];
    let tail = |q: f64| {
        (((((C[0] * q + C[1]) * q + C[2]) * q + C[3]) * q + C[4]) * q + C[5]) / ((((D[0] * q + D[1]) * q + D[2]) * q + D[3]) * q + 1.0)
    };
    if p < 0.024_25 {
        tail((-2.0 * p.ln()).sqrt())
    } else if p > 1.0 - 0.024_25 {
        -tail((-2.0 * (1.0 - p).ln()).sqrt())
    } else {
        let q = p - 0.5;
        let r = q * q;
        (((((A[0] * r + A[1]) * r + A[2]) * r + A[3]) * r + A[4]) * r + A[5]) * q / (((((B[0] * r + B[1]) * r + B[2]) * r + B[3]) * r + B[4]) * r + 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_the_tables() {
        // Abramowitz & Stegun, table 26.5 (from memory).
        for (p, z) in [(0.5, 0.0), (0.9, 1.281_552), (0.95, 1.644_854), (0.975, 1.959_964), (0.99, 2.326_348), (0.01, -2.326_348)] {
            assert!((normal_quantile(p) - z).abs() < 1e-5, "{p}");
        }
    }

    #[test]
    fn correlation_widens_and_leaves_the_mean() {
        let parts = vec![ThreePoint::new(5.0, 10.0, 20.0); 12];
        let (alone, together) = (JobMinutes::sum(&parts, 0.0), JobMinutes::sum(&parts, 1.0));
        assert!((alone.mean - together.mean).abs() < 1e-9);
        assert!(together.p90 - together.p10 > 2.0 * (alone.p90 - alone.p10));
        // Independent: variance Σs² = 12·2.5²; lognormal moments give it back.
        let v = alone.mean * alone.mean * (alone.log_sd * alone.log_sd).exp_m1();
        assert!((v - 12.0 * 2.5 * 2.5).abs() < 1e-9);
        assert!((alone.within(0.9) - alone.p90).abs() < 1e-6);
    }
}
