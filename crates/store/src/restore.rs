//! Restore of a backup into an empty folder: bounded, checked before anything is put there, and on request as much as can be saved.

use crate::agreements::hash_of;
use crate::backup::{CONTENTS, LEFT_OUT, Saved};
use crate::connection::{Store, database, faults, known, photo_folder};
use crate::error::{Result, StoreError};
use crate::export::{MOST_PHOTO_BYTES, TABLES, rows};
use crate::photos::is_hash;
use crate::{fields, journal, picture, private, seal, sql};
use rusqlite::types::Value as Sql;
use rusqlite::{Connection, OpenFlags};
use std::fs::File;
use std::io::{BufReader, Read, Seek};
use std::path::Path;
use zip::ZipArchive;

/// How many times its packed size an entry may unpack to, and what is always taken: a shop's database packs to a fifth, a bomb to a
/// thousandth.
const MOST_RATIO: u64 = 100;
const ALWAYS: u64 = 64 * 1024 * 1024;
/// Damaged places that are skipped in one table before it is given up.
const MOST_GAPS: usize = 1000;

/// How a backup is restored.
#[derive(Clone, Copy, Debug, Default)]
pub struct How<'a> {
    /// What opens a sealed one.
    pub passphrase: Option<&'a str>,
    /// Whether what is damaged is left out and told, instead of refusing the whole.
    pub salvage: bool,
}

/// What could not be restored, in words; empty where all was.
pub type Lost = Vec<String>;

impl Store {
    /// Restores a backup into a folder that has no record yet; the backup is checked before anything is put there. What the backup
    /// itself says that it lacks is returned; with `salvage` what is damaged is left out and returned too.
    ///
    /// # Errors
    /// Where the folder already has a record, or the file is no sound backup.
    pub fn restore(from: &Path, folder: &Path, how: How<'_>) -> Result<Lost> {
        if database(folder).exists() {
            return Err(StoreError::Refused(format!("{} already holds a shop's record; restore into an empty folder", folder.display())));
        }
        private::folder(folder)?;
        let work = tempfile::Builder::new().prefix(".restore-").tempdir_in(folder).map_err(|e| StoreError::file(folder, e))?;
        let mut at = Restoring { from, work: work.path(), how, lost: Vec::new(), contents: None };
        private::folder(&photo_folder(work.path()))?;
        let zip = at.unsealed()?;
        at.unpack(zip)?;
        at.check_database()?;
        at.check_photos()?;
        let lost = at.lost;
        let put = |e| StoreError::file(folder, e);
        private::folder(&photo_folder(folder))?;
        for entry in std::fs::read_dir(photo_folder(work.path())).map_err(put)? {
            let entry = entry.map_err(put)?;
            std::fs::rename(entry.path(), photo_folder(folder).join(entry.file_name())).map_err(put)?;
        }
        // The database comes last: a restore cut short leaves a folder that still counts as empty.
        std::fs::rename(database(work.path()), database(folder)).map_err(put)?;
        Ok(lost)
    }
}

struct Restoring<'a> {
    from: &'a Path,
    work: &'a Path,
    how: How<'a>,
    lost: Lost,
    contents: Option<Saved>,
}

