//! What the record holds, put together again for the main job.

use crate::pages::measure::Kept;
use crate::problem::{Outcome, Problem};
use instrument::Survey;
use store::surveys::{SavedDent, Versioned};

/// The survey from its saved parts.
///
/// # Errors
/// Where a part cannot be read back.
pub fn assemble(body: &Versioned, dents: &[SavedDent]) -> Outcome<Survey> {
    let mut survey: Survey =
        serde_json::from_str(&body.body).map_err(|e| Problem::Broken(format!("the survey cannot be read back: {e}")))?;
    survey.dents = dents
        .iter()
        .map(|d| {
            serde_json::from_str::<Kept>(&d.saved.body)
                .map(|k| k.dent)
                .map_err(|e| Problem::Broken(format!("dent {} cannot be read back: {e}", d.name)))
        })
        .collect::<Outcome<_>>()?;
    Ok(survey)
}
