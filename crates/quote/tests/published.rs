//! The sum of times against the handbook.

use fixtures::Dice;
use quote::Times;
use units::ThreePoint;

/// From memory of Hillier & Lieberman, Introduction to Operations Research, "Reliable Construction Co.": the activities on
/// the critical path with optimistic, most likely and pessimistic weeks; the project's mean is 44, its variance 9, and the
/// chance of being done in 47 weeks about 0.84.
#[test]
fn a_projects_time_is_that_of_the_book() {
    let path = [
        (1.0, 2.0, 3.0),
        (2.0, 3.5, 8.0),
        (6.0, 9.0, 18.0),
        (1.0, 4.5, 5.0),
        (4.0, 4.0, 10.0),
        (3.0, 9.0, 9.0),
        (1.0, 5.5, 7.0),
        (5.0, 5.5, 9.0),
    ];
    let t = Times::of(path.map(|(a, m, b)| ThreePoint::new(a, m, b)), 0.0);
    assert!((t.mean_min - 44.0).abs() < 1e-9 && (t.sd_min * t.sd_min - 9.0).abs() < 1e-9);
    // The book takes the sum as normal; ours is lognormal, so that it cannot fall below nothing. They agree to 0.01 here.
    assert!((t.done_within(47.0) - 0.8413).abs() < 0.01, "{}", t.done_within(47.0));
}

/// Against a simulation with a fixed seed: 25 steps, each lognormal with the PERT mean and deviation, their logarithms
/// correlated by one common factor so that the steps themselves correlate by 0.3.
#[test]
fn the_sum_with_correlation_is_that_of_a_simulation() {
    let steps: Vec<ThreePoint> =
        (0..25).map(|i| ThreePoint::new(3.0 + f64::from(i % 5), 8.0 + f64::from(i), 25.0 + 3.0 * f64::from(i))).collect();
    let rho = 0.3;
    let mut dice = Dice(11);
    let shape: Vec<(f64, f64)> = steps
        .iter()
        .map(|s| {
            let s2 = (1.0 + (s.sd() / s.mean()).powi(2)).ln();
            (s.mean().ln() - 0.5 * s2, s2.sqrt())
        })
        .collect();
    let mut sums: Vec<f64> = (0..40_000)
        .map(|_| {
            let common = dice.normal();
            shape
                .iter()
                .map(|(m, s)| {
                    // Correlation of the logarithms that gives ρ between two steps of the same spread: ln(1 + ρ(e^{s²} − 1))/s².
                    let r = (1.0 + rho * (s * s).exp_m1()).ln() / (s * s);
                    (m + s * (r.sqrt() * common + (1.0 - r).sqrt() * dice.normal())).exp()
                })
                .sum()
        })
        .collect();
    sums.sort_by(f64::total_cmp);
    let at = |p: f64| sums[(p * sums.len() as f64) as usize];
    let t = Times::of(steps, rho);
    for (p, ours) in [(0.1, t.p10_min), (0.5, t.p50_min), (0.9, t.p90_min)] {
        assert!((ours / at(p) - 1.0).abs() < 0.015, "{p}: {ours} against {}", at(p));
    }
}
