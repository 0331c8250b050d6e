//! The adjoint's derivative against finite differences, to 10⁻⁶.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use acoustics::{Bore, Cut, Losses, Model, Tube, cents};

/// Every piece's area by a factor: the segments themselves, so that nothing but that is changed.
fn stretched(tube: &Tube, which: std::ops::Range<usize>, log_area: f64) -> Tube {
    let mut other = tube.clone();
    for s in &mut other.segments[which] {
        s.radius *= (log_area / 2.0).exp();
        s.slender *= (-log_area).exp();
        s.volume *= log_area.exp();
    }
    other
}

fn compare(bore: &Bore, losses: Losses) {
    let model = Model { losses, cut: Cut { longest_kl: 0.2, largest_ratio: 1.2 }, ..Model::default() };
    let tube = Tube::new(bore, &model, 1000.0);
    let all = tube.sensitivities(40.0, 900.0);
    assert!(all.len() >= 6, "{}", all.len());
    let pieces = tube.segments.len();
    for (i, by) in all.iter().enumerate() {
        for part in 0..12 {
            let which = part * pieces / 12..(part + 1) * pieces / 12;
            // Step as large as third order allows, as small as rounding does: central, and twice it for Richardson.
            let at = |h: f64| stretched(&tube, which.clone(), h).resonances_near(&[by.hz])[0].unwrap();
            let slope = |h: f64| cents(at(-h), at(h)) / (2.0 * h);
            let h = 2e-3;
            let finite = (4.0 * slope(h) - slope(2.0 * h)) / 3.0;
            let adjoint: f64 = by.cents[which.clone()].iter().sum();
            let largest = by.cents.iter().map(|c| c.abs()).fold(0.0, f64::max) * which.len() as f64;
            assert!(
                (finite - adjoint).abs() < 1e-6 * largest.max(adjoint.abs()),
                "{losses:?}, mode {}, part {part}: {adjoint} for {finite}",
                i + 1
            );
        }
    }
}

#[test]
fn sensitivities_are_the_finite_differences() {
    compare(&common::trumpet(), Losses::Full);
    compare(&common::trombone(), Losses::Full);
}

#[test]
fn sensitivities_of_the_fast_losses_are_the_finite_differences() {
    compare(&common::trumpet(), Losses::Fast);
}

/// Where a thousandth is enough, nine points about a peak do.
#[test]
fn the_coarse_sensitivities_are_good_to_a_thousandth() {
    let tube = Tube::new(&common::trumpet(), &Model::default(), 1000.0);
    let fine = tube.sensitivities(40.0, 900.0);
    let coarse = tube.sensitivities_near(&fine.iter().map(|s| s.hz).collect::<Vec<_>>());
    for (f, c) in fine.iter().zip(coarse) {
        let c = c.unwrap();
        let largest = f.cents.iter().map(|c| c.abs()).fold(0.0, f64::max);
        assert!(f.cents.iter().zip(&c.cents).all(|(a, b)| (a - b).abs() < 1e-3 * largest), "{}", f.hz);
    }
}