impl Restoring<'_> {
    fn garbled(&self, why: impl Into<String>) -> StoreError {
        StoreError::Garbled { what: self.from.display().to_string(), why: why.into() }
    }

    /// What is damaged: told where it is salvaged, else an error.
    fn damaged(&mut self, why: String) -> Result<()> {
        if self.how.salvage {
            self.lost.push(why);
            Ok(())
        } else {
            Err(self.garbled(format!("{why}. To save what can be saved: --salvage")))
        }
    }

    /// The zip file itself, opened with the passphrase where it is sealed.
    fn unsealed(&mut self) -> Result<File> {
        let fail = |e: std::io::Error| StoreError::file(self.from, e);
        if !crate::backup::is_sealed(self.from)? {
            return File::open(self.from).map_err(fail);
        }
        let passphrase = self.how.passphrase.ok_or_else(|| self.garbled("it is sealed: give its passphrase"))?;
        let mut plain = private::new_file(&self.work.join("backup.zip"))?;
        let mut sealed = BufReader::new(File::open(self.from).map_err(fail)?);
        if let Err(e) = seal::open(passphrase, &mut sealed, &mut plain) {
            if plain.stream_position().unwrap_or(0) == 0 {
                return Err(self.garbled(e.to_string()));
            }
            self.damaged(format!("the sealed file: {e}"))?;
        }
        plain.rewind().map_err(fail)?;
        Ok(plain)
    }

    fn unpack(&mut self, mut file: File) -> Result<()> {
        let size = file.metadata().map_err(|e| StoreError::file(self.from, e))?.len();
        let mut left = size.saturating_mul(MOST_RATIO).max(ALWAYS);
        match ZipArchive::new(&mut file) {
            Ok(mut zip) => {
                for i in 0..zip.len() {
                    match zip.by_index(i) {
                        Ok(mut entry) => {
                            let name = entry.name().map(|n| n.into_owned()).map_err(|e| self.garbled(e.to_string()))?;
                            let packed = entry.compressed_size();
                            self.take(&name, packed, &mut entry, &mut left)?;
                        }
                        Err(e) => self.damaged(format!("entry {} of the backup cannot be read: {e}", i + 1))?,
                    }
                }
            }
            Err(e) => {
                self.damaged(format!("the backup's list of what it holds cannot be read ({e}): it is cut short or damaged"))?;
                // Without the list the entries are found one after the other, as far as they go.
                file.rewind().map_err(|e| StoreError::file(self.from, e))?;
                let mut file = BufReader::new(file);
                while let Ok(Some(mut entry)) = zip::read::read_zipfile_from_stream(&mut file) {
                    let Ok(name) = entry.name().map(|n| n.into_owned()) else { break };
                    let packed = entry.compressed_size();
                    self.take(&name, packed, &mut entry, &mut left)?;
                }
            }
        }
        if database(self.work).exists() { Ok(()) } else { Err(self.garbled("it holds no shop's record")) }
    }

    /// Takes an entry, never more of it than a sound one has.
    fn take(&mut self, name: &str, packed: u64, entry: &mut impl Read, left: &mut u64) -> Result<()> {
        let photo = name.strip_prefix("photos/").filter(|n| is_hash(n)).map(str::to_owned);
        let most = match (&photo, name) {
            (Some(_), _) => MOST_PHOTO_BYTES,
            (None, "shop.sqlite") => packed.saturating_mul(MOST_RATIO).max(ALWAYS),
            (None, CONTENTS) => 1024 * 1024,
            _ => return Err(self.garbled(format!("it holds a file that no backup has: {name}"))),
        }
        .min(*left);
        let mut counted = entry.take(most + 1);
        let (mut bytes, mut read) = (Vec::new(), Ok(0));
        if name == "shop.sqlite" {
            if database(self.work).exists() {
                return Err(self.garbled("it holds two databases"));
            }
            let mut out = private::new_file(&database(self.work))?;
            read = std::io::copy(&mut counted, &mut out);
            out.sync_all().map_err(|e| StoreError::file(self.work, e))?;
        } else if let Err(e) = counted.read_to_end(&mut bytes) {
            read = Err(e);
        }
        let taken = most + 1 - counted.limit();
        if taken > most {
            return Err(self.garbled(format!("{name} unpacks to more than a backup ever holds")));
        }
        *left -= taken;
        if let Err(e) = read {
            self.damaged(format!("{name} is damaged: {e}"))?;
        }
        match photo {
            Some(hash) if hash_of(&bytes) != hash || picture::media_of(&bytes).is_none() => {
                self.damaged(format!("photo {hash} is damaged"))
            }
            Some(hash) => crate::photos::keep(&photo_folder(self.work), &hash, &bytes).map(|_| ()),
            None => {
                if name == CONTENTS {
                    self.contents = serde_json::from_slice(&bytes).ok();
                }
                Ok(())
            }
        }
    }

    fn check_database(&mut self) -> Result<()> {
        let path = database(self.work);
        let found = {
            let c = Connection::open_with_flags(&path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            // What can be read and is another program's is no shop's record, salvaged or not.
            let readable = sql::one(&c, "tables", "", "SELECT count(*) FROM sqlite_master", [], |r| r.get::<_, i64>(0)).is_ok();
            match known(&c, self.from) {
                Err(e) if readable || !self.how.salvage => return Err(e),
                _ => {}
            }
            faults(&c).unwrap_or_else(|e| vec![e.to_string()])
        };
        if !found.is_empty() {
            for fault in found.iter().take(20) {
                self.damaged(format!("the database is damaged: {fault}"))?;
            }
            self.rows_that_can_be_read()?;
        }
        // The schema of today, with its guards; then every field, as an import's.
        let store = Store::open(self.work)?;
        for fault in store.noticed().to_vec() {
            self.lost.push(fault);
        }
        let mut wrong = Vec::new();
        store.read(|c| {
            for table in TABLES.iter().filter(|t| **t != "contents") {
                for row in rows(c, table)? {
                    let Some(fields) = row.as_object() else { continue };
                    for (name, value) in fields {
                        if let Err(why) = fields::check(table, name, value) {
                            wrong.push(format!("{table}, row {}: {why}", row["id"]));
                        }
                    }
                }
            }
            Ok(())
        })?;
        if let Some(first) = wrong.first() {
            return Err(self.garbled(first.clone()));
        }
        let c = Connection::open(&path)?;
        for table in LEFT_OUT {
            c.execute(&format!("DELETE FROM {table}"), [])?;
        }
        drop(store);
        c.pragma_update(None, "journal_mode", "DELETE")?;
        Ok(())
    }

    /// Every row that can still be read of a damaged database, into a new one.
    fn rows_that_can_be_read(&mut self) -> Result<()> {
        let path = database(self.work);
        let damaged = self.work.join("damaged.sqlite");
        std::fs::rename(&path, &damaged).map_err(|e| StoreError::file(&path, e))?;
        let fresh = self.work.join("fresh");
        drop(Store::open(&fresh)?);
        std::fs::rename(database(&fresh), &path).map_err(|e| StoreError::file(&path, e))?;
        let from = Connection::open_with_flags(&damaged, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        let mut to = Connection::open(&path)?;
        to.pragma_update(None, "foreign_keys", false)?;
        let transaction = to.transaction()?;
        // The journal comes over as it was; copying writes none.
        for trigger in sql::all(&transaction, "SELECT name FROM sqlite_master WHERE type = 'trigger'", [], |r| r.get::<_, String>(0))? {
            transaction.execute_batch(&format!("DROP TRIGGER {trigger}"))?;
        }
        let mut all = 0;
        for table in TABLES.iter().chain(&["security_log"]) {
            let (kept, told) = copy_rows(&from, &transaction, table);
            all += kept;
            self.lost.extend(told.map(|why| format!("{table}: {kept} rows could be read; {why}")));
        }
        transaction.commit()?;
        journal::lay_triggers(&to)?;
        drop(to);
        if all == 0 {
            return Err(self.garbled("nothing of its database can be read"));
        }
        let left = faults(&Connection::open(&path)?)?;
        self.lost.extend(left.into_iter().take(20));
        Ok(())
    }

    /// Photos that the record names and that did not come: told, for a backup may say itself that it lacks them.
    fn check_photos(&mut self) -> Result<()> {
        let c = Connection::open(database(self.work))?;
        let wanted = sql::all(&c, "SELECT DISTINCT hash FROM photos", [], |r| r.get::<_, String>(0))?;
        let gone: Vec<String> = wanted.into_iter().filter(|hash| !photo_folder(self.work).join(hash).exists()).collect();
        let told = self.contents.take().map_or(Vec::new(), |c| c.missing);
        // A backup that says itself what it lacks is as sound as it could be made; what it does not say is damage.
        if gone.len() > told.len() {
            for hash in gone {
                self.damaged(format!("photo {hash} is not in it"))?;
            }
        }
        self.lost.extend(told.into_iter().map(|what| format!("when it was saved: {what}")));
        Ok(())
    }
}

/// Copies the rows of a table that can be read, over the damaged places; how many, and what is to be told.
fn copy_rows(from: &Connection, to: &Connection, table: &str) -> (usize, Option<String>) {
    let columns =
        |c: &Connection| sql::all(c, "SELECT name FROM pragma_table_info(?1)", [table], |r| r.get::<_, String>(0)).unwrap_or_default();
    let known = columns(to);
    // A link of before it was hashed comes over as it is; it is hashed when the record is opened.
    let named = |n: &String| if table == "quotes" && n == "token" { "link_hash".to_owned() } else { n.clone() };
    let read: Vec<String> = columns(from).into_iter().filter(|n| known.contains(&named(n))).collect();
    let names: Vec<String> = read.iter().map(named).collect();
    if names.is_empty() {
        return (0, (!known.is_empty()).then(|| "the table itself is gone".to_owned()));
    }
    let marks: Vec<String> = (1..=names.len()).map(|i| format!("?{i}")).collect();
    let insert = format!("INSERT OR IGNORE INTO {table} ({}) VALUES ({})", names.join(", "), marks.join(", "));
    let select = format!("SELECT id, {} FROM {table} WHERE id > ?1 ORDER BY id", read.join(", "));
    let (mut kept, mut gaps, mut at, mut step) = (0, 0, 0_i64, 1_i64);
    let mut first = None;
    while gaps < MOST_GAPS {
        let one_run = || -> rusqlite::Result<Vec<(i64, Vec<Sql>)>> {
            let mut statement = from.prepare(&select)?;
            let mut rows = statement.query([at])?;
            let mut run = Vec::new();
            loop {
                match rows.next() {
                    Ok(Some(r)) => run.push((r.get(0)?, (1..=names.len()).map(|i| r.get(i)).collect::<rusqlite::Result<_>>()?)),
                    Ok(None) => return Ok(run),
                    // What came before the damage is worth keeping; the next run begins behind it.
                    Err(e) if run.is_empty() => return Err(e),
                    Err(_) => return Ok(run),
                }
                if run.len() == 500 {
                    return Ok(run);
                }
            }
        };
        match one_run() {
            Ok(run) => {
                let Some((last, _)) = run.last() else { break };
                at = *last;
                step = 1;
                for (_, values) in &run {
                    match to.prepare_cached(&insert).and_then(|mut s| s.execute(rusqlite::params_from_iter(values))) {
                        Ok(n) => kept += n,
                        Err(e) => first = first.or(Some(format!("a row does not fit: {e}"))),
                    }
                }
            }
            Err(e) => {
                gaps += 1;
                first = first.or(Some(format!("behind row {at}: {e}")));
                at = at.saturating_add(step);
                step = step.saturating_mul(2).min(1 << 20);
            }
        }
    }
    (kept, first)
}
