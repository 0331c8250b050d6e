//! Surveys: the body (instrument, conditions, wishes) and each dent on its own, with versions, so that two tablets
//! can work on one survey and neither overwrites what the other saved.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use crate::states::{self, Action};
use rusqlite::Connection;
use serde::Serialize;

/// A saved JSON body with its version.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Versioned {
    /// JSON.
    pub body: String,
    /// Rises by one at each save.
    pub version: i64,
}

/// A dent as saved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SavedDent {
    /// Its name in the survey.
    pub name: String,
    /// JSON and version.
    #[serde(flatten)]
    pub saved: Versioned,
}

impl Store {
    /// The survey's body, where there is one.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn survey_body(&self, job: i64) -> Result<Option<Versioned>> {
        self.read(|c| body(c, job))
    }

    /// The body and all dents in one consistent view.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn survey(&self, job: i64) -> Result<Option<(Versioned, Vec<SavedDent>)>> {
        self.read(|c| {
            let Some(body) = body(c, job)? else { return Ok(None) };
            let dents = sql::all(c, "SELECT name, body, version FROM dents WHERE job = ?1 ORDER BY id", [job], |r| {
                Ok(SavedDent { name: r.get(0)?, saved: Versioned { body: r.get(1)?, version: r.get(2)? } })
            })?;
            Ok(Some((body, dents)))
        })
    }

    /// Saves the survey's body. `from` is the version that the writer saw (0: none); returns the new version.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between.
    pub fn save_survey_body(&self, by: By<'_>, job: i64, from: i64, body: &str) -> Result<i64> {
        self.write(by, |c| save_body(c, by, job, from, body))
    }

    /// As [`Store::save_survey_body`], of a survey from which a condition of the metal was taken out: it is kept, and
    /// [`Store::put_condition_back`] puts it back.
    ///
    /// # Errors
    /// As there.
    pub fn take_condition_out(&self, by: By<'_>, job: i64, from: i64, body: &str, condition: &str) -> Result<i64> {
        self.write(by, |c| {
            sql::insert(c, "INSERT INTO conditions_out (job, body, at) VALUES (?1, ?2, ?3)", (job, condition, by.at))?;
            save_body(c, by, job, from, body)
        })
    }

    /// As [`Store::save_survey_body`], of a survey into which a condition was put back that had been taken out.
    ///
    /// # Errors
    /// As there; where it was put back already.
    pub fn put_condition_back(&self, by: By<'_>, job: i64, from: i64, body: &str, which: i64) -> Result<i64> {
        self.write(by, |c| {
            sql::run_one(c, "removed condition", which, "DELETE FROM conditions_out WHERE id = ?1 AND job = ?2", (which, job))?;
            save_body(c, by, job, from, body)
        })
    }

    /// The conditions that were taken out of a survey, the latest first: number and JSON.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn conditions_taken_out(&self, job: i64) -> Result<Vec<(i64, String)>> {
        self.read(|c| {
            sql::all(c, "SELECT id, body FROM conditions_out WHERE job = ?1 ORDER BY id DESC", [job], |r| Ok((r.get(0)?, r.get(1)?)))
        })
    }

    /// Saves a dent. `from` is the version that the writer saw (0: a new dent); returns the new version.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between, with what they saved.
    pub fn save_dent(&self, by: By<'_>, job: i64, name: &str, from: i64, body: &str) -> Result<i64> {
        self.write(by, |c| {
            let saved = dent(c, job, name)?;
            check_version(&format!("dent {name}"), saved.as_ref(), from)?;
            put_dent(c, by, job, name, body)?;
            Ok(from + 1)
        })
    }

    /// Adds a dent under the next name (d1, d2 …) that no dent of the job ever had; returns its name, and whether it is
    /// new. `made_as` is the tablet's own mark: sent again with the same mark, the dent that it made is named and nothing
    /// is added.
    ///
    /// # Errors
    /// Where the job is missing or `make` fails.
    pub fn add_dent(
        &self,
        by: By<'_>,
        job: i64,
        made_as: Option<&str>,
        make: impl FnOnce(&str) -> Result<String>,
    ) -> Result<(String, bool)> {
        self.write(by, |c| {
            if let Some(mark) = made_as {
                let known = sql::maybe(c, "SELECT name FROM dents WHERE job = ?1 AND made_as = ?2", (job, mark), |r| r.get(0))?;
                if let Some(name) = known {
                    return Ok((name, false));
                }
            }
            let name = put_new_dent(c, by, job, made_as, make)?;
            Ok((name, true))
        })
    }

    /// The dents that were taken out and not brought back, as they stood last, from the journal; the latest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn dents_taken_out(&self, job: i64) -> Result<Vec<SavedDent>> {
        self.read(|c| {
            sql::all(
                c,
                "SELECT json_extract(before, '$.name') AS name, json_extract(before, '$.body'), max(id) AS last FROM journal
                 WHERE record = 'dents' AND act = 'delete' AND json_extract(before, '$.job') = ?1
                   AND name NOT IN (SELECT name FROM dents WHERE job = ?1)
                 GROUP BY name ORDER BY last DESC",
                [job],
                |r| Ok(SavedDent { name: r.get(0)?, saved: Versioned { body: r.get(1)?, version: 0 } }),
            )
        })
    }

    /// A dent, where there is one of that name.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn dent(&self, job: i64, name: &str) -> Result<Option<Versioned>> {
        self.read(|c| dent(c, job, name))
    }

    /// The dent that a tablet made under a mark.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn dent_made_as(&self, job: i64, mark: &str) -> Result<Option<String>> {
        self.read(|c| sql::maybe(c, "SELECT name FROM dents WHERE job = ?1 AND made_as = ?2", (job, mark), |r| r.get(0)))
    }

    /// The tablets' marks of the dents of a job.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn marks_of_dents(&self, job: i64) -> Result<Vec<String>> {
        self.read(|c| sql::all(c, "SELECT made_as FROM dents WHERE job = ?1 AND made_as IS NOT NULL", [job], |r| r.get(0)))
    }

    /// Puts a dent back that was taken out, as it was; returns its version.
    ///
    /// # Errors
    /// Where a dent of that name is there, or the journal knows of none.
    pub fn restore_dent(&self, by: By<'_>, job: i64, name: &str) -> Result<i64> {
        self.write(by, |c| put_dent_back(c, by, job, name))
    }

    /// Takes a dent out of the survey; the journal keeps it, and [`Store::restore_dent`] puts it back.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between.
    pub fn remove_dent(&self, by: By<'_>, job: i64, name: &str, from: i64) -> Result<()> {
        self.write(by, |c| {
            let saved = dent(c, job, name)?;
            check_version(&format!("dent {name}"), saved.as_ref(), from)?;
            drop_dent(c, by, job, name)
        })
    }
}

