//! What a table of a file may hold: its fields, each with its key, its kind and whether it must be there. Made from the
//! same JSON Schema that is published in `docs/`, so that reader and schema cannot part. A table is held against its
//! shape before it is read, so that what is wrong is said from the shape, and nothing has to be made out of a library's
//! error message.

use crate::problem::Wrong;
use crate::words::nearest;
use schemars::JsonSchema;
use serde_json::Value;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Arc, Mutex, PoisonError};
use toml::Spanned;
use toml::de::DeValue;

/// What a value may be.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    /// A text.
    Text,
    /// A number.
    Number,
    /// A whole number.
    Whole,
    /// True or false.
    Flag,
    /// A list, of so many where the number is fixed.
    List(Box<Shape>, Option<usize>),
    /// A table with these fields and no others.
    Table(Vec<Field>),
    /// A table with any keys, all of one shape.
    Map(Box<Shape>),
    /// One of these.
    Either(Vec<Shape>),
    /// Anything.
    Any,
}

/// A field of a table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field {
    key: String,
    shape: Shape,
    needed: bool,
}

/// What is wrong, and where.
#[derive(Debug)]
pub(crate) struct Found {
    /// Bytes of the file.
    pub(crate) at: Range<usize>,
    /// Keys that lead there from the table, with points between.
    pub(crate) path: String,
    /// What, and how to mend it.
    pub(crate) wrong: Wrong,
}

impl Found {
    fn new(at: Range<usize>, wrong: Wrong) -> Self {
        Self { at, path: String::new(), wrong }
    }

    fn within(&mut self, key: &str) {
        self.path = if self.path.is_empty() { key.to_owned() } else { format!("{key}.{}", self.path) };
    }
}

impl Shape {
    /// The shape of a type, made once: a rack has dozens of entries of one type.
    pub(crate) fn of<T: JsonSchema>() -> Arc<Self> {
        static MADE: Mutex<BTreeMap<Cow<'static, str>, Arc<Shape>>> = Mutex::new(BTreeMap::new());
        // The map is whole whatever fell over while it was held.
        let mut made = MADE.lock().unwrap_or_else(PoisonError::into_inner);
        let shape = made.entry(T::schema_id()).or_insert_with(|| {
            let schema = schemars::schema_for!(T).to_value();
            Arc::new(Self::of_schema(&schema, &schema["$defs"]))
        });
        shape.clone()
    }

    fn of_schema(schema: &Value, defs: &Value) -> Self {
        if let Some(name) = schema["$ref"].as_str().and_then(|r| r.strip_prefix("#/$defs/")) {
            return Self::of_schema(&defs[name], defs);
        }
        if let Some(any) = schema["anyOf"].as_array() {
            // A choice within a choice is one choice.
            let flat = |shape| if let Shape::Either(shapes) = shape { shapes } else { vec![shape] };
            let mut shapes: Vec<Shape> = any.iter().filter(|s| s["type"] != "null").flat_map(|s| flat(Self::of_schema(s, defs))).collect();
            return if shapes.len() == 1 { shapes.remove(0) } else { Shape::Either(shapes) };
        }
        // An optional field is of its type or null; a file has no null.
        let kinds = schema["type"].as_array().map_or(std::slice::from_ref(&schema["type"]), Vec::as_slice);
        match kinds.iter().filter_map(Value::as_str).find(|k| *k != "null") {
            Some("string") => Shape::Text,
            Some("number") => Shape::Number,
            Some("integer") => Shape::Whole,
            Some("boolean") => Shape::Flag,
            Some("array") => {
                let exactly = schema["minItems"].as_u64().filter(|n| schema["maxItems"].as_u64() == Some(*n));
                Shape::List(Box::new(Self::of_schema(&schema["items"], defs)), exactly.and_then(|n| usize::try_from(n).ok()))
            }
            Some("object") => match (schema["properties"].as_object(), &schema["additionalProperties"]) {
                (Some(fields), _) => {
                    let needed = |key: &str| schema["required"].as_array().is_some_and(|r| r.iter().any(|k| k == key));
                    let field =
                        |(key, s): (&String, &Value)| Field { key: key.clone(), shape: Self::of_schema(s, defs), needed: needed(key) };
                    Shape::Table(fields.iter().map(field).collect())
                }
                (None, one @ Value::Object(_)) => Shape::Map(Box::new(Self::of_schema(one, defs))),
                _ => Shape::Any,
            },
            _ => Shape::Any,
        }
    }

