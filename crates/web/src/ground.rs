//! What a quote or an agreement was made from, by content: the survey, the rack, the prices, the decisions. A price, a tool or
//! a dent that changes later makes other contents and changes nothing that was given or agreed.

use crate::learning;
use crate::problem::{Outcome, Problem};
use instrument::{Kind, Survey};
use plan::Overrules;
use quote::learn::{applied, pace};
use quote::{Shop, Terms};
use reach::Rack;
use serde::{Deserialize, Serialize};
use store::{By, Store};
use survey::kept::{survey_from_json, survey_to_json};

/// What a job follows from besides its survey and what was decided: the shop's files, and what it has learned.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Sources {
    /// The rack's file.
    pub rack: String,
    /// The shop's file.
    pub shop: String,
    /// Hash of what finished jobs taught; empty: start-up times.
    pub learned: String,
    /// What the owner corrected, JSON; empty: nothing.
    pub correction: String,
    /// The job's own terms, JSON; empty: the shop's prices as they are.
    pub terms: String,
    /// On whose bench the job lies: their rate, where they have one, is the price of the hour. Empty: on nobody's.
    pub bench: String,
}

impl Sources {
    /// The shop as a plan and a quote take it, for a kind of instrument.
    ///
    /// # Errors
    /// Where a price, or what was learned, cannot be read: it must not become another one.
    pub fn shop(&self, store: &Store, family: Kind) -> Outcome<Shop> {
        let learned = learning::read(store, &self.learned)?;
        let correction = learning::correction(&self.correction)?;
        let shop = Shop { terms: read_terms(&self.terms)?, ..shop_of(&self.shop)? };
        let shop = pace::at_rate_of(shop, Some(self.bench.as_str()).filter(|b| !b.is_empty()));
        Ok(applied(shop, learned.as_ref(), correction.as_ref(), family))
    }
}

/// Hashes of the contents.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Ground {
    /// The survey, JSON as the record keeps it.
    pub survey: String,
    /// The rack's file.
    pub rack: String,
    /// The shop's file.
    pub shop: String,
    /// The decisions against the plan, those of the day among them, JSON.
    pub decisions: String,
    /// The day: tools that were lent out then.
    pub day: String,
    /// What finished jobs had taught; empty: start-up times.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub learned: String,
    /// What the owner had corrected, JSON.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub correction: String,
    /// On whose bench it lay.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub bench: String,
    /// The job's own terms, JSON; none: the shop's prices as they are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<String>,
}

/// The ground itself.
pub struct Read {
    /// The survey with its dents.
    pub survey: Survey,
    /// The rack.
    pub rack: Rack,
    /// The shop, with the job's own terms.
    pub shop: Shop,
    /// The decisions.
    pub overrules: Overrules,
}

impl Ground {
    /// Keeps the ground; the files of the rack and the shop as they are. What was learned is kept already.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn keep(store: &Store, by: By<'_>, survey: &Survey, from: &Sources, overrules: &Overrules, day: &str) -> Outcome<Self> {
        let broken = |e: &dyn std::fmt::Display| Problem::Broken(e.to_string());
        let survey = survey_to_json(survey).map_err(|e| broken(&e))?;
        let decisions = serde_json::to_vec(overrules).map_err(|e| broken(&e))?;
        let terms = match from.terms.as_str() {
            "" => None,
            json => Some(store.keep_content(by, "application/json", json.as_bytes())?),
        };
        Ok(Self {
            terms,
            survey: store.keep_content(by, "application/json", survey.as_bytes())?,
            rack: store.keep_content(by, "application/toml", from.rack.as_bytes())?,
            shop: store.keep_content(by, "application/toml", from.shop.as_bytes())?,
            decisions: store.keep_content(by, "application/json", &decisions)?,
            day: day.to_owned(),
            learned: from.learned.clone(),
            correction: from.correction.clone(),
            bench: from.bench.clone(),
        })
    }

    /// As the record keeps it beside a quote.
    ///
    /// # Errors
    /// Never in practice: hashes and words.
    pub fn to_json(&self) -> Outcome<String> {
        serde_json::to_string(self).map_err(|e| Problem::Broken(e.to_string()))
    }

    /// Read back from beside a quote.
    ///
    /// # Errors
    /// Where it was not written by [`Ground::to_json`].
    pub fn from_json(json: &str) -> Outcome<Self> {
        serde_json::from_str(json).map_err(|e| Problem::Broken(format!("what this was made from cannot be read back: {e}")))
    }

    /// The ground as it was.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn read(&self, store: &Store) -> Outcome<Read> {
        let survey =
            survey_from_json(&text(store, &self.survey)?).map_err(|e| Problem::Broken(format!("the survey cannot be read back: {e}")))?;
        let overrules = serde_json::from_str(&text(store, &self.decisions)?)
            .map_err(|e| Problem::Broken(format!("the decisions of then cannot be read back: {e}")))?;
        let from = self.sources(store)?;
        let shop = from.shop(store, survey.instrument.kind)?;
        Ok(Read { survey, rack: survey::read_rack(&from.rack).0, shop, overrules })
    }

    /// The files of the rack and the shop, and what was learned, as they were.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn sources(&self, store: &Store) -> Outcome<Sources> {
        Ok(Sources {
            rack: text(store, &self.rack)?,
            shop: text(store, &self.shop)?,
            terms: self.terms.as_ref().map_or_else(|| Ok(String::new()), |hash| text(store, hash))?,
            learned: self.learned.clone(),
            correction: self.correction.clone(),
            bench: self.bench.clone(),
        })
    }
}

/// The terms as text, empty where there are none.
///
/// # Errors
/// Never in practice: plain values.
pub fn terms_text(terms: &Terms) -> Outcome<String> {
    if *terms == Terms::default() {
        return Ok(String::new());
    }
    serde_json::to_string(terms).map_err(|e| Problem::Broken(e.to_string()))
}

/// The terms of a text.
///
/// # Errors
/// Where it was not written by [`terms_text`].
pub fn read_terms(json: &str) -> Outcome<Terms> {
    if json.is_empty() {
        return Ok(Terms::default());
    }
    serde_json::from_str(json).map_err(|e| Problem::Broken(format!("the terms of then cannot be read back: {e}")))
}

fn text(store: &Store, hash: &str) -> Outcome<String> {
    String::from_utf8(store.content(hash)?).map_err(|e| Problem::Broken(format!("content {hash}: {e}")))
}

/// A shop from its file.
///
/// # Errors
/// Where a price cannot be read: it must not become another one.
pub fn shop_of(text: &str) -> Outcome<Shop> {
    let (shop, problems) = survey::read_shop(text);
    match problems.iter().find(|p| !p.warning) {
        Some(p) => Err(Problem::Broken(format!("the shop's prices cannot be read: {p}"))),
        None => Ok(shop),
    }
}
