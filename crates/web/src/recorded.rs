//! What the record holds, put together again for the main job.

use crate::problem::{Outcome, Problem};
use instrument::Survey;
use store::surveys::{SavedDent, Versioned};
use survey::kept::{Kept, survey_from_json};

/// The survey from its saved parts.
///
/// # Errors
/// Where a part cannot be read back.
pub fn assemble(body: &Versioned, dents: &[SavedDent]) -> Outcome<Survey> {
    let mut survey = body_read(body)?;
    survey.dents = dents.iter().map(|d| dent_read(d).map(|k| k.dent)).collect::<Outcome<_>>()?;
    Ok(survey)
}

/// The survey's body, without its dents.
///
/// # Errors
/// Where it cannot be read back.
pub fn body_read(body: &Versioned) -> Outcome<Survey> {
    survey_from_json(&body.body).map_err(|e| Problem::Broken(format!("the survey cannot be read back: {e}")))
}

/// A dent, as typed and as meant.
///
/// # Errors
/// Where it cannot be read back.
pub fn dent_read(d: &SavedDent) -> Outcome<Kept> {
    Kept::from_json(&d.saved.body).map_err(|e| Problem::Broken(format!("dent {} cannot be read back: {e}", d.name)))
}

/// Whether a JSON body that comes from outside reads as what its table holds: an import asks for each.
///
/// # Errors
/// What is wrong with it.
pub fn read_body(table: &str, field: &str, body: &str) -> Result<(), String> {
    fn as_json<T: serde::de::DeserializeOwned>(body: &str) -> Result<(), String> {
        serde_json::from_str::<T>(body).map(|_| ()).map_err(|e| e.to_string())
    }
    match (table, field) {
        ("surveys", "body") => survey_from_json(body).map(|_| ()).map_err(|e| e.to_string()),
        ("dents", "body") => Kept::from_json(body).map(|_| ()).map_err(|e| e.to_string()),
        ("overrules", "body") => as_json::<plan::Decision>(body),
        ("quotes", "body") => as_json::<quote::Quote>(body).or_else(|why| as_json::<quote::Supplement>(body).map_err(|_| why)),
        ("steps", "timed_by") if !body.is_empty() => as_json::<crate::learning::TimedBy>(body),
        ("contract_plans", "made_from") => as_json::<crate::contract_ground::PlanGround>(body),
        (_, "made_from") => crate::ground::Ground::from_json(body).map(|_| ()).map_err(|e| e.to_string()),
        _ => Ok(()),
    }
}
