//! Export of everything as open formats, and import of it into an empty record: one JSON Lines file a table (RFC 8259
//! objects, one a line), and the photos.

use crate::connection::{By, Store, photo_folder};
use crate::error::{Result, StoreError};
use crate::leftovers::{self, Work};
use crate::sql;
use crate::{chain, private};
use rusqlite::Connection;
use rusqlite::types::Value as Sql;
use serde_json::{Map, Value};
use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Tables in an order in which each comes after what it points at. Sessions stay behind.
pub(crate) const TABLES: &[&str] = &[
    "settings",
    "people",
    "customers",
    "instruments",
    "jobs",
    "surveys",
    "conditions_out",
    "dent_names",
    "dents",
    "overrules",
    "contents",
    "contracts",
    "contract_plans",
    "contract_jobs",
    "contract_payments",
    "quotes",
    "agreements",
    "steps",
    "step_acts",
    "dent_saves",
    "acceptance_checks",
    "photos",
    "let_go",
    "accessories",
    "payments",
    "reductions",
    "job_terms",
    "customer_terms",
    "hand_backs",
    "redactions",
    "journal",
    "journal_chain",
];

/// Reads a JSON body of a table as whoever defines it does: what it says is wrong refuses the import.
pub type ReadBody<'a> = &'a dyn Fn(&str, &str, &str) -> std::result::Result<(), String>;

/// Tables that an older export lacks.
const LATER: &[&str] = &[
    "conditions_out",
    "dent_names",
    "contents",
    "contracts",
    "contract_plans",
    "contract_jobs",
    "contract_payments",
    "agreements",
    "step_acts",
    "dent_saves",
    "let_go",
    "accessories",
    "payments",
    "reductions",
    "job_terms",
    "customer_terms",
    "hand_backs",
    "redactions",
    "journal_chain",
];

/// Most bytes of a photo's file.
pub(crate) const MOST_PHOTO_BYTES: u64 = 64 * 1024 * 1024;

impl Store {
    /// Writes everything into a new folder, which takes its name when it is whole. Password hashes are left out: whoever imports sets
    /// new passwords.
    ///
    /// # Errors
    /// Where the folder exists, or the disk or the database fails.
    pub fn export(&self, to: &Path) -> Result<()> {
        let fail = |e: std::io::Error| StoreError::file(to, e);
        if to.symlink_metadata().is_ok() {
            return Err(fail(std::io::ErrorKind::AlreadyExists.into()));
        }
        let beside = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        leftovers::sweep(beside);
        let work = Work::for_export(beside)?;
        let half = work.path().join("export");
        private::folder(&half)?;
        self.read(|c| {
            for table in TABLES {
                let path = half.join(format!("{table}.jsonl"));
                let mut out = std::io::BufWriter::new(private::new_file(&path)?);
                for row in rows(c, table)? {
                    writeln!(out, "{row}").map_err(|e| StoreError::file(&path, e))?;
                }
                out.flush().and_then(|()| out.get_ref().sync_all()).map_err(|e| StoreError::file(&path, e))?;
            }
            Ok(())
        })?;
        let photos = half.join("photos");
        private::folder(&photos)?;
        let from = photo_folder(self.folder());
        for entry in std::fs::read_dir(&from).map_err(|e| StoreError::file(&from, e))? {
            let entry = entry.map_err(fail)?;
            if let Some(hash) = entry.file_name().to_str().filter(|n| crate::photos::is_hash(n)) {
                let copy = photos.join(hash);
                std::fs::copy(entry.path(), &copy).and_then(|_| File::open(&copy)?.sync_all()).map_err(|e| StoreError::file(&copy, e))?;
            }
        }
        private::sync_folder(&photos)?;
        private::sync_folder(&half)?;
        std::fs::rename(&half, to).map_err(fail)?;
        private::sync_folder(beside)
    }

    /// Reads an export into this record, which must be empty of customers and people. All or nothing. Every field is checked as
    /// what a person types is. Returns what is to be told: a journal whose chain is broken.
    ///
    /// # Errors
    /// Where the record is not empty, or a line cannot be read: the error names the file and the line.
    pub fn import(&self, by: By<'_>, from: &Path) -> Result<Vec<String>> {
        self.import_read(by, from, &|_, _, _| Ok(()))
    }

    /// As [`Store::import`]; every JSON body is read too.
    ///
    /// # Errors
    /// As there.
    pub fn import_read(&self, by: By<'_>, from: &Path, read: ReadBody<'_>) -> Result<Vec<String>> {
        import_photos(&from.join("photos"), &photo_folder(self.folder()))?;
        self.write(by, |c| {
            // A quote that adds to an agreement comes before it.
            c.pragma_update(None, "defer_foreign_keys", true)?;
            let used: bool =
                sql::one(c, "record", "", "SELECT EXISTS (SELECT 1 FROM customers) OR EXISTS (SELECT 1 FROM people)", [], |r| r.get(0))?;
            if used {
                return Err(StoreError::Refused("this record is in use already; import into an empty one".to_owned()));
            }
            // The journal comes first, as it was; what the import itself does is written behind it.
            let first = ["journal", "journal_chain"];
            for table in first.iter().chain(TABLES.iter().filter(|t| !first.contains(t))) {
                let path = named(from, table);
                if LATER.contains(table) && !path.exists() {
                    continue; // An export from before these were kept; dents count on by themselves.
                }
                let text = std::fs::read_to_string(&path).map_err(|e| StoreError::file(&path, e))?;
                for (i, line) in text.lines().enumerate() {
                    import_row(c, table, line, read)
                        .map_err(|why| StoreError::Garbled { what: format!("{}, line {}", path.display(), i + 1), why: why.to_string() })?;
                }
            }
            chain::seal(c)?;
            chain::faults(c)
        })
    }
}

