//! How a customer's answer came, and of exactly what it was: so that it can be shown later that the quote that stands in the record is
//! the one that was answered.

use crate::agreements::hash_of;
use crate::chain::hashed;
use crate::connection::Store;
use crate::error::Result;
use crate::sql;
use rusqlite::Connection;

/// Most characters of what a browser calls itself.
const MOST_BROWSER: usize = 200;

/// From where an answer came.
#[derive(Clone, Copy, Debug, Default)]
pub struct CameFrom<'a> {
    /// Network address; empty where it came by word of mouth.
    pub address: &'a str,
    /// What the browser calls itself.
    pub browser: &'a str,
    /// Who was signed in on that browser, or took it by word of mouth; empty where nobody was.
    pub under: &'a str,
}

/// What an answer is of, as it is hashed: the quote's own text, what it was made from, until when it held, what was chosen for how
/// much, and the hash of the paper.
struct Answered<'a> {
    body: &'a str,
    made_from: &'a str,
    valid_until: &'a str,
    chosen: &'a str,
    total: &'a str,
    paper: &'a str,
}

impl Answered<'_> {
    fn hash(&self) -> String {
        hashed(&[self.body, self.made_from, self.valid_until, self.chosen, self.total, self.paper])
    }
}

/// Keeps how a quote was answered: part of the transaction that keeps the answer, when its own fields stand.
pub(crate) fn keep(c: &Connection, quote: i64, from: CameFrom<'_>, total: &str, paper: Option<&str>) -> Result<()> {
    let text = sql::one(
        c,
        "quote",
        quote,
        "SELECT body, coalesce(made_from, ''), coalesce(valid_until, ''), coalesce(chosen, '') FROM quotes WHERE id = ?1",
        [quote],
        |r| {
            let (body, made_from, until, chosen): (String, String, String, String) = (r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?);
            let paper = paper.unwrap_or_default();
            Ok(Answered { body: &body, made_from: &made_from, valid_until: &until, chosen: &chosen, total, paper }.hash())
        },
    )?;
    // Neither is trusted: both come from outside, and stand on pages and in exports.
    let plain = |text: &str, most: usize| text.chars().filter(|ch| !ch.is_control()).take(most).collect::<String>();
    sql::run_one(
        c,
        "quote",
        quote,
        "UPDATE quotes SET answered_from = ?2, answered_with = ?3, answered_under = ?4, answered_text = ?5, answered_paper = ?6 WHERE id = ?1",
        (quote, plain(from.address, 60), plain(from.browser, MOST_BROWSER), from.under, text, paper),
    )
}

/// Whether what stands in the record is what was answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Same {
    /// It is.
    Yes,
    /// It was answered before this was kept.
    NotKept,
    /// Its customer was erased, and what was personal of it is gone on purpose.
    Erased,
    /// It is not: what differs, in words.
    No(String),
}

impl Store {
    /// Whether the quote that stands in the record is the one that was answered: text, ground, amount and paper.
    ///
    /// # Errors
    /// Where there is no such quote, or the database fails.
    pub fn is_as_answered(&self, quote: i64) -> Result<Same> {
        type Row = (String, String, String, String, Option<String>, Option<String>, Option<String>, Option<String>, String);
        let row: Row = self.read(|c| {
            sql::one(
                c,
                "quote",
                quote,
                "SELECT q.body, coalesce(q.made_from, ''), coalesce(q.valid_until, ''), coalesce(q.chosen, ''), q.answered_text, q.answered_paper, a.total, a.paper, coalesce(q.signed_by, '')
                 FROM quotes q LEFT JOIN agreements a ON a.quote = q.id WHERE q.id = ?1",
                [quote],
                |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?, r.get(5)?, r.get(6)?, r.get(7)?, r.get(8)?)),
            )
        })?;
        let (body, made_from, until, chosen, text, signed_paper, total, paper, by) = row;
        let Some(text) = text else { return Ok(Same::NotKept) };
        if by == crate::erase::ERASED {
            return Ok(Same::Erased);
        }
        let now = Answered {
            body: &body,
            made_from: &made_from,
            valid_until: &until,
            chosen: &chosen,
            total: total.as_deref().unwrap_or_default(),
            paper: signed_paper.as_deref().unwrap_or_default(),
        };
        if now.hash() != text {
            return Ok(Same::No("its text, dates or amount are not those that were answered".to_owned()));
        }
        match (paper, signed_paper) {
            (Some(paper), Some(signed)) if paper != signed => Ok(Same::No("its paper is another than the one that was signed".to_owned())),
            (Some(_), None) => Ok(Same::No("it has a paper, and none was signed".to_owned())),
            (Some(paper), _) => Ok(match self.content(&paper) {
                Ok(bytes) if hash_of(&bytes) == paper => Same::Yes,
                Ok(_) | Err(_) => Same::No("its paper is damaged or gone".to_owned()),
            }),
            (None, Some(_)) => Ok(Same::No("the paper that was signed is gone".to_owned())),
            (None, None) => Ok(Same::Yes),
        }
    }

    /// Quotes that are not as they were answered, a line each; and how many were looked at.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn answers_that_differ(&self) -> Result<(usize, Vec<String>)> {
        let all: Vec<(i64, i64)> = self.read(|c| {
            sql::all(c, "SELECT id, job FROM quotes WHERE answered_text IS NOT NULL ORDER BY id", [], |r| Ok((r.get(0)?, r.get(1)?)))
        })?;
        let mut told = Vec::new();
        for (id, job) in &all {
            if let Same::No(why) = self.is_as_answered(*id)? {
                told.push(format!("quote {id} of job {job}: {why}"));
            }
        }
        Ok((all.len(), told))
    }
}
