//! The hand-back: what came with the instrument and goes back with it, who fetched it, what was let go, and the money that
//! came in. Amounts are exact decimals as text; what is owed is what was agreed, which stands elsewhere.

use crate::connection::{By, Store};
use crate::counter::JobState;
use crate::error::{Result, StoreError};
use crate::sql;
use crate::states::{self, Action, Brought, Said};
use crate::versions::{self, Kept};
use rusqlite::Row;
use serde::Serialize;

/// Something that came with the instrument.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Accessory {
    /// Id.
    pub id: i64,
    /// What it is: "case", "mouthpiece 24AW".
    pub name: String,
    /// Whether it went back.
    pub back: bool,
}

/// Ways to pay, as the record and people name them.
pub const HOW: &[(&str, &str)] =
    &[("cash", "cash"), ("card", "card"), ("check", "check"), ("transfer", "bank transfer"), ("other", "otherwise")];

/// Money that came in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Payment {
    /// Id.
    pub id: i64,
    /// Exact decimal.
    pub amount: String,
    /// How it was paid, as [`HOW`] names it.
    pub how: String,
    /// Note: "deposit", a check's number.
    pub note: String,
    /// Whether it was entered by mistake.
    pub void: bool,
    /// Who took it.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// Who fetched an instrument.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HandBack {
    /// Who collected it.
    pub collected_by: String,
    /// Note.
    pub note: String,
    /// Who gave it out.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// What was let go, by whom and why.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LetGo {
    /// The act that went through all the same, as [`Action::as_str`] names it.
    pub at_act: String,
    /// What was not met, a line each.
    pub what: Vec<String>,
    /// Who let it go.
    pub name: String,
    /// Why.
    pub reason: String,
    /// Who was signed in.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// Refuses a way to pay that the record does not know.
pub(crate) fn known_way(how: &str) -> Result<()> {
    if HOW.iter().any(|(key, _)| *key == how) {
        return Ok(());
    }
    Err(StoreError::Refused(format!("there is no way to pay “{how}”; choose one from the list")))
}

/// Accessories.
impl Store {
    /// What came with a job's instrument.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn accessories(&self, job: i64) -> Result<Vec<Accessory>> {
        self.read(|c| accessories(c, job))
    }

    /// Says what came with the instrument, a line each: new names are added, names that are gone are taken out. `from` is the
    /// job's version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where the job is missing, or was handed back.
    pub fn set_accessories(&self, by: By<'_>, job: i64, from: i64, names: &[&str]) -> Result<()> {
        self.write(by, |c| {
            let state: JobState = sql::one(c, "job", job, "SELECT state FROM jobs WHERE id = ?1", [job], |r| r.get(0))?;
            if state == JobState::HandedBack {
                return Err(StoreError::Refused("this job was picked up, and what came with it went too".to_owned()));
            }
            versions::check(c, Kept::Job, job, from)?;
            sql::run(c, "UPDATE jobs SET version = version + 1 WHERE id = ?1", [job])?;
            let known = accessories(c, job)?;
            for gone in known.iter().filter(|a| !names.contains(&a.name.as_str())) {
                sql::run(c, "DELETE FROM accessories WHERE id = ?1", [gone.id])?;
            }
            for (i, name) in names.iter().enumerate() {
                if !known.iter().any(|a| a.name == *name) && !names[..i].contains(name) {
                    sql::insert(c, "INSERT INTO accessories (job, name) VALUES (?1, ?2)", (job, name))?;
                }
            }
            Ok(())
        })
    }
}

/// What a payment is read from, in the order of [`payment`].
pub(crate) const PAYMENT: &str = "id, amount, how, note, void, who, at";

pub(crate) fn payment(r: &Row<'_>) -> rusqlite::Result<Payment> {
    Ok(Payment { id: r.get(0)?, amount: r.get(1)?, how: r.get(2)?, note: r.get(3)?, void: r.get(4)?, who: r.get(5)?, at: r.get(6)? })
}