/// Pictures, under the hash that they have: no link is followed, and what is no picture is refused.
fn import_photos(from: &Path, to: &Path) -> Result<()> {
    if !from.is_dir() {
        return Ok(());
    }
    for entry in std::fs::read_dir(from).map_err(|e| StoreError::file(from, e))? {
        let path = entry.map_err(|e| StoreError::file(from, e))?.path();
        let garbled = |why: &str| StoreError::Garbled { what: path.display().to_string(), why: why.to_owned() };
        let is = std::fs::symlink_metadata(&path).map_err(|e| StoreError::file(&path, e))?;
        if !is.is_file() || is.len() > MOST_PHOTO_BYTES {
            return Err(garbled("it is no photo's file"));
        }
        let bytes = std::fs::read(&path).map_err(|e| StoreError::file(&path, e))?;
        crate::picture::media_of(&bytes).ok_or_else(|| garbled("it is no picture"))?;
        let hash = crate::agreements::hash_of(&bytes);
        crate::photos::keep(to, &hash, &bytes)?;
    }
    Ok(())
}

/// The file of a table; an export from before the table had its name of today keeps the old one.
fn named(from: &Path, table: &str) -> PathBuf {
    let path = from.join(format!("{table}.jsonl"));
    let before = from.join("proofs.jsonl");
    if table == "acceptance_checks" && !path.exists() && before.exists() { before } else { path }
}

pub(crate) fn rows(c: &Connection, table: &str) -> Result<Vec<Value>> {
    rows_where(c, table, "?1 = ?1", 0)
}

/// The rows of which a condition on `?1` holds.
pub(crate) fn rows_where(c: &Connection, table: &str, whose: &str, id: i64) -> Result<Vec<Value>> {
    let mut statement = c.prepare(&format!("SELECT * FROM {table} WHERE {whose} ORDER BY id"))?;
    let names: Vec<String> = statement.column_names().into_iter().map(str::to_owned).collect();
    let rows = statement.query_map([id], |r| {
        let mut object = Map::new();
        for (i, name) in names.iter().enumerate() {
            let value = if name == "password_hash" { Value::String(String::new()) } else { json(r.get(i)?) };
            object.insert(name.clone(), value);
        }
        Ok(Value::Object(object))
    })?;
    Ok(rows.collect::<rusqlite::Result<Vec<_>>>()?)
}

/// A value of the database as an export writes it.
pub(crate) fn json(value: Sql) -> Value {
    match value {
        Sql::Integer(n) => Value::from(n),
        Sql::Real(x) => Value::from(x),
        Sql::Text(t) => Value::from(t),
        Sql::Blob(b) => Value::String(crate::people::hex(&b)),
        Sql::Null => Value::Null,
    }
}

fn import_row(c: &Connection, table: &str, line: &str, read: ReadBody<'_>) -> std::result::Result<(), Box<dyn std::error::Error>> {
    let mut object: Map<String, Value> = serde_json::from_str(line)?;
    // An export from before links were hashed.
    if let (Some(Value::String(token)), "quotes") = (object.remove("token"), table) {
        object.insert("link_hash".to_owned(), Value::String(crate::people::hash(&token)));
    }
    let known = sql::all(c, "SELECT name FROM pragma_table_info(?1)", [table], |r| r.get::<_, String>(0))?;
    if let Some(stranger) = object.keys().find(|k| !known.contains(k)) {
        return Err(format!("there is no field {stranger} in {table}").into());
    }
    for (name, value) in &object {
        crate::fields::check(table, name, value)?;
        if let (Value::String(body), "body" | "made_from", true) = (value, name.as_str(), table != "contents") {
            read(table, name, body)?;
        }
    }
    let names: Vec<&str> = object.keys().map(String::as_str).collect();
    let marks: Vec<String> = (1..=names.len()).map(|i| format!("?{i}")).collect();
    let values: Vec<Sql> = object
        .iter()
        .map(|(name, v)| match v {
            Value::String(s) if table == "contents" && name == "body" => crate::key::unhex(s).map_or(Sql::Null, Sql::Blob),
            Value::Null => Sql::Null,
            Value::Bool(b) => Sql::Integer(i64::from(*b)),
            Value::Number(n) => n.as_i64().map_or_else(|| Sql::Real(n.as_f64().unwrap_or(f64::NAN)), Sql::Integer),
            Value::String(s) => Sql::Text(s.clone()),
            other => Sql::Text(other.to_string()),
        })
        .collect();
    let sql = format!("INSERT INTO {table} ({}) VALUES ({})", names.join(", "), marks.join(", "));
    c.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(values))?;
    Ok(())
}
