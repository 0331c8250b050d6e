//! What a tablet has typed and not yet saved.

use crate::connection::{By, Store};
use crate::error::Result;
use crate::sql;

impl Store {
    /// A person's draft at a place (a page's path), where there is one.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn draft(&self, person: i64, place: &str) -> Result<Option<String>> {
        self.read(|c| sql::maybe(c, "SELECT body FROM drafts WHERE person = ?1 AND place = ?2", (person, place), |r| r.get(0)))
    }

    /// Keeps a draft.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn keep_draft(&self, by: By<'_>, person: i64, place: &str, body: &str) -> Result<()> {
        self.write(by, |c| {
            sql::run(
                c,
                "INSERT INTO drafts (person, place, body, at) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT (person, place) DO UPDATE SET body = excluded.body, at = excluded.at",
                (person, place, body, by.at),
            )
            .map(|_| ())
        })
    }

    /// Drops a draft, once what it held is saved.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn drop_draft(&self, by: By<'_>, person: i64, place: &str) -> Result<()> {
        self.write(by, |c| sql::run(c, "DELETE FROM drafts WHERE person = ?1 AND place = ?2", (person, place)).map(|_| ()))
    }
}
