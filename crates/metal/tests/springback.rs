//! Springback over all bends that a wall can have, held to what it must do.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that cannot go on may stop")]

use metal::springback::{Bending, unbend};
use metal::{Alloy, Curve, Temper};

/// From bends that hardly yield to a wall folded on itself the way back is found, and what springs back is elastic (C): the change of
/// curvature of a let-go strip is M/(E' t³/12), M no more than a wall wholly plastic at its surface's stress, so the over-push is less
/// than 3 σ/(E' t/2) and more than nothing, and it grows with the bend no faster than the bend.
#[test]
fn every_bend_has_its_way_back() {
    for alloy in Alloy::ALL {
        for temper in [0.0, 1.0, 2.0, 4.0, 8.0] {
            let curve = Curve::fit(alloy, Temper(temper));
            let mut before: Option<(f64, f64)> = None;
            for i in 0..=60 {
                let strain = 1e-3 * 10.0_f64.powf(f64::from(i) / 20.0);
                let push = unbend(&curve, 1.0, -2.0 * strain, 0.0, Bending::default())
                    .unwrap_or_else(|| unreachable!("{alloy:?} {temper} {strain}"));
                let most = 3.0 * curve.stress_mpa(push.strain_total.max(0.0)) / (curve.e_mpa * 0.5);
                let springs = push.push_curvature.abs();
                assert!(springs >= 0.0 && springs <= 1.3 * most, "{alloy:?} {temper} {strain}: {springs} {most}");
                if let Some((s, sprang)) = before {
                    assert!(
                        springs >= sprang - 1e-9 && springs / sprang.max(1e-12) <= 1.05 * (strain / s) || sprang < 1e-9,
                        "{alloy:?} {temper} {strain}: {springs} {sprang}"
                    );
                }
                before = Some((strain, springs));
            }
        }
    }
}
