//! Files that a failing disk cut short or changed: the database, its log of changes, photos, a sealed backup. The program never panics
//! and never hangs over one; what it gives back is right, or it says that something is wrong; what can be saved is saved.
//!
//! What SQLite cannot tell, this cannot either: a byte changed inside a text of the database file (it has no checksums). In the log of
//! changes, in photos, in backups and in the journal every byte is held.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::BY;
use std::path::{Path, PathBuf};
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::photos::NewPhoto;
use store::restore::How;
use store::{Store, StoreError};

const SALVAGE: How<'static> = How { passphrase: None, salvage: true };
const CUSTOMERS: usize = 200;

/// A shop whose first customers stand in the database and whose last ten in its log of changes.
fn shop(folder: &Path) {
    let store = Store::open(folder).unwrap();
    store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
    let ids: Vec<i64> = (0..CUSTOMERS).map(|i| store.add_customer(BY, &name(i), "", "", &"n".repeat(200)).unwrap()).collect();
    let new = NewInstrument { customer: ids[0], kind: "tuba", ..NewInstrument::default() };
    let job = { store.add_job(BY, store.add_instrument(BY, &new).unwrap(), "Fell", "", None).unwrap() };
    store.add_photo(BY, job, &NewPhoto::default(), common::PNG).unwrap();
    store.tidy().unwrap();
    for i in CUSTOMERS..CUSTOMERS + 10 {
        store.add_customer(BY, &name(i), "", "", "").unwrap();
    }
    // As a killed program leaves it: its log of changes beside it.
    let as_it_lies = folder.with_file_name("as it lies");
    std::fs::create_dir_all(as_it_lies.join("photos")).unwrap();
    for file in ["shop.sqlite", "shop.sqlite-wal"] {
        std::fs::copy(folder.join(file), as_it_lies.join(file)).unwrap();
    }
    for photo in std::fs::read_dir(folder.join("photos")).unwrap().map(|e| e.unwrap()) {
        std::fs::copy(photo.path(), as_it_lies.join("photos").join(photo.file_name())).unwrap();
    }
}

fn name(i: usize) -> String {
    format!("Customer {i:04}")
}

/// How many places are damaged beside those of the header: `FAULTS`, else a few; 30 for the figures in docs/reliability.md.
fn most() -> usize {
    std::env::var("FAULTS").ok().and_then(|n| n.parse().ok()).unwrap_or(6)
}

/// Places of a file to damage, the first and the last bytes among them.
fn places(length: usize, so_many: usize) -> Vec<usize> {
    let mut all: Vec<usize> = (0..so_many).map(|i| length * i / so_many + (i * 37) % 61).filter(|at| *at < length).collect();
    all.extend([0, 1, 16, 20, 24, 27, 28, 40, 44, 96, 100, 105, length - 1]);
    all.retain(|at| *at < length);
    all.sort_unstable();
    all.dedup();
    all
}

/// The kinds of damage at a place.
fn damages(whole: &[u8], at: usize) -> Vec<(&'static str, Vec<u8>)> {
    let mut flipped = whole.to_vec();
    flipped[at] ^= 0x10;
    let mut blanked = whole.to_vec();
    let sector = at / 512 * 512;
    let end = (sector + 512).min(whole.len());
    blanked[sector..end].fill(0);
    vec![("cut", whole[..at].to_vec()), ("flipped", flipped), ("a sector of zeros", blanked)]
}

/// Lays out the shop with one file of it damaged.
fn laid(at: &Path, from: &Path, file: &str, bytes: &[u8]) -> PathBuf {
    let record = at.join("record");
    std::fs::create_dir_all(record.join("photos")).unwrap();
    for name in ["shop.sqlite", "shop.sqlite-wal"] {
        std::fs::copy(from.join(name), record.join(name)).unwrap();
    }
    for photo in std::fs::read_dir(from.join("photos")).unwrap().map(|e| e.unwrap()) {
        std::fs::copy(photo.path(), record.join("photos").join(photo.file_name())).unwrap();
    }
    std::fs::write(record.join(file), bytes).unwrap();
    record
}

