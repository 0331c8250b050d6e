//! Versions of what two tablets may change at once: whoever saves says which version was seen.

use crate::error::{Result, StoreError};
use crate::sql;
use rusqlite::Connection;

/// What carries a version besides surveys and dents.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Kept {
    Customer,
    Instrument,
    Job,
    Person,
    Setting,
    Contract,
}

impl Kept {
    /// Its name in errors, and how its version is asked for.
    fn named(self) -> (&'static str, &'static str) {
        match self {
            Self::Customer => ("customer", "SELECT version FROM customers WHERE id = ?1"),
            Self::Instrument => ("instrument", "SELECT version FROM instruments WHERE id = ?1"),
            Self::Job => ("job", "SELECT version FROM jobs WHERE id = ?1"),
            Self::Person => ("person", "SELECT version FROM people WHERE id = ?1"),
            Self::Setting => ("setting", "SELECT version FROM settings WHERE key = ?1"),
            Self::Contract => ("contract", "SELECT version FROM contracts WHERE id = ?1"),
        }
    }
}

/// That nobody saved since a version was seen; what is not there has version 0.
pub(crate) fn check(c: &Connection, kept: Kept, key: impl rusqlite::ToSql + ToString, from: i64) -> Result<()> {
    let (what, ask) = kept.named();
    let now: i64 = match sql::maybe(c, ask, [&key], |r| r.get(0))? {
        Some(now) => now,
        None if matches!(kept, Kept::Setting) => 0,
        None => return Err(StoreError::Missing { what, key: key.to_string() }),
    };
    if now == from { Ok(()) } else { Err(StoreError::Conflict { what: format!("this {what}"), version: now, body: None }) }
}
