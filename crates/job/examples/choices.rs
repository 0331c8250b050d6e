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
