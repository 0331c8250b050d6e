//! What a quote or an agreement was made from, by content: the survey, the rack, the prices, the decisions. A price, a tool or
//! a dent that changes later makes other contents and changes nothing that was given or agreed.

use crate::problem::{Outcome, Problem};
use instrument::Survey;
use plan::Overrules;
use quote::{Shop, Terms};
use reach::Rack;
use serde::{Deserialize, Serialize};
use store::{By, Store};
use survey::kept::{survey_from_json, survey_to_json};

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
    /// Keeps the ground; the files of the rack and the shop as they are.
    ///
    /// # Errors
    /// Where the record fails.
    #[allow(clippy::too_many_arguments)]
    pub fn keep(
        store: &Store,
        by: By<'_>,
        survey: &Survey,
        rack: &str,
        shop: &str,
        terms: &Terms,
        overrules: &Overrules,
        day: &str,
    ) -> Outcome<Self> {
        let broken = |e: &dyn std::fmt::Display| Problem::Broken(e.to_string());
        let survey = survey_to_json(survey).map_err(|e| broken(&e))?;
        let decisions = serde_json::to_vec(overrules).map_err(|e| broken(&e))?;
        let terms = match serde_json::to_vec(terms).map_err(|e| broken(&e))? {
            _ if *terms == Terms::default() => None,
            json => Some(store.keep_content(by, "application/json", &json)?),
        };
        Ok(Self {
            terms,
            survey: store.keep_content(by, "application/json", survey.as_bytes())?,
            rack: store.keep_content(by, "application/toml", rack.as_bytes())?,
            shop: store.keep_content(by, "application/toml", shop.as_bytes())?,
            decisions: store.keep_content(by, "application/json", &decisions)?,
            day: day.to_owned(),
        })
    }

    /// As the record keeps it beside a quote.
    ///
    /// # Errors
    /// Never in practice: five hashes.
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
        let (rack, shop) = self.files(store)?;
        let shop = Shop { terms: self.terms(store)?, ..shop_of(&shop)? };
        Ok(Read { survey, rack: survey::read_rack(&rack).0, shop, overrules })
    }

    /// The job's own terms as they were.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn terms(&self, store: &Store) -> Outcome<Terms> {
        let Some(hash) = &self.terms else { return Ok(Terms::default()) };
        serde_json::from_str(&text(store, hash)?).map_err(|e| Problem::Broken(format!("the terms of then cannot be read back: {e}")))
    }

    /// The files of the rack and the shop as they were.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn files(&self, store: &Store) -> Outcome<(String, String)> {
        Ok((text(store, &self.rack)?, text(store, &self.shop)?))
    }
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
