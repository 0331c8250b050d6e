//! What was agreed: the offer that a customer took and what was added to it since, each with what it was made from.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::evidence::{self, CameFrom};
use crate::offers::{QUOTE, SavedQuote, quote};
use crate::people::{hash, hex};
use crate::sql;
use crate::states::{self, Action};
use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, Row};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::io::{Read, Write};

/// What a customer said yes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AgreementKind {
    /// One of the offers.
    Offer,
    /// What was found later, on top of what was agreed.
    Supplement,
}

/// How a customer said yes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SaidHow {
    /// Signed on the customer's page.
    Signed,
    /// By telephone.
    Telephone,
    /// At the counter.
    Counter,
}

impl SaidHow {
    /// Its name in the record.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Signed => "signed",
            Self::Telephone => "telephone",
            Self::Counter => "counter",
        }
    }
}

impl ToSql for AgreementKind {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(match self {
            Self::Offer => "offer",
            Self::Supplement => "supplement",
        }
        .into())
    }
}

impl FromSql for AgreementKind {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        match value.as_str()? {
            "offer" => Ok(Self::Offer),
            "supplement" => Ok(Self::Supplement),
            _ => Err(FromSqlError::InvalidType),
        }
    }
}

impl ToSql for SaidHow {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.as_str().into())
    }
}

impl FromSql for SaidHow {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let all = [Self::Signed, Self::Telephone, Self::Counter];
        let text = value.as_str()?;
        all.into_iter().find(|h| h.as_str() == text).ok_or(FromSqlError::InvalidType)
    }
}

/// An agreement.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Agreement {
    /// Id.
    pub id: i64,
    /// Job.
    pub job: i64,
    /// The quote that was answered.
    pub quote: i64,
    /// An offer or a supplement.
    pub kind: AgreementKind,
    /// How far the work goes.
    pub level: String,
    /// Its own amount, exact decimal.
    pub total: String,
    /// The contents that it was made from, JSON.
    pub made_from: String,
    /// Hash of its plan.
    pub plan: String,
    /// Hash of the paper as it was signed; none where nothing was signed on paper.
    pub paper: Option<String>,
    /// How the customer said yes.
    pub how: SaidHow,
    /// The customer's name as signed or told.
    pub said_by: String,
    /// Who took it; empty where the customer signed alone.
    pub taken_by: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// A yes, as it is to be kept.
#[derive(Clone, Copy, Debug)]
pub struct Yes<'a> {
    /// The level of the offer that was taken.
    pub level: &'a str,
    /// Its amount, exact decimal.
    pub total: &'a str,
    /// The customer's name.
    pub name: &'a str,
    /// The signature's strokes, SVG path data; empty where there are none.
    pub signature: &'a str,
    /// How it was said.
    pub how: SaidHow,
    /// Who took it; empty where the customer signed alone.
    pub taken_by: &'a str,
    /// The plan: its media type and bytes.
    pub plan: (&'a str, &'a [u8]),
    /// The paper as signed, PDF.
    pub paper: Option<&'a [u8]>,
    /// From where it came.
    pub from: CameFrom<'a>,
}

const AGREEMENT: &str = "id, job, quote, kind, level, total, made_from, plan, paper, how, said_by, taken_by, at";

fn agreement(r: &Row<'_>) -> rusqlite::Result<Agreement> {
    Ok(Agreement {
        id: r.get(0)?,
        job: r.get(1)?,
        quote: r.get(2)?,
        kind: r.get(3)?,
        level: r.get(4)?,
        total: r.get(5)?,
        made_from: r.get(6)?,
        plan: r.get(7)?,
        paper: r.get(8)?,
        how: r.get(9)?,
        said_by: r.get(10)?,
        taken_by: r.get(11)?,
        at: r.get(12)?,
    })
}

/// SHA-256 of some bytes, as the record writes it.
pub fn hash_of(body: &[u8]) -> String {
    hex(&Sha256::digest(body))
}

/// Largest content that is unpacked, bytes: a stolen or damaged record must not fill the memory.
const MOST_BYTES: u64 = 64 << 20;

/// Deflated; a plan shrinks to a tenth.
fn packed(body: &[u8]) -> Vec<u8> {
    let mut out = DeflateEncoder::new(Vec::new(), Compression::default());
    // Writing into memory does not fail; were it to, the body is kept as it is.
    let written = out.write_all(body).and_then(|()| out.finish());
    written.unwrap_or_else(|_| body.to_vec())
}

fn unpacked(body: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut out = Vec::new();
    DeflateDecoder::new(body).take(MOST_BYTES).read_to_end(&mut out)?;
    Ok(out)
}

