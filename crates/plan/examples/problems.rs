//! Writes random choices of full size with what the search found and how long it took, one JSON a line, for
//! `validation/highs.py`.
//!
//! `cargo run --release -p plan --example problems -- 20 60 40 30` writes 20 instruments with 60 dents, 40 joints and 30
//! overlays.

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

fn main() {
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let [count, dents, joints, overlays] = numbers[..] else {
        eprintln!("usage: problems COUNT DENTS JOINTS OVERLAYS");
        return;
    };
    let mut dice = common::Dice(2026);
    for _ in 0..count {
        let problem = common::instrument(&mut dice, dents, joints, overlays);
        // The least of three runs on either side, so that what else the machine does counts little.
        let mut seconds = f64::INFINITY;
        let mut found = None;
        for _ in 0..3 {
            let start = Instant::now();
            found = problem.solve();
            seconds = seconds.min(start.elapsed().as_secs_f64());
        }
        let found = found.map(|s| serde_json::json!({ "cost": s.cost, "bound": s.bound, "nodes": s.nodes }));
        println!("{}", serde_json::json!({ "problem": problem, "found": found, "seconds": seconds }));
    }
}
