//! Restore of a backup into an empty folder: bounded, checked before anything is put there, and on request as much as can be saved.

use crate::agreements::hash_of;
use crate::backup::{CONTENTS, LEFT_OUT, Saved};
use crate::connection::{PAGE, Store, database, faults, photo_folder};
use crate::error::{Result, StoreError};
use crate::export::{MOST_PHOTO_BYTES, TABLES, json, rows};
use crate::leftovers::{self, Work};
use crate::photos::is_hash;
use crate::schema::known;
use crate::{fields, journal, picture, private, seal, sql};
use rusqlite::types::Value as Sql;
use rusqlite::{Connection, OpenFlags};
use std::fs::File;
use std::io::{BufReader, Read, Seek, Write};
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
    /// itself says that it lacks is returned; with `salvage` what is damaged is left out and returned too. In place of a backup it
    /// takes the folder of a record, which is only read: that is how a damaged one is saved.
    ///
    /// # Errors
    /// Where the folder already has a record, or the file is no sound backup.
    pub fn restore(from: &Path, folder: &Path, how: How<'_>) -> Result<Lost> {
        if database(folder).exists() {
            return Err(StoreError::Refused(format!("{} already holds a shop's record; restore into an empty folder", folder.display())));
        }
        private::folder(folder)?;
        leftovers::sweep(folder);
        let work = Work::for_restore(folder)?;
        let mut at = Restoring { from, work: work.path(), how, lost: Vec::new(), contents: None };
        private::folder(&photo_folder(work.path()))?;
        if from.is_dir() {
            at.copy_record()?;
        } else {
            let zip = at.unsealed()?;
            at.unpack(zip)?;
        }
        at.check_database()?;
        at.check_photos()?;
        let lost = at.lost;
        let put = |e| StoreError::file(folder, e);
        private::folder(&photo_folder(folder))?;
        for entry in std::fs::read_dir(photo_folder(work.path())).map_err(put)? {
            let entry = entry.map_err(put)?;
            std::fs::rename(entry.path(), photo_folder(folder).join(entry.file_name())).map_err(put)?;
        }
        private::sync_folder(&photo_folder(folder))?;
        // The database comes last: a restore cut short leaves a folder that still counts as empty.
        std::fs::rename(database(work.path()), database(folder)).map_err(put)?;
        private::sync_folder(folder)?;
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

    /// What lies in a record's folder: the database with its log of changes, and the photos that are what their names say.
    fn copy_record(&mut self) -> Result<()> {
        if !database(self.from).is_file() {
            return Err(self.garbled("it holds no shop's record"));
        }
        for name in ["shop.sqlite", "shop.sqlite-wal"] {
            let from = self.from.join(name);
            if from.is_file() {
                let mut to = private::new_file(&self.work.join(name))?;
                File::open(&from).and_then(|mut f| std::io::copy(&mut f, &mut to)).map_err(|e| StoreError::file(&from, e))?;
                to.sync_all().map_err(|e| StoreError::file(self.work, e))?;
            }
        }
        let photos = photo_folder(self.from);
        for entry in std::fs::read_dir(&photos).into_iter().flatten().flatten() {
            let Some(hash) = entry.file_name().to_str().filter(|n| is_hash(n)).map(str::to_owned) else { continue };
            match std::fs::read(entry.path()) {
                Ok(bytes) if hash_of(&bytes) == hash => crate::photos::keep(&photo_folder(self.work), &hash, &bytes).map(|_| ())?,
                Ok(_) => self.damaged(format!("photo {hash} is damaged"))?,
                Err(e) => self.damaged(format!("photo {hash} cannot be read: {e}"))?,
            }
        }
        Ok(())
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
        if self.how.salvage {
            mend_shape(&path).map_err(|e| StoreError::file(self.work, e))?;
        }
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
        let mut store = Store::open(self.work)?;
        if let Some(first) = wrong_field(&store)? {
            if !self.how.salvage {
                return Err(self.garbled(first));
            }
            self.lost.push(first);
            drop(store);
            self.rows_that_can_be_read()?;
            store = Store::open(self.work)?;
        }
        self.lost.extend(store.noticed().to_vec());
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
        // Its log of changes goes with it: beside the new one it would be taken for that one's.
        for end in ["-wal", "-shm"] {
            let named = |of: &Path| of.with_file_name(format!("{}{end}", of.file_name().unwrap_or_default().to_string_lossy()));
            let _ = std::fs::rename(named(&path), named(&damaged));
        }
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
        journal::lay_triggers(&transaction)?;
        transaction.commit()?;
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

/// The first field that holds what it never may, or that cannot be read.
fn wrong_field(store: &Store) -> Result<Option<String>> {
    store.read(|c| {
        for table in TABLES.iter().filter(|t| **t != "contents") {
            let rows = match rows(c, table) {
                Ok(rows) => rows,
                Err(e) => return Ok(Some(format!("{table}: {e}"))),
            };
            for row in rows {
                for (name, value) in row.as_object().into_iter().flatten() {
                    if let Err(why) = fields::check(table, name, value) {
                        return Ok(Some(format!("{table}, row {}: {why}", row["id"])));
                    }
                }
            }
        }
        Ok(None)
    })
}

/// Gives a damaged copy of a database the shape without which SQLite reads none of it: the first hundred bytes, nearly the same in
/// every database of this program, where they are damaged; and as many pages as it says it has, where it was cut short.
///
/// The file format of SQLite, <https://sqlite.org/fileformat2.html>, "The Database Header".
fn mend_shape(path: &Path) -> std::io::Result<()> {
    const MAGIC: &[u8; 16] = b"SQLite format 3\0";
    // Pages of 4096 bytes; a log of changes; nothing kept free in a page; the fractions that are the only ones.
    const SHAPE: [u8; 8] = [0x10, 0, 2, 2, 0, 64, 32, 32];
    let mut file = File::options().read(true).write(true).open(path)?;
    let length = file.metadata()?.len();
    let mut header = [0_u8; 100];
    if length < PAGE || file.read_exact(&mut header).is_err() {
        return Ok(());
    }
    let number = |header: &[u8; 100], at: usize| u32::from_be_bytes([header[at], header[at + 1], header[at + 2], header[at + 3]]);
    let here = u32::try_from(length.div_ceil(PAGE)).unwrap_or(u32::MAX);
    let shape = [&header[16..18], &header[20..24]].concat();
    if !header.starts_with(MAGIC) || shape != [&SHAPE[..2], &SHAPE[4..]].concat() || number(&header, 44) != 4 || number(&header, 56) != 1 {
        header = [0_u8; 100];
        header[..16].copy_from_slice(MAGIC);
        header[16..24].copy_from_slice(&SHAPE);
        header[24..28].copy_from_slice(&1_u32.to_be_bytes());
        header[28..32].copy_from_slice(&here.to_be_bytes());
        // The schema's format, the text's encoding (UTF-8), and for which change the number of pages holds.
        header[44..48].copy_from_slice(&4_u32.to_be_bytes());
        header[56..60].copy_from_slice(&1_u32.to_be_bytes());
        header[92..96].copy_from_slice(&1_u32.to_be_bytes());
        file.rewind()?;
        file.write_all(&header)?;
    }
    // A cut of more than nine tenths, or a number that is damaged itself, is not filled up.
    let says = number(&header, 28);
    if says > here && u64::from(says) <= u64::from(here).saturating_mul(10).max(ALWAYS / PAGE) {
        file.set_len(u64::from(says) * PAGE)?;
    }
    Ok(())
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
            while run.len() < 500 {
                let row = rows.next().and_then(|row| match row {
                    Some(r) => Ok(Some((r.get(0)?, (1..=names.len()).map(|i| r.get(i)).collect::<rusqlite::Result<_>>()?))),
                    None => Ok(None),
                });
                let last = run.last().map_or(at, |(id, _): &(i64, Vec<Sql>)| *id);
                match row {
                    // In a damaged tree rows may lead back to where they were: for ever, if one followed.
                    Ok(Some((id, _))) if id <= last => break,
                    Ok(Some(row)) => run.push(row),
                    Ok(None) => break,
                    // What came before the damage is worth keeping; the next run begins behind it.
                    Err(e) if run.is_empty() => return Err(e),
                    Err(_) => break,
                }
            }
            Ok(run)
        };
        match one_run() {
            Ok(run) => {
                let Some((last, _)) = run.last() else { break };
                (at, step) = (*last, 1);
                for (id, values) in run {
                    let wrong = names.iter().zip(&values).find_map(|(name, v)| fields::check(table, name, &json(v.clone())).err());
                    if let (Some(why), true) = (wrong, table != "contents") {
                        first = first.or(Some(format!("row {id}: {why}")));
                        continue;
                    }
                    match to.prepare_cached(&insert).and_then(|mut s| s.execute(rusqlite::params_from_iter(&values))) {
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
