//! The rack as a table for a spreadsheet, and back: a tool a row. Tools that the file has already keep their comments.

use crate::document::{document, list, put};
use crate::problem::Problem;
use crate::rack::{SIZES, rows};
use crate::rack_form::{OF_EVERY_TOOL, tool_sheets};
use std::collections::BTreeMap;
use toml_edit::{Item, Table, Value};

/// The rack as CSV: every tool, the retired ones too, with the sizes that any of them has.
///
/// # Errors
/// Where the file is not TOML.
pub fn rack_csv(text: &str) -> Result<String, Problem> {
    let tools = tool_sheets(text)?;
    let has = |key: &&str| tools.iter().any(|t| !t.text(key).is_empty());
    let columns: Vec<&str> = ["id", "name", "place", "kind"]
        .into_iter()
        .chain(["condition", "away_until", "retired"].into_iter().chain(SIZES).filter(has))
        .collect();
    let mut csv = csv::Writer::from_writer(Vec::new());
    let broken = |e: &dyn std::fmt::Display| Problem {
        line: None,
        field: String::new(),
        what: format!("the table cannot be written: {e}").into(),
        hint: "take the file as TOML".into(),
        warning: false,
    };
    csv.write_record(&columns).map_err(|e| broken(&e))?;
    for t in &tools {
        csv.write_record(columns.iter().map(|c| if *c == "id" { t.id.as_str() } else { t.text(c) })).map_err(|e| broken(&e))?;
    }
    String::from_utf8(csv.into_inner().map_err(|e| broken(&e))?).map_err(|e| broken(&e))
}

/// The rack's file with the tools of a table in place of its own; hands stay.
///
/// # Errors
/// Every problem of the table, with its line; nothing is taken where there is one.
pub fn rack_with_table(text: &str, table: &str) -> Result<String, Vec<Problem>> {
    let mut all = Vec::new();
    let found = rows(table, |cells| all.push(cells)).1;
    let wrong: Vec<Problem> = found.into_iter().filter(|p| !p.warning).collect();
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let mut doc = document(text).map_err(|p| vec![p])?;
    let Some(tools) = list(&mut doc, "tool") else { return Ok(doc.to_string()) };
    let before: BTreeMap<String, Table> =
        tools.iter().filter_map(|t| Some((t.get("id").and_then(Item::as_str)?.trim().to_owned(), t.clone()))).collect();
    tools.clear();
    for cells in &all {
        let cell = |key: &str| cells.iter().find(|(k, _)| k == key).map(|(_, text)| text.as_str());
        let mut tool = cell("id").and_then(|id| before.get(id).cloned()).unwrap_or_else(|| {
            let mut new = Table::new();
            new.decor_mut().set_prefix("\n");
            new
        });
        for key in ["id", "name", "place", "kind"].into_iter().chain(OF_EVERY_TOOL).chain(SIZES) {
            let same = tool.get(key).and_then(Item::as_str) == cell(key);
            if !same {
                put(&mut tool, key, cell(key).map(Value::from));
            }
        }
        tool.set_position(None);
        tools.push(tool);
    }
    Ok(doc.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rack::{read_rack, read_rack_csv};

    #[test]
    fn a_rack_goes_into_a_table_and_comes_back_the_same() {
        let demo = include_str!("../../../demo/rack.toml");
        let csv = rack_csv(demo).unwrap();
        let (from_csv, problems) = read_rack_csv(&csv);
        assert_eq!(problems, []);
        assert_eq!(from_csv.tools, read_rack(demo).0.tools);
        assert!(from_csv.tools.iter().any(|t| t.condition == "a scratch at 40 mm: polish it first"));
        // Nothing was changed in it: not a sign of the file moves.
        assert_eq!(rack_with_table(demo, &csv).unwrap(), demo);
    }

    #[test]
    fn a_table_changes_and_adds_and_takes_out_and_keeps_comments() {
        let rack = "trueround_rack = 1\n[hands]\npush = \"99 N\"\n[[tool]]\nid = \"a\" # ours\nkind = \"ball\"\ndiameter = \"9 mm\"\n\n[[tool]]\nid = \"z\"\nkind = \"torch\"\n";
        let table = "id,name,kind,diameter (mm),retired\na,,ball,10,\nc,\"two, three\",ball,12,2026-01-02\n";
        let after = rack_with_table(rack, table).unwrap();
        let (read, problems) = read_rack(&after);
        assert_eq!(problems, []);
        assert!(after.contains("id = \"a\" # ours") && after.contains("name = \"two, three\"") && !after.contains("torch"), "{after}");
        assert_eq!((read.tools.len(), read.hand_push_n), (1, 99.0));
        let wrong = rack_with_table(rack, "id,kind,diameter (mm)\na,ball,wide\nb,spoon,3\n").unwrap_err();
        assert_eq!(wrong.iter().map(|p| p.line).collect::<Vec<_>>(), [Some(2), Some(3)]);
    }
}
