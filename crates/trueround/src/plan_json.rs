//! plan.json: everything that was computed, with its reasons by reference. Its fields are documented in docs/plan-json.md.

use job::Job;
use job::worth::WorthKnowing;
use plan::Level;
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::collections::HashMap;

/// Version of the format.
pub const VERSION: u32 = 3;

/// Digits that a number keeps: more than any figure here is known to.
const DIGITS: i32 = 6;

#[derive(Serialize)]
struct Data<'a> {
    plan_json_version: u32,
    /// The level whose plan this is.
    level: Level,
    #[serde(flatten)]
    job: &'a Job,
    /// How it plays: each note as it came in, after each step and after the plan.
    plays: job::played::Told,
    /// The cautions of the plan, each once, with the steps that raise it.
    cautions: Vec<plan::Raised>,
    /// What is worth measuring, through the whole plan.
    worth_measuring: &'a WorthKnowing,
}

/// The file.
///
/// # Errors
/// Where a value cannot be written, which no value of a job does.
pub fn plan_json(job: &Job, worth: &WorthKnowing) -> serde_json::Result<Vec<u8>> {
    let mut whole = serde_json::to_value(Data {
        plan_json_version: VERSION,
        level: job.plan.level,
        job,
        plays: job.played.told(&job.plan),
        cautions: job.cautions(),
        worth_measuring: worth,
    })?;
    only_chosen_contacts(&mut whole);
    let mut tables = Tables::default();
    tables.refer(&mut whole);
    let Value::Object(fields) = whole else { return serde_json::to_vec(&whole) };
    // A field a line: readable with any pager, small enough to send.
    let head = [
        ("knowns", Value::Array(tables.knowns.rows)),
        ("formulas", Value::Array(tables.formulas.rows)),
        ("sources", Value::Array(tables.sources.rows)),
        ("reasons", Value::Array(tables.reasons.rows)),
    ];
    let mut lines = Vec::new();
    for (name, value) in fields.iter().map(|(n, v)| (n.as_str(), v)).chain(head.iter().map(|(n, v)| (*n, v))) {
        lines.push(format!("{}:{}", serde_json::to_string(name)?, serde_json::to_string(value)?));
    }
    Ok(format!("{{\n{}\n}}\n", lines.join(",\n")).into_bytes())
}

/// Where a tool touches is told of the methods that are chosen; of the others it would be a fifth of the file.
fn only_chosen_contacts(whole: &mut Value) {
    for dent in whole.get_mut("methods").and_then(Value::as_array_mut).into_iter().flatten() {
        for list in ["methods", "after_anneal"] {
            for method in dent.get_mut(list).and_then(Value::as_array_mut).into_iter().flatten() {
                if let Some(fields) = method.as_object_mut() {
                    fields.remove("contact");
                }
            }
        }
    }
}

/// Values that come back, each once, with the place at which it stands.
#[derive(Default)]
struct Table {
    rows: Vec<Value>,
    places: HashMap<String, usize>,
}

impl Table {
    fn place(&mut self, value: Value) -> Value {
        let next = self.rows.len();
        let place = *self.places.entry(value.to_string()).or_insert(next);
        if place == next {
            self.rows.push(value);
        }
        json!(place)
    }
}

#[derive(Default)]
struct Tables {
    knowns: Table,
    formulas: Table,
    sources: Table,
    reasons: Table,
}

impl Tables {
    /// Rounds every number and puts the place of its reason into every figure.
    fn refer(&mut self, value: &mut Value) {
        match value {
            Value::Number(n) => {
                if let Some(x) = n.as_f64().filter(|_| n.is_f64()) {
                    *value = json!(rounded(x));
                }
            }
            Value::Array(all) => all.iter_mut().for_each(|v| self.refer(v)),
            Value::Object(fields) => {
                for v in fields.values_mut() {
                    self.refer(v);
                }
                if let Some(reason) = fields.get_mut("reason")
                    && let Value::Object(parts) = reason
                    && parts.contains_key("formula")
                {
                    *reason = self.reason(std::mem::take(parts));
                }
            }
            _ => {}
        }
    }

    fn reason(&mut self, mut parts: Map<String, Value>) -> Value {
        let mut take = |name: &str| parts.remove(name).unwrap_or(Value::Null);
        let (formula, source, inputs) = (take("formula"), take("source"), take("inputs"));
        let inputs = match inputs {
            Value::Array(all) => all.into_iter().map(|i| self.input(i)).collect(),
            other => other,
        };
        let row = json!({ "formula": self.formulas.place(formula), "source": self.sources.place(source), "inputs": inputs });
        self.reasons.place(row)
    }

    /// The known's place and the share of the figure's variance that comes from it.
    fn input(&mut self, mut input: Value) -> Value {
        let share = input.as_object_mut().and_then(|i| i.remove("share")).unwrap_or(Value::Null);
        // A share below a thousandth is none.
        let share = share.as_f64().map_or(share, |s| json!((s * 1e3).round() / 1e3));
        json!([self.knowns.place(input), share])
    }
}

/// To so many digits.
fn rounded(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    format!("{x:.*e}", usize::try_from(DIGITS - 1).unwrap_or_default()).parse().unwrap_or(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_six_digits() {
        for (x, y) in [(123_456_789.0, 123_457_000.0), (0.000_123_456_78, 0.000_123_457), (-2.0, -2.0), (0.0, 0.0)] {
            assert_eq!(rounded(x), y);
        }
    }

    #[test]
    fn a_reason_that_comes_back_stands_once() {
        let figure = |v: f64| {
            json!({"value": v, "reason": {"formula": "a + b", "source": {"rank": "closed_form", "text": "sum"},
                "inputs": [{"name": "a", "value": 1.234_567_89, "share": 0.999_9}, {"name": "b", "value": 2.0, "share": 0.000_1}]}})
        };
        let mut all = json!([figure(1.0), figure(2.0)]);
        let mut tables = Tables::default();
        tables.refer(&mut all);
        assert_eq!(all, json!([{"value": 1.0, "reason": 0}, {"value": 2.0, "reason": 0}]));
        assert_eq!(tables.reasons.rows, [json!({"formula": 0, "source": 0, "inputs": [[0, 1.0], [1, 0.0]]})]);
        assert_eq!(tables.knowns.rows, [json!({"name": "a", "value": 1.23457}), json!({"name": "b", "value": 2.0})]);
    }
}
