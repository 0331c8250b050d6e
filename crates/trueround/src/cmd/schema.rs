//! `trueround schema`: the JSON Schema of survey files.

use crate::fail::{Done, Fail};

/// Runs it.
pub fn run() -> Done {
    let text = serde_json::to_string_pretty(&survey::survey_schema()).map_err(|e| Fail::Machine(e.to_string()))?;
    anstream::println!("{text}");
    Ok(())
}
