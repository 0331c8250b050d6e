//! Photos: files beside the database, named by their content.

use crate::agreements::hash_of;
use crate::connection::{By, Store, photo_folder};
use crate::error::{Result, StoreError};
use crate::leftovers::unfinished;
use crate::picture;
use crate::private;
use crate::sql;
use serde::Serialize;
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
    /// Whether the customer sees it on their page.
    pub for_customer: bool,
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
        for_customer: r.get(9)?,
    })
}

/// What a photo shows, and by what mark the tablet knows it.
#[derive(Clone, Copy, Debug, Default)]
pub struct NewPhoto<'a> {
    /// The dent that it shows, by its name.
    pub dent: Option<&'a str>,
    /// The dent that it shows, by the mark that the tablet made for it before the record gave it a name.
    pub dent_made_as: Option<&'a str>,
    /// The step at which it was taken.
    pub step: Option<&'a str>,
    /// Note.
    pub note: &'a str,
    /// The tablet's mark for the photo: sent again after a lost answer it is kept once.
    pub made_as: Option<&'a str>,
}

/// What became of a photo that was sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sent {
    /// It is in the record: its id, and the dent that it shows.
    Kept(i64, Option<String>),
    /// The record does not have the dent yet that it shows.
    DentNotYet,
}

impl Store {
    /// Keeps a photo without what it tells beside the picture ([`crate::picture`]); the same picture twice is one file. The file
    /// is on disk before its record is written.
    ///
    /// # Errors
    /// Where the bytes are no picture that is taken, the job is missing, or the disk fails.
    pub fn add_photo(&self, by: By<'_>, job: i64, new: &NewPhoto<'_>, bytes: &[u8]) -> Result<Sent> {
        let (media, bytes) = picture::to_keep(bytes).map_err(StoreError::Refused)?;
        self.job(job)?;
        let hash = hash_of(&bytes);
        keep(&photo_folder(self.folder()), &hash, &bytes)?;
        let size = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        self.write(by, |c| {
            if let Some(mark) = new.made_as {
                let known = "SELECT id, dent FROM photos WHERE job = ?1 AND made_as = ?2";
                if let Some((id, dent)) = sql::maybe(c, known, (job, mark), |r| Ok((r.get(0)?, r.get(1)?)))? {
                    return Ok(Sent::Kept(id, dent));
                }
            }
            let dent: Option<String> = match (new.dent, new.dent_made_as) {
                (Some(name), _) => Some(name.to_owned()),
                (None, Some(mark)) => match sql::maybe(c, DENT_OF, (job, mark), |r| r.get(0))? {
                    Some(name) => Some(name),
                    None => return Ok(Sent::DentNotYet),
                },
                (None, None) => None,
            };
            let id = sql::insert(
                c,
                "INSERT INTO photos (job, dent, step, hash, media, bytes, note, at, made_as) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
                (job, &dent, new.step, &hash, media, size, new.note, by.at, new.made_as),
            )?;
            sql::run(c, "INSERT OR IGNORE INTO plain_photos (id, ok) VALUES (?1, 1)", [id])?;
            Ok(Sent::Kept(id, dent))
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
                "SELECT id, job, dent, step, hash, media, bytes, note, at, for_customer FROM photos WHERE job = ?1 AND removed = 0 ORDER BY id",
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

    /// Says which of a job's photos the customer sees: these and no others.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn show_to_customer(&self, by: By<'_>, job: i64, photos: &[i64]) -> Result<()> {
        let photos = format!("{photos:?}");
        self.write(by, |c| {
            let sql = "UPDATE photos SET for_customer = NOT for_customer
                WHERE job = ?1 AND for_customer <> (id IN (SELECT value FROM json_each(?2)))";
            sql::run(c, sql, (job, &photos)).map(|_| ())
        })
    }

    /// A photo that the customer may see, as its file stands; without what it might tell beside the picture.
    ///
    /// # Errors
    /// Where there is none of that id on that job that the customer may see.
    pub fn customers_photo(&self, job: i64, id: i64) -> Result<(&'static str, Vec<u8>)> {
        if !self.photos(job)?.iter().any(|p| p.id == id && p.for_customer) {
            return Err(StoreError::Missing { what: "photo", key: id.to_string() });
        }
        let (_, bytes) = self.photo(job, id)?;
        // One of before photos were made plain is made plain here.
        picture::to_keep(&bytes).map_err(StoreError::Refused)
    }

    /// Photos that were taken out of a job's pages, newest first.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn removed_photos(&self, job: i64) -> Result<Vec<Photo>> {
        self.read(|c| {
            let sql =
                "SELECT id, job, dent, step, hash, media, bytes, note, at, for_customer FROM photos WHERE job = ?1 AND removed = 1 ORDER BY id DESC";
            sql::all(c, sql, [job], photo)
        })
    }

    /// A photo's record and its file's bytes.
    ///
    /// # Errors
    /// Where there is none of that id on that job, or its file is gone.
    pub fn photo(&self, job: i64, id: i64) -> Result<(Photo, Vec<u8>)> {
        let record = self.read(|c| {
            let sql = "SELECT id, job, dent, step, hash, media, bytes, note, at, for_customer FROM photos WHERE id = ?1 AND job = ?2";
            sql::one(c, "photo", id, sql, (id, job), photo)
        })?;
        let bytes = photo_bytes(self.folder(), &record.hash)?;
        // What it is, its bytes say: a record that came from elsewhere may say anything.
        let media = picture::media_of(&bytes).ok_or_else(|| garbled(&record.hash, "it is no picture"))?;
        Ok((Photo { media: media.to_owned(), ..record }, bytes))
    }
}

/// Whether a text is a hash as photos are named by: nothing else ever becomes part of a path.
pub(crate) fn is_hash(name: &str) -> bool {
    name.len() == 64 && name.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

/// The bytes of a photo's file.
pub(crate) fn photo_bytes(folder: &Path, hash: &str) -> Result<Vec<u8>> {
    if !is_hash(hash) {
        return Err(garbled(hash, "that is no name of a photo's file"));
    }
    let path = photo_folder(folder).join(hash);
    std::fs::read(&path).map_err(|e| StoreError::file(&path, e))
}

fn garbled(hash: &str, why: &str) -> StoreError {
    StoreError::Garbled { what: format!("photo {hash}"), why: why.to_owned() }
}

/// The name of the dent that a tablet knows by its own mark; of one that was taken out again, from the journal.
const DENT_OF: &str = "SELECT name FROM dents WHERE job = ?1 AND made_as = ?2
    UNION ALL SELECT json_extract(before, '$.name') FROM journal
    WHERE record = 'dents' AND act = 'delete' AND json_extract(before, '$.job') = ?1 AND json_extract(before, '$.made_as') = ?2
    LIMIT 1";

/// Writes a file under its hash, whole or not at all. One that is there and is not what its name says is written anew: a tablet that
/// sends its photo again mends it.
pub(crate) fn keep(folder: &Path, hash: &str, bytes: &[u8]) -> Result<PathBuf> {
    let path = folder.join(hash);
    let fail = |e| StoreError::file(&path, e);
    if std::fs::read(&path).is_ok_and(|there| there == bytes) {
        return Ok(path);
    }
    let mut file = unfinished(folder).map_err(fail)?;
    file.write_all(bytes).map_err(fail)?;
    file.as_file().sync_all().map_err(fail)?;
    file.persist(&path).map_err(|e| fail(e.error))?;
    private::sync_folder(folder)?;
    Ok(path)
}
