//! The shop's settings: its own files (rack, shop) and small values, by key.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::sql;

impl Store {
    /// A setting, where it was set.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn setting(&self, key: &str) -> Result<Option<String>> {
        self.read(|c| sql::maybe(c, "SELECT value FROM settings WHERE key = ?1", [key], |r| r.get(0)))
    }

    /// Sets a setting.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn set_setting(&self, by: By<'_>, key: &str, value: &str) -> Result<()> {
        self.write(by, |c| {
            sql::run(
                c,
                "INSERT INTO settings (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                (key, value),
            )
            .map(|_| ())
        })
    }
}
