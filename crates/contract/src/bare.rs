//! The bare problem of a contract, as `problem.json` holds it: anyone can solve it again with a solver of their own.
//!
//! At most one option of an instrument is chosen, exactly one where it is a must, and each on one bench. The minutes of a
//! bench hold; a tool's cost is paid once where any chosen option needs it; the budget holds for all costs; the sum of the
//! chosen options' values is as great as can be.

use rust_decimal::Decimal;
use rust_decimal::serde::float;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The problem.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// What all options and tools together may cost, money.
    #[serde(with = "float")]
    pub budget: Decimal,
    /// The benches.
    pub benches: Vec<Bench>,
    /// Tools that options may need to be made.
    #[serde(default)]
    pub tools: Vec<Tool>,
    /// The instruments.
    pub instruments: Vec<Instrument>,
    /// What was chosen, where it was solved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<Answer>,
}

/// A bench.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bench {
    /// Its name.
    pub id: String,
    /// Minutes that the chosen options may take on it together.
    pub minutes: f64,
}

/// A tool to make.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tool {
    /// Its name.
    pub id: String,
    /// What it costs, once, money.
    #[serde(with = "float")]
    pub cost: Decimal,
}

/// An instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Its name.
    pub id: String,
    /// Whether one of its options must be chosen.
    #[serde(default)]
    pub must: bool,
    /// What can be done with it.
    pub options: Vec<Choice>,
}

/// What can be done with an instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Choice {
    /// Its name.
    pub id: String,
    /// What it costs without the tools to make, money.
    #[serde(with = "float")]
    pub cost: Decimal,
    /// What it is worth, points.
    pub value: f64,
    /// Minutes that it takes, by bench; a bench that is not named cannot do it.
    pub minutes: BTreeMap<String, f64>,
    /// Tools to make that it needs.
    #[serde(default)]
    pub tools: Vec<String>,
}

/// The answer: what was chosen, and what the best can be worth at most.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// The chosen options' values together, points.
    pub value: f64,
    /// No choice is worth more than this, points.
    pub bound: f64,
    /// By instrument: the option and the bench.
    pub chosen: BTreeMap<String, (String, String)>,
}

/// What may be missed of a bench's minutes: what adding up thousands of binary fractions loses.
pub const MINUTES_TOLERANCE: f64 = 1e-4;

/// What choices come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Points.
    pub value: f64,
    /// Options and tools, money.
    pub cost: Decimal,
    /// Of that the tools.
    pub tools_cost: Decimal,
    /// By bench, minutes.
    pub minutes: BTreeMap<String, f64>,
    /// The tools that are made.
    pub tools: BTreeSet<String>,
    /// Options chosen.
    pub options: usize,
}

impl Problem {
    /// What cannot be: names that stand twice or are not there, figures that are no amounts. Empty where all is well.
    pub fn wrong(&self) -> Vec<String> {
        let mut wrong = Vec::new();
        let mut names = |what: &str, all: &mut dyn Iterator<Item = &str>| {
            let mut seen = BTreeSet::new();
            for id in all {
                if !seen.insert(id.to_owned()) {
                    wrong.push(format!("{what} “{id}” stands twice"));
                }
            }
            seen
        };
        let benches = names("bench", &mut self.benches.iter().map(|b| b.id.as_str()));
        let tools = names("tool", &mut self.tools.iter().map(|t| t.id.as_str()));
        names("instrument", &mut self.instruments.iter().map(|i| i.id.as_str()));
        for i in &self.instruments {
            names(&format!("instrument “{}”: option", i.id), &mut i.options.iter().map(|o| o.id.as_str()));
        }
        let amount = |x: f64| x.is_finite() && (0.0..=MOST).contains(&x);
        let money = |d: Decimal| !d.is_sign_negative() && d <= Decimal::from(MOST as u64);
        if !money(self.budget) {
            wrong.push(format!("the budget is {}", self.budget));
        }
        let benches_wrong = self.benches.iter().filter(|b| !amount(b.minutes));
        wrong.extend(benches_wrong.map(|b| format!("bench “{}” has {} minutes", b.id, b.minutes)));
        wrong.extend(self.tools.iter().filter(|t| !money(t.cost)).map(|t| format!("tool “{}” costs {}", t.id, t.cost)));
        for (i, o) in self.instruments.iter().flat_map(|i| i.options.iter().map(move |o| (i, o))) {
            let of = format!("instrument “{}”, option “{}”", i.id, o.id);
            if !money(o.cost) {
                wrong.push(format!("{of} costs {}", o.cost));
            }
            if !amount(o.value) {
                wrong.push(format!("{of} is worth {}", o.value));
            }
            for (bench, minutes) in &o.minutes {
                if !benches.contains(bench) {
                    wrong.push(format!("{of} names a bench “{bench}” that is not there"));
                } else if !amount(*minutes) {
                    wrong.push(format!("{of} takes {minutes} minutes on “{bench}”"));
                }
            }
            let missing = o.tools.iter().filter(|t| !tools.contains(*t));
            wrong.extend(missing.map(|t| format!("{of} needs a tool “{t}” that is not there")));
        }
        wrong
    }

    /// What choices come to; none where they name what is not there.
    pub fn tally(&self, chosen: &BTreeMap<String, (String, String)>) -> Option<Tally> {
        let mut tally = Tally::default();
        for (id, (option, bench)) in chosen {
            let o = self.instruments.iter().find(|i| i.id == *id)?.options.iter().find(|o| o.id == *option)?;
            tally.value += o.value;
            tally.cost += o.cost;
            *tally.minutes.entry(bench.clone()).or_default() += o.minutes.get(bench)?;
            tally.tools.extend(o.tools.iter().cloned());
            tally.options += 1;
        }
        for tool in &tally.tools {
            tally.tools_cost += self.tools.iter().find(|t| t.id == *tool)?.cost;
        }
        tally.cost += tally.tools_cost;
        Some(tally)
    }

    /// Whether choices hold all that must hold.
    pub fn holds(&self, chosen: &BTreeMap<String, (String, String)>) -> bool {
        let Some(tally) = self.tally(chosen) else { return false };
        let within = |b: &Bench| tally.minutes.get(&b.id).is_none_or(|m| *m <= b.minutes + MINUTES_TOLERANCE);
        let musts = self.instruments.iter().all(|i| !i.must || chosen.contains_key(&i.id));
        musts && tally.cost <= self.budget && self.benches.iter().all(within)
    }
}

/// The greatest amount, minutes or points that is taken.
const MOST: f64 = 1e9;
