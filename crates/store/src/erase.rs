//! One customer's data: given out on request, and erased on request. What the books need (amounts, days, what was worked on which
//! instrument) stays; who it was goes, out of the journal's lines too, in a way that the journal's chain still proves.

use crate::connection::{By, Store, database, photo_folder};
use crate::error::{Result, StoreError};
use crate::export::rows_where;
use crate::photos::is_hash;
use crate::{contracts, journal, private, sql, words};
use rusqlite::Connection;
use serde_json::{Map, Value};
use std::path::Path;

/// What stands where something was erased.
pub const ERASED: &str = "(erased)";

/// Which rows of a table are one customer's (`?1`), and which of their fields say who it is, or may: words that somebody typed freely.
struct Personal {
    table: &'static str,
    whose: &'static str,
    fields: &'static [&'static str],
    /// Fields that hold JSON, in which [`words::FREE`] are such words.
    json: &'static [&'static str],
}

const INSTRUMENTS: &str = "SELECT id FROM instruments WHERE customer = ?1";
const JOBS: &str = "job IN (SELECT j.id FROM jobs j JOIN instruments i ON i.id = j.instrument WHERE i.customer = ?1)";

const CONTRACTS: &str = "contract IN (SELECT id FROM contracts WHERE customer = ?1)";

/// A serial number stays: it is the instrument's, goes on to whoever owns it next, and is how a stolen one is known again. The owner's
/// own number on it (`asset`) goes.
const PERSONAL: &[Personal] = &[
    Personal { table: "customers", whose: "id = ?1", fields: &["name", "phone", "email", "note"], json: &[] },
    Personal { table: "instruments", whose: "customer = ?1", fields: &["asset"], json: &[] },
    Personal {
        table: "jobs",
        whose: "instrument IN (SELECT id FROM instruments WHERE customer = ?1)",
        fields: &["title", "words"],
        json: &[],
    },
    Personal { table: "surveys", whose: JOBS, fields: &[], json: &["body"] },
    Personal { table: "dents", whose: JOBS, fields: &[], json: &["body"] },
    Personal { table: "conditions_out", whose: JOBS, fields: &[], json: &["body"] },
    Personal { table: "overrules", whose: JOBS, fields: &["why"], json: &["body"] },
    Personal { table: "quotes", whose: JOBS, fields: &["signed_by", "signature", "answered_from", "answered_with"], json: &[] },
    Personal { table: "agreements", whose: JOBS, fields: &["said_by"], json: &[] },
    Personal { table: "steps", whose: JOBS, fields: &["note", "time_note"], json: &[] },
    Personal { table: "acceptance_checks", whose: JOBS, fields: &["reason"], json: &[] },
    Personal { table: "photos", whose: JOBS, fields: &["note"], json: &[] },
    Personal { table: "let_go", whose: JOBS, fields: &["reason"], json: &[] },
    Personal { table: "accessories", whose: JOBS, fields: &["name"], json: &[] },
    Personal { table: "payments", whose: JOBS, fields: &["note"], json: &[] },
    Personal { table: "reductions", whose: JOBS, fields: &["reason"], json: &[] },
    Personal { table: "job_terms", whose: JOBS, fields: &["reason"], json: &[] },
    Personal { table: "customer_terms", whose: "customer = ?1", fields: &["reason", "exempt"], json: &[] },
    Personal { table: "contracts", whose: "customer = ?1", fields: &[], json: &[] },
    Personal { table: "contract_plans", whose: CONTRACTS, fields: &[], json: &[] },
    // The owner's own number again.
    Personal { table: "contract_jobs", whose: CONTRACTS, fields: &["tag"], json: &[] },
    // The amount stays in the books, of a customer who is nobody's name.
    Personal { table: "contract_payments", whose: "customer = ?1", fields: &["note"], json: &[] },
    Personal { table: "hand_backs", whose: JOBS, fields: &["collected_by", "note"], json: &[] },
];

/// Fields in which a person would miss an answer where nothing stood: they say that it was erased. The others become empty.
const SAY_SO: &[&str] = &["name", "signed_by", "said_by", "collected_by", "title", "why", "reason"];

/// What an erasure did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Erased {
    /// Lines of the journal whose contents were erased.
    pub lines: usize,
    /// Signed papers that are gone.
    pub papers: usize,
}

