//! The plan of a contract: which offer for which instrument on which bench, so that the deadline is kept as likely as asked.
//!
//! The bare problem counts mean minutes; what a bench may be given in it is less than what it has, by so much that all
//! benches together are done in time with the likelihood asked. How much that is follows from what is chosen, so it is
//! solved, looked at and solved again.

use crate::assigned::Assigned;
use crate::bare::{Answer, Problem};
use crate::likely::{self, Load};
use crate::model::Contract;
use crate::posed::{begun, key, problem, to_go};
use crate::schedule::{self, Visit};
use crate::solve::{Ask, Choices, Progress, solve};
use crate::staying;
use crate::trouble::{Trouble, trouble};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A bench's work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BenchWork {
    /// The bench.
    pub id: String,
    /// Mean of its work, tools that it makes with it, minutes.
    pub mean_min: f64,
    /// Of that the making of tools.
    pub tools_min: f64,
    /// What it has until the deadline, minutes.
    pub there_min: f64,
    /// How likely it is done by then.
    pub likelihood: f64,
    /// Its load.
    #[serde(skip)]
    pub load: Load,
}

/// The plan of a contract.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Planned {
    /// What is done, in the order of the contract's instruments; what was done before is not in it.
    pub assigned: Vec<Assigned>,
    /// Points of what is chosen.
    pub value: f64,
    /// Nothing that keeps budget and benches is worth more.
    pub bound: f64,
    /// Points that a plan without heed of the one before would have more: left so that what was told stays ([`crate::staying`]).
    #[serde(default)]
    pub for_staying: f64,
    /// Points of the greedy plan by value an hour; none where that leaves a must.
    pub greedy: Option<f64>,
    /// How likely all benches are done by the deadline.
    pub likelihood: f64,
    /// The benches.
    pub benches: Vec<BenchWork>,
    /// What the chosen work costs, tools in it.
    pub cost: Decimal,
    /// What was spent before.
    pub spent: Decimal,
    /// Tools that are made or bought for it.
    pub tools: Vec<String>,
    /// What they cost.
    pub tools_cost: Decimal,
    /// Who does what when.
    pub visits: Vec<Visit>,
    /// The bare problem with its answer.
    #[serde(skip)]
    pub problem: Problem,
}

impl Planned {
    /// What is done with an instrument; none where it is left, or was done before.
    pub fn of(&self, tag: &str) -> Option<&Assigned> {
        self.assigned.iter().find(|a| a.tag == tag)
    }

    /// By which part of the bound it may be short of the best.
    pub fn gap(&self) -> f64 {
        if self.bound > 0.0 { ((self.bound - self.value) / self.bound).max(0.0) } else { 0.0 }
    }

    /// Its choices, to begin another search with.
    pub fn choices(&self) -> Choices {
        self.problem.answer.as_ref().map(|a| a.chosen.clone()).unwrap_or_default()
    }
}

/// What is asked of a plan.
#[derive(Clone, Copy, Debug)]
pub struct Effort<'a> {
    /// Parts of the search at the most, over all its rounds.
    pub nodes: u64,
    /// It is good enough once within this part of the best.
    pub gap: f64,
    /// Choices to begin with.
    pub start: Option<&'a Choices>,
    /// The choices of the plan before, near which it stays.
    pub before: Option<&'a Choices>,
}

impl Default for Effort<'_> {
    fn default() -> Self {
        Self { nodes: 200_000, gap: 2e-4, start: None, before: None }
    }
}

/// Rounds of solving and looking.
const ROUNDS: usize = 6;
/// How near the best it is to come in the rounds before the last.
const ROUGH: f64 = 2e-3;

