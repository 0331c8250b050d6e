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
    ("quotes", &["made_at", "signed_at", "sent_at"]),
    ("agreements", &["at"]),
    ("steps", &["started_at", "done_at"]),
    ("acceptance_checks", &["at"]),
    ("photos", &["at"]),
    ("let_go", &["at"]),
    ("accessories", &[]),
    ("payments", &["at"]),
    ("reductions", &["at"]),
    ("job_terms", &[]),
    ("customer_terms", &[]),
    ("contracts", &["made_at"]),
    ("contract_plans", &["at"]),
    ("contract_jobs", &[]),
    ("contract_payments", &["at"]),
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

/// Which lines of the journal.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Which<'a> {
    /// By whom; empty: by anybody.
    pub who: &'a str,
    /// Of which table; empty: of any.
    pub record: &'a str,
    /// About one of these jobs.
    pub jobs: Option<&'a [i64]>,
    /// Or about this instrument itself.
    pub instrument: Option<i64>,
    /// Or about this customer.
    pub customer: Option<i64>,
    /// Not before this moment, Unix seconds.
    pub from: Option<i64>,
    /// Before this moment, Unix seconds.
    pub until: Option<i64>,
    /// Before this line.
    pub before: Option<i64>,
}

/// Lines of the journal that a query of [`Which`] finds. A line names its job in its own fields, whatever its table.
const FOUND: &str = "SELECT id, at, who, act, record, row, before, after FROM journal
    WHERE (?1 = '' OR who = ?1) AND (?2 = '' OR record = ?2) AND at >= ?3 AND at < ?4 AND id < ?5
      AND (?6 IS NULL
        OR (CASE record WHEN 'jobs' THEN row ELSE json_extract(coalesce(after, before), '$.job') END) IN (SELECT value FROM json_each(?6))
        OR (record = 'instruments' AND row = ?7) OR (record = 'customers' AND row = ?8))
    ORDER BY id DESC LIMIT ?9";

impl Store {
    /// Lines of the journal, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn journal_which(&self, which: &Which<'_>, most: u32) -> Result<Vec<Entry>> {
        // Jobs as one value: a list of numbers, which SQL takes apart again.
        let jobs = which.jobs.map(|j| format!("{j:?}"));
        let (from, until) = (which.from.unwrap_or(i64::MIN), which.until.unwrap_or(i64::MAX));
        let before = which.before.unwrap_or(i64::MAX);
        let values = (which.who, which.record, from, until, before, jobs, which.instrument, which.customer, most);
        self.read(|c| sql::all(c, FOUND, values, entry))
    }

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

    #[test]
    fn lines_are_found_by_person_job_kind_and_day() {
        use super::Which;
        use crate::connection::By;
        use crate::counter::NewInstrument;
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = |who, at| By { who, at };
        let customer = store.add_customer(by("ana", 100), "A. Parent", "", "", "").unwrap();
        let new = NewInstrument { customer, kind: "tuba", maker: "", model: "", serial: "", value: None, asset: "" };
        let instrument = store.add_instrument(by("ana", 100), &new).unwrap();
        let jobs: Vec<i64> = ["a", "b"].iter().map(|t| store.add_job(by("ben", 200), instrument, t, "", None).unwrap()).collect();
        store.set_accessories(by("cleo", 300), jobs[1], 1, &["case"]).unwrap();
        let found = |w: &Which<'_>| {
            store.journal_which(w, 50).unwrap().into_iter().map(|e| (e.record, e.act, e.row)).collect::<Vec<(String, String, i64)>>()
        };
        let of = |record: &str, act: &str, row: i64| (record.to_owned(), act.to_owned(), row);
        assert_eq!(found(&Which { who: "ana", ..Which::default() }), [of("instruments", "insert", 1), of("customers", "insert", 1)]);
        assert_eq!(found(&Which { jobs: Some(&jobs[..1]), ..Which::default() }), [of("jobs", "insert", jobs[0])]);
        let second = found(&Which { jobs: Some(&jobs[1..]), ..Which::default() });
        assert!(second.contains(&of("accessories", "insert", 1)) && second.contains(&of("jobs", "update", jobs[1])), "{second:?}");
        let whole = Which { jobs: Some(&jobs), instrument: Some(instrument), customer: Some(customer), ..Which::default() };
        assert_eq!(found(&whole).len(), found(&Which::default()).len());
        assert_eq!(found(&Which { record: "jobs", from: Some(200), until: Some(300), ..Which::default() }).len(), 2);
        let newest = store.journal_which(&Which::default(), 1).unwrap().remove(0);
        assert!(store.journal_which(&Which { before: Some(newest.id), ..Which::default() }, 50).unwrap().iter().all(|e| e.id < newest.id));
    }

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
