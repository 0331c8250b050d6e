//! What the shop's record keeps of a survey, as JSON with its version. The present version is 2. Version 1 carried no
//! number and had the tablet's own grammar: another key for some fields, numbers for a place, one word for a crack.

pub use crate::damage::form::Kept;

use crate::damage::Form;
use crate::given::Given;
use instrument::{Dent, Survey};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use thiserror::Error;

/// The version that is written.
pub const VERSION: u32 = 2;

/// A body of the record that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Unreadable {
    /// It was written by a later program.
    #[error("it was written by a newer program (version {0}; this one reads up to {VERSION})")]
    Newer(u32),
    /// It is not what the record keeps.
    #[error("{0}")]
    Broken(String),
}

impl From<serde_json::Error> for Unreadable {
    fn from(e: serde_json::Error) -> Self {
        Unreadable::Broken(e.to_string())
    }
}

#[derive(Deserialize)]
struct Head {
    #[serde(default = "first")]
    version: u32,
}

fn first() -> u32 {
    1
}

/// The version of a body.
fn version(json: &str) -> Result<u32, Unreadable> {
    match serde_json::from_str::<Head>(json)?.version {
        version @ 1..=VERSION => Ok(version),
        newer => Err(Unreadable::Newer(newer)),
    }
}

#[derive(Serialize, Deserialize)]
struct DentBody {
    version: u32,
    typed: Form,
    dent: Dent,
}

#[derive(Serialize)]
struct SurveyOut<'a> {
    version: u32,
    survey: &'a Survey,
}

#[derive(Deserialize)]
struct SurveyIn {
    survey: Survey,
}

impl Kept {
    /// As the record keeps it.
    ///
    /// # Errors
    /// Never of what was read from a form or a file: their numbers are numbers.
    pub fn to_json(&self) -> Result<String, Unreadable> {
        Ok(serde_json::to_string(&DentBody { version: VERSION, typed: self.typed.clone(), dent: self.dent.clone() })?)
    }

    /// From what the record kept, in this version or an older one.
    ///
    /// # Errors
    /// Where it is no dent, or a newer program wrote it.
    pub fn from_json(json: &str) -> Result<Self, Unreadable> {
        if version(json)? == 1 {
            return Ok(serde_json::from_str::<FirstDent>(json)?.read());
        }
        let DentBody { typed, dent, .. } = serde_json::from_str(json)?;
        Ok(Self { typed, dent })
    }
}

/// A survey as the record keeps it: the instrument and what holds for the whole; its dents are kept one by one.
///
/// # Errors
/// Never of what was read from a form or a file.
pub fn survey_to_json(survey: &Survey) -> Result<String, Unreadable> {
    Ok(serde_json::to_string(&SurveyOut { version: VERSION, survey })?)
}

/// From what the record kept, in this version or an older one.
///
/// # Errors
/// Where it is no survey, or a newer program wrote it.
pub fn survey_from_json(json: &str) -> Result<Survey, Unreadable> {
    if version(json)? == 1 {
        return Ok(serde_json::from_str(json)?);
    }
    Ok(serde_json::from_str::<SurveyIn>(json)?.survey)
}

// ---- version 1 ----------------------------------------------------------------------------------------------------

#[derive(Deserialize)]
struct FirstDent {
    typed: BTreeMap<String, Given>,
    dent: Dent,
}

impl FirstDent {
    fn read(mut self) -> Kept {
        // The tablet asked only whether a crack goes through, and wrote “along” for every one. A length it could not take:
        // a crack that has one came from a file, which had to say how it lies.
        if let Some(crack) = self.dent.crack.as_mut().filter(|c| c.length_mm.is_none()) {
            crack.direction = None;
        }
        Kept { typed: first_form(self.typed), dent: self.dent }
    }
}

/// A form of version 1 in the keys of today: a tablet may still hold one that it could not send.
pub fn first_form(old: BTreeMap<String, Given>) -> Form {
    let mut form = Form::default();
    for (key, value) in old {
        let text = value.text().trim().to_owned();
        let mut set = |key: &str, value: Given| {
            form.0.insert(key.to_owned(), value);
        };
        match (key.as_str(), &value) {
            ("at_mm", Given::Number(mm)) => set("at", Given::Text(format!("{mm} mm"))),
            ("clock_deg", Given::Number(deg)) => set("clock", Given::Text(format!("{deg}°"))),
            ("at_mm", _) => set("at", "".into()),
            ("clock_deg", _) => set("clock", "".into()),
            ("edge", _) => set("edge_radius", value),
            ("pushed", _) => set("pushed_in_by", value),
            // The label said the unit.
            ("hardness", _) if text.parse::<f64>().is_ok() => set("hardness", Given::Text(format!("{text} HV"))),
            ("crease", _) => {
                set("crease.lies", value);
                if text.is_empty() {
                    set("crease.length", "".into());
                }
            }
            ("crack", _) => {
                let (there, through) = match text.as_str() {
                    "closed" => ("yes", "no"),
                    "through" => ("yes", "yes"),
                    _ => ("", ""),
                };
                set("crack", there.into());
                set("crack.through", through.into());
                if there.is_empty() {
                    set("crack.lies", "".into());
                    set("crack.length", "".into());
                }
            }
            ("repair", _) => {
                set("earlier_repair", if text.is_empty() { "" } else { "yes" }.into());
                set("earlier_repair.note", value);
                if text.is_empty() {
                    set("earlier_repair.thinned", "".into());
                }
            }
            _ => set(&key, value),
        }
    }
    form
}
