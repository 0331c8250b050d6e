//! Overrules of the plan, and quotes with the customer's answer.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::key::Key;
use crate::links;
use crate::people::hash;
use crate::sql;
use crate::states::{self, Action, Brought};
use rusqlite::Row;
use serde::Serialize;

/// An overrule of the plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SavedOverrule {
    /// Id.
    pub id: i64,
    /// The overrule, JSON.
    pub body: String,
    /// Why.
    pub why: String,
    /// Who.
    pub who: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// A quote as it was given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SavedQuote {
    /// Id.
    pub id: i64,
    /// Job.
    pub job: i64,
    /// The secret part of the customer's link; none where the key beside the record does not open it: the record was restored elsewhere.
    pub token: Option<String>,
    /// Whether the link was closed.
    pub revoked: bool,
    /// The quote, JSON.
    pub body: String,
    /// When it was made, Unix seconds.
    pub made_at: i64,
    /// Last day on which it holds.
    pub valid_until: Option<String>,
    /// The offer that the customer took.
    pub chosen: Option<String>,
    /// The name under the signature.
    pub signed_by: Option<String>,
    /// The signature's strokes, SVG path data.
    pub signature: Option<String>,
    /// When it was signed.
    pub signed_at: Option<i64>,
    /// The contents that it was made from, JSON; none: given by an earlier program.
    pub made_from: Option<String>,
    /// The agreement that it adds to, where it is a supplement.
    pub adds_to: Option<i64>,
    /// Network address that the answer came from; empty where it is not known.
    pub answered_from: String,
    /// What the browser called itself that it came from.
    pub answered_with: String,
    /// Who was signed in on that browser, or took it by word of mouth.
    pub answered_under: String,
    /// SHA-256 of all that was answered; none where it was answered before that was kept, or was not.
    pub answered_text: Option<String>,
    /// SHA-256 of the paper as signed.
    pub answered_paper: Option<String>,
    /// When its link was sent last, as whoever sent it says, Unix seconds.
    pub sent_at: Option<i64>,
    /// How, as [`SENT_HOW`] names it.
    pub sent_how: String,
}

/// Ways to send a quote's link, as the record and people name them.
pub const SENT_HOW: &[(&str, &str)] = &[("email", "by e-mail"), ("message", "by text message"), ("counter", "at the counter")];

/// A quote as it is given.
#[derive(Clone, Copy, Debug)]
pub struct NewQuote<'a> {
    /// The secret part of the customer's link, made by the caller.
    pub token: &'a str,
    /// The quote, JSON.
    pub body: &'a str,
    /// Last day on which it holds.
    pub valid_until: Option<&'a str>,
    /// The contents that it was made from, JSON.
    pub made_from: Option<&'a str>,
    /// The agreement that it adds to, where it is a supplement.
    pub adds_to: Option<i64>,
}

pub(crate) const QUOTE: &str =
    "id, job, link_hash, body, made_at, valid_until, chosen, signed_by, signature, signed_at, made_from, adds_to,
    link_sealed, link_revoked, answered_from, answered_with, answered_under, answered_text, answered_paper, sent_at, sent_how";

/// Reads a quote; its link where there is a key.
pub(crate) fn quote(key: Option<&Key>) -> impl FnMut(&Row<'_>) -> rusqlite::Result<SavedQuote> {
    move |r| row(r, key)
}

fn row(r: &Row<'_>, key: Option<&Key>) -> rusqlite::Result<SavedQuote> {
    Ok(SavedQuote {
        id: r.get(0)?,
        job: r.get(1)?,
        token: links::opened(key, &r.get::<_, String>(2)?, r.get::<_, Option<String>>(12)?.as_deref()),
        body: r.get(3)?,
        made_at: r.get(4)?,
        valid_until: r.get(5)?,
        chosen: r.get(6)?,
        signed_by: r.get(7)?,
        signature: r.get(8)?,
        signed_at: r.get(9)?,
        made_from: r.get(10)?,
        adds_to: r.get(11)?,
        revoked: r.get(13)?,
        answered_from: r.get(14)?,
        answered_with: r.get(15)?,
        answered_under: r.get(16)?,
        answered_text: r.get(17)?,
        answered_paper: r.get(18)?,
        sent_at: r.get(19)?,
        sent_how: r.get(20)?,
    })
}