/// Plans a contract. Stopped before its end it gives the best plan so far that keeps the deadline as likely as asked.
///
/// # Errors
/// Where none was found: what the musts need and what there is.
pub fn plan(
    contract: &Contract,
    effort: &Effort,
    keep_going: &(dyn Fn() -> bool + Sync),
    progress: &mut dyn FnMut(Progress),
) -> Result<Planned, Box<Trouble>> {
    let there: Vec<f64> = contract.benches.iter().map(crate::model::Bench::minutes).collect();
    let mut given: Vec<f64> = there.iter().map(|t| t * first_part(contract)).collect();
    let mut start: Option<Choices> = effort.start.cloned();
    let mut best: Option<Planned> = None;
    let mut certain = false;
    let mut ready = false;
    for round in 0..ROUNDS {
        let problem = problem(contract, &given);
        // Roughly at first, to see how many minutes may be given; then as well as asked.
        let thorough = ready || round + 2 >= ROUNDS;
        let (nodes, gap) = if thorough { (effort.nodes / 2, effort.gap) } else { (effort.nodes / 20, effort.gap.max(ROUGH)) };
        let ask = Ask { start: start.as_ref(), nodes, gap };
        let solved = solve(&problem, &ask, keep_going, progress);
        let Some(answer) = solved.answer else {
            certain = solved.proven;
            if round == 0 {
                // Perhaps it was too careful: the musts alone may scatter less.
                given = there.iter().map(|t| 0.97 * t).collect();
                continue;
            }
            break;
        };
        start = Some(answer.chosen.clone());
        let found = put_together(contract, problem, answer, solved.greedy, &there);
        let (next, k) = scarcer(contract, &found, &given, &there);
        if found.likelihood >= contract.likelihood && best.as_ref().is_none_or(|b| found.value >= b.value) {
            best = Some(found.clone());
        }
        let settled = found.likelihood >= contract.likelihood && (k - 1.0).abs() < 0.006;
        // Told to stop, it goes on only until it has a plan that keeps the deadline.
        if (settled && thorough) || (best.is_some() && !keep_going()) {
            break;
        }
        if settled {
            ready = true;
            continue;
        }
        given = next;
    }
    let free = best.ok_or_else(|| Box::new(trouble(contract, &there, certain)))?;
    let nearer = effort.before.and_then(|before| nearer(contract, &free, before, effort, keep_going, &there));
    Ok(nearer.unwrap_or(free))
}

/// The plan nearer to the one before; none where it is not worth it, or none is found that keeps the deadline as likely as asked.
fn nearer(
    contract: &Contract,
    free: &Planned,
    before: &Choices,
    effort: &Effort,
    keep_going: &(dyn Fn() -> bool + Sync),
    there: &[f64],
) -> Option<Planned> {
    let worth = |p: &Planned| p.value + staying::WORTH_STAYING * staying::count(&p.choices(), before) as f64;
    let mut given: Vec<f64> = free.problem.benches.iter().map(|b| b.minutes).collect();
    if let Some(was) = as_it_was(contract, before, there) {
        // What still keeps the deadline is not moved by minutes that another choice made scarce; one is what rounding takes.
        given.iter_mut().zip(&was.benches).zip(there).for_each(|((g, b), t)| *g = g.max(b.mean_min - b.tools_min + 1.0).min(*t));
    }
    // Half a point off its best it is near enough to tell one instrument more that stays.
    let (nodes, gap) = (effort.nodes / 4, effort.gap.min(0.5 * staying::WORTH_STAYING / free.value.max(1.0)));
    let mut best: Option<Planned> = None;
    for round in 0..ROUNDS {
        let plain = problem(contract, &given);
        // What of the plan before does not hold any more is mended by the search; then it goes on from the best there is.
        let from = if round == 0 { before.clone() } else { best.as_ref().unwrap_or(free).choices() };
        let start = staying::named(&from, before);
        let solved = solve(&staying::problem(&plain, before), &Ask { start: Some(&start), nodes, gap }, keep_going, &mut |_| {});
        let Some(answer) = solved.answer else { break };
        let chosen = staying::plain(&answer.chosen);
        let value = plain.tally(&chosen)?.value;
        let found = put_together(contract, plain, Answer { value, bound: value, chosen }, free.greedy, there);
        let kept = found.likelihood >= contract.likelihood;
        let (next, k) = scarcer(contract, &found, &given, there);
        if kept && best.as_ref().is_none_or(|b| worth(&found) > worth(b)) {
            best = Some(found);
        }
        if (kept && (k - 1.0).abs() < 0.006) || !keep_going() {
            break;
        }
        given = next;
    }
    let near = best.filter(|b| worth(b) > worth(free))?;
    // What a plan without heed of the one before would be worth at these minutes.
    let chosen = near.choices();
    let plain = Problem { answer: None, ..near.problem };
    let freely = solve(&plain, &Ask { start: Some(&chosen), nodes, gap }, keep_going, &mut |_| {}).answer?;
    let answer = Answer { value: near.value, bound: freely.bound.max(near.value), chosen };
    let found = put_together(contract, plain, answer, free.greedy, there);
    Some(Planned { for_staying: (freely.value - found.value).max(0.0), ..found })
}

/// The plan before as it would be now; none where it does not hold any more, or keeps the deadline less likely than asked.
fn as_it_was(contract: &Contract, before: &Choices, there: &[f64]) -> Option<Planned> {
    let p = problem(contract, there);
    let chosen: Choices =
        before.iter().filter(|(tag, _)| p.instruments.iter().any(|i| i.id == **tag)).map(|(t, c)| (t.clone(), c.clone())).collect();
    if !p.holds(&chosen) {
        return None;
    }
    let value = p.tally(&chosen)?.value;
    let was = put_together(contract, p, Answer { value, bound: value, chosen }, None, there);
    (was.likelihood >= contract.likelihood).then_some(was)
}

