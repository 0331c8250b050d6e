//! What can go wrong with the record.

use thiserror::Error;

/// An error of the store. Nothing was written when one is returned.
#[derive(Debug, Error)]
pub enum StoreError {
    /// The database refused or failed.
    #[error("the shop's database: {0}")]
    Sql(#[from] rusqlite::Error),
    /// The schema could not be brought up to date.
    #[error("the shop's database could not be brought up to date: {0}")]
    Migration(#[from] rusqlite_migration::Error),
    /// A file beside the database.
    #[error("{path}: {source}")]
    File {
        /// Which file.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A record that is not there.
    #[error("there is no {what} {key}")]
    Missing {
        /// What kind of record.
        what: &'static str,
        /// Which.
        key: String,
    },
    /// Somebody else saved in between; what they saved is returned.
    #[error("{what} was changed by somebody else in between (version {version})")]
    Conflict {
        /// What.
        what: String,
        /// The version that is saved now.
        version: i64,
        /// What is saved now, JSON; none where it was deleted.
        body: Option<String>,
    },
    /// Something that the record's rules forbid.
    #[error("{0}")]
    Refused(String),
    /// A record that cannot be read back.
    #[error("{what} cannot be read: {why}")]
    Garbled {
        /// Which record.
        what: String,
        /// Why not.
        why: String,
    },
}

impl StoreError {
    pub(crate) fn file(path: &std::path::Path, source: std::io::Error) -> Self {
        Self::File { path: path.display().to_string(), source }
    }
}

/// Result of a call to the store.
pub type Result<T> = std::result::Result<T, StoreError>;
