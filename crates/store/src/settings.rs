//! The shop's settings: its own files (rack, shop) and small values, by key.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::sql;
use crate::versions::{self, Kept};
use rusqlite::Connection;

impl Store {
    /// A setting, where it was set.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn setting(&self, key: &str) -> Result<Option<String>> {
        self.read(|c| sql::maybe(c, "SELECT value FROM settings WHERE key = ?1", [key], |r| r.get(0)))
    }

    /// A setting with its version: 0 where it was never set.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn setting_seen(&self, key: &str) -> Result<(Option<String>, i64)> {
        let found =
            self.read(|c| sql::maybe(c, "SELECT value, version FROM settings WHERE key = ?1", [key], |r| Ok((r.get(0)?, r.get(1)?))))?;
        Ok(found.map_or((None, 0), |(value, version): (String, i64)| (Some(value), version)))
    }

    /// Sets a setting that a person saw in a version (0: not set yet).
    ///
    /// # Errors
    /// [`crate::StoreError::Conflict`] where somebody set it in between.
    pub fn change_setting(&self, by: By<'_>, key: &str, from: i64, value: &str) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Setting, key, from)?;
            set(c, key, value)
        })
    }

    /// Sets a setting, whatever it was.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn set_setting(&self, by: By<'_>, key: &str, value: &str) -> Result<()> {
        self.write(by, |c| set(c, key, value))
    }
}

fn set(c: &Connection, key: &str, value: &str) -> Result<()> {
    let sql =
        "INSERT INTO settings (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value, version = version + 1";
    sql::run(c, sql, (key, value)).map(|_| ())
}
