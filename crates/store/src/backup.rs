//! Backup of the whole record into one file while the shop runs: checked as it is written, and again when it stands.

use crate::agreements::hash_of;
use crate::connection::{Store, database, faults, photo_folder};
use crate::error::{Result, StoreError};
use crate::leftovers::{self, Work, unfinished};
use crate::photos::is_hash;
use crate::{chain, private, seal, sql};
use rusqlite::Connection;
use rusqlite::backup::Backup;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufReader, Read, Seek, Write};
use std::path::Path;
use std::time::Duration;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// What is no record of the shop's but who is signed in where, and with what: it does not come alive again with a backup. Which photos
/// were made plain is looked at again: the files may come from anywhere.
pub(crate) const LEFT_OUT: [&str; 6] =
    ["sessions", "known_tablets", "sign_in_failures", "second_factors", "recovery_codes", "plain_photos"];

/// The file in a backup that says what is in it.
pub(crate) const CONTENTS: &str = "contents.json";
/// The note beside the record of when it was saved last.
pub(crate) const LAST: &str = "last-backup.json";

/// What a backup holds, and what it does not.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Saved {
    /// Photos in it, each with the hash that it is named by.
    pub photos: usize,
    /// What is damaged or gone, in words; empty where the backup holds the whole record.
    pub missing: Vec<String>,
    /// The journal's last line and its hash.
    pub journal_head: (i64, String),
}

/// When the record was saved last.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LastBackup {
    /// Unix seconds.
    pub at: i64,
    /// Into which file.
    pub to: String,
    /// Whether it holds the whole record.
    pub whole: bool,
}

impl Store {
    /// Writes a backup: the database as it is at one moment, and every photo. The file appears whole or not at all, for this
    /// account alone; sealed by a passphrase where one is given. What is damaged is named in what is returned, and in the file.
    ///
    /// # Errors
    /// Where the disk or the database fails, or what was written does not read back.
    pub fn backup(&self, to: &Path, passphrase: Option<&str>) -> Result<Saved> {
        let fail = |e: std::io::Error| StoreError::file(to, e);
        // Nothing of the record lies open anywhere but beside the record itself.
        let work = Work::for_backup(self.folder())?;
        let copy = work.path().join("shop.sqlite");
        private::new_file(&copy)?;
        let mut saved = self.copy_database(&copy)?;
        let mut zip = ZipWriter::new(private::new_file(&work.path().join("backup.zip"))?);
        let squeezed = SimpleFileOptions::default().large_file(true).unix_permissions(0o600);
        let stored = squeezed.compression_method(zip::CompressionMethod::Stored);
        self.add_photos(&copy, &mut zip, stored, &mut saved)?;
        zip.start_file("shop.sqlite", squeezed).map_err(|e| fail(e.into()))?;
        std::io::copy(&mut File::open(&copy).map_err(fail)?, &mut zip).map_err(fail)?;
        zip.start_file(CONTENTS, squeezed).map_err(|e| fail(e.into()))?;
        serde_json::to_writer_pretty(&mut zip, &saved).map_err(|e| fail(e.into()))?;
        let mut plain = zip.finish().map_err(|e| fail(e.into()))?;
        reads_back(&mut plain).map_err(fail)?;
        plain.rewind().map_err(fail)?;
        put(&mut plain, to, passphrase).map_err(fail)?;
        Ok(saved)
    }

    /// Copies the database without the sessions; what its checks say goes into the list of what is missing.
    fn copy_database(&self, copy: &Path) -> Result<Saved> {
        let mut target = Connection::open(copy)?;
        self.read(|c| {
            Backup::new(c, &mut target)?.run_to_completion(1024, Duration::from_millis(1), None)?;
            Ok(())
        })?;
        target.pragma_update(None, "journal_mode", "DELETE")?;
        let mut saved = Saved::default();
        match faults(&target) {
            Ok(found) => saved.missing.extend(found.into_iter().take(20).map(|f| format!("the database is damaged: {f}"))),
            Err(e) => saved.missing.push(format!("the database is damaged: {e}")),
        }
        for table in LEFT_OUT {
            let there = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = ?1";
            if sql::one(&target, "table", "", there, [table], |r| r.get::<_, i64>(0)).is_ok_and(|n| n > 0)
                && let Err(e) = target.execute(&format!("DELETE FROM {table}"), [])
            {
                saved.missing.push(format!("who is signed in could not be left out: {e}"));
            }
        }
        // So that nothing deleted lies in the file's free pages; a damaged one cannot be packed anew.
        if saved.missing.is_empty() {
            target.execute("VACUUM", [])?;
        }
        let chained = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'journal_chain'";
        if sql::one(&target, "table", "", chained, [], |r| r.get::<_, i64>(0)).is_ok_and(|n| n > 0) {
            saved.missing.extend(chain::faults(&target).unwrap_or_default());
            let head = "SELECT id, line FROM journal_chain ORDER BY id DESC LIMIT 1";
            saved.journal_head = sql::maybe(&target, head, [], |r| Ok((r.get(0)?, r.get(1)?))).ok().flatten().unwrap_or_default();
        }
        Ok(saved)
    }

