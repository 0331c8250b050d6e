//! Writes the choice behind the plan of the demo's tuba with so many dents, with what the search found and how long it took,
//! one JSON a line, for `crates/plan/validation/highs.py`: `cargo run --release -p job --example choices -- 41 60 100 200`.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{rack_and_shop, tuba_with};
use plan::Overrules;

fn main() {
    let (rack, shop) = rack_and_shop();
    for dents in std::env::args().skip(1).filter_map(|a| a.parse().ok()) {
        let survey = tuba_with(dents);
        let assessments = dent::assess_all(&survey);
        let ways = reach::ways(&survey, &assessments, &rack);
        let problem = plan::choice(&survey, &assessments, &ways, &shop.standards, &Overrules::default());
        // Processor time, so that what else the machine does counts little; ten runs, because the kernel counts it in ticks.
        const RUNS: u32 = 10;
        let start = processor_seconds();
        let mut found = None;
        for _ in 0..RUNS {
            found = problem.solve();
        }
        let seconds = (processor_seconds() - start) / f64::from(RUNS);
        let found = found.map(|s| serde_json::json!({ "cost": s.cost, "bound": s.bound, "nodes": s.nodes }));
        println!("{}", serde_json::json!({ "problem": problem, "found": found, "seconds": seconds }));
    }
}

/// Time that this thread has had the processor, s: Linux's own count.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|ns| ns.parse::<f64>().ok()).map_or(f64::NAN, |ns| ns / 1e9)
}
