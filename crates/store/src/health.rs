//! What somebody who looks after the record asks of it.

use crate::agreements::hash_of;
use crate::connection::{Store, photo_folder};
use crate::error::Result;
use crate::sql;

impl Store {
    /// Photos of the record whose file is missing or is not what its name says, by their hash.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn damaged_photos(&self) -> Result<Vec<String>> {
        let hashes: Vec<String> = self.read(|c| sql::all(c, "SELECT DISTINCT hash FROM photos ORDER BY hash", [], |r| r.get(0)))?;
        let folder = photo_folder(self.folder());
        let sound = |hash: &String| std::fs::read(folder.join(hash)).is_ok_and(|bytes| hash_of(&bytes) == *hash);
        Ok(hashes.into_iter().filter(|h| !sound(h)).collect())
    }

    /// The moment of the newest line of the journal, Unix seconds; none in a new record.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn newest_change(&self) -> Result<Option<i64>> {
        self.read(|c| sql::one(c, "journal", "", "SELECT max(at) FROM journal", [], |r| r.get(0)))
    }

    /// How often somebody failed to sign in since a moment, as the log of the door tells it: at least.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn failures_since(&self, at: i64) -> Result<i64> {
        let sql = "SELECT coalesce(sum(most), 0) FROM (SELECT max(count) AS most FROM security_log
                   WHERE at >= ?1 AND what IN ('refused', 'held_back') GROUP BY login)";
        self.read(|c| sql::one(c, "log", "", sql, [at], |r| r.get(0)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use crate::counter::NewInstrument;
    use crate::photos::NewPhoto;
    use crate::{By, Store};

    #[test]
    fn a_photo_that_is_gone_or_changed_is_named() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = By { who: "test", at: 1000 };
        assert_eq!(store.newest_change().unwrap(), None);
        let customer = store.add_customer(by, "Fen Road", "", "", "").unwrap();
        let instrument = store.add_instrument(by, &NewInstrument { customer, kind: "bugle", ..NewInstrument::default() }).unwrap();
        let job = store.add_job(by, instrument, "photos", "", None).unwrap();
        for n in 0..3_u8 {
            let jpeg = [0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8, 0, n + 1, 0, 9, 1, 1, 0x11, 0, 0xFF, 0xD9];
            store.add_photo(by, job, &NewPhoto::default(), &jpeg).unwrap();
        }
        assert_eq!(store.damaged_photos().unwrap(), Vec::<String>::new());
        let hash = |n: usize| store.photos(job).unwrap()[n].hash.clone();
        std::fs::remove_file(dir.path().join("photos").join(hash(0))).unwrap();
        std::fs::write(dir.path().join("photos").join(hash(1)), b"another").unwrap();
        let mut lost = vec![hash(0), hash(1)];
        lost.sort();
        assert_eq!(store.damaged_photos().unwrap(), lost);
        assert_eq!(store.newest_change().unwrap(), Some(1000));
        for _ in 0..4 {
            store.sign_in_failed(2000, "owner", "10.0.0.1").unwrap();
        }
        assert_eq!((store.failures_since(2000).unwrap(), store.failures_since(2001).unwrap()), (4, 0));
    }
}
