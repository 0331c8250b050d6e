//! How well past quotes held: how many jobs stayed within what was said.

use crate::times::Times;
use serde::{Deserialize, Serialize};
use statrs::distribution::{Beta, ContinuousCDF};

/// A finished job: what was said and what it took.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Past {
    /// The times that were quoted.
    pub said: Times,
    /// Minutes that it took.
    pub took_min: f64,
}

/// How well quotes held.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Coverage {
    /// Jobs looked at.
    pub jobs: usize,
    /// Of them between the 10 % and the 90 % point; eight in ten are meant.
    pub within: usize,
    /// Of them quicker than the middle; half are meant.
    pub below_middle: usize,
    /// Mean of time taken over the mean that was said.
    pub ratio: f64,
    /// Between these parts lies, with 90 % credibility, the true share within; from an even prior.
    pub within_90: (f64, f64),
    /// In plain words.
    pub words: String,
}

/// Fewer finished jobs than this say nothing.
const FEWEST: usize = 5;

/// How well past quotes held; none where none is finished.
pub fn coverage(past: &[Past]) -> Option<Coverage> {
    let usable: Vec<&Past> = past.iter().filter(|p| p.took_min > 0.0 && p.took_min.is_finite() && p.said.mean_min > 0.0).collect();
    let jobs = usable.len();
    if jobs == 0 {
        return None;
    }
    let within = usable.iter().filter(|p| p.took_min >= p.said.p10_min && p.took_min <= p.said.p90_min).count();
    let below_middle = usable.iter().filter(|p| p.took_min < p.said.p50_min).count();
    let ratio = usable.iter().map(|p| p.took_min / p.said.mean_min).sum::<f64>() / jobs as f64;
    let within_90 = (beta_quantile(within, jobs, 0.05), beta_quantile(within, jobs, 0.95));
    let words = if jobs < FEWEST {
        format!("Only {jobs} finished job{} to judge by: too few to say how well our times hold.", if jobs == 1 { "" } else { "s" })
    } else {
        let judged = if within_90.1 < 0.8 {
            "our times were too sure of themselves"
        } else if within_90.0 > 0.8 {
            "our times were more careful than need be"
        } else {
            "that is as it should be"
        };
        format!(
            "Of {jobs} finished jobs {within} stayed between the times we had said (eight in ten are meant): {judged}. On average they took {ratio:.2} times what we had said."
        )
    };
    Some(Coverage { jobs, within, below_middle, ratio, within_90, words })
}

/// Quantile of the share after `hits` of `n` from an even prior: Beta(hits + 1, n − hits + 1) (closed form: the beta distribution
/// is conjugate to the binomial).
fn beta_quantile(hits: usize, n: usize, p: f64) -> f64 {
    Beta::new(hits as f64 + 1.0, n.saturating_sub(hits) as f64 + 1.0).map_or(0.5, |share| share.inverse_cdf(p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::ThreePoint;

    fn past(took: &[f64]) -> Vec<Past> {
        let said = Times::of([ThreePoint::new(60.0, 100.0, 180.0)], 0.0);
        took.iter().map(|t| Past { said, took_min: *t }).collect()
    }

    #[test]
    fn the_interval_is_that_of_the_beta_distribution() {
        // Beta(1, 1) is even: its 5 % point is 0.05. Beta(2, 1) has the distribution function x²: √0.05.
        assert!((beta_quantile(0, 0, 0.05) - 0.05).abs() < 1e-6);
        assert!((beta_quantile(1, 1, 0.05) - 0.05_f64.sqrt()).abs() < 1e-6);
        // Beta(1, 2) has 1 − (1 − x)².
        assert!((beta_quantile(0, 1, 0.95) - (1.0 - 0.05_f64.sqrt())).abs() < 1e-6);
    }

    #[test]
    fn jobs_that_always_run_over_are_told() {
        let over = coverage(&past(&[220.0; 20])).unwrap();
        assert_eq!((over.within, over.below_middle), (0, 0));
        assert!(over.words.contains("too sure") && over.ratio > 1.8);
        let good = coverage(&past(&[90.0, 100.0, 110.0, 120.0, 95.0, 105.0, 85.0, 130.0, 200.0, 60.0])).unwrap();
        assert!(good.words.contains("as it should be"), "{good:?}");
        assert!(coverage(&past(&[100.0])).unwrap().words.contains("too few"));
        assert_eq!(coverage(&[]), None);
    }
}
