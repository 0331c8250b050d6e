//! Saves of dents as a tablet sends them: each under a mark, so that one that is sent again after a lost answer is answered as the
//! first time and writes nothing, whatever another tablet saved since.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::sql;
use crate::surveys::{Versioned, check_version, dent, drop_dent, put_dent, put_dent_back, put_new_dent};
use rusqlite::Connection;

/// How long a mark is kept, seconds: longer than a tablet lies in a drawer with something unsent.
const KEPT_S: i64 = 180 * 24 * 3600;

/// A save of a dent as a tablet asks for it.
#[derive(Clone, Copy, Debug, Default)]
pub struct DentSave<'a> {
    /// The dent; none: a new one.
    pub name: Option<&'a str>,
    /// The tablet's mark of a new dent, by which it is one dent however often it is sent.
    pub made_as: Option<&'a str>,
    /// The tablet's mark of this save.
    pub mark: Option<&'a str>,
    /// Marks of saves of this dent that the tablet sent before and has no answer to: they are its own.
    pub after: &'a [String],
    /// The version that the tablet saw (0: none).
    pub from: i64,
    /// Whether the dent is taken out.
    pub gone: bool,
}

impl Store {
    /// Does a save of a dent once, and keeps its answer under its mark; a mark that is known gets the answer of the first time.
    /// `make` makes the dent of its name and of what is saved; `answer` the answer of name and version (0: it was taken out).
    ///
    /// # Errors
    /// [`crate::StoreError::Conflict`] where another tablet saved in between, with what it saved; what `make` returns.
    pub fn save_dent_once(
        &self,
        by: By<'_>,
        job: i64,
        save: DentSave<'_>,
        make: impl FnOnce(&str, Option<&Versioned>) -> Result<String>,
        answer: impl FnOnce(&str, i64) -> String,
    ) -> Result<String> {
        self.write(by, |c| {
            if let Some(mark) = save.mark {
                let known = sql::maybe(c, "SELECT answer FROM dent_saves WHERE job = ?1 AND made_as = ?2", (job, mark), |r| r.get(0))?;
                if let Some(answer) = known {
                    return Ok(answer);
                }
            }
            let (name, version) = done(c, by, job, &save, make)?;
            let answer = answer(&name, version);
            if let Some(mark) = save.mark {
                sql::run(c, "DELETE FROM dent_saves WHERE at < ?1", [by.at - KEPT_S])?;
                sql::insert(
                    c,
                    "INSERT INTO dent_saves (job, made_as, name, version, answer, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                    (job, mark, &name, version, &answer, by.at),
                )?;
            }
            Ok(answer)
        })
    }
}

fn done(
    c: &Connection,
    by: By<'_>,
    job: i64,
    save: &DentSave<'_>,
    make: impl FnOnce(&str, Option<&Versioned>) -> Result<String>,
) -> Result<(String, i64)> {
    // A new dent whose first answer was lost has a name already.
    let made = "SELECT name FROM dents WHERE job = ?1 AND made_as = ?2";
    let name = match (save.name, save.made_as) {
        (Some(name), _) => Some(name.to_owned()),
        (None, Some(made_as)) => sql::maybe(c, made, (job, made_as), |r| r.get::<_, String>(0))?,
        (None, None) => None,
    };
    let Some(name) = name else {
        return match save.gone {
            true => Ok((String::new(), 0)),
            false => Ok((put_new_dent(c, by, job, save.made_as, |name| make(name, None))?, 1)),
        };
    };
    let mut saved = dent(c, job, &name)?;
    let mut from = save.from;
    if save.name.is_none() && from == 0 && saved.as_ref().is_some_and(|d| d.version == 1) {
        // The tablet's own first save of it, and nobody's since.
        from = 1;
    }
    // The newest save is one of the tablet's own to which the answer was lost.
    let newest = "SELECT made_as FROM dent_saves WHERE job = ?1 AND name = ?2 AND version = ?3 ORDER BY id DESC LIMIT 1";
    let version = saved.as_ref().map_or(0, |d| d.version);
    let by_mark: Option<String> = sql::maybe(c, newest, (job, &name, version), |r| r.get(0))?;
    if by_mark.is_some_and(|mark| save.after.contains(&mark)) {
        from = version;
    }
    if save.gone {
        check_version(&format!("dent {name}"), saved.as_ref(), from)?;
        drop_dent(c, by, job, &name)?;
        return Ok((name, 0));
    }
    // Brought back after it was taken out: as it was, and then what is said of it now.
    if saved.is_none() && from == 0 {
        from = put_dent_back(c, by, job, &name)?;
        saved = dent(c, job, &name)?;
    }
    check_version(&format!("dent {name}"), saved.as_ref(), from)?;
    let body = make(&name, saved.as_ref())?;
    put_dent(c, by, job, &name, &body)?;
    Ok((name, from + 1))
}
