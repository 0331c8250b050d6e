//! A job on one page, with the processor time of each stage: `cargo run --release -p job --example look -- ox-tuba`. Without
//! a name: all of the demo's cases, only their times (for the peak memory: `/usr/bin/time -v`).

#[path = "../tests/common/mod.rs"]
mod common;

use common::{CASES, rack_and_shop, read};
use plan::Overrules;

fn main() {
    let names: Vec<String> = std::env::args().skip(1).collect();
    if names.is_empty() {
        CASES.iter().for_each(|name| one(name, false));
    }
    names.iter().for_each(|name| one(name, true));
}

fn one(name: &str, in_full: bool) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let survey = read(name);
    let start = processor_ms();
    let assessments = dent::assess_all(&survey);
    let assessed = processor_ms();
    let ways = reach::ways(&survey, &assessments, &rack);
    let reached = processor_ms();
    let plan = plan::plan(&survey, &assessments, &ways, &shop.standards, &none);
    let planned = processor_ms();
    let quote = quote::quote(&survey, &assessments, &ways, &none, &plan, &shop);
    let quoted = processor_ms();
    println!(
        "{name}: {} dents, {} joints, {} overlays; assess {:.1} ms, ways {:.1} ms, plan {:.1} ms, quote {:.1} ms",
        survey.dents.len(),
        survey.instrument.joints.len(),
        survey.instrument.overlays.len(),
        assessed - start,
        reached - assessed,
        planned - reached,
        quoted - planned
    );
    if !in_full {
        return;
    }
    for s in &plan.steps {
        let dents: Vec<&str> = s.dents.iter().map(|d| d.0.as_str()).collect();
        let cautions: Vec<&str> = s.cautions.iter().map(|c| c.name()).collect();
        println!(
            "{:3} [{:2}] {:4.0} min  {}  ({}) {}",
            s.number,
            s.setting,
            s.minutes.mean(),
            s.what,
            dents.join(" "),
            cautions.join(", ")
        );
    }
    for c in &plan.choices {
        let f = &c.way.force_hand_n;
        println!(
            "{}: {:?} {:.2} mm, {:.0} ({:.0}–{:.0}) N of {:.0} N, cost {:.0}; {}",
            c.dent, c.way.method, c.way.size_mm, f.value, f.low, f.high, c.way.force_limit_n, c.cost_money.value, c.because
        );
    }
    for n in &plan.not_done {
        println!("not done: {}: {} {}", n.what, n.because, n.make.as_ref().map_or("", |m| m.words.as_str()));
    }
    for (t, dents) in &plan.tools_to_make {
        println!("make: {} for {}", t.words, dents.iter().map(|d| d.0.as_str()).collect::<Vec<_>>().join(" "));
    }
    for a in &plan.assumptions {
        println!("assumed: {} {}", a.what, a.would_change);
    }
    for a in &plan.alternatives {
        println!("or: {}", a.differs);
    }
    println!("measure next: {}", plan.measure_next());
    for o in &quote.offers {
        println!(
            "{}: {} ({} to {}), {:.1} h ({:.1}–{:.1} h), {} dents, {} left",
            o.name,
            o.bill.total,
            o.range.0,
            o.range.1,
            o.times.p50_min / 60.0,
            o.times.p10_min / 60.0,
            o.times.p90_min / 60.0,
            o.dents.len(),
            o.left.len()
        );
    }
    println!("{} steps, {:?}, {:?}", plan.steps.len(), plan.order, plan.proof);
}

/// Time that this thread has had the processor, ms: Linux's own count, in its ticks.
fn processor_ms() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|ns| ns.parse::<f64>().ok()).map_or(f64::NAN, |ns| ns / 1e6)
}
