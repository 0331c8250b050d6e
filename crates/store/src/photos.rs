//! Photos: files beside the database, named by their content.

use crate::connection::{By, Store, photo_folder};
use crate::error::{Result, StoreError};
use crate::people::hex;
use crate::sql;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::{Path, PathBuf};

/// A photo's record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Photo {
    /// Id.
    pub id: i64,
    /// Job.
    pub job: i64,
    /// The dent that it shows.
    pub dent: Option<String>,
    /// The step at which it was taken.
    pub step: Option<String>,
    /// SHA-256 of the file.
    pub hash: String,
    /// Media type, from the file's first bytes.
    pub media: String,
    /// Size.
    pub bytes: i64,
    /// Note.
    pub note: String,
    /// When, Unix seconds.
    pub at: i64,
}

/// The media type of a picture, from its first bytes; none where it is not a kind that is taken.
pub fn media_of(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Some("image/jpeg"),
        [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => Some("image/png"),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some("image/webp"),
        _ => None,
    }
}

fn photo(r: &rusqlite::Row<'_>) -> rusqlite::Result<Photo> {
    Ok(Photo {
        id: r.get(0)?,
        job: r.get(1)?,
        dent: r.get(2)?,
        step: r.get(3)?,
        hash: r.get(4)?,
        media: r.get(5)?,
        bytes: r.get(6)?,
        note: r.get(7)?,
        at: r.get(8)?,
    })
}

impl Store {
    /// Keeps a photo; the same picture twice is one file. The file is on disk before its record is written.
    ///
    /// # Errors
    /// Where the bytes are no JPEG, PNG or WebP picture, the job is missing, or the disk fails.
    pub fn add_photo(&self, by: By<'_>, job: i64, dent: Option<&str>, step: Option<&str>, note: &str, bytes: &[u8]) -> Result<i64> {
        let media = media_of(bytes).ok_or_else(|| StoreError::Refused("that file is no JPEG, PNG or WebP picture".to_owned()))?;
        let hash = hex(&Sha256::digest(bytes));
        keep(&photo_folder(self.folder()), &hash, bytes)?;
        let size = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        self.write(by, |c| {
            sql::insert(
                c,
                "INSERT INTO photos (job, dent, step, hash, media, bytes, note, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                (job, dent, step, &hash, media, size, note, by.at),
            )
        })
    }

    /// Photos of a job, oldest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn photos(&self, job: i64) -> Result<Vec<Photo>> {
        self.read(|c| {
            sql::all(
                c,
                "SELECT id, job, dent, step, hash, media, bytes, note, at FROM photos WHERE job = ?1 AND removed = 0 ORDER BY id",
                [job],
                photo,
            )
        })
    }

    /// Takes a photo out of the job's pages, or puts it back; its file stays.
    ///
    /// # Errors
    /// Where there is none of that id on that job.
    pub fn show_photo(&self, by: By<'_>, job: i64, id: i64, shown: bool) -> Result<()> {
        self.write(by, |c| sql::run_one(c, "photo", id, "UPDATE photos SET removed = ?3 WHERE id = ?1 AND job = ?2", (id, job, !shown)))
    }

    /// Photos that were taken out of a job's pages, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn removed_photos(&self, job: i64) -> Result<Vec<Photo>> {
        self.read(|c| {
            let sql =
                "SELECT id, job, dent, step, hash, media, bytes, note, at FROM photos WHERE job = ?1 AND removed = 1 ORDER BY id DESC";
            sql::all(c, sql, [job], photo)
        })
    }

    /// A photo's record and its file's bytes.
    ///
    /// # Errors
    /// Where there is none of that id on that job, or its file is gone.
    pub fn photo(&self, job: i64, id: i64) -> Result<(Photo, Vec<u8>)> {
        let record = self.read(|c| {
            let sql = "SELECT id, job, dent, step, hash, media, bytes, note, at FROM photos WHERE id = ?1 AND job = ?2";
            sql::one(c, "photo", id, sql, (id, job), photo)
        })?;
        let path = photo_folder(self.folder()).join(&record.hash);
        let bytes = std::fs::read(&path).map_err(|e| StoreError::file(&path, e))?;
        Ok((record, bytes))
    }
}

/// Writes a file under its hash, whole or not at all.
pub(crate) fn keep(folder: &Path, hash: &str, bytes: &[u8]) -> Result<PathBuf> {
    let path = folder.join(hash);
    if path.exists() {
        return Ok(path);
    }
    let fail = |e| StoreError::file(&path, e);
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(fail)?;
    file.write_all(bytes).map_err(fail)?;
    file.as_file().sync_all().map_err(fail)?;
    file.persist(&path).map_err(|e| fail(e.error))?;
    Ok(path)
}
