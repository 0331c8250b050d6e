//! Whatever comes as a backup, an export or a photo: it is taken or refused, without a panic, without a hang, without a file anywhere but
//! in its folder. The journal and its chain come in with an export, the database with a backup.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{BY, PNG, YES, given};
use fixtures::fuzz;
use std::io::Write;
use std::path::Path;
use std::time::Duration;
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::photos::NewPhoto;
use store::restore::How;
use store::{Store, picture};

/// Something in most tables.
fn shop(folder: &Path) -> Store {
    let store = Store::open(folder).unwrap();
    store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
    let customer = store.add_customer(BY, "Juniper Vale", "555-0102", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(BY, instrument, "Fell", "", None).unwrap();
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    store.add_photo(BY, job, &NewPhoto::default(), PNG).unwrap();
    store.add_quote(BY, job, &given("token")).unwrap();
    store.agree(BY, "token", &YES).unwrap();
    store
}

const WORDS: &[&[u8]] = &[
    b"PK\x03\x04",
    b"PK\x01\x02",
    b"PK\x05\x06",
    b"shop.sqlite",
    b"photos/",
    b"../../x",
    b"contents.json",
    b"SQLite format 3\0",
    b"\xff\xff\xff\xff",
    b"\0\0\0\0",
    b"{\"id\":1}",
    b"null",
    b"\"\"",
    b"-9223372036854775808",
    b"1e999",
    b"\\u0000",
    b"[[[[[[[[",
];

/// A backup, restored as it is and with what can be saved.
pub(crate) fn backups(bytes: &[u8]) {
    let trial = tempfile::tempdir().unwrap();
    let file = trial.path().join("b.zip");
    std::fs::write(&file, bytes).unwrap();
    for (salvage, folder) in [(false, "plain"), (true, "saved")] {
        let to = trial.path().join("in").join(folder);
        if Store::restore(&file, &to, How { passphrase: None, salvage }).is_ok() {
            let store = Store::open(&to).unwrap();
            let _ =
                (store.faults(), store.journal_faults(), store.damaged_photos(), store.customers("", 10), store.photos(1), store.survey(1));
        }
    }
    let beside: Vec<_> = std::fs::read_dir(trial.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(beside.iter().all(|n| n == "b.zip" || n == "in"), "{beside:?}");
}

/// A record whose database is this.
pub(crate) fn databases(bytes: &[u8]) {
    let trial = tempfile::tempdir().unwrap();
    let record = trial.path().join("record");
    std::fs::create_dir_all(record.join("photos")).unwrap();
    std::fs::write(record.join("shop.sqlite"), bytes).unwrap();
    if Store::restore(&record, &trial.path().join("saved"), How { passphrase: None, salvage: true }).is_ok() {
        Store::open(&trial.path().join("saved")).unwrap();
    }
    if let Ok(store) = Store::open(&record) {
        let _ = (store.faults(), store.journal_faults(), store.customers("", 10), store.survey(1), store.journal_latest(10));
        let _ = store.add_customer(BY, "One more", "", "", "");
    }
}

#[test]
fn every_backup() {
    let dir = tempfile::tempdir().unwrap();
    let store = shop(&dir.path().join("shop"));
    let plain = dir.path().join("a.zip");
    store.backup(&plain, None).unwrap();
    let whole = std::fs::read(&plain).unwrap();
    // The same unpacked: edits reach the database and not only what packs it.
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(&whole)).unwrap();
    let mut out = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let mut database = Vec::new();
    for i in 0..zip.len() {
        let mut entry = zip.by_index(i).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        std::io::copy(&mut entry, &mut bytes).unwrap();
        out.start_file(&name, zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored)).unwrap();
        out.write_all(&bytes).unwrap();
        if name == "shop.sqlite" {
            database = bytes;
        }
    }
    let stored = out.finish().unwrap().into_inner();
    fuzz::run("backups", &[whole, stored], WORDS, Duration::from_secs(20), backups);
    // The database itself, damaged where a changed sum of the zip would have refused it.
    fuzz::run("databases", &[database], WORDS, Duration::from_secs(20), databases);
}

/// An export, a line with its name before each file; whether it was taken.
pub(crate) fn exports(bytes: &[u8]) -> bool {
    let trial = tempfile::tempdir().unwrap();
    let folder = trial.path().join("export");
    std::fs::create_dir(&folder).unwrap();
    let mut out: Option<std::fs::File> = None;
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        match line.strip_prefix(b"#").map(String::from_utf8_lossy) {
            Some(name)
                if name.trim_end().bytes().all(|b| b.is_ascii_lowercase() || b"._".contains(&b)) && name.trim_end().ends_with(".jsonl") =>
            {
                out = std::fs::File::create(folder.join(name.trim_end())).ok();
            }
            _ => drop(out.as_mut().map(|o| o.write_all(line))),
        }
    }
    let store = Store::open(&trial.path().join("fresh")).unwrap();
    let taken = store.import(BY, &folder).is_ok();
    if taken {
        let _ = (store.customers("", 10), store.survey(1), store.steps(1), store.agreements_of(1), store.photos(1));
    } else {
        assert!(store.customers("", 10).unwrap().is_empty(), "half an import");
    }
    assert_eq!(store.faults().unwrap(), Vec::<String>::new());
    taken
}

#[test]
fn every_export() {
    let dir = tempfile::tempdir().unwrap();
    shop(&dir.path().join("shop")).export(&dir.path().join("export")).unwrap();
    // One file of all: a line with its name before each.
    let mut all = Vec::new();
    let mut names: Vec<_> = std::fs::read_dir(dir.path().join("export")).unwrap().map(|e| e.unwrap().path()).collect();
    names.retain(|n| n.extension().is_some_and(|e| e == "jsonl"));
    names.sort();
    for name in names {
        all.extend(format!("#{}\n", name.file_name().unwrap().to_str().unwrap()).into_bytes());
        all.extend(std::fs::read(&name).unwrap());
    }
    let taken = std::cell::Cell::new(0_u32);
    fuzz::run("exports", &[all], WORDS, Duration::from_secs(20), |bytes| taken.set(taken.get() + u32::from(exports(bytes))));
    assert!(taken.get() > 0, "none was taken, not even the sound one");
}

pub(crate) fn photos(bytes: &[u8]) {
    if let Ok((media, kept)) = picture::to_keep(bytes) {
        assert_eq!(picture::media_of(&kept), Some(media));
        // What is kept is kept again as it is.
        assert_eq!(picture::to_keep(&kept).unwrap().1, kept);
    }
}

#[test]
fn every_photo() {
    let mut jpeg = vec![0xFF, 0xD8, 0xFF, 0xE0, 0, 4, 1, 2, 0xFF, 0xE1, 0, 10];
    jpeg.extend(b"Exif\0\0MM");
    jpeg.extend([0xFF, 0xC0, 0, 11, 8, 0, 9, 0, 9, 1, 1, 0x11, 0, 0xFF, 0xDA, 0, 8, 1, 1, 0, 0, 63, 0, 1, 2, 3, 0xFF, 0, 4, 0xFF, 0xD9]);
    let mut webp = b"RIFF\x1e\0\0\0WEBPVP8L\x11\0\0\0\x2f\0\0\0\x10\x07\x10\x11\x11\x88\x88\xfe\x07\0".to_vec();
    webp.push(0);
    fuzz::run(
        "photos",
        &[PNG.to_vec(), jpeg, webp],
        &[b"IHDR", b"eXIf", b"tEXt", b"\xff\xe1", b"\xff\xd9", b"EXIF", b"\xff\xff\xff\xff"],
        Duration::from_secs(2),
        photos,
    );
}
