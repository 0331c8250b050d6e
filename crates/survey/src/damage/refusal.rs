//! What is refused of a dent or a condition: what could not be read, and what only shows against the instrument.

use instrument::check::{self, Severity};
use instrument::{Condition, Dent, Survey};
use serde::Serialize;
use std::ops::Range;
use units::Text;

/// A field that cannot be taken as it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Refusal {
    /// The field's key; empty where the whole is meant.
    pub key: String,
    /// What is wrong.
    pub what: Text,
    /// How to mend it.
    pub hint: Text,
    /// Whether it can be planned all the same.
    pub warning: bool,
    /// Where it stood in the file; nothing of a form.
    #[serde(skip)]
    pub at: Range<usize>,
}

/// What the plain data shows to be wrong with one dent, besides what could not be read: a field that is told already is
/// not told again.
pub fn dent_refusals(survey: &Survey, dent: &Dent, refusals: &[Refusal]) -> Vec<Refusal> {
    with_checks(refusals, check::dent_problems(survey, dent))
}

/// As [`dent_refusals`], of a condition.
pub fn condition_refusals(survey: &Survey, condition: &Condition, refusals: &[Refusal]) -> Vec<Refusal> {
    with_checks(refusals, check::condition_problems(survey, condition))
}

fn with_checks(refusals: &[Refusal], checks: Vec<check::Problem>) -> Vec<Refusal> {
    let more = checks.into_iter().filter_map(|p| {
        let key = p.path.splitn(3, '.').nth(2).unwrap_or_default().to_owned();
        let warning = p.severity == Severity::Warning;
        refusals.iter().all(|r| r.key != key).then_some(Refusal { key, what: p.what, hint: p.hint, warning, at: 0..0 })
    });
    refusals.iter().cloned().chain(more).collect()
}
