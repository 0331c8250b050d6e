//! Words that somebody typed freely into what other crates define (a survey, a dent), and that may name a customer: found by their keys
//! when the customer is erased, whatever stands about them.

use crate::agreements::{content, keep};
use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::Connection;
use serde_json::Value;
use std::collections::BTreeMap;

/// Keys of such words; of a form's dotted keys (`crack.note`) the last part counts.
pub(crate) const FREE: &[&str] = &["customer", "title", "note", "why", "reason", "exempt"];

/// A JSON text without its free words; none where it has none, or is no JSON.
pub(crate) fn erased(json: &str) -> Option<String> {
    let mut value: Value = serde_json::from_str(json).ok()?;
    blank(&mut value, false).then(|| value.to_string())
}

fn blank(value: &mut Value, within: bool) -> bool {
    match value {
        Value::String(text) if within && !text.is_empty() => {
            text.clear();
            true
        }
        Value::Array(all) => all.iter_mut().fold(false, |changed, v| blank(v, within) | changed),
        Value::Object(all) => all.iter_mut().fold(false, |changed, (key, v)| {
            let free = within || FREE.contains(&key.rsplit('.').next().unwrap_or(key));
            blank(v, free) | changed
        }),
        _ => false,
    }
}

/// Takes the free words out of the surveys and decisions of then that quotes and agreements were made from: they get another hash, and
/// whoever names them names that one from now on. What nobody else names goes.
pub(crate) fn erase_in_contents(c: &Connection, jobs: &str, id: i64) -> Result<()> {
    let named =
        format!("SELECT made_from FROM quotes WHERE made_from IS NOT NULL AND {jobs} UNION SELECT made_from FROM agreements WHERE {jobs}");
    let mut moved: BTreeMap<String, String> = BTreeMap::new();
    for made_from in sql::all(c, &named, [id], |r| r.get::<_, String>(0))? {
        let Ok(Value::Object(parts)) = serde_json::from_str(&made_from) else { continue };
        for hash in parts.values().filter_map(Value::as_str).filter(|h| crate::photos::is_hash(h)) {
            // One that is missing or damaged already holds nothing that could be found.
            let Ok(body) = content(c, hash) else { continue };
            let json: bool =
                sql::one(c, "content", hash, "SELECT media = 'application/json' FROM contents WHERE hash = ?1", [hash], |r| r.get(0))?;
            if let Some(erased) = String::from_utf8(body).ok().filter(|_| json).and_then(|text| erased(&text)) {
                moved.insert(hash.to_owned(), keep(c, "application/json", erased.as_bytes())?);
            }
        }
    }
    for (old, new) in &moved {
        for table in ["quotes", "agreements"] {
            let sql = format!("UPDATE {table} SET made_from = replace(made_from, ?2, ?3) WHERE {jobs} AND made_from LIKE '%' || ?2 || '%'");
            sql::run(c, &sql, (id, old, new))?;
        }
        let unused = "DELETE FROM contents WHERE hash = ?1
            AND NOT EXISTS (SELECT 1 FROM quotes WHERE made_from LIKE '%' || ?1 || '%')
            AND NOT EXISTS (SELECT 1 FROM agreements WHERE made_from LIKE '%' || ?1 || '%' OR plan = ?1 OR paper = ?1)";
        sql::run(c, unused, [old]).map_err(|e| match e {
            StoreError::Sql(e) => StoreError::Refused(format!("what a quote was made from could not be erased: {e}")),
            other => other,
        })?;
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::erased;

    #[test]
    fn free_words_go_and_measurements_stay() {
        let body = r#"{"dent":{"note":"Quillfeather sat on it","depth_mm":{"value":2.5}},"typed":{"depth":"2.5 mm","repair.note":{"text":"by Quillfeather"}},"survey":{"title":"Quillfeather's tuba","customer":"Quillfeather","serial":"T 12","runs":[{"name":"bell","note":""}]}}"#;
        let without = erased(body).unwrap();
        assert!(!without.contains("Quillfeather"), "{without}");
        for stays in ["2.5 mm", "T 12", "bell", "\"value\":2.5"] {
            assert!(without.contains(stays), "{stays}: {without}");
        }
        assert_eq!(erased(&without), None, "nothing is left to erase");
        assert!(erased("{}").is_none() && erased("no JSON").is_none());
    }
}
