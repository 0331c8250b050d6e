//! One line of a race against another solver: the choice, what the search found, how long it took.

use plan::choose::Problem;

/// Solves a choice again and again for a third of a second and prints its line. Processor time, so that what else the
/// machine does counts little; long enough, because the kernel counts it in ticks.
pub fn run(problem: &Problem) {
    let (start, mut runs, mut found) = (processor_seconds(), 0, None);
    while runs == 0 || processor_seconds() - start < 0.3 {
        found = problem.solve();
        runs += 1;
    }
    let seconds = (processor_seconds() - start) / f64::from(runs);
    let found = found.map(|s| serde_json::json!({ "cost": s.cost, "bound": s.bound, "nodes": s.nodes }));
    println!("{}", serde_json::json!({ "problem": problem, "found": found, "seconds": seconds }));
}

/// Time that this thread has had the processor, s: Linux's own count.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|ns| ns.parse::<f64>().ok()).map_or(f64::NAN, |ns| ns / 1e9)
}