pub(crate) fn keep(c: &Connection, media: &str, body: &[u8]) -> Result<String> {
    let hash = hash_of(body);
    let small = packed(body);
    let shrinks = small.len() < body.len();
    sql::run(
        c,
        "INSERT INTO contents (hash, media, packed, body) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (hash) DO NOTHING",
        (&hash, media, shrinks, if shrinks { &small[..] } else { body }),
    )?;
    Ok(hash)
}

/// What is kept under a hash.
pub(crate) fn content(c: &Connection, hash: &str) -> Result<Vec<u8>> {
    let sql = "SELECT packed, body FROM contents WHERE hash = ?1";
    let (small, body): (bool, Vec<u8>) = sql::one(c, "content", hash, sql, [hash], |r| Ok((r.get(0)?, r.get(1)?)))?;
    let body = if small { unpacked(&body).unwrap_or_default() } else { body };
    if hash_of(&body) == hash {
        Ok(body)
    } else {
        Err(StoreError::Garbled { what: format!("content {hash}"), why: "its bytes do not have that hash".to_owned() })
    }
}

/// Contents.
impl Store {
    /// Keeps a text or a paper by its content; returns its hash. The same content is kept once.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn keep_content(&self, by: By<'_>, media: &str, body: &[u8]) -> Result<String> {
        self.write(by, |c| keep(c, media, body))
    }

    /// What is kept under a hash. What no longer has that hash is an error: it was changed behind the record's back.
    ///
    /// # Errors
    /// Where there is none, or it is damaged.
    pub fn content(&self, hash: &str) -> Result<Vec<u8>> {
        self.read(|c| content(c, hash))
    }
}

