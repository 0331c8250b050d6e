//! Customers' links. A link's secret part opens one quote; the record keeps its hash to find the quote by, and the part itself sealed
//! under the key beside the record, so that the shop can show the link again and a backup cannot.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::key::Key;
use crate::offers::{QUOTE, SavedQuote, quote};
use crate::people::hash;
use crate::sql;
use rusqlite::Connection;

/// What a link leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkState {
    /// The quote that holds.
    Holds,
    /// A quote over which a newer one was given.
    Superseded,
    /// A quote that was taken back.
    Withdrawn,
    /// Nothing more: the shop closed the link.
    Revoked,
}

/// A link's secret part sealed, where there is a key.
pub(crate) fn sealed(key: Option<&Key>, token: &str) -> Result<Option<String>> {
    key.map(|k| k.seal(&used_for(&hash(token)), token.as_bytes())).transpose()
}

/// A link's secret part, where the key opens it and it is the one that the hash is of.
pub(crate) fn opened(key: Option<&Key>, link_hash: &str, sealed: Option<&str>) -> Option<String> {
    let token = String::from_utf8(key?.open(&used_for(link_hash), sealed?)?).ok()?;
    (hash(&token) == link_hash).then_some(token)
}

fn used_for(link_hash: &str) -> String {
    format!("link {link_hash}")
}

/// A hash has 64 digits; the links of an earlier program, which stand in plain, had other characters too, and 43 of them.
const PLAIN: &str = "length(link_hash) <> 64 OR link_hash GLOB '*[^0-9a-f]*'";

/// Whether a link stands in plain.
pub(crate) fn plain(c: &Connection) -> Result<bool> {
    sql::one(c, "quotes", "", &format!("SELECT EXISTS (SELECT 1 FROM quotes WHERE {PLAIN})"), [], |r| r.get(0))
}

/// Hashes and seals links that stand in plain. They go on to open what they opened.
pub(crate) fn hash_plain(c: &Connection, key: &Key) -> Result<()> {
    let plain: Vec<(i64, String)> =
        sql::all(c, &format!("SELECT id, link_hash FROM quotes WHERE {PLAIN}"), [], |r| Ok((r.get(0)?, r.get(1)?)))?;
    for (id, token) in plain {
        let sql = "UPDATE quotes SET link_hash = ?2, link_sealed = ?3 WHERE id = ?1";
        sql::run(c, sql, (id, hash(&token), sealed(Some(key), &token)?))?;
    }
    Ok(())
}

impl Store {
    /// The quote behind a customer's link.
    ///
    /// # Errors
    /// Where there is none.
    pub fn quote_by_token(&self, token: &str) -> Result<SavedQuote> {
        let found = self.read(|c| {
            let sql = format!("SELECT {QUOTE} FROM quotes WHERE link_hash = ?1");
            sql::one(c, "quote", "under this link", &sql, [hash(token)], quote(None))
        })?;
        Ok(SavedQuote { token: Some(token.to_owned()), ..found })
    }

    /// What the link of a quote leads to.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn link_state(&self, q: &SavedQuote) -> Result<LinkState> {
        if q.revoked {
            return Ok(LinkState::Revoked);
        }
        let (withdrawn, newest): (bool, Option<i64>) = self.read(|c| {
            let sql =
                "SELECT withdrawn, (SELECT max(id) FROM quotes n WHERE n.job = q.job AND n.withdrawn = 0) FROM quotes q WHERE id = ?1";
            sql::one(c, "quote", q.id, sql, [q.id], |r| Ok((r.get(0)?, r.get(1)?)))
        })?;
        Ok(match newest {
            _ if withdrawn => LinkState::Withdrawn,
            // What was answered stays what it is, whatever was asked since.
            Some(newest) if newest != q.id && q.signed_at.is_none() => LinkState::Superseded,
            _ => LinkState::Holds,
        })
    }

    /// Closes the link of a quote: it opens nothing any more. The quote itself holds, and can be answered by word of mouth.
    ///
    /// # Errors
    /// Where there is no such quote of the job.
    pub fn revoke_link(&self, by: By<'_>, job: i64, id: i64) -> Result<()> {
        self.write(by, |c| sql::run_one(c, "quote", id, "UPDATE quotes SET link_revoked = 1 WHERE id = ?1 AND job = ?2", (id, job)))
    }

    /// Makes a new link for a quote, under a secret part that the caller made; the one before opens nothing any more.
    ///
    /// # Errors
    /// Where there is no such quote of the job, or it was taken back.
    pub fn renew_link(&self, by: By<'_>, job: i64, id: i64, token: &str) -> Result<()> {
        let kept = sealed(self.key(), token)?;
        self.write(by, |c| {
            let withdrawn = "SELECT withdrawn FROM quotes WHERE id = ?1 AND job = ?2";
            if sql::one(c, "quote", id, withdrawn, (id, job), |r| r.get::<_, bool>(0))? {
                return Err(StoreError::Refused("this quote was taken back: it needs no link".to_owned()));
            }
            let sql = "UPDATE quotes SET link_hash = ?2, link_sealed = ?3, link_revoked = 0, links_made = links_made + 1 WHERE id = ?1";
            sql::run_one(c, "quote", id, sql, (id, hash(token), kept))
        })
    }
}