impl Store {
    /// Writes all that the record holds of one customer into a new folder: one JSON file, the photos, the signed papers.
    ///
    /// # Errors
    /// Where there is no such customer, the folder exists, or the disk fails.
    pub fn export_customer(&self, id: i64, to: &Path) -> Result<()> {
        let all = self.all_of_customer(id)?;
        let papers = all["agreements"].as_array().into_iter().flatten();
        let papers: Vec<(i64, String)> = papers.filter_map(|a| Some((a["id"].as_i64()?, a["paper"].as_str()?.to_owned()))).collect();
        let fail = |e: std::io::Error| StoreError::file(to, e);
        std::fs::create_dir(to).map_err(fail)?;
        private::folder(&to.join("photos"))?;
        private::restrict(to, 0o700);
        for photo in all["photos"].as_array().into_iter().flatten() {
            let Some(hash) = photo["hash"].as_str().filter(|h| is_hash(h)) else { continue };
            let end = photo["media"]
                .as_str()
                .and_then(|m| m.strip_prefix("image/"))
                .filter(|e| matches!(*e, "jpeg" | "png" | "webp"))
                .unwrap_or("bin");
            // One that is gone from the disk is missing here too; a backup names it.
            let _ = std::fs::copy(photo_folder(self.folder()).join(hash), to.join("photos").join(format!("{}.{end}", photo["id"])));
        }
        for (agreement, paper) in papers {
            std::io::Write::write_all(&mut private::new_file(&to.join(format!("agreement-{agreement}.pdf")))?, &self.content(&paper)?)
                .map_err(fail)?;
        }
        let file = private::new_file(&to.join("customer.json"))?;
        serde_json::to_writer_pretty(file, &all).map_err(|e| fail(e.into()))
    }

    /// All rows of one customer, a list a table.
    ///
    /// # Errors
    /// Where there is no such customer.
    pub fn all_of_customer(&self, id: i64) -> Result<Map<String, Value>> {
        self.read(|c| {
            sql::one(c, "customer", id, "SELECT id FROM customers WHERE id = ?1", [id], |r| r.get::<_, i64>(0))?;
            let mut all = Map::new();
            for p in PERSONAL {
                let mut rows = rows_where(c, p.table, p.whose, id)?;
                // The link to a quote opens it: it is no part of what is handed out.
                rows.iter_mut().filter_map(Value::as_object_mut).for_each(|row| {
                    row.remove("link_hash");
                    row.remove("link_sealed");
                });
                all.insert(p.table.to_owned(), Value::Array(rows));
            }
            all.insert("contract_contents".to_owned(), Value::Object(contracts::contents_of(c, id)?));
            Ok(all)
        })
    }

    /// Erases who a customer is. Backups and exports that were made before still hold it.
    ///
    /// # Errors
    /// Where there is no such customer, a job is still open, or no reason is given.
    pub fn erase_customer(&self, by: By<'_>, id: i64, reason: &str) -> Result<Erased> {
        if reason.trim().is_empty() {
            return Err(StoreError::Refused("say why the customer is erased: it is what stays in the journal".to_owned()));
        }
        let erased = self.write(by, |c| {
            sql::one(c, "customer", id, "SELECT id FROM customers WHERE id = ?1", [id], |r| r.get::<_, i64>(0))?;
            let open =
                format!("SELECT count(*) FROM jobs WHERE instrument IN ({INSTRUMENTS}) AND state NOT IN ('handed_back', 'declined')");
            if sql::one(c, "jobs", "", &open, [id], |r| r.get::<_, i64>(0))? > 0 {
                return Err(StoreError::Refused("a job of this customer is still open: close it first: picked up or declined".to_owned()));
            }
            // The guards are down inside this transaction only.
            for (name, _) in journal::GUARDS {
                c.execute_batch(&format!("DROP TRIGGER IF EXISTS {name}"))?;
            }
            let papers = erase_papers(c, id)?;
            words::erase_in_contents(c, JOBS, id)?;
            // What a tablet is answered again after a lost answer: the same words once more.
            sql::run(c, &format!("DELETE FROM dent_saves WHERE {JOBS}"), [id])?;
            for p in PERSONAL {
                erase_fields(c, p, id)?;
            }
            let lines = erase_lines(c, id)?;
            contracts::erase(c, id)?;
            let listed = serde_json::to_string(&lines).map_err(|e| StoreError::Refused(e.to_string()))?;
            let redaction = sql::insert(
                c,
                "INSERT INTO redactions (customer, reason, lines, who, at) VALUES (?1, ?2, ?3, ?4, ?5)",
                (id, reason.trim(), &listed, by.who, by.at),
            )?;
            sql::run(
                c,
                "UPDATE journal_chain SET salt = NULL, redaction = ?1 WHERE id IN (SELECT value FROM json_each(?2))",
                (redaction, &listed),
            )?;
            journal::lay_guards(c)?;
            Ok(Erased { lines: lines.len(), papers })
        })?;
        self.forget_what_was_written()?;
        Ok(erased)
    }