    /// What would be right, for whoever wrote something else.
    fn wanted(&self) -> String {
        match self {
            Shape::Text => "a text in quotes".to_owned(),
            Shape::Number => "a number".to_owned(),
            Shape::Whole => "a whole number".to_owned(),
            Shape::Flag => "true or false".to_owned(),
            Shape::List(of, Some(n)) => format!("a list of {n}, in [ ], each {}", of.wanted()),
            Shape::List(of, None) => format!("a list in [ ], each {}", of.wanted()),
            Shape::Table(fields) => {
                let keys: Vec<&str> = fields.iter().filter(|f| f.needed).map(|f| f.key.as_str()).collect();
                if keys.is_empty() { "a table in { }".to_owned() } else { format!("a table in {{ }} with {}", keys.join(", ")) }
            }
            Shape::Map(_) => "a table in { }".to_owned(),
            Shape::Either(shapes) => shapes.iter().map(Shape::wanted).collect::<Vec<_>>().join(" or "),
            Shape::Any => "another value".to_owned(),
        }
    }

    /// Takes out of a value what does not fit, and says it. Whether what is left can be read.
    pub(crate) fn prune(&self, value: &mut Spanned<DeValue<'_>>, found: &mut Vec<Found>) -> bool {
        let span = value.span();
        let wrong = |found: &mut Vec<Found>, value: &DeValue<'_>| {
            found.push(Found::new(span.clone(), Wrong::new(format!("this is {}", said(value)), self.instead_of(value))));
            false
        };
        match (self, value.get_mut()) {
            (Shape::Any, _)
            | (Shape::Text, DeValue::String(_))
            | (Shape::Number, DeValue::Integer(_) | DeValue::Float(_))
            | (Shape::Flag, DeValue::Boolean(_)) => true,
            (Shape::Whole, DeValue::Integer(n)) => {
                // The file's whole numbers are versions and days.
                u32::from_str_radix(n.as_str(), n.radix()).is_ok() || {
                    found.push(Found::new(
                        span,
                        Wrong::new("this number is not one that can stand here", "write a whole number of zero or more"),
                    ));
                    false
                }
            }
            (Shape::List(of, exactly), DeValue::Array(list)) => {
                if exactly.is_some_and(|n| n != list.len()) {
                    found.push(Found::new(
                        span,
                        Wrong::new(format!("this list has {}", list.len()), format!("write {} here", self.wanted())),
                    ));
                    return false;
                }
                // Every one is looked at, so that the second mistake is told too.
                let bad = list.iter_mut().filter_map(|v| (!of.prune(v, found)).then_some(())).count();
                bad == 0
            }
            (Shape::Map(of), DeValue::Table(table)) => {
                let mut bad = Vec::new();
                for (key, v) in table.iter_mut() {
                    let before = found.len();
                    if !of.prune(v, found) {
                        bad.push(key.clone());
                    }
                    found[before..].iter_mut().for_each(|f| f.within(key.get_ref()));
                }
                for key in &bad {
                    table.remove(key);
                }
                true
            }
            (Shape::Table(fields), DeValue::Table(table)) => {
                let mut bad = Vec::new();
                for (key, v) in table.iter_mut() {
                    let before = found.len();
                    match fields.iter().find(|f| f.key == *key.get_ref()) {
                        Some(field) => {
                            if !field.shape.prune(v, found) {
                                bad.push(key.clone());
                            }
                            found[before..].iter_mut().for_each(|f| f.within(key.get_ref()));
                        }
                        None => {
                            let mut one = Found::new(key.span(), unknown(key.get_ref(), fields.iter().map(|f| f.key.as_str())));
                            one.within(key.get_ref());
                            found.push(one);
                            bad.push(key.clone());
                        }
                    }
                }
                for key in &bad {
                    table.remove(key);
                }
                let mut whole = true;
                for field in fields.iter().filter(|f| f.needed && table.get(f.key.as_str()).is_none()) {
                    whole = false;
                    // A field that was told to be unreadable is not told to be missing as well.
                    if bad.iter().all(|b| *b.get_ref() != field.key) {
                        found.push(Found::new(span.clone(), missing(&field.key)));
                    }
                }
                whole
            }
            (Shape::Either(shapes), found_value) => {
                // A table is held against the alternative that is one, a list against that which is one.
                let same = |s: &&Shape| {
                    matches!(
                        (s, &*found_value),
                        (Shape::Table(_) | Shape::Map(_), DeValue::Table(_))
                            | (Shape::List(..), DeValue::Array(_))
                            | (Shape::Text, DeValue::String(_))
                            | (Shape::Number, DeValue::Integer(_) | DeValue::Float(_))
                            | (Shape::Whole, DeValue::Integer(_))
                            | (Shape::Flag, DeValue::Boolean(_))
                            | (Shape::Any, _)
                    )
                };
                match shapes.iter().find(same) {
                    Some(shape) => shape.prune(value, found),
                    None if self.is_quantity() => {
                        found.push(Found::new(span, neither()));
                        false
                    }
                    None => wrong(found, value.get_ref()),
                }
            }
            (_, other) => wrong(found, other),
        }
    }

    /// How to mend a value of another kind.
    fn instead_of(&self, value: &DeValue<'_>) -> String {
        match (self, value) {
            // What is wanted as a text is mostly a quantity: a sum of money, a time, a force.
            (Shape::Text, DeValue::Integer(_) | DeValue::Float(_)) => {
                let n = said(value).trim_start_matches("the number ").to_owned();
                format!(
                    "write it as a text in quotes, with its sign or unit: money like \"${n}\", a time like \"{n} min\", a force like \"{n} N\""
                )
            }
            _ => format!("write {} here", self.wanted()),
        }
    }

    fn is_quantity(&self) -> bool {
        matches!(self, Shape::Either(shapes) if shapes.contains(&Shape::Text) && shapes.contains(&Shape::Number))
    }
}