/// What was saved is a sound database; a row may point at one that could not be saved.
fn sound(store: &Store, what: &str) {
    let faults: Vec<String> = store.faults().unwrap().into_iter().filter(|f| !f.contains("points at a missing")).collect();
    assert_eq!(faults, Vec::<String>::new(), "{what}");
}

/// The customers that a record still shows, and whether it says that something is wrong.
fn looked_at(record: &Path) -> (Option<usize>, bool) {
    match Store::open(record) {
        Err(StoreError::Damaged { .. }) => (None, true),
        Err(e) => panic!("{e}"),
        Ok(store) => {
            let told = !store.noticed().is_empty()
                || !store.faults().is_ok_and(|f| f.is_empty())
                || !store.journal_faults().is_ok_and(|f| f.is_empty());
            (store.customers("Customer", 1000).ok().map(|c| c.len()), told)
        }
    }
}

/// Bytes of a page (SQLite's default).
const PAGE: usize = 4096;

/// The numbers of the pages that hold the schema; it does not fit into the first alone.
fn pages_of_the_schema(database: &Path) -> Vec<usize> {
    let copy = tempfile::NamedTempFile::new().unwrap();
    std::fs::copy(database, copy.path()).unwrap();
    let c = rusqlite::Connection::open(copy.path()).unwrap();
    let mut found = c.prepare("SELECT pageno FROM dbstat WHERE name = 'sqlite_schema'").unwrap();
    found.query_map([], |r| r.get::<_, i64>(0)).unwrap().map(|p| usize::try_from(p.unwrap()).unwrap()).collect()
}

#[test]
fn a_torn_database() {
    let dir = tempfile::tempdir().unwrap();
    shop(&dir.path().join("shop"));
    let from = dir.path().join("as it lies");
    let whole = std::fs::read(from.join("shop.sqlite")).unwrap();
    let schema = pages_of_the_schema(&from.join("shop.sqlite"));
    let (mut tried, mut told, mut saved_all, mut saved_none, mut elsewhere, mut held) = (0, 0, 0, 0, 0, 0);
    for at in places(whole.len(), most()) {
        for (kind, bytes) in damages(&whole, at) {
            let what = format!("{kind} at {at} of {}", whole.len());
            let trial = tempfile::tempdir().unwrap();
            let record = laid(trial.path(), &from, "shop.sqlite", &bytes);
            tried += 1;
            // First what can be saved, for looking at it may change it.
            let saved = match Store::restore(&record, &trial.path().join("saved"), SALVAGE) {
                Ok(lost) => {
                    let store = Store::open(&trial.path().join("saved")).unwrap_or_else(|e| panic!("{e}: {what}"));
                    sound(&store, &what);
                    let n = store.customers("Customer", 1000).unwrap().len();
                    assert!(n == CUSTOMERS + 10 || !lost.is_empty(), "{n} customers, and nothing is told of the others: {what}");
                    n
                }
                Err(e) => {
                    assert!(!e.to_string().is_empty());
                    0
                }
            };
            saved_all += usize::from(saved == CUSTOMERS + 10);
            saved_none += usize::from(saved == 0);
            // A file cut short has lost what it has lost, and the pages of the schema say where everything is.
            if kind != "cut" && !schema.contains(&(at / PAGE + 1)) {
                elsewhere += 1;
                held += usize::from(saved > 0);
            }
            let (seen, says) = looked_at(&record);
            told += usize::from(says);
            assert!(seen == Some(CUSTOMERS + 10) || says, "{seen:?} customers and nothing is told: {what}");
        }
    }
    println!("database: {tried} damages, {told} told; all {} customers saved in {saved_all}, none in {saved_none}", CUSTOMERS + 10);
    assert!(held * 10 > elsewhere * 9, "of {elsewhere} damages that leave the file its length and its schema, {held} gave something back");
}

