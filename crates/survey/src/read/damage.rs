//! Dents and conditions: what was filled in, read by the one grammar of damage, each refusal with its line.

use super::reader::Reader;
use crate::damage::read::{self, Context};
use crate::damage::{Filled, Refusal};
use crate::file::{ConditionEntry, DamageEntry, DentEntry};
use crate::problem::{MOST_TOLD, Problem, line_of};
use instrument::{Condition, Dent, Instrument};
use std::collections::BTreeSet;

impl Reader<'_> {
    pub(super) fn dents(&mut self, instrument: &Instrument, entries: &[DentEntry]) -> Vec<Dent> {
        let entries: Vec<&DamageEntry> = entries.iter().map(|e| &e.0).collect();
        self.each("dent", 'd', &entries, |filled, id, unit| read::dent(filled, id, &Context::new(instrument, unit)))
    }

    pub(super) fn conditions(&mut self, instrument: &Instrument, entries: &[ConditionEntry]) -> Vec<Condition> {
        let entries: Vec<&DamageEntry> = entries.iter().map(|e| &e.0).collect();
        self.each("condition", 'c', &entries, |filled, id, unit| read::condition(filled, id, &Context::new(instrument, unit)))
    }

    fn each<T>(
        &mut self,
        list: &str,
        letter: char,
        entries: &[&DamageEntry],
        read: impl Fn(&Filled, &str, Option<units::LengthUnit>) -> (Option<T>, Vec<Refusal>),
    ) -> Vec<T> {
        let mut taken: BTreeSet<String> = entries.iter().filter_map(|e| e.id.clone()).collect();
        let mut out = Vec::new();
        for (i, entry) in entries.iter().enumerate() {
            let free = free_name(&mut taken, letter, i);
            let id = entry.id.clone().unwrap_or(free);
            let (one, refusals) = read(&entry.filled, &id, self.default);
            self.place(format!("{list}s.{id}"), &entry.filled.at("id"));
            for (key, at) in entry.filled.places() {
                self.place(format!("{list}s.{id}.{key}"), at);
            }
            for refusal in entry.refusals.iter().cloned().chain(refusals) {
                let Refusal { key, what, hint, warning, at } = refusal;
                let field = if key.is_empty() { format!("{list} {id}") } else { format!("{list} {id}: {key}") };
                // Of a flood the first are told with their lines.
                let line = (self.of_damage.len() < MOST_TOLD).then(|| line_of(self.text, at.start));
                self.of_damage.push(Problem { line, field, what, hint, warning });
            }
            out.extend(one);
        }
        out
    }
}

fn free_name(taken: &mut BTreeSet<String>, letter: char, i: usize) -> String {
    let mut n = i + 1;
    while !taken.insert(format!("{letter}{n}")) {
        n += 1;
    }
    format!("{letter}{n}")
}
