//! What finished jobs teach, kept and read: the record's steps go in, `quote::learn` works it out, and the next quotes rest on what it found.
//! What was learned is kept by content, as all that a quote is made from: learning on changes no quote that was given.

use crate::problem::{Outcome, Problem};
use instrument::Kind;
use plan::{Level, OpeningKind, Standards, Step, StepKind, Within};
use quote::learn::{FinishedStep, Learned, Past, Sorted, learned, sorted};
use quote::{Correction, Quote, Shop};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use store::finished::FinishedRow;
use store::{By, Store};
use units::ThreePoint;

/// Where the record keeps how the shop learns.
pub const MODE: &str = "learning";
/// Where it keeps the hash of what was learned.
pub const LEARNED: &str = "learned";
/// Where it keeps what the owner corrected.
pub const CORRECTION: &str = "correction";

/// Jobs looked back over at most.
const MOST_JOBS: u32 = 1_500;

/// How a shop learns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// Each finished job moves the times.
    #[default]
    On,
    /// The times stay as they were learned last.
    Frozen,
    /// Start-up times and what the shop has set itself.
    Off,
}

impl Mode {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::On, Self::Frozen, Self::Off];

    /// Its key in the record and in forms.
    pub fn key(self) -> &'static str {
        match self {
            Self::On => "on",
            Self::Frozen => "frozen",
            Self::Off => "off",
        }
    }

    /// What it means.
    pub fn words(self) -> &'static str {
        match self {
            Self::On => "Learn: each finished job moves the times of the next quotes",
            Self::Frozen => "Freeze: the times stay as they are now",
            Self::Off => "Off: start-up times, and the minutes you set yourself",
        }
    }

    /// The one of a key.
    pub fn read(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.key() == key)
    }

    /// As the record has it.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn of(store: &Store) -> Outcome<Self> {
        Ok(store.setting(MODE)?.and_then(|key| Self::read(&key)).unwrap_or_default())
    }
}

/// By what a step is timed, as the record keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TimedBy {
    /// Its method, or what it opens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<Within>,
    /// The standard that it was planned by, before timed steps moved it, minutes.
    pub standard: ThreePoint,
    /// The shop's standard for its kind, as it was set then.
    pub set: ThreePoint,
}

/// The shop's standard of a kind, as it is set.
fn as_set(standards: &Standards, kind: StepKind, within: Option<Within>) -> ThreePoint {
    let opening = |k: OpeningKind, back: bool| {
        let oc = standards.standard_of_opening(k);
        if back { oc.close } else { oc.open }
    };
    match (kind, within) {
        (StepKind::OpenJoint | StepKind::OverlayOff, Some(Within::Opening(k))) => opening(k, false),
        (StepKind::CloseJoint | StepKind::OverlayBack, Some(Within::Opening(k))) => opening(k, true),
        _ => standards.standard_of(kind),
    }
}

/// By what a step of a plan is timed, as the record keeps it.
///
/// # Errors
/// Never in practice: seven numbers and two words.
pub fn timed_by(step: &Step, standards: &Standards) -> Outcome<String> {
    let by =
        TimedBy { within: step.within, standard: step.standard.unwrap_or(step.minutes), set: as_set(standards, step.kind, step.within) };
    serde_json::to_string(&by).map_err(|e| Problem::Broken(e.to_string()))
}

/// A word of the record as what it names.
pub(crate) fn named<T: DeserializeOwned>(word: &str) -> Option<T> {
    serde_json::from_value(serde_json::Value::String(word.to_owned())).ok()
}

fn family(word: &str) -> Kind {
    named(word).unwrap_or(Kind::Other)
}

/// A finished step as the model takes it; none of a kind that this program does not know.
fn finished(row: FinishedRow, standards: &Standards) -> Option<FinishedStep> {
    let kind: StepKind = named(&row.kind)?;
    let by: Option<TimedBy> = serde_json::from_str(&row.timed_by).ok();
    let minutes = |s: i64| s as f64 / 60.0;
    // A program that did not learn kept the mean alone: it leans and scatters as the shop's standard does.
    let usual = standards.standard_of(kind);
    let likely = minutes(row.likely_s);
    let old = usual.moved_to(likely, likely * usual.log_variance().exp_m1().sqrt());
    Some(FinishedStep {
        job: row.job,
        kind,
        within: by.as_ref().and_then(|b| b.within),
        family: family(&row.instrument),
        person: row.person,
        standard: by.as_ref().map_or(old, |b| b.standard),
        set_then: by.as_ref().map(|b| b.set),
        took_min: minutes(row.spent_s),
        doubtful: row.doubtful,
        corrected: row.corrected,
        done_at: row.done_at,
    })
}