#[test]
fn a_torn_log_of_changes() {
    let dir = tempfile::tempdir().unwrap();
    shop(&dir.path().join("shop"));
    let from = dir.path().join("as it lies");
    let whole = std::fs::read(from.join("shop.sqlite-wal")).unwrap();
    for at in places(whole.len(), most()) {
        for (kind, bytes) in damages(&whole, at) {
            let trial = tempfile::tempdir().unwrap();
            let record = laid(trial.path(), &from, "shop.sqlite-wal", &bytes);
            let store = Store::open(&record).unwrap_or_else(|e| panic!("{kind} at {at}: {e}"));
            assert_eq!(store.faults().unwrap(), Vec::<String>::new(), "{kind} at {at}");
            assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new(), "{kind} at {at}");
            // What follows the damage is gone with it, whole changes at a time; what came before is there.
            let n = store.customers("Customer", 1000).unwrap().len();
            assert!((CUSTOMERS..=CUSTOMERS + 10).contains(&n), "{n}: {kind} at {at}");
        }
    }
}

#[test]
fn a_torn_photo_is_named_and_mended_when_it_is_sent_again() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("shop");
    shop(&folder);
    let store = Store::open(&folder).unwrap();
    let photo = store.photos(1).unwrap().remove(0);
    let file = folder.join("photos").join(&photo.hash);
    let whole = std::fs::read(&file).unwrap();
    for at in places(whole.len(), most()) {
        for (kind, bytes) in damages(&whole, at) {
            std::fs::write(&file, &bytes).unwrap();
            assert_eq!(store.damaged_photos().unwrap(), std::slice::from_ref(&photo.hash), "{kind} at {at}");
            store.add_photo(BY, 1, &NewPhoto::default(), common::PNG).unwrap();
            assert_eq!(store.photo(1, photo.id).unwrap().1, whole, "{kind} at {at}");
        }
    }
}

#[test]
fn a_torn_backup_gives_back_what_is_whole_or_says_what_is_not() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("shop");
    shop(&folder);
    let store = Store::open(&folder).unwrap();
    let zip = dir.path().join("monday.zip");
    store.backup(&zip, None).unwrap();
    let whole = std::fs::read(&zip).unwrap();
    let (mut tried, mut refused, mut saved) = (0, 0, 0);
    for at in places(whole.len(), most()) {
        for (kind, bytes) in damages(&whole, at) {
            if bytes == whole {
                continue;
            }
            let what = format!("{kind} at {at} of {}", whole.len());
            let trial = tempfile::tempdir().unwrap();
            let torn = trial.path().join("torn.zip");
            std::fs::write(&torn, &bytes).unwrap();
            tried += 1;
            match Store::restore(&torn, &trial.path().join("plain"), How::default()) {
                Ok(_) => {
                    // Fields of a zip that nobody reads (a time, a version) change nothing.
                    let back = Store::open(&trial.path().join("plain")).unwrap();
                    assert_eq!(back.customers("Customer", 1000).unwrap().len(), CUSTOMERS + 10, "{what}");
                    assert_eq!(back.damaged_photos().unwrap(), Vec::<String>::new(), "{what}");
                }
                Err(_) => {
                    refused += 1;
                    assert!(!trial.path().join("plain/shop.sqlite").exists(), "{what}");
                    if let Ok(lost) = Store::restore(&torn, &trial.path().join("saved"), SALVAGE) {
                        assert!(!lost.is_empty(), "{what}");
                        sound(&Store::open(&trial.path().join("saved")).unwrap(), &what);
                        saved += 1;
                    }
                }
            }
        }
    }
    println!("backup: {tried} damages, {refused} refused, of those {saved} saved in part or whole");
}

/// Sealed, no changed byte opens; the seal itself is tested at every place in `store/src/seal.rs`, here through restore.
#[test]
fn a_torn_sealed_backup_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("shop");
    shop(&folder);
    let sealed = dir.path().join("monday.zip.age");
    Store::open(&folder).unwrap().backup(&sealed, Some("brass and solder")).unwrap();
    let whole = std::fs::read(&sealed).unwrap();
    // Each try costs what a passphrase costs.
    for at in places(whole.len(), 3).into_iter().step_by(3) {
        for (kind, bytes) in damages(&whole, at).into_iter().take(2) {
            let trial = tempfile::tempdir().unwrap();
            let torn = trial.path().join("torn.zip.age");
            std::fs::write(&torn, &bytes).unwrap();
            let how = How { passphrase: Some("brass and solder"), salvage: false };
            assert!(Store::restore(&torn, &trial.path().join("plain"), how).is_err(), "{kind} at {at}");
        }
    }
}
