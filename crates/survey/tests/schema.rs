//! The schema in docs/ is the one that the types make.

use std::path::PathBuf;

fn kept(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "..", "..", "docs", name].iter().collect()
}

/// With `TRUEROUND_WRITE_SCHEMA=1` the kept schemas are written anew instead.
#[test]
fn the_kept_schemas_are_those_of_the_types() {
    for (name, schema) in [
        ("survey.schema.json", survey::survey_schema()),
        ("rack.schema.json", survey::rack_schema()),
        ("shop.schema.json", survey::shop_schema()),
    ] {
        let made = format!("{}\n", serde_json::to_string_pretty(&schema).unwrap());
        if std::env::var_os("TRUEROUND_WRITE_SCHEMA").is_some() {
            std::fs::write(kept(name), made).unwrap();
        } else {
            let found = std::fs::read_to_string(kept(name)).unwrap_or_default();
            assert!(found == made, "docs/{name} is out of date: TRUEROUND_WRITE_SCHEMA=1 cargo test -p survey --test schema");
        }
    }
}
