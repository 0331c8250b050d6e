//! What happens at the door: failures to sign in, tablets that are known, and a log of both.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::people::hash;
use crate::sql;
use serde::Serialize;

/// Failures that nobody is held back for: a person mistypes.
pub const FREE_FAILURES: i64 = 5;
/// Longest that a name is held back, seconds.
const LONGEST_WAIT_S: i64 = 15 * 60;
/// Names whose failures are kept at most; the oldest make room.
const MOST_NAMES: i64 = 10_000;
/// Failures this old are forgotten, seconds.
const FORGOTTEN_AFTER_S: i64 = 24 * 3600;
/// A tablet that nobody has signed in on for this long is known no longer, seconds.
const TABLET_FORGOTTEN_AFTER_S: i64 = 180 * 24 * 3600;

/// How long a name must wait after its latest failure, seconds: nothing for the first few, then 5 s, doubled with each.
pub fn wait_s(failures: i64) -> i64 {
    match failures - FREE_FAILURES {
        over if over < 0 => 0,
        over => 5_i64.saturating_mul(1 << over.min(20)).min(LONGEST_WAIT_S),
    }
}

/// A line of the security log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AtTheDoor {
    /// When, Unix seconds.
    pub at: i64,
    /// `signed_in`, `refused`, `held_back`, `signed_out`, `password_set`, `second_factor_on`, `second_factor_off`.
    pub what: String,
    /// The sign-in name, as it was typed.
    pub login: String,
    /// Network address.
    pub address: String,
    /// How many failures of that name in a row.
    pub count: i64,
}

impl Store {
    /// (Names are kept as their hashes: nothing of what was typed stands in the record.) Seconds that a sign-in name must still wait after its failures; zero where it may try.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn held_back_s(&self, login: &str, now: i64) -> Result<i64> {
        let found = self.read(|c| {
            sql::maybe(c, "SELECT failures, last_at FROM sign_in_failures WHERE name_hash = ?1", [hash(login)], |r| {
                Ok((r.get::<_, i64>(0)?, r.get::<_, i64>(1)?))
            })
        })?;
        let Some((failures, at)) = found else { return Ok(0) };
        if at > now {
            // The clock was set back. The wait begins now: else the name would wait until the clock is there again.
            self.write(By { who: "sign-in", at: now }, |c| {
                sql::run(c, "UPDATE sign_in_failures SET last_at = ?2 WHERE name_hash = ?1 AND last_at > ?2", (hash(login), now))
            })?;
        }
        Ok((wait_s(failures) - (now - at).max(0)).max(0))
    }

    /// One more failure of a name. Of many in a row the log keeps the first, and then each time they have doubled.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn sign_in_failed(&self, at: i64, login: &str, address: &str) -> Result<()> {
        self.write(By { who: "sign-in", at }, |c| {
            sql::run(c, "DELETE FROM sign_in_failures WHERE last_at < ?1", [at - FORGOTTEN_AFTER_S])?;
            sql::run(
                c,
                "INSERT INTO sign_in_failures (name_hash, failures, last_at) VALUES (?1, 1, ?2)
                 ON CONFLICT (name_hash) DO UPDATE SET failures = failures + 1, last_at = ?2",
                (hash(login), at),
            )?;
            sql::run(
                c,
                "DELETE FROM sign_in_failures WHERE id IN (SELECT id FROM sign_in_failures ORDER BY last_at DESC LIMIT -1 OFFSET ?1)",
                [MOST_NAMES],
            )?;
            let failures: i64 =
                sql::one(c, "failures", "", "SELECT failures FROM sign_in_failures WHERE name_hash = ?1", [hash(login)], |r| r.get(0))?;
            if failures.count_ones() == 1 {
                let what = if failures >= FREE_FAILURES { "held_back" } else { "refused" };
                log(c, at, what, login, address, failures)?;
            }
            Ok(())
        })
    }

    /// Forgets the failures of a name, as they are counted.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn forget_failures(&self, by: By<'_>, login: &str) -> Result<()> {
        self.write(by, |c| sql::run(c, "DELETE FROM sign_in_failures WHERE name_hash = ?1", [hash(login)]).map(|_| ()))
    }

    /// A person has signed in on a tablet that is known from now on: the failures of the name, as they are counted, are forgotten.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn signed_in(&self, by: By<'_>, person: i64, login: &str, address: &str, tablet: &str) -> Result<()> {
        self.write(by, |c| {
            sql::run(c, "DELETE FROM sign_in_failures WHERE name_hash = ?1", [hash(login)])?;
            sql::run(c, "DELETE FROM known_tablets WHERE seen_at < ?1", [by.at - TABLET_FORGOTTEN_AFTER_S])?;
            sql::run(
                c,
                "INSERT INTO known_tablets (token_hash, person, made_at, seen_at) VALUES (?1, ?2, ?3, ?3)
                 ON CONFLICT (token_hash) DO UPDATE SET person = ?2, seen_at = ?3",
                (hash(tablet), person, by.at),
            )?;
            log(c, by.at, "signed_in", by.who, address, 1)
        })
    }

    /// Whether a person has signed in on the tablet of this token before.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn tablet_is_known(&self, tablet: &str, person: i64) -> Result<bool> {
        self.read(|c| {
            let sql = "SELECT EXISTS (SELECT 1 FROM known_tablets WHERE token_hash = ?1 AND person = ?2)";
            sql::one(c, "tablet", "", sql, (hash(tablet), person), |r| r.get(0))
        })
    }

    /// Notes something at the door that is no try to sign in.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn note_at_the_door(&self, by: By<'_>, what: &str, login: &str, address: &str) -> Result<()> {
        self.write(by, |c| log(c, by.at, what, login, address, 1))
    }

    /// The latest lines of the security log, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn security_log(&self, most: u32) -> Result<Vec<AtTheDoor>> {
        self.read(|c| {
            sql::all(c, "SELECT at, what, login, address, count FROM security_log ORDER BY id DESC LIMIT ?1", [most], |r| {
                Ok(AtTheDoor { at: r.get(0)?, what: r.get(1)?, login: r.get(2)?, address: r.get(3)?, count: r.get(4)? })
            })
        })
    }
}

