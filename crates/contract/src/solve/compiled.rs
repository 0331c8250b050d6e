//! The bare problem in whole numbers, so that what holds holds exactly: money in ten-thousandths, minutes and points in
//! millionths.

use crate::bare::Problem;
use rust_decimal::{Decimal, RoundingStrategy};
use std::collections::BTreeMap;

/// Parts of a unit of money.
const MONEY_PARTS: i64 = 10_000;
/// Parts of a minute and of a point.
pub(super) const PARTS: f64 = 1e6;

/// An option on a bench.
#[derive(Clone, Debug)]
pub(super) struct Pick {
    /// Which instrument.
    pub horn: usize,
    /// Which of its options, as the problem counts them.
    pub option: usize,
    /// Which bench.
    pub bench: usize,
    pub value: i64,
    pub cost: i64,
    pub minutes: i64,
    pub tools: Vec<usize>,
}

/// The problem, compiled.
#[derive(Clone, Debug)]
pub(super) struct Compiled {
    pub budget: i64,
    /// By bench.
    pub minutes: Vec<i64>,
    /// What each tool costs.
    pub tools: Vec<i64>,
    /// All picks, horn after horn, within a horn option after option.
    pub picks: Vec<Pick>,
    /// By horn: its first pick and the one after its last.
    pub of: Vec<(usize, usize)>,
    pub must: Vec<bool>,
    /// All values are multiples of this.
    pub grain: i64,
    /// By tool: the horns whose picks need it.
    pub users: Vec<Vec<usize>>,
    /// By bench: the first bench that takes as long for everything.
    pub twin: Vec<usize>,
}

/// An amount in parts; costs are rounded up, what there is down, where an amount has more places than are kept.
fn money(d: Decimal, up: bool) -> i64 {
    let how = if up { RoundingStrategy::ToPositiveInfinity } else { RoundingStrategy::ToNegativeInfinity };
    let parts = (d * Decimal::from(MONEY_PARTS)).round_dp_with_strategy(0, how);
    i64::try_from(parts).unwrap_or(i64::MAX / 4)
}

