//! What a stranger or bad luck does to a backup, an export, a photo or the journal, and what holds.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{BY, PNG, YES, given};
use std::io::Write;
use std::path::{Path, PathBuf};
use store::agreements::Yes;
use store::backup::Saved;
use store::bench::{PlannedStep, StepAct};
use store::counter::{JobHead, NewInstrument};
use store::evidence::{CameFrom, Same};
use store::offers::NewQuote;
use store::people::PersonRole;
use store::photos::{NewPhoto, Sent};
use store::restore::How;
use store::{By, Store, StoreError};
use zip::write::SimpleFileOptions;

const SALVAGE: How<'static> = How { passphrase: None, salvage: true };

/// A shop with two photos of one job, and somebody signed in.
struct Shop {
    store: Store,
    job: i64,
    photos: [i64; 2],
    dir: tempfile::TempDir,
}

impl Shop {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(&dir.path().join("record")).unwrap();
        let person = store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "h").unwrap();
        store.open_session(BY, person, "127.0.0.1", ("the-session", "csrf"), i64::MAX).unwrap();
        store.signed_in(BY, person, "ottilie", "10.0.0.9", "the-tablet").unwrap();
        store.sign_in_failed(BY.at, "ottilie", "10.0.0.9").unwrap();
        let customer = store.add_customer(BY, "Juniper Vale", "555-0102", "", "").unwrap();
        let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
        let job = store.add_job(BY, instrument, "Fell", "", None).unwrap();
        let photo = |bytes: &[u8]| match store.add_photo(BY, job, &NewPhoto::default(), bytes).unwrap() {
            Sent::Kept(id, _) => id,
            Sent::DentNotYet => panic!("no photo"),
        };
        let photos = [photo(PNG), photo(&jpeg(64))];
        Self { store, job, photos, dir }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn photo_file(&self, which: usize) -> PathBuf {
        let all = self.store.photos(self.job).unwrap();
        self.at("record/photos").join(&all.iter().find(|p| p.id == self.photos[which]).unwrap().hash)
    }

    fn backup(&self) -> (PathBuf, Saved) {
        let to = self.at("monday.zip");
        let saved = self.store.backup(&to, None).unwrap();
        (to, saved)
    }
}

/// A picture of so many pixels a side, as far as its header says.
fn jpeg(side: u16) -> Vec<u8> {
    let mut b = vec![0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8];
    b.extend([side.to_be_bytes(), side.to_be_bytes()].concat());
    b.extend([1, 1, 0x11, 0, 0xFF, 0xD9]);
    b
}