fn neither() -> Wrong {
    Wrong::new("this is neither a text nor a number", "write it with its unit, in quotes, like \"11.66 mm\" or \"1 1/32 in\"")
}

fn said(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("the text \"{text}\""),
        DeValue::Integer(n) => format!("the number {n}"),
        DeValue::Float(x) => format!("the number {x}"),
        DeValue::Boolean(flag) => format!("a {flag}"),
        DeValue::Datetime(date) => format!("the date {date}"),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// What is said of a whole survey or rack, and is no field of any table of it.
const OF_THE_FILE: [&str; 8] = ["trueround_survey", "trueround_rack", "title", "customer", "surveyor", "date", "units", "cleaned"];

/// A key that is not known here.
pub(crate) fn unknown<'a>(key: &str, known: impl Iterator<Item = &'a str> + Clone) -> Wrong {
    let hint = match nearest(key, known.clone()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if OF_THE_FILE.contains(&key) => format!("`{key}` is said of the whole file: move it up, above the first line with [ ]"),
        None => format!("it may have {}", known.collect::<Vec<_>>().join(", ")),
    };
    Wrong::new(format!("there is no `{key}` here"), hint)
}

/// A key that must be there.
pub(crate) fn missing(key: &str) -> Wrong {
    Wrong::new(format!("`{key}` is missing"), format!("add `{key} = …`"))
}
