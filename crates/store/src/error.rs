//! What can go wrong with the record.

use thiserror::Error;

/// An error of the store. Nothing was written when one is returned.
#[derive(Debug, Error)]
pub enum StoreError {
    /// The database refused or failed.
    #[error("the shop's database: {0}")]
    Sql(#[source] rusqlite::Error),
    /// The record itself is damaged: nothing was changed.
    #[error(
        "the shop's record in {folder} is damaged ({why}). Leave it as it is. To save what can be saved into an empty folder: trueround restore --salvage {folder} --data NEWFOLDER. A backup may hold more: trueround restore BACKUP --data NEWFOLDER"
    )]
    Damaged {
        /// The record's folder.
        folder: String,
        /// What SQLite said.
        why: String,
    },
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

impl From<rusqlite::Error> for StoreError {
    /// What hangs on a record that is not there was asked for wrongly: the database is sound.
    fn from(e: rusqlite::Error) -> Self {
        match e.sqlite_error() {
            Some(f) if f.extended_code == rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY => {
                Self::Missing { what: "record", key: "that this belongs to".to_owned() }
            }
            _ => Self::Sql(e),
        }
    }
}

impl StoreError {
    pub(crate) fn file(path: &std::path::Path, source: std::io::Error) -> Self {
        Self::File { path: path.display().to_string(), source }
    }

    pub(crate) fn damaged(folder: &std::path::Path, why: &str) -> Self {
        Self::Damaged { folder: folder.display().to_string(), why: why.to_owned() }
    }

    /// What SQLite says of a file that it cannot read is told of the record, with what to do.
    pub(crate) fn of_record(self, folder: &std::path::Path) -> Self {
        use rusqlite::Error::{FromSqlConversionFailure, IntegralValueOutOfRange, InvalidColumnType};
        use rusqlite::ErrorCode::{DatabaseCorrupt, NotADatabase};
        match &self {
            // A value that its table never takes.
            Self::Sql(e @ (FromSqlConversionFailure(..) | IntegralValueOutOfRange(..) | InvalidColumnType(..))) => {
                Self::damaged(folder, &e.to_string())
            }
            Self::Sql(e) if matches!(e.sqlite_error_code(), Some(DatabaseCorrupt | NotADatabase)) => Self::damaged(folder, &e.to_string()),
            _ => self,
        }
    }
}

/// Result of a call to the store.
pub type Result<T> = std::result::Result<T, StoreError>;
