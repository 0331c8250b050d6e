//! What somebody filled in of one dent or condition: the fields of the table, each with the value given.

use super::refusal::Refusal;
use crate::given::Given;
use crate::shape;
use instrument::fields::{Field, Kind};
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

/// A key with its value, as it was written, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// Key; a part's field with the part before a dot.
    pub key: String,
    /// Value.
    pub value: Given,
    /// Bytes of the file; nothing of a form.
    pub at: Range<usize>,
}

/// What was filled in.
#[derive(Clone, Debug, Default)]
pub struct Filled {
    values: BTreeMap<&'static str, (Given, Range<usize>)>,
    /// Where the whole stood.
    whole: Range<usize>,
}

impl Filled {
    /// What was written, by the fields of a table; and what no field is called.
    pub fn new(fields: &'static [&'static Field], whole: Range<usize>, written: Vec<Written>) -> (Self, Vec<Refusal>) {
        let mut filled = Self { values: BTreeMap::new(), whole };
        let mut refusals = Vec::new();
        for Written { key, value, at } in written {
            let found = fields.iter().find(|f| f.key == key);
            match (found, value) {
                (_, Given::Nothing) => {}
                // A part that is given as a table: its fields are those of the table, and it is there.
                (Some(field), Given::Table(inner)) if field.kind == Kind::Part => {
                    let inner = inner.into_iter().map(|(k, value)| Written { key: format!("{key}.{k}"), value, at: at.clone() });
                    let (more, inner_refusals) = Self::new(fields, 0..0, inner.collect());
                    filled.values.extend(more.values);
                    filled.values.insert(field.key, (Given::Flag(true), at));
                    refusals.extend(inner_refusals);
                }
                (Some(field), value) => {
                    filled.values.insert(field.key, (value, at));
                }
                (None, _) => {
                    // Of whatever part something is said, it is there.
                    if let Some(part) = key.split_once('.').and_then(|(p, _)| fields.iter().find(|f| f.key == p && f.kind == Kind::Part)) {
                        filled.values.entry(part.key).or_insert((Given::Flag(true), at.clone()));
                    }
                    refusals.push(unknown(fields, key, at));
                }
            }
        }
        (filled, refusals)
    }

    /// A table of a file.
    pub(crate) fn of_toml(fields: &'static [&'static Field], entry: &Spanned<DeValue<'_>>) -> (Self, Vec<Refusal>) {
        let mut written = Vec::new();
        let whole = entry.span();
        let DeValue::Table(table) = entry.get_ref() else {
            let refusals = Refusal {
                key: String::new(),
                what: format!("this is {}", Given::of_toml(entry.get_ref()).kind()).into(),
                hint: "write it as a table, its fields a line each".to_owned().into(),
                warning: false,
                at: whole.clone(),
            };
            return (Self { values: BTreeMap::new(), whole }, vec![refusals]);
        };
        for (key, value) in table.iter() {
            let is_part = fields.iter().any(|f| f.key == *key.get_ref() && f.kind == Kind::Part);
            match value.get_ref() {
                DeValue::Table(inner) if is_part => {
                    let part = key.get_ref();
                    written.push(Written { key: part.to_string(), value: Given::Flag(true), at: value.span() });
                    written.extend(inner.iter().map(|(k, v)| Written {
                        key: format!("{part}.{}", k.get_ref()),
                        value: Given::of_toml(v.get_ref()),
                        at: v.span(),
                    }));
                }
                other => written.push(Written { key: key.get_ref().to_string(), value: Given::of_toml(other), at: value.span() }),
            }
        }
        Self::new(fields, whole, written)
    }

    /// What was given in a field.
    pub(crate) fn get(&self, field: &Field) -> Option<&Given> {
        self.values.get(field.key).map(|(value, _)| value)
    }

    /// Where a field stood; where it did not, the whole.
    pub(crate) fn at(&self, key: &str) -> Range<usize> {
        self.values.get(key).map_or_else(|| self.whole.clone(), |(_, at)| at.clone())
    }

    /// The keys that were filled in, with their places.
    pub(crate) fn places(&self) -> impl Iterator<Item = (&'static str, &Range<usize>)> {
        self.values.iter().map(|(key, (_, at))| (*key, at))
    }

    /// Whether anything is said of a part's own fields.
    pub(crate) fn has_of(&self, part: &Field) -> bool {
        self.values.keys().any(|k| k.split_once('.').is_some_and(|(p, _)| p == part.key))
    }
}

fn unknown(fields: &[&Field], key: String, at: Range<usize>) -> Refusal {
    // Of a part's field only the part's own are near.
    let part = key.split_once('.').filter(|(p, _)| fields.iter().any(|f| f.key == *p && f.kind == Kind::Part));
    let near: Vec<&str> = fields
        .iter()
        .filter_map(|f| match (part, f.in_part()) {
            (Some((part, _)), Some((of, own))) if of == part => Some(own),
            (None, None) => Some(f.key),
            _ => None,
        })
        .collect();
    let wrong = shape::unknown(part.map_or(key.as_str(), |(_, own)| own), near.into_iter());
    Refusal { what: wrong.what, hint: wrong.hint, warning: false, at, key }
}
