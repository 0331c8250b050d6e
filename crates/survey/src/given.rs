//! A value as somebody gave it, whatever it stood in: a TOML file, a form's JSON, a program's JSON.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use toml::de::DeValue;

/// A value as given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Given {
    /// Nothing: JSON's null.
    Nothing,
    /// Yes or no.
    Flag(bool),
    /// A bare number.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Given>),
    /// A table.
    Table(BTreeMap<String, Given>),
}

impl Given {
    /// What it is, for somebody who should have given something else.
    pub fn kind(&self) -> &'static str {
        match self {
            Given::Nothing => "nothing",
            Given::Flag(_) => "a true or false",
            Given::Number(_) => "a bare number",
            Given::Text(_) => "a text",
            Given::List(_) => "a list",
            Given::Table(_) => "a table",
        }
    }

    /// Its text; empty where it is none.
    pub fn text(&self) -> &str {
        match self {
            Given::Text(text) => text,
            _ => "",
        }
    }

    /// Whether a form says nothing with it: an empty field was not filled in.
    pub fn is_blank(&self) -> bool {
        matches!(self, Given::Nothing) || matches!(self, Given::Text(text) if text.trim().is_empty())
    }

    /// A value of a TOML file.
    pub(crate) fn of_toml(value: &DeValue<'_>) -> Self {
        match value {
            DeValue::String(text) => Given::Text(text.to_string()),
            // A whole number that fits no i64 is as large as no length is; a date is the text that it was written as.
            DeValue::Integer(n) =>
            {
                #[expect(clippy::cast_precision_loss, reason = "no measurement has sixteen figures")]
                Given::Number(i64::from_str_radix(n.as_str(), n.radix()).map_or(f64::INFINITY, |n| n as f64))
            }
            DeValue::Float(x) => Given::Number(x.as_str().parse().unwrap_or(f64::NAN)),
            DeValue::Boolean(flag) => Given::Flag(*flag),
            DeValue::Datetime(date) => Given::Text(date.to_string()),
            DeValue::Array(list) => Given::List(list.iter().map(|v| Self::of_toml(v.get_ref())).collect()),
            DeValue::Table(table) => {
                Given::Table(table.iter().map(|(k, v)| (k.get_ref().to_string(), Self::of_toml(v.get_ref()))).collect())
            }
        }
    }
}

impl From<&str> for Given {
    fn from(text: &str) -> Self {
        Given::Text(text.to_owned())
    }
}
