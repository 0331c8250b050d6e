//! Whether the profile fit's intervals are honest, and whether it knows a V from a round bottom.

#[path = "common/gauge.rs"]
mod gauge;

use fixtures::Dice;
use gauge::{HELD_OUT, KINKED, SHAPES, readings};
use std::collections::BTreeMap;

/// Part of `total` simulated profiles whose 90 % interval of the bottom's curvature holds the truth; printed by what they
/// have in common (`cargo test -p dent --test coverage -- --nocapture`).
#[expect(clippy::unwrap_used, reason = "a test's helper: an error is a failed test")]
fn held(seed: u64, total: usize, shapes: &[gauge::Round], counts: &[usize], noises: &[f64]) -> (f64, f64) {
    let mut dice = Dice(seed);
    let mut table: BTreeMap<String, (u32, u32, f64, u32)> = BTreeMap::new();
    for i in 0..total {
        let (name, f, curvature) = shapes[i % shapes.len()];
        let count = counts[(i / shapes.len()) % counts.len()];
        let noise = noises[(i / shapes.len() / counts.len()) % noises.len()];
        let fit = dent::profile::fit(&readings(&mut dice, f, count, noise)).unwrap();
        // Depth 2 mm, s 4 mm.
        let truth = curvature * 2.0 / 16.0;
        let k = &fit.bottom_per_mm;
        for key in [format!("shape {name}"), format!("points {count:3}"), format!("noise {noise}"), "all".to_owned()] {
            let row = table.entry(key).or_default();
            row.0 += u32::from(k.low <= truth && truth <= k.high);
            row.1 += 1;
            row.2 += (k.high - k.low) / truth;
            row.3 += u32::from(fit.kinked());
        }
    }
    for (key, (held, n, width, kinked)) in &table {
        let n = f64::from(*n);
        println!(
            "{key:24} {:5.1} % hold, width {:.2} of the truth, kinked {:.1} %",
            100.0 * f64::from(*held) / n,
            width / n,
            100.0 * f64::from(*kinked) / n
        );
    }
    let all = table["all"];
    (f64::from(all.0) / f64::from(all.1), f64::from(all.3) / f64::from(all.1))
}

#[test]
fn ninety_per_cent_intervals_hold_the_truth_nine_times_in_ten() {
    let (part, kinked) = held(20_260_401, 1000, &SHAPES, &[9, 15, 25, 41, 81], &[0.005, 0.015, 0.04]);
    assert!((0.87..=0.93).contains(&part), "{part}");
    assert!(kinked < 0.01, "round bottoms taken for kinks: {kinked}");
}

#[test]
fn so_they_do_on_shapes_that_the_priors_have_not_seen() {
    let (part, kinked) = held(777_001, 1000, &HELD_OUT, &[7, 12, 31, 61], &[0.008, 0.025]);
    assert!((0.87..=0.95).contains(&part), "{part}");
    assert!(kinked < 0.01, "round bottoms taken for kinks: {kinked}");
}

/// The fewest points and the most that a gauge gives (5 to 200).
#[test]
fn five_points_claim_little_and_two_hundred_hold() {
    // Five points over the whole dent leave the bottom nearly open: the interval is wide, and must not claim too much.
    let (few, kinked_few) = held(911_005, 240, &SHAPES, &[5], &[0.005, 0.015, 0.04]);
    assert!(few >= 0.87, "{few}");
    assert!(kinked_few < 0.02, "round bottoms taken for kinks: {kinked_few}");
    // Of 240 draws at 0.9 one in two hundred falls below 85 %, one in two hundred above 95 % (binomial, C).
    let (many, kinked_many) = held(911_200, 240, &SHAPES, &[200], &[0.005, 0.015, 0.04]);
    assert!((0.85..=0.95).contains(&many), "{many}");
    assert!(kinked_many < 0.01, "round bottoms taken for kinks: {kinked_many}");
}

#[test]
fn a_v_is_found_as_such() {
    let mut dice = Dice(31_337);
    for (name, f) in KINKED {
        // With 41 points at half a per cent of noise a V is known nearly always; at one or two per cent hollow flanks can hide a rounding of less
        // than a gap, and two of three are found.
        for (count, noise, least) in [(41, 0.005, 0.95), (41, 0.01, 0.67), (81, 0.02, 0.67)] {
            let total = 60;
            let found = (0..total).filter(|_| dent::profile::fit(&readings(&mut dice, f, count, noise)).unwrap().kinked()).count();
            let part = found as f64 / f64::from(total);
            println!("{name}, {count} points, noise {noise}: found {:.0} %", 100.0 * part);
            assert!(part >= least, "{name} {count} {noise}: {part}");
        }
    }
}