    /// The log of changes still holds what was erased, and so do the copies from before the schema changed.
    fn forget_what_was_written(&self) -> Result<()> {
        self.filling(|| Ok::<(), StoreError>(()))?;
        for entry in std::fs::read_dir(self.folder()).map_err(|e| StoreError::file(self.folder(), e))?.flatten() {
            if entry.file_name().to_string_lossy().starts_with("before-schema-") && entry.path() != database(self.folder()) {
                std::fs::remove_file(entry.path()).map_err(|e| StoreError::file(&entry.path(), e))?;
            }
        }
        Ok(())
    }
}

/// Signed papers bear the name and the strokes: they go where no other agreement has the same.
fn erase_papers(c: &Connection, id: i64) -> Result<usize> {
    let papers: Vec<String> = sql::all(c, &format!("SELECT paper FROM agreements WHERE paper IS NOT NULL AND {JOBS}"), [id], |r| r.get(0))?;
    sql::run(c, &format!("UPDATE agreements SET paper = NULL WHERE {JOBS}"), [id])?;
    for paper in &papers {
        sql::run(
            c,
            "DELETE FROM contents WHERE hash = ?1 AND hash NOT IN (SELECT paper FROM agreements WHERE paper IS NOT NULL)",
            [paper],
        )?;
    }
    Ok(papers.len())
}

fn erase_fields(c: &Connection, p: &Personal, id: i64) -> Result<()> {
    let set: Vec<String> = p
        .fields
        .iter()
        .map(|f| match *f {
            "signature" => "signature = NULL".to_owned(),
            // Each once in its contract.
            "tag" => format!("tag = '{ERASED} ' || id"),
            // What was empty says nothing of anybody.
            f if SAY_SO.contains(&f) => format!("{f} = iif(coalesce({f}, '') = '', {f}, '{ERASED}')"),
            f => format!("{f} = ''"),
        })
        .collect();
    if !set.is_empty() {
        sql::run(c, &format!("UPDATE {} SET {} WHERE {}", p.table, set.join(", "), p.whose), [id])?;
    }
    for field in p.json {
        let sql = format!("SELECT id, {field} FROM {} WHERE {}", p.table, p.whose);
        let all: Vec<(i64, String)> = sql::all(c, &sql, [id], |r| Ok((r.get(0)?, r.get(1)?)))?;
        for (row, body) in all {
            if let Some(erased) = words::erased(&body) {
                sql::run(c, &format!("UPDATE {} SET {field} = ?2 WHERE id = ?1", p.table), (row, erased))?;
            }
        }
    }
    Ok(())
}

/// Takes who it was out of the journal's lines; returns those whose hash stood already. Lines that this transaction wrote are not
/// hashed yet: they never held it as far as the chain goes.
fn erase_lines(c: &Connection, id: i64) -> Result<Vec<i64>> {
    let mut hashed = Vec::new();
    for p in PERSONAL {
        let sql = format!(
            "SELECT j.id, j.before, j.after, EXISTS (SELECT 1 FROM journal_chain k WHERE k.id = j.id) FROM journal j
             WHERE j.record = '{}' AND j.row IN (SELECT id FROM {} WHERE {})",
            p.table, p.table, p.whose
        );
        let lines: Vec<(i64, Option<String>, Option<String>, bool)> =
            sql::all(c, &sql, [id], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)))?;
        for (line, before, after, stood) in lines {
            let (new_before, new_after) = (without(before.as_deref(), p), without(after.as_deref(), p));
            if (&new_before, &new_after) != (&before, &after) {
                sql::run(c, "UPDATE journal SET before = ?2, after = ?3 WHERE id = ?1", (line, new_before, new_after))?;
                if stood {
                    hashed.push(line);
                }
            }
        }
    }
    hashed.sort_unstable();
    Ok(hashed)
}

fn without(side: Option<&str>, p: &Personal) -> Option<String> {
    let text = side?;
    let Ok(mut object) = serde_json::from_str::<Map<String, Value>>(text) else { return Some(ERASED.to_owned()) };
    let mut changed = false;
    for field in p.fields {
        if let Some(value) = object.get_mut(*field).filter(|v| v.as_str().is_some_and(|s| !s.is_empty() && s != ERASED)) {
            *value = Value::from(ERASED);
            changed = true;
        }
    }
    for field in p.json {
        if let Some(erased) = object.get(*field).and_then(Value::as_str).and_then(words::erased) {
            object.insert((*field).to_owned(), Value::from(erased));
            changed = true;
        }
    }
    Some(if changed { Value::Object(object).to_string() } else { text.to_owned() })
}