/// Finished steps of now: what teaches, and how many teach nothing. `shop` is its file as it is, nothing learned in it.
///
/// # Errors
/// Where the record fails.
pub fn sorted_steps(store: &Store, shop: &Shop, now: i64) -> Outcome<Sorted> {
    let steps: Vec<FinishedStep> = store.finished_steps(MOST_JOBS)?.into_iter().filter_map(|row| finished(row, &shop.standards)).collect();
    Ok(sorted(&steps, |kind, within| as_set(&shop.standards, kind, within), now))
}

/// Works out anew what finished jobs teach and keeps it, where the shop learns and it moves anything. `shop` is its file as it is, nothing
/// learned in it. Returns whether anything moved.
///
/// # Errors
/// Where the record fails.
pub fn renew(store: &Store, by: By<'_>, shop: &Shop) -> Outcome<bool> {
    if Mode::of(store)? != Mode::On {
        return Ok(false);
    }
    let sorted = sorted_steps(store, shop, by.at)?;
    let pace = |name: &str| quote::learn::pace::person(shop, name).map(|p| p.pace);
    let Some(learned) = learned(&sorted, shop.correlation, pace) else { return Ok(false) };
    // A job of which no time counts moves none: nothing new is kept, and the journal does not say that times moved.
    if read(store, &store.setting(LEARNED)?.unwrap_or_default())?.is_some_and(|before| learned.same_times(&before)) {
        return Ok(false);
    }
    let body = serde_json::to_vec(&learned).map_err(|e| Problem::Broken(e.to_string()))?;
    store.set_setting(by, LEARNED, &store.keep_content(by, "application/json", &body)?)?;
    Ok(true)
}

/// The hash of what the next quotes rest on; empty where they rest on start-up times.
///
/// # Errors
/// Where the record fails.
pub fn in_use(store: &Store) -> Outcome<String> {
    Ok(match Mode::of(store)? {
        Mode::Off => String::new(),
        Mode::On | Mode::Frozen => store.setting(LEARNED)?.unwrap_or_default(),
    })
}

/// What was learned, by its hash; none where that is empty.
///
/// # Errors
/// Where it is missing or damaged.
pub fn read(store: &Store, hash: &str) -> Outcome<Option<Learned>> {
    if hash.is_empty() {
        return Ok(None);
    }
    let body = store.content(hash)?;
    serde_json::from_slice(&body).map(Some).map_err(|e| Problem::Broken(format!("what was learned cannot be read back: {e}")))
}

/// What the owner corrected, as text; empty where nothing.
///
/// # Errors
/// Where the record fails.
pub fn correction_text(store: &Store) -> Outcome<String> {
    Ok(store.setting(CORRECTION)?.unwrap_or_default())
}

/// A correction from its text.
///
/// # Errors
/// Where it cannot be read back.
pub fn correction(text: &str) -> Outcome<Option<Correction>> {
    if text.is_empty() {
        return Ok(None);
    }
    serde_json::from_str(text).map(Some).map_err(|e| Problem::Broken(format!("the correction cannot be read back: {e}")))
}

/// Lays a correction on the next quotes, or takes it off.
///
/// # Errors
/// Where the record fails.
pub fn correct(store: &Store, by: By<'_>, correction: Option<&Correction>) -> Outcome<()> {
    let text = correction.map(serde_json::to_string).transpose().map_err(|e| Problem::Broken(e.to_string()))?.unwrap_or_default();
    Ok(store.set_setting(by, CORRECTION, &text)?)
}

/// Finished jobs against what had been said of them, and how many were left out because a step's time is not known.
///
/// # Errors
/// Where the record fails.
pub fn past(store: &Store) -> Outcome<(Vec<Past>, usize)> {
    let (learned, corrected) = (!in_use(store)?.is_empty(), correction(&correction_text(store)?)?);
    let (mut all, mut unknown) = (Vec::new(), 0);
    for job in store.finished_jobs(MOST_JOBS)? {
        // What an earlier program kept and this one cannot read says nothing of times.
        let (Ok(quote), Ok(level)) = (serde_json::from_str::<Quote>(&job.quote), job.level.parse::<Level>()) else { continue };
        let Some(offer) = quote.of_level(level) else { continue };
        if job.unknown > 0 {
            unknown += 1;
            continue;
        }
        all.push(Past {
            said: offer.times,
            took_min: job.spent_s as f64 / 60.0,
            family: family(&job.instrument),
            level,
            as_now: quote.rests_on.learned.is_some() == learned && quote.rests_on.correction == corrected,
        });
    }
    Ok((all, unknown))
}