fn parts(x: f64) -> i64 {
    (x * PARTS).round() as i64
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Compiled {
    /// Of a problem without wrongs (`Problem::wrong`).
    pub fn of(problem: &Problem) -> Self {
        let bench: BTreeMap<&str, usize> = problem.benches.iter().enumerate().map(|(k, b)| (b.id.as_str(), k)).collect();
        let tool: BTreeMap<&str, usize> = problem.tools.iter().enumerate().map(|(k, t)| (t.id.as_str(), k)).collect();
        let mut c = Self {
            budget: money(problem.budget, false),
            minutes: problem.benches.iter().map(|b| parts(b.minutes)).collect(),
            tools: problem.tools.iter().map(|t| money(t.cost, true)).collect(),
            picks: vec![],
            of: vec![],
            must: problem.instruments.iter().map(|i| i.must).collect(),
            grain: 0,
            users: vec![vec![]; problem.tools.len()],
            twin: vec![],
        };
        for (horn, i) in problem.instruments.iter().enumerate() {
            let first = c.picks.len();
            for (option, o) in i.options.iter().enumerate() {
                let mut tools: Vec<usize> = o.tools.iter().filter_map(|t| tool.get(t.as_str()).copied()).collect();
                tools.sort_unstable();
                tools.dedup();
                for (name, minutes) in &o.minutes {
                    let Some(bench) = bench.get(name.as_str()).copied() else { continue };
                    let pick = Pick {
                        horn,
                        option,
                        bench,
                        value: parts(o.value),
                        cost: money(o.cost, true),
                        minutes: parts(*minutes),
                        tools: tools.clone(),
                    };
                    if pick.minutes <= c.minutes[bench] {
                        c.picks.push(pick);
                    }
                }
            }
            c.drop_dominated(first);
            let here: std::collections::BTreeSet<usize> = c.picks[first..].iter().flat_map(|p| p.tools.iter().copied()).collect();
            here.into_iter().for_each(|t| c.users[t].push(horn));
            c.of.push((first, c.picks.len()));
        }
        c.grain = c.picks.iter().fold(0, |g, p| gcd(g, p.value)).max(1);
        c.twin = (0..c.minutes.len()).map(|b| (0..b).find(|a| c.twins(*a, b)).unwrap_or(b)).collect();
        c
    }

    /// Takes out the picks of the last horn that another on the same bench betters in all: worth as much for as little.
    fn drop_dominated(&mut self, first: usize) {
        let of: Vec<Pick> = self.picks.drain(first..).collect();
        let betters = |a: &Pick, b: &Pick| {
            a.bench == b.bench
                && a.value >= b.value
                && a.cost <= b.cost
                && a.minutes <= b.minutes
                && a.tools.iter().all(|t| b.tools.contains(t))
        };
        for (k, p) in of.iter().enumerate() {
            let beaten = of.iter().enumerate().any(|(j, q)| j != k && betters(q, p) && (!betters(p, q) || j < k));
            if !beaten {
                self.picks.push(p.clone());
            }
        }
    }

    /// Whether everything takes as long on one bench as on another.
    fn twins(&self, a: usize, b: usize) -> bool {
        self.of.iter().all(|(from, to)| {
            let on = |bench: usize| {
                self.picks[*from..*to].iter().filter(move |p| p.bench == bench).map(|p| (p.option, p.minutes)).collect::<Vec<_>>()
            };
            on(a) == on(b)
        })
    }

    pub fn horns(&self) -> usize {
        self.of.len()
    }
}

/// What is chosen: by horn its pick, with what it uses.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chosen {
    pub pick: Vec<Option<usize>>,
    pub value: i64,
    pub cost: i64,
    pub minutes: Vec<i64>,
    /// By tool: how many chosen picks need it.
    pub needed: Vec<u32>,
    /// Musts without a pick.
    pub missing: usize,
}

impl Chosen {
    pub fn none(c: &Compiled) -> Self {
        Self {
            pick: vec![None; c.horns()],
            value: 0,
            cost: 0,
            minutes: vec![0; c.minutes.len()],
            needed: vec![0; c.tools.len()],
            missing: c.must.iter().filter(|m| **m).count(),
        }
    }

    /// Takes another pick for a horn.
    pub fn set(&mut self, c: &Compiled, horn: usize, pick: Option<usize>) {
        if let Some(p) = self.pick[horn].take() {
            let p = &c.picks[p];
            self.value -= p.value;
            self.cost -= p.cost;
            self.minutes[p.bench] -= p.minutes;
            for t in &p.tools {
                self.needed[*t] -= 1;
                if self.needed[*t] == 0 {
                    self.cost -= c.tools[*t];
                }
            }
            self.missing += usize::from(c.must[horn]);
        }
        if let Some(k) = pick {
            let p = &c.picks[k];
            self.value += p.value;
            self.cost += p.cost;
            self.minutes[p.bench] += p.minutes;
            for t in &p.tools {
                if self.needed[*t] == 0 {
                    self.cost += c.tools[*t];
                }
                self.needed[*t] += 1;
            }
            self.missing -= usize::from(c.must[horn]);
            self.pick[horn] = Some(k);
        }
    }

    pub fn fits(&self, c: &Compiled) -> bool {
        self.cost <= c.budget && self.minutes.iter().zip(&c.minutes).all(|(used, there)| used <= there)
    }

    /// Whether it is better: fewer musts missing, then more value, then cheaper, then shorter.
    pub fn betters(&self, other: &Self) -> bool {
        let of =
            |x: &Self| (std::cmp::Reverse(x.missing), x.value, std::cmp::Reverse(x.cost), std::cmp::Reverse(x.minutes.iter().sum::<i64>()));
        of(self) > of(other)
    }
}
