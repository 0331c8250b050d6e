//! Jobs worked out with the demo's rack and shop.
#![allow(dead_code, reason = "each test, bench and example uses its own part")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use fixtures::demo::{ALL_CASES, rack_and_shop, read};
use instrument::{Dent, Survey};
use job::{Job, work_out, work_out_after};
use plan::{Decision, Overrule, Overrules};
use std::sync::OnceLock;

/// A job with the demo's rack and shop.
pub fn worked(survey: Survey) -> Job {
    worked_with(survey, &Overrules::default())
}

/// The same with decisions against the plan.
pub fn worked_with(survey: Survey, overrules: &Overrules) -> Job {
    let (rack, shop) = rack_and_shop();
    work_out(survey, rack, shop, overrules)
}

/// A case of the demo as nobody decided anything, worked out once a program.
pub fn case(name: &str) -> &'static Job {
    static WORKED: [OnceLock<Job>; ALL_CASES.len()] = [const { OnceLock::new() }; ALL_CASES.len()];
    let at = ALL_CASES.iter().position(|c| *c == name).unwrap();
    WORKED[at].get_or_init(|| worked(read(name)))
}

/// The same job with other decisions, worked out after it as the pages do: `tests/remembered.rs` holds that it comes out as from nothing.
pub fn after(job: &Job, overrules: &Overrules) -> Job {
    work_out_after(Some(job), job.plan.level, job.survey.clone(), job.rack.clone(), job.shop.clone(), overrules)
}

/// Every so many of a list are looked at, so that the tests stay short: all of them with `TRUEROUND_EVERY=1`.
pub fn every(nth: usize) -> usize {
    std::env::var("TRUEROUND_EVERY").ok().and_then(|n| n.parse().ok()).map_or(nth, |n: usize| n.max(1))
}

/// One decision.
pub fn overrule(decision: Decision) -> Overrules {
    Overrules { all: vec![Overrule { decision, who: "Ottilie".to_owned(), why: "a test".to_owned() }] }
}

/// The demo's tuba with so many dents: its own first, then more of their kinds set between them.
pub fn tuba_with(count: usize) -> Survey {
    let mut s = read("ox-tuba");
    let placed: Vec<Dent> = s.dents.iter().filter(|d| d.at_mm.is_some() && d.crack.is_none()).cloned().collect();
    for i in 0..count.saturating_sub(s.dents.len()) {
        let mut d = placed[i % placed.len()].clone();
        d.id = instrument::DentId(format!("e{i}"));
        let length = s.instrument.run(&d.run).map_or(0.0, instrument::Run::length_mm);
        if let Some(at) = &mut d.at_mm {
            // The golden section: however many, no two of a run fall together.
            at.value = (at.value + 0.618_034 * (1 + i / placed.len()) as f64 * length) % length;
        }
        d.pushed_in_by = None;
        s.dents.push(d);
    }
    s.dents.truncate(count);
    s
}
