//! Opening the record; one connection that writes, several that read.

use crate::error::{Result, StoreError};
use crate::key::Key;
use crate::sql;
use crate::{chain, journal, links, private};
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};
use rusqlite_migration::{M, Migrations};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// The schema, one step a file. A step that has landed is never changed.
const STEPS: &[M<'_>] = &[
    M::up(include_str!("../migrations/001_shop.sql")),
    M::up(include_str!("../migrations/002_board_indexes.sql")),
    M::up(include_str!("../migrations/003_dent_names.sql")),
    M::up(include_str!("../migrations/004_no_drafts.sql")),
    M::up(include_str!("../migrations/005_acceptance_checks.sql")),
    M::up(include_str!("../migrations/006_agreements.sql")),
    M::up(include_str!("../migrations/007_states_and_hand_back.sql")),
    M::up(include_str!("../migrations/008_sent_once.sql")),
    M::up(include_str!("../migrations/009_sign_in.sql")),
    M::up(include_str!("../migrations/020_versions.sql")),
    M::up(include_str!("../migrations/021_trust.sql")),
    M::up(include_str!("../migrations/022_links.sql")),
    M::up(include_str!("../migrations/023_plain_photos.sql")),
    M::up(include_str!("../migrations/024_second_factor.sql")),
    M::up(include_str!("../migrations/030_customers_page.sql")),
];

/// Pages in the log of changes at which a writer, for want of [`Store::tidy`], carries them into the database itself: 64 MB.
const LOG_PAGES: u32 = 16_384;

/// Readers kept open at most.
const IDLE_READERS: usize = 8;

/// Who writes, and when (Unix seconds, UTC). The store has no clock of its own.
#[derive(Clone, Copy, Debug)]
pub struct By<'a> {
    /// The person's sign-in name, or what did it ("demo", "customer").
    pub who: &'a str,
    /// When.
    pub at: i64,
}

/// The shop's record.
pub struct Store {
    folder: PathBuf,
    writer: Mutex<Connection>,
    readers: Mutex<Vec<Connection>>,
    tidier: Mutex<Option<Connection>>,
    noticed: Vec<String>,
    key: Option<Key>,
}

impl Store {
    /// Opens the record in a folder, making the folder and the record where there are none, and brings the
    /// schema up to date; a copy of what it was stays beside it. Folder and files are this account's alone. What does not look as
    /// this program left it is mended where it can be, and told ([`Store::noticed`]).
    ///
    /// # Errors
    /// Where the folder cannot be made, the file is no database of this program, or it is newer than this program.
    pub fn open(folder: &Path) -> Result<Self> {
        private::folder(folder)?;
        private::folder(&photo_folder(folder))?;
        let path = database(folder);
        if !path.exists() {
            private::new_file(&path)?;
        }
        let mut writer = Connection::open(&path)?;
        set_up(&writer)?;
        writer.pragma_update(None, "journal_mode", "WAL")?;
        writer.pragma_update(None, "wal_autocheckpoint", LOG_PAGES)?;
        // What is deleted or erased is overwritten.
        writer.pragma_update(None, "secure_delete", true)?;
        let was = schema_version(&writer)?;
        let mut noticed = Vec::new();
        if was == STEPS.len() {
            noticed.extend(journal::triggers_missing(&writer)?.map(|names| {
                format!("the guards of the journal were missing and are laid again ({names}): changes may have been made that the journal does not show")
            }));
            noticed.extend(chain::faults(&writer)?);
        } else if was > 0 && was < STEPS.len() {
            let copy = folder.join(format!("before-schema-{}.sqlite", STEPS.len()));
            if !copy.exists() {
                writer.execute("VACUUM INTO ?1", [copy.display().to_string()])?;
                private::restrict(&copy, 0o600);
            }
        }
        Migrations::from_slice(STEPS).to_latest(&mut writer)?;
        let key = Key::made(folder)?;
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if links::plain(&transaction)? {
            transaction.execute_batch("DROP TRIGGER IF EXISTS journal_quotes_update")?;
            links::hash_plain(&transaction, &key)?;
        }
        transaction.commit()?;
        journal::lay_triggers(&writer)?;
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        chain::seal(&transaction)?;
        transaction.commit()?;
        private::restrict_record(folder);
        Ok(Self::of(folder, writer, noticed, Some(key)))
    }

