//! The journal's lines as a chain: each is hashed over the one before, so that a line changed, taken out or put in shows when the
//! record is opened. Whoever owns the file can forge the whole chain anew; the head that stands in a backup tells that too.

use crate::connection::Store;
use crate::error::Result;
use crate::people::hex;
use crate::sql;
use rusqlite::Connection;
use sha2::{Digest, Sha256};

/// Faults told at most.
const MOST_TOLD: usize = 20;

/// Each part with its length before it, so that no two lists of parts hash alike.
pub(crate) fn hashed(parts: &[&str]) -> String {
    let mut h = Sha256::new();
    for part in parts {
        h.update((part.len() as u64).to_be_bytes());
        h.update(part.as_bytes());
    }
    hex(&h.finalize())
}

/// What a line says of itself and what it holds, as it is hashed.
struct Line {
    id: i64,
    itself: String,
    before: Option<String>,
    after: Option<String>,
}

impl Line {
    fn content(&self, salt: &str) -> String {
        // A missing side is not the same as an empty one.
        let side = |s: &Option<String>| s.as_ref().map_or("-".to_owned(), |s| format!("+{s}"));
        hashed(&[salt, &side(&self.before), &side(&self.after)])
    }

    fn line(&self, last: &str, content: &str) -> String {
        hashed(&[last, &self.itself, content])
    }
}

const LINE: &str = "j.id, json_array(j.id, j.at, j.who, j.act, j.record, j.row), j.before, j.after";

fn line(r: &rusqlite::Row<'_>) -> rusqlite::Result<Line> {
    Ok(Line { id: r.get(0)?, itself: r.get(1)?, before: r.get(2)?, after: r.get(3)? })
}

/// The last line of the chain: its number and its hash.
fn head(c: &Connection) -> Result<(i64, String)> {
    Ok(sql::maybe(c, "SELECT id, line FROM journal_chain ORDER BY id DESC LIMIT 1", [], |r| Ok((r.get(0)?, r.get(1)?)))?
        .unwrap_or((0, String::new())))
}

/// Hashes the lines that were written since; returns how many. Part of every transaction that writes.
pub(crate) fn seal(c: &Connection) -> Result<usize> {
    let (from, mut last) = head(c)?;
    let new = sql::all(c, &format!("SELECT {LINE} FROM journal j WHERE j.id > ?1 ORDER BY j.id"), [from], line)?;
    for l in &new {
        let salt: String = sql::one(c, "salt", "", "SELECT lower(hex(randomblob(16)))", [], |r| r.get(0))?;
        let content = l.content(&salt);
        last = l.line(&last, &content);
        sql::run(c, "INSERT INTO journal_chain (id, salt, content, line) VALUES (?1, ?2, ?3, ?4)", (l.id, &salt, &content, &last))?;
    }
    Ok(new.len())
}

/// What does not fit; empty where every line is as it was written. A line that was erased must name a redaction that names it.
pub(crate) fn faults(c: &Connection) -> Result<Vec<String>> {
    let erased: std::collections::HashSet<i64> =
        sql::all(c, "SELECT value FROM redactions, json_each(redactions.lines)", [], |r| r.get(0))?.into_iter().collect();
    let sql =
        format!("SELECT {LINE}, k.salt, k.content, k.line, k.id FROM journal_chain k LEFT JOIN journal j ON j.id = k.id ORDER BY k.id");
    let mut statement = c.prepare(&sql)?;
    let mut rows = statement.query([])?;
    let (mut told, mut last) = (Vec::new(), String::new());
    while let Some(r) = rows.next()? {
        let (salt, content, hash, id): (Option<String>, String, String, i64) = (r.get(4)?, r.get(5)?, r.get(6)?, r.get(7)?);
        let what = match r.get::<_, Option<i64>>(0)? {
            None => Some("is gone"),
            Some(_) => {
                let l = line(r)?;
                match &salt {
                    Some(salt) if l.content(salt) != content => Some("was changed"),
                    None if !erased.contains(&id) => Some("was erased and no redaction says so"),
                    _ if l.line(&last, &content) != hash => Some("was changed, or the one before it is another"),
                    _ => None,
                }
            }
        };
        if let Some(what) = what {
            told.push(format!("line {id} of the journal {what}"));
            if told.len() == MOST_TOLD {
                told.push("and perhaps more".to_owned());
                return Ok(told);
            }
        }
        last = hash;
    }
    let put_in = "SELECT count(*) FROM journal WHERE id NOT IN (SELECT id FROM journal_chain)";
    let put_in: i64 = sql::one(c, "journal", "", put_in, [], |r| r.get(0))?;
    if put_in > 0 {
        told.push(format!("{put_in} lines of the journal were not written by this program"));
    }
    Ok(told)
}

impl Store {
    /// Whether the journal's chain is whole: what is not, in words.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn journal_faults(&self) -> Result<Vec<String>> {
        self.read(faults)
    }

    /// The head of the journal's chain: number and hash of its last line. A backup names it.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn journal_head(&self) -> Result<(i64, String)> {
        self.read(head)
    }
}
