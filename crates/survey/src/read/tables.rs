//! The tables of a survey file, entry by entry, so that one bad entry does not hide the next.

use super::reader::{MAX_SURVEY_BYTES, Reader};
use crate::entries::{self, Entry};
use crate::file::{DamageEntry, InstrumentEntry, SurveyFile, WishesEntry};
use crate::shape::Shape;
use crate::syntax;
use crate::words::nearest;
use instrument::fields::{self, Field};
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::DeValue;

impl<'t> Reader<'t> {
    pub(super) fn file(&mut self) -> Option<SurveyFile> {
        let table = match entries::table(self.text, MAX_SURVEY_BYTES, "a survey", "trueround_survey = 1") {
            Ok(table) => table,
            Err(problems) => {
                self.problems.extend(problems);
                return None;
            }
        };
        let mut lists: BTreeMap<&'static str, Vec<Entry<'t>>> = BTreeMap::new();
        let mut head: Vec<(Spanned<String>, Entry<'t>)> = Vec::new();
        const LISTS: [&str; 7] = ["run", "joint", "overlay", "fit", "dent", "condition", "work"];
        const HEAD: [&str; 9] = ["trueround_survey", "title", "customer", "surveyor", "date", "units", "cleaned", "instrument", "wishes"];
        for (key, value) in table {
            let span = key.span();
            let name = key.into_inner().into_owned();
            if let Some(list) = LISTS.into_iter().find(|l| **l == name) {
                match value.into_inner() {
                    DeValue::Array(entries) => lists.entry(list).or_default().extend(entries),
                    _ => self.problem(
                        Some(&span),
                        list,
                        format!("`{list}` is not a list"),
                        format!("write it as [[{list}]], with two brackets"),
                    ),
                }
            } else if HEAD.contains(&name.as_str()) {
                head.push((Spanned::new(span, name), value));
            } else {
                let hint = match nearest(&name, LISTS.into_iter().chain(HEAD)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("a survey has {}", LISTS.into_iter().chain(HEAD).collect::<Vec<_>>().join(", ")),
                };
                self.problem(Some(&span), name.clone(), format!("there is no `{name}` in a survey"), hint);
            }
        }
        let mut take = |name: &str| head.iter().position(|(k, _)| k.as_ref() == name).map(|i| head.swap_remove(i));
        let version = take("trueround_survey");
        let fields = ["title", "customer", "surveyor", "date", "units", "cleaned"].map(|n| take(n).map(|(_, v)| v));
        let (instrument, wishes) = (take("instrument"), take("wishes"));
        match version.as_ref().map(|(_, v)| v.as_ref().as_integer().map(|i| i.as_str().to_owned())) {
            Some(Some(v)) if v == "1" => {}
            Some(_) => self.problem(
                version.as_ref().map(|(k, _)| k.span()).as_ref(),
                "trueround_survey",
                "this survey's version is not known to this program",
                "write `trueround_survey = 1`, or use the program that wrote it",
            ),
            None => self.problem(
                Some(&(0..0)),
                "trueround_survey",
                "the file does not say that it is a survey",
                "begin it with the line `trueround_survey = 1`",
            ),
        }
        let [title, customer, surveyor, date, units, cleaned] = fields;
        let file = SurveyFile {
            trueround_survey: 1,
            title: self.one("title", title).unwrap_or_default(),
            customer: self.one("customer", customer).unwrap_or_default(),
            surveyor: self.one("surveyor", surveyor).unwrap_or_default(),
            date: self.date(date),
            units: self.one("units", units),
            cleaned: self.one("cleaned", cleaned),
            instrument: match instrument {
                Some((key, v)) => {
                    self.place("runs", &key.span());
                    self.one::<InstrumentEntry>("instrument", Some(v)).unwrap_or_default()
                }
                None => {
                    self.problem(
                        Some(&(0..0)),
                        "instrument",
                        "the survey names no instrument",
                        "add [instrument] with `pattern = \"tuba\"` (or another), or `kind` and its runs",
                    );
                    return None;
                }
            },
            run: self.all("run", lists.remove("run")),
            joint: self.all("joint", lists.remove("joint")),
            overlay: self.all("overlay", lists.remove("overlay")),
            fit: self.all("fit", lists.remove("fit")),
            dent: self.damage(fields::dent::FIELDS, lists.remove("dent")),
            condition: self.damage(fields::condition::FIELDS, lists.remove("condition")),
            work: self.all("work", lists.remove("work")),
            wishes: match wishes {
                Some((_, v)) => {
                    for (key, wish) in v.get_ref().as_table().into_iter().flatten() {
                        self.place(format!("wishes.{}", key.get_ref()), &wish.span());
                    }
                    self.one::<WishesEntry>("wishes", Some(v)).unwrap_or_default()
                }
                None => WishesEntry::default(),
            },
        };
        Some(file)
    }

    /// One field; `None` where it cannot be read (the problem is noted).
    fn one<T: Deserialize<'t> + JsonSchema>(&mut self, field: &str, value: Option<Entry<'t>>) -> Option<T> {
        entries::entry(self.text, field, value?, &mut self.problems)
    }

    /// A date: TOML's own, or text.
    fn date(&mut self, value: Option<Entry<'t>>) -> String {
        if let Some(date) = value.as_ref().and_then(|v| v.get_ref().as_datetime()) {
            return date.to_string();
        }
        let Some(span) = value.as_ref().map(Entry::span) else { return String::new() };
        let text: String = self.one("date", value).unwrap_or_default();
        let day: Result<jiff::civil::Date, _> = text.trim().parse();
        if day.is_err() && !text.trim().is_empty() {
            let wrong = syntax::no_day(&text);
            self.problem(Some(&span), "date", wrong.what, wrong.hint);
        }
        text
    }

    fn all<T: Deserialize<'t> + JsonSchema>(&mut self, list: &str, entries: Option<Vec<Entry<'t>>>) -> Vec<T> {
        let mut out = Vec::new();
        let shape = Shape::of::<T>();
        for entry in entries.unwrap_or_default() {
            let id = entry.get_ref().get("id").and_then(|v| v.get_ref().as_str());
            let field = id.map_or_else(|| list.to_owned(), |id| format!("{list} {id}"));
            out.extend(entries::entry_of(self.text, &field, &shape, entry, &mut self.problems));
        }
        out
    }

    /// Dents or conditions: what was filled in; it is read once the instrument stands.
    fn damage<T: From<DamageEntry>>(&mut self, fields: &'static [&'static Field], entries: Option<Vec<Entry<'t>>>) -> Vec<T> {
        entries.unwrap_or_default().iter().map(|e| DamageEntry::of_toml(fields, e).into()).collect()
    }
}
