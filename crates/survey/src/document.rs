//! A file that is changed in one place: what stands beside that place stays as it was written, comments, order and blank lines.

use crate::problem::Problem;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike, Value};

/// The file as a document.
///
/// # Errors
/// Where it is not TOML.
pub(crate) fn document(text: &str) -> Result<DocumentMut, Problem> {
    text.parse().map_err(|e: toml_edit::TomlError| {
        let line = e.span().map(|s| crate::problem::line_of(text, s.start));
        let what = format!("this cannot be read: {}", e.message());
        Problem { line, field: String::new(), what: what.into(), hint: "mend it in the file itself".into(), warning: false }
    })
}

/// Sets a key, with the comment behind it kept; takes it out where there is no value.
pub(crate) fn put(table: &mut dyn TableLike, key: &str, value: Option<Value>) {
    let Some(value) = value else {
        table.remove(key);
        return;
    };
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = value;
            *old.decor_mut() = decor;
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// As [`put`], at a path with points between its keys (`tax.parts`).
pub(crate) fn put_at(doc: &mut DocumentMut, path: &str, value: Option<Value>) {
    let (within, key) = match path.rsplit_once('.') {
        Some((within, key)) => (Some(within), key),
        None => (None, path),
    };
    let Some(within) = within else { return put(doc.as_table_mut(), key, value) };
    if value.is_none() && !doc.contains_key(within) {
        return;
    }
    let item = doc.as_table_mut().entry(within).or_insert_with(|| Item::Table(Table::new()));
    if let Some(table) = item.as_table_like_mut() {
        put(table, key, value);
    }
}

/// Whether something stands at a path.
pub(crate) fn has(doc: &DocumentMut, path: &str) -> bool {
    match path.rsplit_once('.') {
        Some((within, key)) => doc.get(within).and_then(Item::as_table_like).is_some_and(|t| t.contains_key(key)),
        None => doc.contains_key(path),
    }
}

/// A list of tables, however it is written.
pub(crate) fn list<'d>(doc: &'d mut DocumentMut, key: &str) -> Option<&'d mut ArrayOfTables> {
    let root = doc.as_table_mut();
    if !root.contains_array_of_tables(key) {
        let tables = root.remove(key).and_then(|item| item.into_array_of_tables().ok()).unwrap_or_default();
        root.insert(key, Item::ArrayOfTables(tables));
    }
    root.get_mut(key).and_then(Item::as_array_of_tables_mut)
}

/// The tables of a list, however it is written.
pub(crate) fn listed(doc: &DocumentMut, key: &str) -> Vec<Table> {
    doc.get(key).cloned().and_then(|item| item.into_array_of_tables().ok()).map(|all| all.iter().cloned().collect()).unwrap_or_default()
}

/// A value as a person would type it; a table that spells a length out is its millimeters.
pub(crate) fn typed(item: &Item, unit: &str) -> String {
    let number = |n: String| if unit.is_empty() { n } else { format!("{n} {unit}") };
    match item.as_value() {
        Some(Value::String(s)) => s.value().clone(),
        Some(Value::Integer(n)) => number(n.value().to_string()),
        Some(Value::Float(x)) => number(x.value().to_string()),
        Some(Value::Boolean(b)) => b.value().to_string(),
        Some(Value::InlineTable(t)) => t.get("value").map_or_else(String::new, |v| typed(&Item::Value(v.clone()), "mm")),
        Some(other) => other.to_string().trim().to_owned(),
        None => String::new(),
    }
}