/// Writes the survey of a new job: its body and its dents.
pub(crate) fn put_survey(c: &Connection, by: By<'_>, job: i64, body: &str, dents: &[(String, String)]) -> Result<()> {
    save_body(c, by, job, 0, body)?;
    dents.iter().try_for_each(|(name, body)| put_dent(c, by, job, name, body))
}

fn save_body(c: &Connection, by: By<'_>, job: i64, from: i64, body: &str) -> Result<i64> {
    let saved = self::body(c, job)?;
    check_version("the survey", saved.as_ref(), from)?;
    sql::run(
        c,
        "INSERT INTO surveys (job, body, version) VALUES (?1, ?2, 1)
         ON CONFLICT (job) DO UPDATE SET body = excluded.body, version = version + 1",
        (job, body),
    )?;
    states::plainly(c, by, job, Action::Survey)?;
    Ok(from + 1)
}

fn body(c: &Connection, job: i64) -> Result<Option<Versioned>> {
    sql::maybe(c, "SELECT body, version FROM surveys WHERE job = ?1", [job], versioned)
}

/// Writes a dent under the next name that no dent of the job ever had.
pub(crate) fn put_new_dent(
    c: &Connection,
    by: By<'_>,
    job: i64,
    made_as: Option<&str>,
    make: impl FnOnce(&str) -> Result<String>,
) -> Result<String> {
    let last: Option<i64> = sql::maybe(c, "SELECT last FROM dent_names WHERE id = ?1", [job], |r| r.get(0))?;
    let name = format!("d{}", last.unwrap_or(0) + 1);
    let body = make(&name)?;
    sql::insert(c, "INSERT INTO dents (job, name, body, version, made_as) VALUES (?1, ?2, ?3, 1, ?4)", (job, &name, body, made_as))?;
    states::plainly(c, by, job, Action::Survey)?;
    Ok(name)
}

/// Writes a dent over what is there; whoever calls has looked at the version.
pub(crate) fn put_dent(c: &Connection, by: By<'_>, job: i64, name: &str, body: &str) -> Result<()> {
    sql::run(
        c,
        "INSERT INTO dents (job, name, body, version) VALUES (?1, ?2, ?3, 1)
         ON CONFLICT (job, name) DO UPDATE SET body = excluded.body, version = version + 1",
        (job, name, body),
    )?;
    states::plainly(c, by, job, Action::Survey).map(|_| ())
}

/// Puts a dent back that was taken out, as it was; returns its version.
pub(crate) fn put_dent_back(c: &Connection, by: By<'_>, job: i64, name: &str) -> Result<i64> {
    if dent(c, job, name)?.is_some() {
        return Err(StoreError::Refused(format!("dent {name} is there")));
    }
    let sql = "SELECT json_extract(before, '$.body'), json_extract(before, '$.version') + 1, json_extract(before, '$.made_as')
               FROM journal WHERE record = 'dents' AND act = 'delete'
               AND json_extract(before, '$.job') = ?1 AND json_extract(before, '$.name') = ?2 ORDER BY id DESC LIMIT 1";
    let (body, version, made_as): (String, i64, Option<String>) =
        sql::one(c, "removed dent", name, sql, (job, name), |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
    sql::insert(
        c,
        "INSERT INTO dents (job, name, body, version, made_as) VALUES (?1, ?2, ?3, ?4, ?5)",
        (job, name, body, version, made_as),
    )?;
    states::plainly(c, by, job, Action::Survey)?;
    Ok(version)
}

/// Takes a dent out; whoever calls has looked at the version.
pub(crate) fn drop_dent(c: &Connection, by: By<'_>, job: i64, name: &str) -> Result<()> {
    sql::run(c, "DELETE FROM dents WHERE job = ?1 AND name = ?2", (job, name))?;
    states::plainly(c, by, job, Action::Survey).map(|_| ())
}

pub(crate) fn dent(c: &Connection, job: i64, name: &str) -> Result<Option<Versioned>> {
    sql::maybe(c, "SELECT body, version FROM dents WHERE job = ?1 AND name = ?2", (job, name), versioned)
}

fn versioned(r: &rusqlite::Row<'_>) -> rusqlite::Result<Versioned> {
    Ok(Versioned { body: r.get(0)?, version: r.get(1)? })
}

pub(crate) fn check_version(what: &str, saved: Option<&Versioned>, from: i64) -> Result<()> {
    let version = saved.map_or(0, |v| v.version);
    if version == from {
        return Ok(());
    }
    Err(StoreError::Conflict { what: what.to_owned(), version, body: saved.map(|v| v.body.clone()) })
}
