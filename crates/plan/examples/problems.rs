//! Writes random choices of full size with what the search found and how long it took, one JSON a line, for
//! `validation/highs.py`.
//!
//! `cargo run --release -p plan --example problems -- 20 60 40 30` writes 20 instruments with 60 dents, 40 joints and 30
//! overlays.

#[path = "../tests/common/mod.rs"]
mod common;

fn main() {
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let [count, dents, joints, overlays] = numbers[..] else {
        eprintln!("usage: problems COUNT DENTS JOINTS OVERLAYS");
        return;
    };
    let mut dice = common::Dice(2026);
    for _ in 0..count {
        let problem = common::instrument(&mut dice, dents, joints, overlays);
        // Processor time, so that what else the machine does counts little; for a third of a second, because the kernel counts
        // it in ticks.
        let (start, mut runs) = (processor_seconds(), 0);
        let mut found = None;
        while processor_seconds() - start < 0.3 {
            found = problem.solve();
            runs += 1;
        }
        let seconds = (processor_seconds() - start) / f64::from(runs);
        let found = found.map(|s| serde_json::json!({ "cost": s.cost, "bound": s.bound, "nodes": s.nodes }));
        println!("{}", serde_json::json!({ "problem": problem, "found": found, "seconds": seconds }));
    }
}

/// Time that this thread has had the processor, s: Linux's own count.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|ns| ns.parse::<f64>().ok()).map_or(f64::NAN, |ns| ns / 1e9)
}