impl Store {
    /// Overrules of a job that stand, oldest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn overrules(&self, job: i64) -> Result<Vec<SavedOverrule>> {
        self.read(|c| {
            sql::all(c, "SELECT id, body, why, who, at FROM overrules WHERE job = ?1 AND withdrawn = 0 ORDER BY id", [job], |r| {
                Ok(SavedOverrule { id: r.get(0)?, body: r.get(1)?, why: r.get(2)?, who: r.get(3)?, at: r.get(4)? })
            })
        })
    }

    /// Adds an overrule; returns its id.
    ///
    /// # Errors
    /// Where no reason is given or the job is missing.
    pub fn add_overrule(&self, by: By<'_>, job: i64, body: &str, why: &str) -> Result<i64> {
        if why.trim().is_empty() {
            return Err(StoreError::Refused("an overrule needs a reason: the next person at the bench will ask for it".to_owned()));
        }
        self.write(by, |c| {
            states::plainly(c, by, job, Action::Overrule)?;
            sql::insert(c, "INSERT INTO overrules (job, body, why, who, at) VALUES (?1, ?2, ?3, ?4, ?5)", (job, body, why, by.who, by.at))
        })
    }

    /// Withdraws an overrule of a job.
    ///
    /// # Errors
    /// Where there is none of that id on that job.
    pub fn withdraw_overrule(&self, by: By<'_>, job: i64, id: i64) -> Result<()> {
        self.write(by, |c| {
            states::plainly(c, by, job, Action::Overrule)?;
            sql::run_one(c, "overrule", id, "UPDATE overrules SET withdrawn = 1 WHERE id = ?1 AND job = ?2", (id, job))
        })
    }

    /// Takes the withdrawal of an overrule back.
    ///
    /// # Errors
    /// Where there is none of that id on that job.
    pub fn restore_overrule(&self, by: By<'_>, job: i64, id: i64) -> Result<()> {
        self.write(by, |c| {
            states::plainly(c, by, job, Action::Overrule)?;
            sql::run_one(c, "overrule", id, "UPDATE overrules SET withdrawn = 0 WHERE id = ?1 AND job = ?2", (id, job))
        })
    }

    /// Overrules of a job that were withdrawn, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn withdrawn_overrules(&self, job: i64) -> Result<Vec<SavedOverrule>> {
        self.read(|c| {
            sql::all(c, "SELECT id, body, why, who, at FROM overrules WHERE job = ?1 AND withdrawn = 1 ORDER BY id DESC", [job], |r| {
                Ok(SavedOverrule { id: r.get(0)?, body: r.get(1)?, why: r.get(2)?, who: r.get(3)?, at: r.get(4)? })
            })
        })
    }

    /// Keeps a quote as given, under a token that the caller made; the job becomes `Quoted`. A supplement leaves the job where it
    /// stands. Returns its id.
    ///
    /// # Errors
    /// Where the job is missing, its state does not allow it, or a quote is out that was not answered.
    pub fn add_quote(&self, by: By<'_>, job: i64, new: &NewQuote<'_>) -> Result<i64> {
        self.quoted(by, job, new, false)
    }

    /// As [`Store::add_quote`], over a quote that is out: whoever asks was asked first. [`Store::withdraw_quote`] undoes it.
    ///
    /// # Errors
    /// Where the job is missing or its state does not allow it.
    pub fn replace_quote(&self, by: By<'_>, job: i64, new: &NewQuote<'_>) -> Result<i64> {
        self.quoted(by, job, new, true)
    }

    fn quoted(&self, by: By<'_>, job: i64, new: &NewQuote<'_>, sure: bool) -> Result<i64> {
        let kept = links::sealed(self.key(), new.token)?;
        self.write(by, |c| {
            let action = if new.adds_to.is_some() { Action::Supplement } else { Action::Quote };
            states::act(c, by, job, action, Brought { sure, ..Brought::default() })?;
            sql::insert(
                c,
                "INSERT INTO quotes (job, link_hash, link_sealed, body, made_at, valid_until, made_from, adds_to)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                (job, hash(new.token), kept, new.body, by.at, new.valid_until, new.made_from, new.adds_to),
            )
        })
    }

    /// Takes the quote back that is out; one that was given before it and not answered is out again.
    ///
    /// # Errors
    /// Where none is out.
    pub fn withdraw_quote(&self, by: By<'_>, job: i64) -> Result<()> {
        self.write(by, |c| {
            states::plainly(c, by, job, Action::WithdrawQuote)?;
            sql::run(c, "UPDATE quotes SET withdrawn = 1 WHERE id = (SELECT max(id) FROM quotes WHERE job = ?1 AND withdrawn = 0 AND adds_to IS NULL)", [job])
                .map(|_| ())
        })
    }

    /// Notes that a quote's link was sent, and how.
    ///
    /// # Errors
    /// Where the job has no such quote, or there is no such way.
    pub fn note_sent(&self, by: By<'_>, job: i64, quote: i64, how: &str) -> Result<()> {
        if !SENT_HOW.iter().any(|(key, _)| *key == how) {
            return Err(StoreError::Refused(format!("there is no way “{how}” to send a link")));
        }
        let sql = "UPDATE quotes SET sent_at = ?3, sent_how = ?4 WHERE id = ?1 AND job = ?2";
        self.write(by, |c| sql::run_one(c, "quote", quote, sql, (quote, job, by.at, how)))
    }

    /// Quotes of a job that were not taken back, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn quotes_of(&self, job: i64) -> Result<Vec<SavedQuote>> {
        self.read(|c| {
            sql::all(c, &format!("SELECT {QUOTE} FROM quotes WHERE job = ?1 AND withdrawn = 0 ORDER BY id DESC"), [job], quote(self.key()))
        })
    }
}
