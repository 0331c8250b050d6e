//! What the survey's page and its script say to each other of one dent, as JSON.

use crate::problem::Outcome;
use crate::recorded::dent_read;
use crate::unit_format::UnitFormat;
use ::survey::damage::{Form as Filled, Refusal};
use ::survey::given::Given;
use ::survey::kept::{self, Kept};
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use instrument::fields::{Field, dent as d};
use instrument::{Dent, Survey};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use store::StoreError;
use store::surveys::SavedDent;
use units::likelihood::{show_likelihood, show_likelihood_range};
use units::{LengthUnit, text};

/// A dent as the page sends it.
#[derive(Deserialize)]
pub struct SentDent {
    pub(super) name: Option<String>,
    /// Made by the tablet for a new dent, so that sending twice makes one dent.
    pub(super) token: Option<String>,
    /// Made by the tablet for each save, so that one that is sent again after a lost answer writes nothing.
    pub(super) mark: Option<String>,
    /// Marks of saves before this one to which the tablet has no answer.
    #[serde(default)]
    pub(super) after: Vec<String>,
    pub(super) from: i64,
    #[serde(default)]
    pub(super) gone: bool,
    /// The unit of its bare numbers; none: that of the tablet now.
    unit: Option<String>,
    /// Version of the form's keys; none: a tablet that kept a dent from before they were the file's.
    pub(super) form: Option<u32>,
    /// Its fields, by the keys of [`instrument::fields::dent`].
    #[serde(flatten)]
    pub(super) fields: BTreeMap<String, Given>,
}

impl SentDent {
    pub(super) fn unit(&self, fmt: UnitFormat) -> LengthUnit {
        match self.unit.as_deref() {
            Some("mm") => LengthUnit::Mm,
            Some("in") => LengthUnit::Inch,
            _ => fmt.0,
        }
    }

    pub(super) fn typed(&self) -> Filled {
        if self.form.is_some() { Filled(self.fields.clone()) } else { kept::first_form(self.fields.clone()) }
    }
}

/// A field of the form that needs a second look.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Unread {
    /// Its key; empty where none is meant.
    pub(super) field: String,
    /// What is wrong and how to mend it.
    pub(super) words: String,
}

impl Unread {
    pub(super) fn of(refusal: &Refusal, fmt: UnitFormat) -> Self {
        Self { field: refusal.key.clone(), words: fmt.text(&text!("{}; {}", refusal.what, refusal.hint)) }
    }
}

/// The answer to a dent that was saved.
#[derive(Serialize)]
pub(super) struct Saved {
    pub(super) name: String,
    pub(super) version: i64,
    pub(super) warnings: Vec<Unread>,
    pub(super) says: String,
    /// As it was read; nothing where it was taken out.
    pub(super) dent: Option<Shown>,
}

impl Saved {
    pub(super) fn gone(name: String) -> Self {
        Self { name, version: 0, warnings: vec![], says: String::new(), dent: None }
    }
}

/// A dent as the page shows it.
#[derive(Serialize)]
pub(super) struct Shown {
    pub(super) name: String,
    pub(super) version: i64,
    /// Version of the keys.
    pub(super) form: u32,
    /// Where its mark stands on the strip, mm and degrees: for the page's script, which does not send it back.
    pub(super) at_mm: Option<f64>,
    pub(super) clock_deg: Option<f64>,
    /// Its size, mm, for the drawing.
    depth_mm: Option<f64>,
    along_mm: Option<f64>,
    across_mm: Option<f64>,
    /// What the answer turns on, in words; nothing where it cannot be said yet.
    crack_likelihood: Option<String>,
    #[serde(flatten)]
    pub(super) fields: Filled,
}

impl Shown {
    /// With the survey it says how likely the dent is to crack.
    pub(super) fn of(name: &str, version: i64, kept: &Kept, fmt: UnitFormat, survey: Option<&Survey>) -> Self {
        let value = |k: &Option<units::Known>| k.as_ref().map(|k| k.value);
        Self {
            name: name.to_owned(),
            version,
            form: kept::VERSION,
            at_mm: value(&kept.dent.at_mm),
            clock_deg: value(&kept.dent.clock_deg),
            depth_mm: value(&kept.dent.depth_mm),
            along_mm: value(&kept.dent.width_along_mm),
            across_mm: value(&kept.dent.width_across_mm),
            crack_likelihood: survey.and_then(|s| crack_likelihood(s, &kept.dent)),
            fields: kept.shown(fmt.0),
        }
    }
}

/// The answer where somebody saved in between.
#[derive(Serialize)]
pub(super) struct Clash {
    pub(super) version: i64,
    pub(super) words: String,
    pub(super) dent: Option<Shown>,
}

/// The answer to a dent that cannot be taken.
#[derive(Serialize)]
pub(super) struct Refused {
    pub(super) problems: Vec<Unread>,
}

pub(super) fn shown(d: &SavedDent, fmt: UnitFormat, survey: Option<&Survey>) -> Outcome<Shown> {
    Ok(Shown::of(&d.name, d.saved.version, &dent_read(d)?, fmt, survey))
}

pub(super) fn clash(name: &str, e: StoreError, fmt: UnitFormat) -> Outcome<Response> {
    let StoreError::Conflict { version, body, .. } = e else { return Err(e.into()) };
    let dent = body.and_then(|b| Kept::from_json(&b).ok()).map(|k| Shown::of(name, version, &k, fmt, None));
    let words = dent.as_ref().map_or(String::new(), |shown| {
        let or = |field: &Field| Some(shown.fields.text(field)).filter(|t| !t.is_empty()).unwrap_or("–").to_owned();
        format!("depth {}, along {}, across {}", or(&d::DEPTH), or(&d::ALONG), or(&d::ACROSS))
    });
    Ok((StatusCode::CONFLICT, Json(Clash { version, words, dent })).into_response())
}

/// How likely a dent is to crack when it is worked cold; nothing without a depth, on which all of it hangs.
fn crack_likelihood(survey: &Survey, dent: &Dent) -> Option<String> {
    dent.depth_mm.as_ref()?;
    let a = ::dent::assess(dent, &survey.site(dent)?);
    let f = &a.crack_likelihood;
    Some(if show_likelihood(f.low) == show_likelihood(f.high) {
        show_likelihood(f.value)
    } else {
        show_likelihood_range(f.value, f.low, f.high)
    })
}

/// What the program already says of a dent, in one line: the whole is on the plan's page.
pub(super) fn says(fmt: UnitFormat, survey: &Survey, dent: &Dent) -> String {
    let Some(site) = survey.site(dent) else { return String::new() };
    let a = ::dent::assess(dent, &site);
    format!("{} Force on the wall {}.", fmt.sentence(&a.advice_because), fmt.words(&a.force_inside_n))
}