/// What the benches may be given next, that the deadline is kept just as likely as asked; and by how much what they have may be stretched.
fn scarcer(contract: &Contract, found: &Planned, given: &[f64], there: &[f64]) -> (Vec<f64>, f64) {
    // Were each bench given all that it may be given: by how much that could be stretched.
    let full: Vec<Load> = found.benches.iter().zip(given).map(|(b, g)| filled(&b.load, g + b.tools_min)).collect();
    let k = likely::stretch(&full, contract.spread, contract.likelihood);
    // A little less than just so: the next choice scatters a little otherwise.
    let next = |((g, b), t): ((&f64, &BenchWork), &f64)| ((g + b.tools_min) * k * 0.998 - b.tools_min).clamp(0.0, *t);
    (given.iter().zip(&found.benches).zip(there).map(next).collect(), k)
}

/// The part of a bench's minutes with which the search begins.
fn first_part(contract: &Contract) -> f64 {
    let s = &contract.spread;
    let load = |b: &crate::model::Bench| Load { mean_min: b.minutes(), variance: (0.05 * b.minutes()).powi(2), there_min: b.minutes() };
    let loads: Vec<Load> = contract.benches.iter().map(load).filter(|l| l.there_min > 0.0).collect();
    if loads.is_empty() { 1.0 } else { likely::stretch(&loads, *s, contract.likelihood).min(1.0) }
}

/// A load that fills what is given, scattering as the chosen work does.
fn filled(load: &Load, given: f64) -> Load {
    if load.mean_min > 0.0 {
        let k = given.max(load.mean_min) / load.mean_min;
        // More jobs of the kind: their variances add up.
        Load { mean_min: load.mean_min * k, variance: load.variance * k, ..*load }
    } else {
        Load { mean_min: given, variance: (0.05 * given).powi(2), ..*load }
    }
}

/// The plan that an answer stands for.
fn put_together(contract: &Contract, mut problem: Problem, answer: Answer, greedy: Option<f64>, there: &[f64]) -> Planned {
    let tally = problem.tally(&answer.chosen).unwrap_or_default();
    let assigned: Vec<Assigned> = contract
        .horns
        .iter()
        .filter_map(|h| {
            let (level, bench) = answer.chosen.get(&h.tag)?;
            let o = h.offers.iter().find(|o| key(o.level) == *level)?;
            let pace = contract.bench(bench)?.pace;
            let stands = begun(h);
            let mean = stands.map_or(o.mean_min, |(_, _, spent)| to_go(o, spent / pace));
            let part = if o.mean_min > 0.0 { mean / o.mean_min } else { 1.0 };
            Some(Assigned {
                tag: h.tag.clone(),
                level: o.level,
                bench: bench.clone(),
                cost: o.cost,
                value: h.value(o, contract.points),
                mean_min: mean * pace,
                sd_min: o.sd_min * pace * part,
                begun: stands.is_some(),
            })
        })
        .collect();
    let visits = schedule::schedule(contract, &assigned);
    let benches: Vec<BenchWork> = contract
        .benches
        .iter()
        .zip(there)
        .map(|(b, there)| {
            let mut load = Load { there_min: *there, ..Load::default() };
            assigned.iter().filter(|a| a.bench == b.id).for_each(|a| load.add(a.mean_min, a.sd_min));
            let tools_min: f64 = visits.iter().filter(|v| v.bench == b.id && v.tool.is_some()).map(|v| v.minutes).sum();
            // A tool's time scatters as PERT has it of a step (`plan::Standards`): about a quarter of its mean.
            load.add(tools_min, 0.25 * tools_min);
            BenchWork {
                id: b.id.clone(),
                mean_min: load.mean_min,
                tools_min,
                there_min: *there,
                likelihood: likely::one_done(&load, contract.spread),
                load,
            }
        })
        .collect();
    let loads: Vec<Load> = benches.iter().map(|b| b.load).collect();
    let (value, bound) = (answer.value, answer.bound);
    problem.answer = Some(answer);
    Planned {
        value,
        bound,
        for_staying: 0.0,
        greedy,
        likelihood: likely::all_done(&loads, contract.spread),
        benches,
        cost: tally.cost,
        spent: contract.spent(),
        tools: tally.tools.into_iter().collect(),
        tools_cost: tally.tools_cost,
        assigned,
        visits,
        problem,
    }
}