/// Payments.
impl Store {
    /// Payments of a job, oldest first, those entered by mistake too.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn payments(&self, job: i64) -> Result<Vec<Payment>> {
        self.read(|c| sql::all(c, &format!("SELECT {PAYMENT} FROM payments WHERE job = ?1 ORDER BY id"), [job], payment))
    }

    /// Every payment that counts, as job and amount.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn all_payments(&self) -> Result<Vec<(i64, String)>> {
        self.read(|c| sql::all(c, "SELECT job, amount FROM payments WHERE void = 0", [], |r| Ok((r.get(0)?, r.get(1)?))))
    }

    /// Keeps a payment; returns its id.
    ///
    /// # Errors
    /// Where the job is missing or the way to pay unknown.
    pub fn add_payment(&self, by: By<'_>, job: i64, amount: &str, how: &str, note: &str) -> Result<i64> {
        known_way(how)?;
        self.write(by, |c| {
            sql::insert(
                c,
                "INSERT INTO payments (job, amount, how, note, who, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (job, amount, how, note, by.who, by.at),
            )
        })
    }

    /// Marks a payment as entered by mistake, or takes that back.
    ///
    /// # Errors
    /// Where there is none of that id on that job.
    pub fn void_payment(&self, by: By<'_>, job: i64, id: i64, void: bool) -> Result<()> {
        self.write(by, |c| sql::run_one(c, "payment", id, "UPDATE payments SET void = ?3 WHERE id = ?1 AND job = ?2", (id, job, void)))
    }
}

/// The hand-back.
impl Store {
    /// Hands an instrument back: `back` are the accessories that go with it; one that does not is let go by name and reason.
    /// A declined job stays declined.
    ///
    /// # Errors
    /// Where nobody is named who collects it, the job's state does not allow it, or an accessory stays and nobody says why.
    pub fn hand_back(
        &self,
        by: By<'_>,
        job: i64,
        collected_by: &str,
        note: &str,
        back: &[i64],
        said: Option<Said<'_>>,
    ) -> Result<JobState> {
        if collected_by.trim().is_empty() {
            return Err(StoreError::Refused("write who collects the instrument".to_owned()));
        }
        self.write(by, |c| {
            let all = accessories(c, job)?;
            let not_met = all.iter().filter(|a| !back.contains(&a.id)).map(|a| format!("stays here: {}", a.name)).collect();
            let to = states::act(c, by, job, Action::HandBack, Brought { said, not_met, ..Brought::default() })?;
            for a in &all {
                let goes = back.contains(&a.id);
                if a.back != goes {
                    sql::run(c, "UPDATE accessories SET back = ?2 WHERE id = ?1", (a.id, goes))?;
                }
            }
            sql::insert(
                c,
                "INSERT INTO hand_backs (job, collected_by, note, who, at) VALUES (?1, ?2, ?3, ?4, ?5)",
                (job, collected_by.trim(), note.trim(), by.who, by.at),
            )?;
            Ok(to)
        })
    }

    /// Who fetched the instrument, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn hand_backs(&self, job: i64) -> Result<Vec<HandBack>> {
        self.read(|c| {
            sql::all(c, "SELECT collected_by, note, who, at FROM hand_backs WHERE job = ?1 ORDER BY id DESC", [job], |r| {
                Ok(HandBack { collected_by: r.get(0)?, note: r.get(1)?, who: r.get(2)?, at: r.get(3)? })
            })
        })
    }

    /// What was let go on a job and still stands, oldest first.
    ///
    /// # Errors
    /// Where the database fails, or a line cannot be read back.
    pub fn let_go(&self, job: i64) -> Result<Vec<LetGo>> {
        let rows = self.read(|c| {
            sql::all(c, "SELECT at_act, what, name, reason, who, at FROM let_go WHERE job = ?1 AND stands = 1 ORDER BY id", [job], |r| {
                let what: String = r.get(1)?;
                Ok((what, LetGo { at_act: r.get(0)?, what: vec![], name: r.get(2)?, reason: r.get(3)?, who: r.get(4)?, at: r.get(5)? }))
            })
        })?;
        rows.into_iter()
            .map(|(what, row)| {
                let what = serde_json::from_str(&what)
                    .map_err(|e| StoreError::Garbled { what: "what was let go".to_owned(), why: e.to_string() })?;
                Ok(LetGo { what, ..row })
            })
            .collect()
    }
}

fn accessories(c: &rusqlite::Connection, job: i64) -> Result<Vec<Accessory>> {
    sql::all(c, "SELECT id, name, back FROM accessories WHERE job = ?1 ORDER BY id", [job], |r| {
        Ok(Accessory { id: r.get(0)?, name: r.get(1)?, back: r.get(2)? })
    })
}
