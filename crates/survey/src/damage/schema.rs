//! The JSON Schema of a dent's and a condition's table, from their fields.

use crate::quantity::Quantity;
use crate::words::Word;
use instrument::fields::{Field, Kind};
use instrument::{ConditionKind, Direction};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// The schema of a table.
pub(crate) fn of(fields: &[&Field], about: &str, generator: &mut SchemaGenerator) -> Schema {
    let top: Vec<&&Field> = fields.iter().filter(|f| f.in_part().is_none()).collect();
    let mut properties = Map::new();
    for field in &top {
        let mut schema = one(fields, field, generator);
        schema["description"] = json!(field.about);
        properties.insert(field.key.to_owned(), schema);
    }
    let needed: Vec<&str> = top.iter().filter(|f| f.needed).map(|f| f.key).collect();
    let table = table(properties, &needed, about);
    Schema::try_from(table).unwrap_or_default()
}

fn table(properties: Map<String, Value>, needed: &[&str], about: &str) -> Value {
    let mut table = json!({ "type": "object", "additionalProperties": false, "properties": properties });
    if !needed.is_empty() {
        table["required"] = json!(needed);
    }
    if !about.is_empty() {
        table["description"] = json!(about);
    }
    table
}

fn one(fields: &[&Field], field: &Field, generator: &mut SchemaGenerator) -> Value {
    let quantity = |generator: &mut SchemaGenerator| generator.subschema_for::<Quantity>().to_value();
    match field.kind {
        Kind::Id | Kind::Run | Kind::Overlay | Kind::Joint | Kind::Fit | Kind::Words => json!({ "type": "string" }),
        Kind::Length(_) | Kind::Clock | Kind::Angle | Kind::Hardness => json!({ "anyOf": [quantity(generator)] }),
        Kind::ClockRange => pair(String::json_schema(generator).to_value()),
        Kind::Direction => words::<Direction>(),
        Kind::Condition => words::<ConditionKind>(),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Points => json!({ "type": "array", "items": pair(quantity(generator)) }),
        // Parts of the instrument have types of their own in the file.
        Kind::Along(_) | Kind::TemperAlong | Kind::Choice(_) | Kind::Joints | Kind::Overlays | Kind::Axis | Kind::Covers => json!({}),
        Kind::Part => {
            let mut properties = Map::new();
            let own: Vec<(&&Field, &str)> =
                fields.iter().filter_map(|f| f.in_part().filter(|(p, _)| *p == field.key).map(|(_, own)| (f, own))).collect();
            for (f, key) in &own {
                let mut schema = one(fields, f, generator);
                schema["description"] = json!(f.about);
                properties.insert((*key).to_owned(), schema);
            }
            let needed: Vec<&str> = own.iter().filter(|(f, _)| f.needed).map(|(_, key)| *key).collect();
            let table = table(properties, &needed, "");
            if needed.is_empty() { json!({ "anyOf": [table, { "type": "boolean" }] }) } else { table }
        }
    }
}

fn pair(of: Value) -> Value {
    json!({ "type": "array", "items": of, "minItems": 2, "maxItems": 2 })
}

/// The words are told, not enumerated: case, hyphens and other words for the same are read too.
fn words<T: Word>() -> Value {
    let all: Vec<&str> = T::WORDS.iter().map(|(_, word)| *word).collect();
    json!({ "type": "string", "examples": all })
}