    fn add_photos(&self, copy: &Path, zip: &mut ZipWriter<File>, options: SimpleFileOptions, saved: &mut Saved) -> Result<()> {
        let named = Connection::open(copy)?;
        let sql = "SELECT p.hash, min('photo ' || p.id || ' of job ' || p.job || coalesce(', dent ' || p.dent, '')) FROM photos p GROUP BY p.hash";
        let mut wanted: BTreeMap<String, String> = match sql::all(&named, sql, [], |r| Ok((r.get(0)?, r.get(1)?))) {
            Ok(rows) => rows.into_iter().collect(),
            Err(e) => {
                saved.missing.push(format!("which photos there are cannot be read: {e}"));
                BTreeMap::new()
            }
        };
        let photos = photo_folder(self.folder());
        let mut files: Vec<String> = std::fs::read_dir(&photos)
            .map_err(|e| StoreError::file(&photos, e))?
            .filter_map(|e| e.ok().and_then(|e| e.file_name().into_string().ok()))
            .filter(|name| is_hash(name))
            .collect();
        files.sort();
        for hash in files {
            let what = wanted.remove(&hash).unwrap_or_else(|| format!("a photo that no job shows ({hash})"));
            match std::fs::read(photos.join(&hash)) {
                Ok(bytes) if hash_of(&bytes) == hash => {
                    let fail = |e: std::io::Error| StoreError::file(&photos.join(&hash), e);
                    zip.start_file(format!("photos/{hash}"), options).map_err(|e| fail(e.into()))?;
                    zip.write_all(&bytes).map_err(fail)?;
                    saved.photos += 1;
                }
                Ok(_) => saved.missing.push(format!("{what} is damaged on the disk: its file is not what was sent")),
                Err(e) => saved.missing.push(format!("{what} cannot be read: {e}")),
            }
        }
        saved.missing.extend(wanted.into_values().map(|what| format!("{what} is gone from the disk")));
        Ok(())
    }

    /// Notes that the record was saved.
    ///
    /// # Errors
    /// Where the disk fails.
    pub fn note_backup(&self, last: &LastBackup) -> Result<()> {
        let path = self.folder().join(LAST);
        let fail = |e: std::io::Error| StoreError::file(&path, e);
        let file = unfinished(self.folder()).map_err(fail)?;
        serde_json::to_writer(&file, last).map_err(|e| fail(e.into()))?;
        file.as_file().sync_all().map_err(fail)?;
        file.persist(&path).map_err(|e| fail(e.error))?;
        Ok(())
    }

    /// When the record was saved last, as far as is known.
    pub fn last_backup(&self) -> Option<LastBackup> {
        serde_json::from_slice(&std::fs::read(self.folder().join(LAST)).ok()?).ok()
    }

    /// Where the record's database lies, for who asks the disk about it.
    pub fn database_file(&self) -> std::path::PathBuf {
        database(self.folder())
    }
}

/// Whether every entry of a backup reads back with its checksum.
fn reads_back(zip: &mut File) -> std::io::Result<()> {
    let mut zip = ZipArchive::new(zip)?;
    for i in 0..zip.len() {
        std::io::copy(&mut zip.by_index(i)?, &mut std::io::sink())?;
    }
    Ok(())
}

/// Puts what was written where it belongs, sealed where there is a passphrase; it is read again before it takes its name.
fn put(plain: &mut File, to: &Path, passphrase: Option<&str>) -> std::io::Result<()> {
    let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    leftovers::sweep(folder);
    let mut out = unfinished(folder)?;
    match passphrase {
        Some(passphrase) => seal::seal(passphrase, plain, &mut out)?,
        None => std::io::copy(plain, &mut out).map(|_| ())?,
    }
    out.as_file().sync_all()?;
    let (mut before, mut after) = (Sum(Sha256::new()), Sum(Sha256::new()));
    plain.rewind()?;
    std::io::copy(plain, &mut before)?;
    let mut written = BufReader::new(out.reopen()?);
    match passphrase {
        Some(passphrase) => seal::open(passphrase, &mut written, &mut after)?,
        None => std::io::copy(&mut written, &mut after).map(|_| ())?,
    }
    if before.0.finalize() != after.0.finalize() {
        return Err(std::io::Error::other("what was written does not read back the same: the disk may be failing"));
    }
    out.persist(to).map_err(|e| e.error)?;
    File::open(folder)?.sync_all()
}

struct Sum(Sha256);

impl Write for Sum {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.update(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// The first bytes of a file: whether it is sealed.
///
/// # Errors
/// Where it cannot be read.
pub fn is_sealed(file: &Path) -> Result<bool> {
    if file.is_dir() {
        return Ok(false);
    }
    let mut start = Vec::new();
    File::open(file).and_then(|f| f.take(32).read_to_end(&mut start)).map_err(|e| StoreError::file(file, e))?;
    Ok(seal::is_sealed(&start))
}
