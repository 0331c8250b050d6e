//! What changed from one plan to another: for the person who overruled something and wants to see what it does.

use crate::outcome::Plan;
use crate::steps::{method_words, size};
use instrument::{DentId, Instrument, Survey};
use reach::{Method, Opened};
use serde::{Deserialize, Serialize};
use units::{Text, text};

/// One thing that changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What it is about ("dent d3", "bench time").
    pub about: String,
    /// How it was.
    pub before: Text,
    /// How it is.
    pub after: Text,
}

fn chosen_words(plan: &Plan, dent: &DentId) -> Text {
    let words = |w: &Method| text!("{}, {}", method_words(w.kind), size(w.size_mm));
    let why = || plan.not_done.iter().find(|n| n.dent.as_ref() == Some(dent)).map(|n| text!(": {}", n.because));
    match plan.choices.iter().find(|c| c.dent == *dent) {
        Some(c) => words(&c.method),
        None if plan.gone().any(|d| d == dent) => "gone with its tube, which is replaced".into(),
        None => text!("not worked{}", why().unwrap_or_default()),
    }
}

fn opened_name(instrument: &Instrument, o: &Opened) -> String {
    match o {
        Opened::Joint(id) => named(instrument.joint(id).map(|j| j.name.as_str()), "joint", &id.0),
        Opened::Overlay(id) => named(instrument.overlay(id).map(|o| o.name.as_str()), "overlay", &id.0),
    }
}

/// "third branch to fourth bow (joint j7)".
fn named(name: Option<&str>, kind: &str, id: &str) -> String {
    match name.filter(|n| !n.is_empty()) {
        Some(name) => format!("{name} ({kind} {id})"),
        None => format!("{kind} {id}"),
    }
}

/// What changed, dents first, then what comes apart, then tools, time and cost. Empty where the plans are the same.
pub fn what_changed(survey: &Survey, before: &Plan, after: &Plan) -> Vec<Change> {
    let instrument = &survey.instrument;
    let mut all = Vec::new();
    let mut add = |about: String, a: Text, b: Text| {
        if a != b {
            all.push(Change { about, before: a, after: b });
        }
    };
    let worked = |p: &Plan, d: &DentId| p.choices.iter().any(|c| c.dent == *d);
    for d in survey.dents.iter().map(|d| &d.id).filter(|d| worked(before, d) || worked(after, d)) {
        add(format!("dent {d}"), chosen_words(before, d), chosen_words(after, d));
    }
    let mut opened: Vec<&Opened> = before.opened.iter().chain(&after.opened).collect();
    opened.sort();
    opened.dedup();
    for o in opened {
        let state = |p: &Plan| Text::from(if p.opened.contains(o) { "comes apart" } else { "stays" });
        add(opened_name(instrument, o), state(before), state(after));
    }
    let mut runs: Vec<_> = before.replacements.iter().chain(&after.replacements).map(|r| &r.run).collect();
    runs.sort();
    runs.dedup();
    for r in runs {
        let state = |p: &Plan| Text::from(if p.replacements.iter().any(|x| x.run == *r && x.replace) { "replaced" } else { "kept" });
        add(named(instrument.run(r).map(|r| r.name.as_str()), "run", &r.0), state(before), state(after));
    }
    let tools = |p: &Plan| {
        let mut words: Vec<Text> = p.tools_to_make.iter().map(|(t, _)| t.words()).collect();
        words.sort_by_cached_key(Text::metric);
        if words.is_empty() { "none".into() } else { Text::join(&words, "; ") }
    };
    add("tools to make".to_owned(), tools(before), tools(after));
    let minutes = |p: &Plan| Text::from(format!("{:.0} min", p.minutes.mean()));
    add("bench time".to_owned(), minutes(before), minutes(after));
    let cost = |p: &Plan| Text::from(format!("{:.0}", p.certificate.cost_money));
    add("expected cost to the shop".to_owned(), cost(before), cost(after));
    all
}
