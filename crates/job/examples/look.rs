//! A job on one page, with the processor time of each stage (all threads): `cargo run --release -p job --example look -- ox-tuba`. Without
//! a name: all of the demo's cases, only their times (for the peak memory: `/usr/bin/time -v`). A number in a name's place:
//! the times of the tuba with so many dents.

#[path = "../tests/common/mod.rs"]
mod common;

use common::tuba_with;
use fixtures::demo::{CASES, rack_and_shop, read};
use instrument::Survey;
use plan::Overrules;

fn main() {
    let names: Vec<String> = std::env::args().skip(1).collect();
    if names.is_empty() {
        CASES.iter().for_each(|name| one(name, &read(name), false));
    }
    for name in &names {
        match name.parse() {
            Ok(count) => one("the tuba", &tuba_with(count), false),
            Err(_) => one(name, &read(name), true),
        }
    }
}

fn one(name: &str, survey: &Survey, in_full: bool) {
    let (rack, shop) = rack_and_shop();
    let none = Overrules::default();
    let (assessments, assess_ms) = timed(|| dent::assess_all(survey));
    let (methods, methods_ms) = timed(|| reach::methods(survey, &assessments, &rack));
    let ((plan, others), plan_ms) =
        timed(|| job::plans(plan::Level::Good, survey, &assessments, &methods, &plan::Heats::new(&survey.instrument, &rack), &shop, &none));
    let (quote, quote_ms) = timed(|| quote::quote(survey, &plan, &others, &shop));
    println!(
        "{name}: {} dents, {} joints, {} overlays; assess {assess_ms:.0} ms, ways {methods_ms:.0} ms, plans of all levels {plan_ms:.0} ms, quote {quote_ms:.0} ms; {} choices looked at, gap {:.2}",
        survey.dents.len(),
        survey.instrument.joints.len(),
        survey.instrument.overlays.len(),
        plan.certificate.nodes,
        plan.certificate.cost_money - plan.certificate.bound_money,
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
            s.what.metric(),
            dents.join(" "),
            cautions.join(", ")
        );
    }
    for c in &plan.choices {
        let f = &c.method.force_hand_n;
        println!(
            "{}: {:?} {:.2} mm, {:.0} ({:.0}–{:.0}) N of {:.0} N, cost {:.0}; {}",
            c.dent,
            c.method.kind,
            c.method.size_mm,
            f.value,
            f.low,
            f.high,
            c.method.force_limit_n,
            c.cost_money.value,
            c.because.metric()
        );
    }
    for n in &plan.not_done {
        println!("not done: {}: {} {}", n.what.metric(), n.because.metric(), n.make.as_ref().map_or(String::new(), |m| m.words().metric()));
    }
    for (t, dents) in &plan.tools_to_make {
        println!("make: {} for {}", t.words().metric(), dents.iter().map(|d| d.0.as_str()).collect::<Vec<_>>().join(" "));
    }
    for a in &plan.assumptions {
        println!("assumed: {} {}", a.what.metric(), a.would_change.metric());
    }
    for a in &plan.alternatives {
        println!("or: {}", a.differs.metric());
    }
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
    println!("{} steps, {:?}, {:?}", plan.steps.len(), plan.order, plan.certificate);
}

/// What a stage gives, and the processor time that it takes, all threads together, ms: the mean of as many runs as make the
/// kernel's ticks of 10 ms fine enough.
fn timed<T>(stage: impl Fn() -> T) -> (T, f64) {
    const RUNS: u32 = 20;
    let start = processor_ms();
    let mut made = stage();
    for _ in 1..RUNS {
        made = stage();
    }
    (made, (processor_ms() - start) / f64::from(RUNS))
}

/// Processor time of this process so far, ended threads too, ms: user and system time of `/proc/self/stat`, in Linux's ticks.
fn processor_ms() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = text.rsplit(')').next().unwrap_or_default();
    let ticks: f64 = after_name.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<f64>().ok()).sum();
    10.0 * ticks
}
