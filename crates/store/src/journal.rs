//! The append-only journal. Triggers write it, so that no change can forget to.

use crate::connection::Store;
use crate::error::Result;
use crate::sql;
use rusqlite::Connection;
use serde::Serialize;

/// Tables whose changes are journalled, each with those of its columns that hold a moment, Unix seconds. Left out: sign-in
/// sessions, which are not the shop's record.
const JOURNALLED: &[(&str, &[&str])] = &[
    ("settings", &[]),
    ("people", &[]),
    ("customers", &[]),
    ("instruments", &[]),
    ("jobs", &["received_at", "closed_at"]),
    ("surveys", &[]),
    ("dents", &[]),
    ("overrules", &["at"]),
    ("quotes", &["made_at", "signed_at"]),
    ("agreements", &["at"]),
    ("steps", &["started_at", "done_at"]),
    ("acceptance_checks", &["at"]),
    ("photos", &["at"]),
    ("let_go", &["at"]),
    ("accessories", &[]),
    ("payments", &["at"]),
    ("hand_backs", &["at"]),
    ("redactions", &["at"]),
];

/// What stands guard beside the triggers that write the journal: nobody changes what must stay.
pub(crate) const GUARDS: &[(&str, &str)] = &[
    ("journal_is_append_only_u", "BEFORE UPDATE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END"),
    ("journal_is_append_only_d", "BEFORE DELETE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END"),
    ("contents_stay_u", "BEFORE UPDATE ON contents BEGIN SELECT RAISE(ABORT, 'what was agreed is not changed'); END"),
    ("contents_stay_d", "BEFORE DELETE ON contents BEGIN SELECT RAISE(ABORT, 'what was agreed is not deleted'); END"),
    ("security_log_no_update", "BEFORE UPDATE ON security_log BEGIN SELECT RAISE(ABORT, 'the security log is append-only'); END"),
    ("security_log_no_delete", "BEFORE DELETE ON security_log BEGIN SELECT RAISE(ABORT, 'the security log is append-only'); END"),
];

/// Lays the guards; whatever stood under their names goes.
pub(crate) fn lay_guards(c: &Connection) -> Result<()> {
    for (name, what) in GUARDS {
        lay(c, name, what)?;
    }
    Ok(())
}

/// Lays a trigger where it does not stand word by word already.
fn lay(c: &Connection, name: &str, what: &str) -> Result<()> {
    let wanted = format!("CREATE TRIGGER {name} {what}");
    let there: Option<String> = sql::maybe(c, "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name = ?1", [name], |r| r.get(0))?;
    if there.as_deref() != Some(&wanted) {
        c.execute_batch(&format!("DROP TRIGGER IF EXISTS {name}; {wanted};"))?;
    }
    Ok(())
}

/// Triggers that a record of today has and this one does not, by name; none where all are there.
pub(crate) fn triggers_missing(c: &Connection) -> Result<Option<String>> {
    let there = sql::all(c, "SELECT name FROM sqlite_master WHERE type = 'trigger'", [], |r| r.get::<_, String>(0))?;
    let journalled = JOURNALLED.iter().flat_map(|(table, _)| ["insert", "update", "delete"].map(|act| format!("journal_{table}_{act}")));
    let wanted = journalled.chain(GUARDS.iter().map(|(name, _)| (*name).to_owned()));
    let missing: Vec<String> = wanted.filter(|name| !there.contains(name)).collect();
    Ok((!missing.is_empty()).then(|| missing.join(", ")))
}

/// Columns that never enter the journal.
const SECRET: &[&str] = &["password_hash", "link_hash", "link_sealed"];

/// A line of the journal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// Its number, rising.
    pub id: i64,
    /// When, Unix seconds.
    pub at: i64,
    /// Who.
    pub who: String,
    /// `insert`, `update` or `delete`.
    pub act: String,
    /// Table.
    pub record: String,
    /// Id in the table.
    pub row: i64,
    /// What it was, JSON.
    pub before: Option<String>,
    /// What it became, JSON.
    pub after: Option<String>,
}

impl Entry {
    /// Whether a field of `before` and `after` holds a moment, Unix seconds.
    pub fn is_moment(&self, field: &str) -> bool {
        JOURNALLED.iter().any(|(table, moments)| *table == self.record && moments.contains(&field))
    }
}

/// Lays the triggers over every journalled table as its columns are now, and the guards. Part of the caller's transaction.
pub(crate) fn lay_triggers(c: &Connection) -> Result<()> {
    for (table, _) in JOURNALLED {
        let columns = sql::all(c, "SELECT name FROM pragma_table_info(?1)", [table], |r| r.get::<_, String>(0))?;
        let object = |side: &str| {
            let pairs: Vec<String> =
                columns.iter().filter(|n| !SECRET.contains(&n.as_str())).map(|n| format!("'{n}', {side}.{n}")).collect();
            format!("json_object({})", pairs.join(", "))
        };
        for (act, row, before, after) in [
            ("insert", "NEW", "NULL".to_owned(), object("NEW")),
            ("update", "NEW", object("OLD"), object("NEW")),
            ("delete", "OLD", object("OLD"), "NULL".to_owned()),
        ] {
            let what = format!(
                "AFTER {act} ON {table} BEGIN
                   INSERT INTO journal (at, who, act, record, row, before, after)
                   SELECT at, who, '{act}', '{table}', {row}.id, {before}, {after} FROM author;
                 END"
            );
            lay(c, &format!("journal_{table}_{act}"), &what)?;
        }
    }
    lay_guards(c)
}

impl Store {
    /// The latest lines of the journal, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn journal_latest(&self, most: u32) -> Result<Vec<Entry>> {
        self.read(|c| {
            sql::all(c, "SELECT id, at, who, act, record, row, before, after FROM journal ORDER BY id DESC LIMIT ?1", [most], entry)
        })
    }
}

fn entry(r: &rusqlite::Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        id: r.get(0)?,
        at: r.get(1)?,
        who: r.get(2)?,
        act: r.get(3)?,
        record: r.get(4)?,
        row: r.get(5)?,
        before: r.get(6)?,
        after: r.get(7)?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::JOURNALLED;
    use crate::connection::Store;
    use crate::sql;

    /// The record names its moments `at` or `…_at`; every one of them is known, and none that is not there.
    #[test]
    fn the_moments_of_every_table_are_known() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        for (table, moments) in JOURNALLED {
            let columns =
                store.read(|c| sql::all(c, "SELECT name FROM pragma_table_info(?1)", [table], |r| r.get::<_, String>(0))).unwrap();
            let named: Vec<&str> = columns.iter().map(String::as_str).filter(|n| *n == "at" || n.ends_with("_at")).collect();
            assert!(!columns.is_empty() && named == *moments, "{table}: {named:?}");
        }
    }
}
