//! What changed from one plan to another: for the person who overruled something and wants to see what it does.

use crate::outcome::Plan;
use crate::steps::{method_words, mm};
use instrument::DentId;
use reach::{Opened, Way};
use serde::{Deserialize, Serialize};

/// One thing that changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What it is about ("dent d3", "bench time").
    pub about: String,
    /// How it was.
    pub before: String,
    /// How it is.
    pub after: String,
}

fn way_words(way: Option<&Way>) -> String {
    way.map_or_else(|| "not worked".to_owned(), |w| format!("{}, {} mm", method_words(w.method), mm(w.size_mm)))
}

fn opened_id(o: &Opened) -> String {
    match o {
        Opened::Joint(id) => format!("joint {id}"),
        Opened::Overlay(id) => format!("overlay {id}"),
    }
}

/// What changed, dents first, then what comes apart, then tools, time and cost. Empty where the plans are the same.
pub fn what_changed(before: &Plan, after: &Plan) -> Vec<Change> {
    let mut all = Vec::new();
    let mut add = |about: String, a: String, b: String| {
        if a != b {
            all.push(Change { about, before: a, after: b });
        }
    };
    let mut dents: Vec<&DentId> = before.choices.iter().chain(&after.choices).map(|c| &c.dent).collect();
    dents.sort();
    dents.dedup();
    for d in dents {
        let way = |p: &'_ Plan| way_words(p.choices.iter().find(|c| c.dent == *d).map(|c| &c.way));
        add(format!("dent {d}"), way(before), way(after));
    }
    let mut opened: Vec<&Opened> = before.opened.iter().chain(&after.opened).collect();
    opened.sort();
    opened.dedup();
    for o in opened {
        let state = |p: &Plan| if p.opened.contains(o) { "opened" } else { "stays" }.to_owned();
        add(opened_id(o), state(before), state(after));
    }
    let mut runs: Vec<_> = before.replacements.iter().chain(&after.replacements).map(|r| &r.run).collect();
    runs.sort();
    runs.dedup();
    for r in runs {
        let state = |p: &Plan| if p.replacements.iter().any(|x| x.run == *r && x.replace) { "replaced" } else { "kept" }.to_owned();
        add(format!("run {r}"), state(before), state(after));
    }
    let tools = |p: &Plan| {
        let mut words: Vec<&str> = p.tools_to_make.iter().map(|(t, _)| t.words.as_str()).collect();
        words.sort_unstable();
        if words.is_empty() { "none".to_owned() } else { words.join("; ") }
    };
    add("tools to make".to_owned(), tools(before), tools(after));
    let minutes = |p: &Plan| format!("{:.0} min", p.minutes.mean());
    add("bench time".to_owned(), minutes(before), minutes(after));
    let cost = |p: &Plan| format!("{:.0}", p.proof.cost_money);
    add("expected cost".to_owned(), cost(before), cost(after));
    all
}
