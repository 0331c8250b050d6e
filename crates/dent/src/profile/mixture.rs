//! A mixture of Student distributions, and its quantiles.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// One part of a mixture.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// Weight; the weights of a mixture sum to 1.
    pub weight: f64,
    /// Middle.
    pub middle: f64,
    /// Scale.
    pub scale: f64,
}

/// Student's distribution function of one number of degrees of freedom, tabulated: a fit asks it thousands of times.
pub struct Student {
    below: Vec<f64>,
}

/// Step of the table in t.
const STEP: f64 = 0.05;
/// Where the table ends: beyond it the tail counts as nothing.
const END: f64 = 40.0;

impl Student {
    /// Tabulates. `freedom` must be positive; what is not is taken as 1.
    pub fn new(freedom: f64) -> Self {
        let count = (END / STEP) as usize + 1;
        let below = match StudentsT::new(0.0, 1.0, if freedom > 0.0 { freedom } else { 1.0 }) {
            Ok(t) => {
                let mut last = 0.5;
                (0..count)
                    .map(|i| {
                        // Where the tail is down to a millionth the rest of the table is 1.
                        if last < 0.999_999 {
                            last = t.cdf(STEP * i as f64);
                        }
                        last
                    })
                    .collect()
            }
            Err(_) => vec![1.0; count],
        };
        Self { below }
    }

    /// Probability of lying below `t`.
    pub fn below(&self, t: f64) -> f64 {
        let at = t.abs() / STEP;
        let i = at as usize;
        let p = match (self.below.get(i), self.below.get(i + 1)) {
            (Some(a), Some(b)) => a + (b - a) * (at - i as f64),
            _ => 1.0,
        };
        if t < 0.0 { 1.0 - p } else { p }
    }
}

/// Quantiles of a mixture at the given probabilities.
pub fn quantiles<const N: usize>(parts: &[Part], student: &Student, at: [f64; N]) -> [f64; N] {
    let below = |x: f64| -> f64 { parts.iter().map(|p| p.weight * student.below((x - p.middle) / p.scale.max(1e-300))).sum() };
    let total: f64 = parts.iter().map(|p| p.weight).sum();
    let low = parts.iter().map(|p| p.middle - END * p.scale).fold(f64::INFINITY, f64::min);
    let high = parts.iter().map(|p| p.middle + END * p.scale).fold(f64::NEG_INFINITY, f64::max);
    at.map(|q| {
        let (mut a, mut b) = (low, high);
        for _ in 0..36 {
            let m = (a + b) / 2.0;
            if below(m) < q * total { a = m } else { b = m }
        }
        (a + b) / 2.0
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_part_is_the_table_s_student() {
        // t at 95 %, 10 degrees of freedom: 1.812 (tables of Student's distribution, from memory).
        let [q] = quantiles(&[Part { weight: 1.0, middle: 3.0, scale: 2.0 }], &Student::new(10.0), [0.95]);
        assert!((q - (3.0 + 2.0 * 1.8125)).abs() < 5e-3, "{q}");
    }

    #[test]
    fn two_far_parts_share_the_tails() {
        let parts = [Part { weight: 0.5, middle: -10.0, scale: 0.1 }, Part { weight: 0.5, middle: 10.0, scale: 0.1 }];
        let [low, high] = quantiles(&parts, &Student::new(30.0), [0.25, 0.75]);
        assert!((low + 10.0).abs() < 0.01 && (high - 10.0).abs() < 0.01);
    }
}