fn zip_of(to: &Path, entries: &[(&str, &[u8])]) {
    let mut zip = zip::ZipWriter::new(std::fs::File::create(to).unwrap());
    for (name, bytes) in entries {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap();
}

fn entries(of: &Path) -> Vec<(String, Vec<u8>)> {
    let mut zip = zip::ZipArchive::new(std::fs::File::open(of).unwrap()).unwrap();
    (0..zip.len())
        .map(|i| {
            let mut entry = zip.by_index(i).unwrap();
            let mut bytes = Vec::new();
            std::io::copy(&mut entry, &mut bytes).unwrap();
            (entry.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

fn count(folder: &Path, table: &str) -> i64 {
    let c = rusqlite::Connection::open(folder.join("shop.sqlite")).unwrap();
    c.query_row(&format!("SELECT count(*) FROM {table}"), [], |r| r.get(0)).unwrap()
}

fn error<T: std::fmt::Debug>(what: Result<T, StoreError>) -> String {
    what.unwrap_err().to_string()
}

#[test]
fn a_damaged_photo_is_named_when_the_backup_is_made_and_the_rest_comes_back() {
    let shop = Shop::new();
    std::fs::write(shop.photo_file(1), b"not what it was").unwrap();
    let (zip, saved) = shop.backup();
    assert_eq!((saved.photos, saved.missing.len()), (1, 1));
    assert!(saved.missing[0].contains("photo 2 of job 1") && saved.missing[0].contains("damaged"), "{:?}", saved.missing);
    let lost = Store::restore(&zip, &shop.at("fresh"), How::default()).unwrap();
    assert!(lost.len() == 1 && lost[0].contains("photo 2 of job 1"), "{lost:?}");
    let restored = Store::open(&shop.at("fresh")).unwrap();
    assert_eq!(restored.photo(shop.job, shop.photos[0]).unwrap().1, PNG);
    assert!(restored.photo(shop.job, shop.photos[1]).is_err());
    // One that is gone altogether.
    std::fs::remove_file(shop.photo_file(1)).unwrap();
    assert!(shop.backup().1.missing[0].contains("gone"));
}

#[test]
fn a_damaged_database_is_told_when_the_backup_is_made_and_its_rows_are_saved() {
    let shop = Shop::new();
    for i in 0..400 {
        shop.store.add_customer(BY, &format!("Customer {i} {}", "x".repeat(300)), "", "", "").unwrap();
    }
    shop.store.tidy().unwrap();
    let Shop { store, dir, .. } = shop;
    drop(store);
    let file = dir.path().join("record/shop.sqlite");
    rusqlite::Connection::open(&file).unwrap().query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
    // A leaf of the customers' table, found by what stands on it.
    let page = std::fs::read(&file).unwrap().windows(13).position(|w| w == b"Customer 200 ").unwrap() / 4096;
    let mut bytes = std::fs::read(&file).unwrap();
    bytes[page * 4096..page * 4096 + 4096].fill(0xA5);
    std::fs::write(&file, bytes).unwrap();
    let store = Store::open_to_read(&dir.path().join("record")).unwrap();
    let zip = dir.path().join("monday.zip");
    let saved = store.backup(&zip, None).unwrap();
    assert!(saved.missing.iter().any(|m| m.contains("database is damaged")), "{:?}", saved.missing);
    let fresh = dir.path().join("fresh");
    assert!(error(Store::restore(&zip, &fresh, How::default())).contains("--salvage"));
    let lost = Store::restore(&zip, &fresh, SALVAGE).unwrap();
    assert!(!lost.is_empty());
    let kept = Store::open(&fresh).unwrap();
    let customers = kept.customers("Customer", 1000).unwrap().len();
    println!("{customers} of 400 customers saved; told: {lost:?}");
    assert!((350..=400).contains(&customers), "{customers}");
    assert_eq!(kept.faults().unwrap(), Vec::<String>::new());
}

#[test]
fn an_empty_or_a_foreign_zip_is_no_shop() {
    let shop = Shop::new();
    let zip = shop.at("x.zip");
    let other = {
        let c = rusqlite::Connection::open(shop.at("other.sqlite")).unwrap();
        c.execute_batch("CREATE TABLE songs (id INTEGER); PRAGMA user_version = 3;").unwrap();
        drop(c);
        std::fs::read(shop.at("other.sqlite")).unwrap()
    };
    for (entries, why) in [
        (vec![], "no shop's record"),
        (vec![("shop.sqlite", &b""[..])], "no shop's record"),
        (vec![("shop.sqlite", &b"SQLite format 3\0 and nonsense"[..])], "x.zip"),
        (vec![("shop.sqlite", &other[..])], "no shop's record"),
        (vec![("holiday.jpg", PNG)], "no backup has"),
        (vec![("../shop.sqlite", PNG)], "no backup has"),
        (vec![("photos/../../x", PNG)], "no backup has"),
    ] {
        zip_of(&zip, &entries);
        for how in [How::default(), SALVAGE] {
            let error = error(Store::restore(&zip, &shop.at("fresh"), how));
            assert!(error.contains(why), "{error}");
            assert!(!shop.at("fresh/shop.sqlite").exists());
            assert_eq!(std::fs::read_dir(shop.at("fresh")).unwrap().count(), 0, "nothing is left behind");
        }
    }
}

#[test]
fn who_is_signed_in_does_not_come_alive_again() {
    let shop = Shop::new();
    let (zip, _) = shop.backup();
    let inside = entries(&zip).into_iter().find(|(name, _)| name == "shop.sqlite").unwrap().1;
    std::fs::create_dir(shop.at("inside")).unwrap();
    std::fs::write(shop.at("inside/shop.sqlite"), inside).unwrap();
    Store::restore(&zip, &shop.at("fresh"), How::default()).unwrap();
    for folder in ["inside", "fresh"] {
        for table in ["sessions", "known_tablets", "sign_in_failures"] {
            assert_eq!(count(&shop.at(folder), table), 0, "{folder} {table}");
        }
        assert_eq!(count(&shop.at(folder), "people"), 1);
    }
    assert!(Store::open(&shop.at("fresh")).unwrap().session("the-session", BY.at).unwrap().is_none());
    // A backup of before, with sessions in it, neither.
    let record = shop.at("old/record");
    std::fs::create_dir_all(&record).unwrap();
    let c = rusqlite::Connection::open(shop.at("record/shop.sqlite")).unwrap();
    c.execute("VACUUM INTO ?1", [record.join("shop.sqlite").display().to_string()]).unwrap();
    let old = std::fs::read(record.join("shop.sqlite")).unwrap();
    let mut parts: Vec<(String, Vec<u8>)> = entries(&zip).into_iter().filter(|(n, _)| n.starts_with("photos/")).collect();
    parts.push(("shop.sqlite".to_owned(), old));
    zip_of(&zip, &parts.iter().map(|(n, b)| (n.as_str(), &b[..])).collect::<Vec<_>>());
    Store::restore(&zip, &shop.at("again"), How::default()).unwrap();
    assert_eq!(count(&shop.at("again"), "sessions"), 0);
}

#[test]
fn a_backup_is_sealed_by_a_passphrase_and_shows_nothing() {
    let shop = Shop::new();
    let to = shop.at("monday.zip.age");
    assert!(shop.store.backup(&to, Some("brass and solder")).unwrap().missing.is_empty());
    let bytes = std::fs::read(&to).unwrap();
    assert!(store::backup::is_sealed(&to).unwrap());
    assert!(!bytes.windows(12).any(|w| w == b"Juniper Vale") && !bytes.windows(4).any(|w| w == b"PK\x03\x04"));
    let how = |passphrase| How { passphrase, salvage: false };
    assert!(error(Store::restore(&to, &shop.at("fresh"), how(None))).contains("sealed"));
    assert!(error(Store::restore(&to, &shop.at("fresh"), how(Some("brass and flux")))).contains("passphrase"));
    Store::restore(&to, &shop.at("fresh"), how(Some("brass and solder"))).unwrap();
    assert_eq!(Store::open(&shop.at("fresh")).unwrap().customers("Juniper", 9).unwrap().len(), 1);
    // Nothing plain is left beside the record either.
    let left: Vec<_> = std::fs::read_dir(shop.at("record")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(!left.iter().any(|n| n.to_string_lossy().starts_with(".backup")), "{left:?}");
}

#[test]
fn of_a_backup_that_was_cut_short_the_whole_entries_are_saved() {
    let shop = Shop::new();
    let (zip, _) = shop.backup();
    let whole = std::fs::read(&zip).unwrap();
    // Without its end: no list of what it holds.
    std::fs::write(&zip, &whole[..whole.len() - 100]).unwrap();
    assert!(error(Store::restore(&zip, &shop.at("fresh"), How::default())).contains("--salvage"));
    let lost = Store::restore(&zip, &shop.at("fresh"), SALVAGE).unwrap();
    assert!(lost[0].contains("cut short"), "{lost:?}");
    let restored = Store::open(&shop.at("fresh")).unwrap();
    assert_eq!(restored.photo(shop.job, shop.photos[0]).unwrap().1, PNG);
    assert_eq!(restored.customers("Juniper", 9).unwrap().len(), 1);
}

#[test]
fn a_small_file_that_unpacks_to_gigabytes_is_refused() {
    let shop = Shop::new();
    let zip = shop.at("bomb.zip");
    let mut out = zip::ZipWriter::new(std::fs::File::create(&zip).unwrap());
    out.start_file("shop.sqlite", SimpleFileOptions::default().large_file(true)).unwrap();
    let nothing = vec![0_u8; 1 << 20];
    for _ in 0..300 {
        out.write_all(&nothing).unwrap();
    }
    out.finish().unwrap();
    let packed = std::fs::metadata(&zip).unwrap().len();
    assert!(packed < 400_000, "{packed}");
    for how in [How::default(), SALVAGE] {
        assert!(error(Store::restore(&zip, &shop.at("fresh"), how)).contains("unpacks to more"));
        assert_eq!(std::fs::read_dir(shop.at("fresh")).unwrap().count(), 0);
    }
}

#[test]
fn a_crafted_backup_or_import_reads_no_file_of_the_machine() {
    let shop = Shop::new();
    std::fs::write(shop.at("secret"), PNG).unwrap();
    // A backup whose record names a file outside as a photo.
    let c = rusqlite::Connection::open(shop.at("record/shop.sqlite")).unwrap();
    c.execute("UPDATE photos SET hash = '../../secret', media = 'text/html' WHERE id = 1", []).unwrap();
    drop(c);
    let error_of = |store: &Store| error(store.photo(shop.job, 1));
    assert!(error_of(&shop.store).contains("no name of a photo"), "the record itself: {}", error_of(&shop.store));
    let (zip, saved) = shop.backup();
    assert!(saved.missing.iter().any(|m| m.contains("photo 1 of job 1 is gone")), "{:?}", saved.missing);
    let refused = error(Store::restore(&zip, &shop.at("fresh"), How::default()));
    assert!(refused.contains("photos, row 1: hash"), "{refused}");
    // Salvage leaves the row out and says so: a damaged field must not cost the whole record, and what it names is never looked at.
    let lost = Store::restore(&zip, &shop.at("fresh"), SALVAGE).unwrap();
    assert!(lost.iter().any(|l| l.contains("photos, row 1: hash")), "{lost:?}");
    let saved = Store::open(&shop.at("fresh")).unwrap();
    assert_eq!(saved.photos(shop.job).unwrap().iter().map(|p| p.id).collect::<Vec<_>>(), [2]);
    assert!(saved.photo(shop.job, 1).is_err());
    // An export with it, and with a link in place of a photo.
    let folder = shop.at("export");
    shop.store.export(&folder).unwrap();
    let other = Store::open(&shop.at("other")).unwrap();
    let error = error(other.import(BY, &folder));
    assert!(error.contains("photos.jsonl, line 1") && error.contains("hash"), "{error}");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(shop.at("secret"), folder.join("photos").join("a".repeat(64))).unwrap();
        assert!(self::error(other.import(BY, &folder)).contains("no photo's file"));
    }
    assert!(other.customers("", 9).unwrap().is_empty());
}

#[test]
fn every_field_of_an_import_is_checked_as_input_is() {
    for (file, from, to, why) in [
        ("instruments", "T00001", "T1\\\"><script>", "tag"),
        ("photos", "image/png", "text/html", "media"),
        ("people", "\"owner\"", "\"emperor\"", "CHECK"),
        ("jobs", "\"received\"", "\"lost\"", "CHECK"),
        ("customers", "Juniper Vale", "Juniper\\u0000Vale", "name"),
        ("dents", "{}", "{", "body"),
    ] {
        let shop = Shop::new();
        shop.store.save_dent(BY, shop.job, "d1", 0, "{}").unwrap();
        shop.store.set_setting(BY, "x", "y").unwrap();
        let folder = shop.at("export");
        shop.store.export(&folder).unwrap();
        let path = folder.join(format!("{file}.jsonl"));
        let text = std::fs::read_to_string(&path).unwrap();
        let text = if file == "jobs" { text.replace("\"surveyed\"", to) } else { text.replace(from, to) };
        std::fs::write(&path, text).unwrap();
        let other = Store::open(&shop.at("other")).unwrap();
        let error = error(other.import(BY, &folder));
        assert!(error.contains(&format!("{file}.jsonl, line 1")) && error.contains(why), "{error}");
    }
    // What a body must be, whoever defines it says.
    let shop = Shop::new();
    shop.store.save_dent(BY, shop.job, "d1", 0, "{}").unwrap();
    shop.store.export(&shop.at("export")).unwrap();
    let other = Store::open(&shop.at("other")).unwrap();
    let no_dent = |table: &str, _: &str, _: &str| if table == "dents" { Err("that is no dent".to_owned()) } else { Ok(()) };
    let error = error(other.import_read(BY, &shop.at("export"), &no_dent));
    assert!(error.contains("dents.jsonl, line 1") && error.contains("no dent"), "{error}");
}

#[cfg(unix)]
#[test]
fn folder_and_files_are_this_accounts_alone() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let shop = Shop::new();
    let (zip, _) = shop.backup();
    shop.store.export(&shop.at("export")).unwrap();
    for folder in ["record", "record/photos", "export"] {
        assert_eq!(mode(&shop.at(folder)), 0o700, "{folder}");
    }
    for file in [shop.at("record/shop.sqlite"), shop.at("record/shop.sqlite-wal"), shop.photo_file(0), zip, shop.at("export/people.jsonl")]
    {
        assert_eq!(mode(&file), 0o600, "{}", file.display());
    }
    // A record that lay open before is closed when it is opened.
    std::fs::set_permissions(shop.at("record"), std::fs::Permissions::from_mode(0o755)).unwrap();
    std::fs::set_permissions(shop.at("record/shop.sqlite"), std::fs::Permissions::from_mode(0o644)).unwrap();
    drop(Store::open(&shop.at("record")).unwrap());
    assert_eq!((mode(&shop.at("record")), mode(&shop.at("record/shop.sqlite"))), (0o700, 0o600));
}

#[test]
fn a_picture_that_claims_to_be_huge_is_not_kept() {
    let shop = Shop::new();
    let error = error(shop.store.add_photo(BY, shop.job, &NewPhoto::default(), &jpeg(30_000)));
    assert!(error.contains("30000 × 30000"), "{error}");
    assert_eq!(shop.store.photos(shop.job).unwrap().len(), 2);
}

#[test]
fn a_backup_changes_nothing_of_the_record_not_even_its_schema() {
    let dir = tempfile::tempdir().unwrap();
    let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
    raw.execute_batch(include_str!("../migrations/001_shop.sql")).unwrap();
    raw.execute_batch("INSERT INTO customers (id, name) VALUES (1, 'Fen Road'); PRAGMA user_version = 1;").unwrap();
    std::fs::create_dir(dir.path().join("photos")).unwrap();
    let out = tempfile::tempdir().unwrap();
    let zip = out.path().join("monday.zip");
    let saved = Store::open_to_read(dir.path()).unwrap().backup(&zip, None).unwrap();
    assert_eq!(saved.missing, Vec::<String>::new());
    let version: i64 = raw.query_row("PRAGMA user_version", [], |r| r.get(0)).unwrap();
    assert_eq!(version, 1);
    Store::restore(&zip, &out.path().join("fresh"), How::default()).unwrap();
    assert_eq!(Store::open(&out.path().join("fresh")).unwrap().customers("Fen", 9).unwrap().len(), 1);
    // Brought up to date in its own place, a copy of what it was stays.
    drop(Store::open(dir.path()).unwrap());
    let copy = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    assert!(copy.into_iter().any(|n| n.starts_with("before-schema-")));
    assert!(Store::open_to_read(&out.path().join("nothing here")).is_err());
}

#[test]
fn an_export_brings_its_journal_and_the_chain_holds() {
    let shop = Shop::new();
    let folder = shop.at("export");
    shop.store.export(&folder).unwrap();
    let other = Store::open(&shop.at("other")).unwrap();
    assert_eq!(other.import(BY, &folder).unwrap(), Vec::<String>::new());
    let all = shop.store.journal_latest(1000).unwrap();
    let come: Vec<_> = other.journal_latest(1000).unwrap().into_iter().filter(|e| e.id <= all[0].id).collect();
    assert_eq!(come, all);
    assert_eq!(other.journal_faults().unwrap(), Vec::<String>::new());
    // A line that was changed on the way is told.
    let path = folder.join("journal.jsonl");
    let text = std::fs::read_to_string(&path).unwrap().replacen("555-0102", "555-0199", 1);
    std::fs::write(&path, text).unwrap();
    let third = Store::open(&shop.at("third")).unwrap();
    let told = third.import(BY, &folder).unwrap();
    assert!(told.len() == 1 && told[0].contains("was changed"), "{told:?}");
}

#[test]
fn whoever_changes_the_journal_with_a_tool_of_their_own_is_noticed_at_start() {
    for (act, what) in [
        ("UPDATE journal SET who = 'wren' WHERE id = 3", "line 3 of the journal was changed"),
        ("UPDATE journal SET after = '{}' WHERE id = 3", "line 3 of the journal was changed"),
        ("DELETE FROM journal WHERE id = 3", "line 3 of the journal is gone"),
        ("UPDATE journal_chain SET salt = NULL WHERE id = 3", "erased and no redaction"),
        ("INSERT INTO journal (id, at, who, act, record, row) VALUES (900, 1, 'x', 'insert', 'x', 1)", "not written by this program"),
        ("DROP TRIGGER journal_customers_update; UPDATE customers SET name = 'Nobody'", "journal_customers_update"),
    ] {
        let shop = Shop::new();
        let Shop { store, dir, .. } = shop;
        drop(store);
        let record = dir.path().join("record");
        assert_eq!(Store::open(&record).unwrap().noticed(), Vec::<String>::new());
        let c = rusqlite::Connection::open(record.join("shop.sqlite")).unwrap();
        c.execute_batch("DROP TRIGGER journal_is_append_only_u; DROP TRIGGER journal_is_append_only_d;").unwrap();
        c.execute_batch(act).unwrap();
        let told = Store::open(&record).unwrap().noticed().join("\n");
        assert!(told.contains(what) && told.contains("journal_is_append_only_u"), "{act}: {told}");
        // The guards stand again.
        assert!(c.execute("DELETE FROM journal", []).unwrap_err().to_string().contains("append-only"));
    }
}

/// Every byte of the record's folder, for a search.
fn everything(folder: &Path) -> Vec<u8> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        all.extend(if path.is_dir() { everything(&path) } else { std::fs::read(&path).unwrap() });
    }
    all
}

#[test]
fn a_customer_is_erased_down_to_the_bytes_and_the_chain_still_holds() {
    let shop = Shop::new();
    let Shop { store, job, .. } = &shop;
    let mut customer = store.customer(1).unwrap();
    "Beatrix Quillfeather, 12 Fen Road".clone_into(&mut customer.note);
    "bea@quill.example".clone_into(&mut customer.email);
    "Beatrix Quillfeather".clone_into(&mut customer.name);
    store.change_customer(BY, &customer).unwrap();
    let head = JobHead { title: "Fell at Quillfeather's", words: "Quillfeather: my son fell over it", due: None, bench: None };
    store.change_job(BY, *job, store.job(*job).unwrap().version, &head).unwrap();
    store.set_accessories(BY, *job, store.job(*job).unwrap().version, &["case of Quillfeather"]).unwrap();
    // The survey names the customer, and so does what was agreed: it is kept by its content.
    let survey = r#"{"version":2,"survey":{"title":"Quillfeather's tuba","customer":"Beatrix Quillfeather","serial":"T 4711"}}"#;
    store.save_survey_body(BY, *job, 0, survey).unwrap();
    store.save_dent(BY, *job, "d1", 0, r#"{"typed":{"note":"Quillfeather sat on it"},"dent":{"depth_mm":2.5}}"#).unwrap();
    store.add_overrule(BY, *job, "{}", "Quillfeather wants it so").unwrap();
    let ground = store.keep_content(BY, "application/json", survey.as_bytes()).unwrap();
    let made_from = format!(r#"{{"survey":"{ground}","day":"2026-11-26"}}"#);
    store.add_quote(BY, *job, &NewQuote { made_from: Some(&made_from), ..given("link") }).unwrap();
    let paper = &b"%PDF signed by Quillfeather"[..];
    let from = CameFrom { address: "10.9.8.7", browser: "Quillfeather's browser", under: "" };
    let yes = Yes { name: "B. Quillfeather", signature: "M1 2L77 88", paper: Some(paper), from, ..YES };
    store.agree(BY, "link", &yes).unwrap();
    let quote = store.quotes_of(*job).unwrap()[0].id;
    assert_eq!(store.is_as_answered(quote).unwrap(), Same::Yes);
    store.add_payment(BY, *job, "100.00", "cash", "from Quillfeather").unwrap();
    let other = store.add_customer(BY, "Somebody Else", "555-0199", "", "").unwrap();
    let why = error(store.erase_customer(BY, 1, "asked by letter"));
    assert!(why.contains("still open"), "{why}");
    store.import_job_state(BY, *job, store::counter::JobState::HandedBack).unwrap();
    assert!(error(store.erase_customer(BY, 1, " ")).contains("say why"));
    assert!(error(store.erase_customer(BY, 99, "x")).contains("no customer 99"));
    // All of it is given out first.
    store.export_customer(1, &shop.at("given")).unwrap();
    let json = std::fs::read_to_string(shop.at("given/customer.json")).unwrap();
    for part in ["Quillfeather: my son", "bea@quill.example", "M1 2L77 88", "from Quillfeather", "sat on it", "10.9.8.7"] {
        assert!(json.contains(part), "{part}");
    }
    assert!(!json.contains("Somebody Else") && !json.contains("link_hash") && !json.contains("link_sealed"));
    assert!(std::fs::read(shop.at("given/agreement-1.pdf")).unwrap().ends_with(b"Quillfeather"));
    assert_eq!(std::fs::read(shop.at("given/photos/1.png")).unwrap(), PNG);
    // Then it is erased.
    let erased = store.erase_customer(By { who: "ottilie", at: BY.at + 9 }, 1, "asked by letter").unwrap();
    assert!(erased.lines >= 6 && erased.papers == 1, "{erased:?}");
    let left = everything(&shop.at("record"));
    for part in ["Quillfeather", "bea@quill", "M1 2L77 88", "Juniper Vale", "555-0102", "10.9.8.7", "sat on it"] {
        assert!(!left.windows(part.len()).any(|w| w == part.as_bytes()), "{part} is still there");
    }
    // The books stand, others stand, the chain holds and names who erased and why.
    assert_eq!(store.payments(*job).unwrap()[0].amount, "100.00");
    let agreement = store.agreements_of(*job).unwrap().remove(0);
    assert_eq!(agreement.total, "100.00");
    // What it was made from is still found, with the measurements and the serial number.
    let ground: serde_json::Value = serde_json::from_str(&agreement.made_from).unwrap();
    let survey = String::from_utf8(store.content(ground["survey"].as_str().unwrap()).unwrap()).unwrap();
    assert!(survey.contains("T 4711"), "{survey}");
    assert!(store.survey(*job).unwrap().unwrap().1[0].saved.body.contains("2.5"));
    assert_eq!(store.is_as_answered(quote).unwrap(), Same::Erased);
    assert_eq!(store.customer(other).unwrap().phone, "555-0199");
    assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new());
    let line = store.journal_latest(50).unwrap().into_iter().find(|e| e.record == "redactions").unwrap();
    assert!(line.who == "ottilie" && line.after.unwrap().contains("asked by letter"));
    assert!(Store::open(&shop.at("record")).unwrap().noticed().is_empty());
    // Backup and export carry it.
    shop.backup();
    Store::restore(&shop.at("monday.zip"), &shop.at("fresh"), How::default()).unwrap();
    assert!(Store::open(&shop.at("fresh")).unwrap().journal_faults().unwrap().is_empty());
    store.export(&shop.at("export")).unwrap();
    assert_eq!(Store::open(&shop.at("other")).unwrap().import(BY, &shop.at("export")).unwrap(), Vec::<String>::new());
    // A line that is blanked without a redaction that names it shows: the redaction's own list is a journal line, too.
    let c = rusqlite::Connection::open(shop.at("record/shop.sqlite")).unwrap();
    let last = "UPDATE journal_chain SET salt = NULL WHERE id = (SELECT max(id) FROM journal)";
    c.execute(last, []).unwrap();
    assert!(store.journal_faults().unwrap()[0].contains("no redaction"));
}

#[test]
fn a_clock_that_is_set_becomes_no_work_time() {
    let shop = Shop::new();
    let Shop { store, job, .. } = &shop;
    store.save_dent(BY, *job, "d1", 0, "{}").unwrap();
    store.import_job_state(BY, *job, store::counter::JobState::OnBench).unwrap();
    let step = |key, at: i64, act| {
        let planned = PlannedStep { key, kind: "dent", what: "Remove d1", likely_s: 600, timed_by: "" };
        store.act_on_step(By { who: "ottilie", at: BY.at + at }, *job, &planned, 1, act).unwrap().0
    };
    // Set on by five hours while a timer runs: ten minutes stay ten minutes, and they are marked.
    step("a", 0, StepAct::Start);
    assert_eq!(store.clock_jumped(By { who: "clock", at: BY.at }, 5 * 3600).unwrap(), 1);
    let a = step("a", 5 * 3600 + 600, StepAct::Tick);
    assert_eq!((a.spent_s, a.doubtful), (600, true));
    // Set back by two hours.
    step("b", 0, StepAct::Start);
    store.clock_jumped(By { who: "clock", at: BY.at }, -7200).unwrap();
    let b = step("b", 600 - 7200, StepAct::Tick);
    assert_eq!((b.spent_s, b.doubtful), (600, true));
    // Nobody saw it jump: never less than nothing, and what nobody works in one go is marked.
    step("c", 0, StepAct::Start);
    let c = step("c", -3600, StepAct::Pause);
    assert_eq!((c.spent_s, c.doubtful), (0, true));
    step("d", 0, StepAct::Start);
    assert!(step("d", 13 * 3600, StepAct::Tick).doubtful);
    // A day's work is believed; quotes learn from it and not from the others, until somebody sets their time.
    step("e", 0, StepAct::Start);
    assert!(!step("e", 9 * 3600, StepAct::Tick).doubtful);
    let learned = |store: &Store| store.times_taken(99).unwrap().iter().map(|t| t.spent_s).collect::<Vec<_>>();
    assert_eq!(learned(store), [9 * 3600]);
    store.correct_time(BY, *job, "a", 900, "looked at the wall").unwrap();
    assert!(learned(store).contains(&900));
    // Starting another step stops the first by the same rule.
    step("f", 0, StepAct::Start);
    step("g", -60, StepAct::Start);
    let f = store.steps(*job).unwrap().into_iter().find(|s| s.key == "f").unwrap();
    assert_eq!((f.spent_s, f.doubtful), (0, true));
}
