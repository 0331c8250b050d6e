//! `trueround schema`: the JSON Schema of survey, rack and shop files.

use crate::args::{Schema, SchemaOf};
use crate::fail::{Done, Fail};

/// Runs it.
pub fn run(a: &Schema) -> Done {
    let schema = match a.of {
        SchemaOf::Survey => survey::survey_schema(),
        SchemaOf::Rack => survey::rack_schema(),
        SchemaOf::Shop => survey::shop_schema(),
    };
    let text = serde_json::to_string_pretty(&schema).map_err(|e| Fail::Machine(e.to_string()))?;
    anstream::println!("{text}");
    Ok(())
}
