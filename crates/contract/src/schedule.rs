//! Who does what when: the jobs of each bench in their order, laid over its days.
//!
//! What was begun comes first, then what a school wants back by a day, then musts and the higher priority; horns that need
//! the same tool to be made, and horns of a kind, stand together, so that setups serve several. Times are the expected ones;
//! what the deadline is kept by is the reserve that the plan leaves behind them.

use crate::assigned::Assigned;
use crate::model::{Bench, Contract};
use serde::{Deserialize, Serialize};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// A stretch of work on one day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stretch {
    /// The day (ISO 8601).
    pub date: String,
    /// Minutes after midnight at which it begins.
    pub from_min: u32,
    /// Minutes after midnight at which it ends.
    pub to_min: u32,
}

/// Something done at a bench: a job, or a tool that is made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Visit {
    /// The bench.
    pub bench: String,
    /// The instrument's tag; for a tool that of the first instrument that needs it.
    pub tag: String,
    /// The tool that is made; none for the job itself.
    pub tool: Option<String>,
    /// Minutes, expected.
    pub minutes: f64,
    /// When: a stretch a day.
    pub when: Vec<Stretch>,
}

/// The jobs of all benches in their order.
pub fn schedule(contract: &Contract, assigned: &[Assigned]) -> Vec<Visit> {
    let mut made: BTreeSet<&str> = contract.tools.iter().filter(|t| t.there).map(|t| t.id.as_str()).collect();
    let mut visits = Vec::new();
    for bench in &contract.benches {
        let jobs = in_order(contract, assigned.iter().filter(|a| a.bench == bench.id).collect());
        let mut clock = Clock { bench, day: 0, used: 0.0 };
        for job in jobs {
            let tools = contract.horn(&job.tag).and_then(|h| h.offer(job.level)).map(|o| o.tools.as_slice()).unwrap_or_default();
            for id in tools {
                let Some(tool) = contract.tools.iter().find(|t| t.id == *id) else { continue };
                // What was begun has its tools.
                if made.insert(&tool.id) && tool.mean_min > 0.0 && !job.begun {
                    let minutes = tool.mean_min * bench.pace;
                    visits.push(Visit {
                        bench: bench.id.clone(),
                        tag: job.tag.clone(),
                        tool: Some(tool.id.clone()),
                        minutes,
                        when: clock.take(minutes),
                    });
                }
            }
            let when = clock.take(job.mean_min);
            visits.push(Visit { bench: bench.id.clone(), tag: job.tag.clone(), tool: None, minutes: job.mean_min, when });
        }
    }
    visits
}

/// The order of a bench's jobs.
fn in_order<'a>(contract: &'a Contract, jobs: Vec<&'a Assigned>) -> Vec<&'a Assigned> {
    let mut users: BTreeMap<&str, usize> = BTreeMap::new();
    let tools_of = |a: &Assigned| contract.horn(&a.tag).and_then(|h| h.offer(a.level)).map(|o| o.tools.as_slice()).unwrap_or_default();
    for job in &jobs {
        tools_of(job).iter().for_each(|t| *users.entry(t.as_str()).or_default() += 1);
    }
    // The tool that it shares with most others: by it jobs stand together.
    let shared = |a: &Assigned| {
        tools_of(a)
            .iter()
            .filter(|t| users.get(t.as_str()).is_some_and(|n| *n > 1))
            .max_by_key(|t| (users.get(t.as_str()), Reverse(t.as_str())))
            .cloned()
    };
    let mut jobs: Vec<(_, &Assigned)> = jobs
        .into_iter()
        .map(|a| {
            let h = contract.horn(&a.tag);
            let wanted = h.and_then(|h| h.wanted.clone()).unwrap_or_else(|| "9999".to_owned());
            let key = (
                !a.begun,
                wanted,
                Reverse(h.is_some_and(|h| h.owed(contract.minimum))),
                Reverse(h.map_or(0, |h| h.priority)),
                Reverse(shared(a)),
                h.map(|h| h.name.clone()).unwrap_or_default(),
                a.tag.clone(),
            );
            (key, a)
        })
        .collect();
    jobs.sort_by(|a, b| a.0.cmp(&b.0));
    jobs.into_iter().map(|j| j.1).collect()
}

/// How far a bench's days are taken up.
struct Clock<'a> {
    bench: &'a Bench,
    day: usize,
    used: f64,
}

impl Clock<'_> {
    /// The next so many minutes; beyond the last day nothing is said.
    fn take(&mut self, minutes: f64) -> Vec<Stretch> {
        let mut left = minutes;
        let mut when = Vec::new();
        while left > 1e-6 {
            let Some(day) = self.bench.days.get(self.day) else { break };
            let free = day.minutes - self.used;
            if free <= 1e-6 {
                self.day += 1;
                self.used = 0.0;
                continue;
            }
            let taken = left.min(free);
            let at = |m: f64| self.bench.begins_min + m.max(0.0).round() as u32;
            when.push(Stretch { date: day.date.clone(), from_min: at(self.used), to_min: at(self.used + taken) });
            self.used += taken;
            left -= taken;
        }
        when
    }
}