fn log(c: &rusqlite::Connection, at: i64, what: &str, login: &str, address: &str, count: i64) -> Result<()> {
    let sql = "INSERT INTO security_log (at, what, login, address, count) VALUES (?1, ?2, ?3, ?4, ?5)";
    sql::run(c, sql, (at, what, login, address, count)).map(|_| ())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn a_name_waits_longer_with_each_failure_and_no_longer_than_the_rule() {
        assert_eq!([0, 4, 5, 6, 8, 12, 13, 70, i64::MAX].map(wait_s), [0, 0, 5, 10, 40, 640, 900, 900, 900]);
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        for _ in 0..6 {
            store.sign_in_failed(1000, "owner", "10.0.0.9").unwrap();
        }
        assert_eq!(store.held_back_s("owner", 1000).unwrap(), 10);
        assert_eq!(store.held_back_s("owner", 1007).unwrap(), 3);
        assert_eq!(store.held_back_s("owner", 1010).unwrap(), 0);
        // The clock set back: no longer than ten seconds.
        assert_eq!(store.held_back_s("owner", 10).unwrap(), 10);
        assert_eq!(store.held_back_s("owner", 17).unwrap(), 3);
        assert_eq!(store.held_back_s("owner", 20).unwrap(), 0);
        assert_eq!(store.held_back_s("somebody else", 1000).unwrap(), 0);
        // Kept over a restart, and forgotten after a day.
        drop(store);
        let store = Store::open(dir.path()).unwrap();
        assert_eq!(store.held_back_s("owner", 10).unwrap(), 10);
        store.sign_in_failed(1000 + 2 * FORGOTTEN_AFTER_S, "other", "10.0.0.9").unwrap();
        assert_eq!(store.held_back_s("owner", 1000).unwrap(), 0);
        let log: Vec<(String, i64)> = store.security_log(10).unwrap().into_iter().map(|l| (l.what, l.count)).collect();
        assert_eq!(log, [("refused".to_owned(), 1), ("refused".to_owned(), 4), ("refused".to_owned(), 2), ("refused".to_owned(), 1)]);
    }

    #[test]
    fn names_are_bounded_and_none_is_kept_as_typed() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        store
            .write(By { who: "t", at: 1 }, |c| {
                for i in 0..MOST_NAMES {
                    sql::run(c, "INSERT INTO sign_in_failures (name_hash, failures, last_at) VALUES (?1, 9, 5)", [i.to_string()])?;
                }
                Ok(())
            })
            .unwrap();
        store.sign_in_failed(6, "secret-name", "10.0.0.9").unwrap();
        let (rows, typed): (i64, i64) = store
            .read(|c| {
                sql::one(c, "rows", "", "SELECT count(*), sum(name_hash LIKE '%secret%') FROM sign_in_failures", [], |r| {
                    Ok((r.get(0)?, r.get(1)?))
                })
            })
            .unwrap();
        assert_eq!((rows, typed), (MOST_NAMES, 0));
        assert_eq!(store.held_back_s("secret-name", 6).unwrap(), 0);
    }
}
