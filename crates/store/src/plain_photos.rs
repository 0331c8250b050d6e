//! Photos from before it was done as they came in, and those that an import or a restore brought, are made plain: what their files tell
//! beside the picture (where it was taken, by which camera) goes.

use crate::agreements::hash_of;
use crate::connection::{By, Store, photo_folder};
use crate::error::{Result, StoreError};
use crate::photos::{keep, photo_bytes};
use crate::{picture, sql};

/// What was done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MadePlain {
    /// Photos whose file told more than the picture.
    pub made: usize,
    /// Photos whose file cannot be read as a picture, by id: they stay as they are.
    pub unreadable: Vec<i64>,
}

impl Store {
    /// Makes plain what is not known to be. A photo whose file changes by it has another hash from then on, and the journal tells both;
    /// the old file goes. Whatever stops it, it goes on where it was.
    ///
    /// # Errors
    /// Where the database or the disk fails.
    pub fn make_photos_plain(&self, by: By<'_>) -> Result<MadePlain> {
        let (mut done, mut last) = (MadePlain::default(), 0);
        let next = "SELECT id, hash FROM photos WHERE id > ?1 AND id NOT IN (SELECT id FROM plain_photos) ORDER BY id LIMIT 1";
        while let Some((id, hash)) = self.read(|c| sql::maybe(c, next, [last], |r| Ok((r.get::<_, i64>(0)?, r.get::<_, String>(1)?))))? {
            last = id;
            // One that is gone from the disk may come back from an older backup; `doctor` tells of it.
            let Ok(bytes) = photo_bytes(self.folder(), &hash) else { continue };
            match picture::to_keep(&bytes) {
                Ok((media, plain)) if plain != bytes => {
                    self.replace_file(by, &hash, media, &plain)?;
                    done.made += 1;
                }
                Ok(_) => self.looked_at(by, id, true)?,
                Err(_) => {
                    self.looked_at(by, id, false)?;
                    done.unreadable.push(id);
                }
            }
        }
        Ok(done)
    }

    /// Photos that are not known to be plain.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn photos_to_look_through(&self) -> Result<i64> {
        let sql = "SELECT count(*) FROM photos WHERE id NOT IN (SELECT id FROM plain_photos)";
        self.read(|c| sql::one(c, "photos", "", sql, [], |r| r.get(0)))
    }

    fn looked_at(&self, by: By<'_>, id: i64, ok: bool) -> Result<()> {
        self.write(by, |c| sql::run(c, "INSERT OR IGNORE INTO plain_photos (id, ok) VALUES (?1, ?2)", (id, ok)).map(|_| ()))
    }

    /// Puts another file in the place of one, for every photo that shows it.
    fn replace_file(&self, by: By<'_>, old: &str, media: &str, bytes: &[u8]) -> Result<()> {
        let folder = photo_folder(self.folder());
        let new = hash_of(bytes);
        keep(&folder, &new, bytes)?;
        let size = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        self.write(by, |c| {
            sql::run(c, "INSERT OR IGNORE INTO plain_photos (id, ok) SELECT id, 1 FROM photos WHERE hash = ?1", [old])?;
            sql::run(c, "UPDATE photos SET hash = ?2, media = ?3, bytes = ?4 WHERE hash = ?1", (old, &new, media, size)).map(|_| ())
        })?;
        let path = folder.join(old);
        match std::fs::remove_file(&path) {
            Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(StoreError::file(&path, e)),
            _ => Ok(()),
        }
    }
}