    /// Opens the record only to read it: nothing of it is changed, its schema neither.
    ///
    /// # Errors
    /// Where there is no record, or it is newer than this program.
    pub fn open_to_read(folder: &Path) -> Result<Self> {
        let path = database(folder);
        let reader = Connection::open_with_flags(&path, OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
        reader.busy_timeout(Duration::from_secs(5))?;
        known(&reader, &path)?;
        Ok(Self::of(folder, reader, Vec::new(), Key::of(folder)?))
    }

    fn of(folder: &Path, writer: Connection, noticed: Vec<String>, key: Option<Key>) -> Self {
        let (writer, folder) = (Mutex::new(writer), folder.to_owned());
        Self { folder, writer, readers: Mutex::new(Vec::new()), tidier: Mutex::new(None), noticed, key }
    }

    /// What did not look as this program left it when the record was opened; empty where all did.
    pub fn noticed(&self) -> &[String] {
        &self.noticed
    }

    /// The key beside the record; none where it is only read and there is none.
    pub(crate) fn key(&self) -> Option<&Key> {
        self.key.as_ref()
    }

    /// The folder in which the record lies.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Reads in one consistent view.
    pub(crate) fn read<T>(&self, f: impl FnOnce(&Connection) -> Result<T>) -> Result<T> {
        let idle = lock(&self.readers).pop();
        let connection = match idle {
            Some(c) => c,
            None => {
                let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
                let c = Connection::open_with_flags(database(&self.folder), flags)?;
                c.busy_timeout(Duration::from_secs(5))?;
                c
            }
        };
        let out = {
            let view = connection.unchecked_transaction()?;
            f(&view)
        };
        let mut readers = lock(&self.readers);
        if readers.len() < IDLE_READERS {
            readers.push(connection);
        }
        out
    }

    /// Writes in one transaction that the journal signs with `by`. An error rolls everything back.
    pub(crate) fn write<T>(&self, by: By<'_>, f: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let mut connection = lock(&self.writer);
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        transaction.prepare_cached("UPDATE author SET who = ?1, at = ?2")?.execute((by.who, by.at))?;
        let out = f(&transaction)?;
        chain::seal(&transaction)?;
        transaction.commit()?;
        Ok(out)
    }

    /// Carries what stands in the log of changes into the database file, on a connection of its own: neither writers nor
    /// readers wait for it. Whoever serves the record calls it every few seconds, so that no save has to do it.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn tidy(&self) -> Result<()> {
        let mut tidier = lock(&self.tidier);
        if tidier.is_none() {
            let connection = Connection::open(database(&self.folder))?;
            set_up(&connection)?;
            *tidier = Some(connection);
        }
        if let Some(connection) = tidier.as_ref() {
            connection.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(()))?;
        }
        Ok(())
    }

    /// Fills a new record with much at once: the disk is waited for at the end, not at every change. Whatever crashes on
    /// the way leaves a record that must be thrown away, so this is for demos and imports into an empty folder only.
    ///
    /// # Errors
    /// What the work returns; where the database fails.
    pub fn filling<T, E: From<StoreError>>(&self, work: impl FnOnce() -> std::result::Result<T, E>) -> std::result::Result<T, E> {
        let set = |mode: &str| lock(&self.writer).pragma_update(None, "synchronous", mode).map_err(StoreError::from);
        set("OFF")?;
        let done = work();
        set("FULL")?;
        lock(&self.writer).query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(StoreError::from)?;
        done
    }

    /// Whether SQLite finds the file sound: the lines of its integrity check and of the foreign-key check; empty where all is well.
    ///
    /// # Errors
    /// Where the check cannot run.
    pub fn faults(&self) -> Result<Vec<String>> {
        self.read(faults)
    }
}

/// The lines of SQLite's integrity check and of its foreign-key check.
pub(crate) fn faults(c: &Connection) -> Result<Vec<String>> {
    let mut faults: Vec<String> = c
        .prepare("PRAGMA integrity_check")?
        .query_map([], |r| r.get::<_, String>(0))?
        .collect::<rusqlite::Result<Vec<_>>>()?
        .into_iter()
        .filter(|line| line != "ok")
        .collect();
    let dangling = c
        .prepare("PRAGMA foreign_key_check")?
        .query_map([], |r| Ok(format!("{} points at a missing {}", r.get::<_, String>(0)?, r.get::<_, String>(2)?)))?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    faults.extend(dangling);
    Ok(faults)
}

fn schema_version(c: &Connection) -> Result<usize> {
    let version: i64 = c.query_row("PRAGMA user_version", [], |r| r.get(0))?;
    Ok(usize::try_from(version).unwrap_or(usize::MAX))
}

/// Whether a database is a shop's record that this program knows.
pub(crate) fn known(c: &Connection, path: &Path) -> Result<()> {
    let garbled = |why: &str| StoreError::Garbled { what: path.display().to_string(), why: why.to_owned() };
    let version = schema_version(c).map_err(|e| garbled(&e.to_string()))?;
    let tables = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name IN ('journal', 'people', 'jobs', 'customers')";
    let tables: i64 = sql::one(c, "table", "", tables, [], |r| r.get(0)).map_err(|e| garbled(&e.to_string()))?;
    match version {
        _ if tables < 4 => Err(garbled("it is no shop's record")),
        0 => Err(garbled("it is no shop's record")),
        v if v > STEPS.len() => Err(garbled("a newer program wrote it; use that one")),
        _ => Ok(()),
    }
}

/// Where the database file lies in the record's folder.
pub(crate) fn database(folder: &Path) -> PathBuf {
    folder.join("shop.sqlite")
}

/// Where the photos lie in the record's folder.
pub(crate) fn photo_folder(folder: &Path) -> PathBuf {
    folder.join("photos")
}

fn set_up(c: &Connection) -> Result<()> {
    c.busy_timeout(Duration::from_secs(5))?;
    c.pragma_update(None, "foreign_keys", true)?;
    // A change that was acknowledged survives a crash of the machine too, at the price of one fsync a change.
    c.pragma_update(None, "synchronous", "FULL")?;
    Ok(())
}

/// A lock whose holder panicked still guards a sound connection: SQLite rolled its transaction back.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