/// Agreements.
impl Store {
    /// A job's agreements, oldest first: the offer, then what was added.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn agreements_of(&self, job: i64) -> Result<Vec<Agreement>> {
        self.read(|c| sql::all(c, &format!("SELECT {AGREEMENT} FROM agreements WHERE job = ?1 ORDER BY id"), [job], agreement))
    }

    /// The hash of the plan of every job's newest agreement, of jobs that were agreed or worked on since a moment.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn plans_agreed_or_worked_since(&self, since: i64) -> Result<Vec<(i64, String)>> {
        self.read(|c| {
            let sql = "SELECT a.job, a.plan FROM agreements a JOIN jobs j ON j.id = a.job
                       WHERE a.id = (SELECT max(b.id) FROM agreements b WHERE b.job = a.job) AND j.state <> 'declined'
                         AND (a.at >= ?1 OR EXISTS (SELECT 1 FROM steps s WHERE s.job = a.job AND (s.done_at >= ?1 OR s.started_at >= ?1)))
                       ORDER BY a.job";
            sql::all(c, sql, [since], |r| Ok((r.get(0)?, r.get(1)?)))
        })
    }

    /// What was agreed, as job and amount: an offer and each supplement on its own. Jobs that were declined since owe nothing.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn agreed_amounts(&self) -> Result<Vec<(i64, String)>> {
        self.read(|c| {
            let sql = "SELECT a.job, a.total FROM agreements a JOIN jobs j ON j.id = a.job WHERE j.state <> 'declined' ORDER BY a.id";
            sql::all(c, sql, [], |r| Ok((r.get(0)?, r.get(1)?)))
        })
    }

    /// The customer says yes to a quote's offer, or to a supplement: the agreement, the signature and the job's state in one go.
    /// A quote is answered once; an older one not once a newer one was given.
    ///
    /// # Errors
    /// Where the link is unknown, superseded or answered, or the quote was given before its ground was kept.
    pub fn agree(&self, by: By<'_>, token: &str, yes: &Yes<'_>) -> Result<i64> {
        let id = self.read(|c| behind(c, token))?;
        self.agree_to(by, id, yes)
    }

    /// As [`Store::agree`], of a quote by its number.
    ///
    /// # Errors
    /// As there.
    pub fn agree_to(&self, by: By<'_>, quote: i64, yes: &Yes<'_>) -> Result<i64> {
        self.write(by, |c| {
            let q = open_quote(c, quote)?;
            if q.revoked && yes.how == SaidHow::Signed {
                return Err(StoreError::Refused("this link was closed; please call us".to_owned()));
            }
            let Some(made_from) = &q.made_from else {
                return Err(StoreError::Refused("this quote was given by an earlier program; please send a new quote".to_owned()));
            };
            let kind = if q.adds_to.is_some() { AgreementKind::Supplement } else { AgreementKind::Offer };
            let allowed = states::plainly(c, by, q.job, if kind == AgreementKind::Offer { Action::Accept } else { Action::Supplement });
            if yes.how == SaidHow::Signed {
                allowed.map_err(closed)?
            } else {
                allowed?
            };
            let plan = keep(c, yes.plan.0, yes.plan.1)?;
            let paper = yes.paper.map(|p| keep(c, "application/pdf", p)).transpose()?;
            sql::run(
                c,
                "UPDATE quotes SET chosen = ?2, signed_by = ?3, signature = ?4, signed_at = ?5 WHERE id = ?1",
                (q.id, yes.level, yes.name, yes.signature, by.at),
            )?;
            evidence::keep(c, q.id, yes.from, yes.total, paper.as_deref())?;
            let id = sql::insert(
                c,
                "INSERT INTO agreements (job, quote, kind, level, total, made_from, plan, paper, how, said_by, taken_by, at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
                (q.job, q.id, kind, yes.level, yes.total, made_from, plan, paper, yes.how, yes.name, yes.taken_by, by.at),
            )?;
            Ok(id)
        })
    }

    /// The customer takes none of the offers (the job becomes `Declined`), or says no to a supplement (what was agreed stands).
    ///
    /// # Errors
    /// Where the link is unknown, superseded or answered.
    pub fn decline(&self, by: By<'_>, token: &str, name: &str, signature: &str, from: CameFrom<'_>) -> Result<()> {
        self.write(by, |c| {
            let q = open_quote(c, behind(c, token)?)?;
            if q.revoked {
                return Err(StoreError::Refused("this link was closed; please call us".to_owned()));
            }
            states::plainly(c, by, q.job, if q.adds_to.is_none() { Action::Decline } else { Action::Supplement }).map_err(closed)?;
            sql::run(c, "UPDATE quotes SET signed_by = ?2, signature = ?3, signed_at = ?4 WHERE id = ?1", (q.id, name, signature, by.at))?;
            evidence::keep(c, q.id, from, "", None)
        })
    }

    /// Sets the level that the shop looks at until an offer is agreed.
    ///
    /// # Errors
    /// Where there is no such job, or an offer was agreed.
    pub fn look_at_level(&self, by: By<'_>, job: i64, level: &str) -> Result<()> {
        self.write(by, |c| {
            let agreed: bool = sql::one(c, "job", job, "SELECT EXISTS (SELECT 1 FROM agreements WHERE job = ?1)", [job], |r| r.get(0))?;
            if agreed {
                return Err(StoreError::Refused("the customer has taken an offer: its level is the job's".to_owned()));
            }
            sql::run_one(c, "job", job, "UPDATE jobs SET level = ?2 WHERE id = ?1", (job, level))
        })
    }

    /// The level that the shop looks at.
    ///
    /// # Errors
    /// Where there is no such job.
    pub fn level_of(&self, job: i64) -> Result<String> {
        self.read(|c| sql::one(c, "job", job, "SELECT level FROM jobs WHERE id = ?1", [job], |r| r.get(0)))
    }
}

/// Who answers through the link is the customer: the shop's own way to mend it is not theirs.
fn closed(e: StoreError) -> StoreError {
    match e {
        StoreError::Refused(_) => StoreError::Refused("this quote is closed; please call us, and we open it again".to_owned()),
        other => other,
    }
}

/// The number of the quote behind a link.
fn behind(c: &Connection, token: &str) -> Result<i64> {
    sql::one(c, "quote", "under this link", "SELECT id FROM quotes WHERE link_hash = ?1", [hash(token)], |r| r.get(0))
}

/// A quote, if it can still be answered.
fn open_quote(c: &Connection, id: i64) -> Result<SavedQuote> {
    let q = sql::one(c, "quote", id, &format!("SELECT {QUOTE} FROM quotes WHERE id = ?1"), [id], quote(None))?;
    let newest = "SELECT max(id) FROM quotes WHERE job = ?1 AND withdrawn = 0";
    let newest: Option<i64> = sql::one(c, "quote", q.id, newest, [q.job], |r| r.get(0))?;
    if newest.is_none_or(|n| n < q.id) {
        return Err(StoreError::Refused("this quote was taken back; please ask us which one holds".to_owned()));
    }
    if newest != Some(q.id) {
        return Err(StoreError::Refused("a newer quote was given since; please use its link".to_owned()));
    }
    if q.signed_at.is_some() {
        return Err(StoreError::Refused("this quote has been answered already".to_owned()));
    }
    Ok(q)
}
