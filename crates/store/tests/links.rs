//! Customers' links and answers: what the record keeps of a link, what opens it, and whether what was answered is what stands there.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{BY, PNG, YES, given, steps};
use std::path::Path;
use store::Store;
use store::agreements::{SaidHow, Yes};
use store::counter::NewInstrument;
use store::evidence::{CameFrom, Same};
use store::links::LinkState;
use store::people::PersonRole;
use store::photos::NewPhoto;
use store::restore::How;

/// As long as the links that the program makes, and as an earlier one kept it.
const TOKEN: &str = "Zq3-f_8RkM2vTn7wXc5bLp0dHs6gJy1aUe4iOo9QxKr";

/// A shop with a quote out behind [`TOKEN`].
fn shop(folder: &Path) -> (Store, i64) {
    let store = Store::open(folder).unwrap();
    let customer = store.add_customer(BY, "Fen Road", "", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(BY, instrument, "Fell", "", None).unwrap();
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    store.add_quote(BY, job, &given(TOKEN)).unwrap();
    (store, job)
}

fn holds(folder: &Path, what: &str) -> bool {
    std::fs::read_dir(folder).unwrap().any(|entry| {
        let path = entry.unwrap().path();
        if path.is_dir() { holds(&path, what) } else { std::fs::read(&path).unwrap().windows(what.len()).any(|w| w == what.as_bytes()) }
    })
}

#[test]
fn no_link_stands_in_record_backup_or_export() {
    let dir = tempfile::tempdir().unwrap();
    let (record, out) = (dir.path().join("record"), dir.path().join("out"));
    let (store, job) = shop(&record);
    assert_eq!(store.quotes_of(job).unwrap()[0].token.as_deref(), Some(TOKEN), "the shop can show it again");
    assert_eq!(store.quote_by_token(TOKEN).unwrap().job, job);
    store.tidy().unwrap();
    std::fs::create_dir(&out).unwrap();
    store.export(&out.join("export")).unwrap();
    store.backup(&out.join("monday.zip"), None).unwrap();
    Store::restore(&out.join("monday.zip"), &out.join("fresh"), How::default()).unwrap();
    for folder in [&record, &out] {
        assert!(!holds(folder, TOKEN), "{}", folder.display());
    }
    assert!(record.join("sealing.key").exists() && !out.join("fresh/sealing.key").exists());
    // Put back elsewhere, what the customer was sent still opens it; the shop cannot show it, and makes a new one.
    let elsewhere = Store::open(&out.join("fresh")).unwrap();
    assert_eq!(elsewhere.quote_by_token(TOKEN).unwrap().job, job);
    let there = elsewhere.quotes_of(job).unwrap().remove(0);
    assert_eq!(there.token, None);
    elsewhere.renew_link(BY, job, there.id, "another-link").unwrap();
    assert_eq!(elsewhere.quotes_of(job).unwrap()[0].token.as_deref(), Some("another-link"));
    assert!(elsewhere.quote_by_token(TOKEN).is_err() && elsewhere.quote_by_token("another-link").is_ok());
    // So does an import; one of before links were hashed brings them in plain.
    let other = Store::open(&out.join("other")).unwrap();
    let file = out.join("export/quotes.jsonl");
    let mut row: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
    for new in ["link_hash", "link_sealed", "link_revoked", "links_made", "answered_from", "answered_with", "answered_under"] {
        assert!(row.as_object_mut().unwrap().remove(new).is_some(), "{new}");
    }
    row["token"] = TOKEN.into();
    std::fs::write(&file, row.to_string()).unwrap();
    other.import(BY, &out.join("export")).unwrap();
    assert_eq!(other.quote_by_token(TOKEN).unwrap().job, job);
    assert!(!holds(&out.join("other"), TOKEN));
}

/// How many steps the schema had before links were hashed.
const BEFORE: usize = 11;

#[test]
fn links_that_were_sent_before_go_on_to_open_what_they_opened() {
    let dir = tempfile::tempdir().unwrap();
    let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
    steps()[..BEFORE].iter().for_each(|step| raw.execute_batch(step).unwrap());
    raw.execute_batch(&format!(
        "INSERT INTO customers (id, name) VALUES (1, 'Fen Road');
         INSERT INTO instruments (id, customer, kind, tag) VALUES (1, 1, 'tuba', 'T00001');
         INSERT INTO jobs (id, instrument, title, state, received_at) VALUES (1, 1, 'Fell', 'quoted', 1);
         INSERT INTO quotes (job, token, body, made_at) VALUES (1, '{TOKEN}', '{{}}', 1);
         PRAGMA user_version = {BEFORE};"
    ))
    .unwrap();
    drop(raw);
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.quote_by_token(TOKEN).unwrap().job, 1);
    assert_eq!(store.quotes_of(1).unwrap()[0].token.as_deref(), Some(TOKEN));
    assert!(store.quote_by_token("something else").is_err());
    // It is no change of what the shop knows.
    assert!(store.journal_latest(9).unwrap().is_empty() && store.journal_faults().unwrap().is_empty());
    drop(store);
    let again = Store::open(dir.path()).unwrap();
    assert!(again.noticed().is_empty() && again.quote_by_token(TOKEN).is_ok());
    // The record itself holds it no more; the copy from before the schema changed does, and stays in the folder.
    again.tidy().unwrap();
    let bytes = std::fs::read(dir.path().join("shop.sqlite")).unwrap();
    assert!(!bytes.windows(TOKEN.len()).any(|w| w == TOKEN.as_bytes()));
}

#[test]
fn a_link_is_closed_and_made_anew_in_the_journal() {
    let dir = tempfile::tempdir().unwrap();
    let (store, job) = shop(dir.path());
    let id = store.quotes_of(job).unwrap()[0].id;
    let state = |token: &str| store.link_state(&store.quote_by_token(token).unwrap()).unwrap();
    assert_eq!(state(TOKEN), LinkState::Holds);
    store.revoke_link(BY, job, id).unwrap();
    assert_eq!(state(TOKEN), LinkState::Revoked);
    let line = store.journal_latest(1).unwrap().remove(0);
    assert!(line.record == "quotes" && line.after.as_deref().unwrap().contains("\"link_revoked\":1"));
    for part in [TOKEN, "link_hash", "link_sealed"] {
        assert!(!line.after.as_deref().unwrap().contains(part));
    }
    // Nobody answers through it; by word of mouth the quote can still be answered.
    let why = store.agree(BY, TOKEN, &YES).unwrap_err().to_string()
        + &store.decline(BY, TOKEN, "A", "", CameFrom::default()).unwrap_err().to_string();
    assert_eq!(why.matches("closed").count(), 2, "{why}");
    assert!(store.revoke_link(BY, job + 1, id).is_err() && store.renew_link(BY, job + 1, id, "x").is_err());
    store.renew_link(BY, job, id, "second").unwrap();
    assert_eq!(state("second"), LinkState::Holds);
    assert!(store.quote_by_token(TOKEN).is_err());
    assert!(store.journal_latest(1).unwrap()[0].after.as_deref().unwrap().contains("\"links_made\":2"));
    store.replace_quote(BY, job, &given("newer")).unwrap();
    assert_eq!((state("second"), state("newer")), (LinkState::Superseded, LinkState::Holds));
    store.withdraw_quote(BY, job).unwrap();
    assert_eq!((state("second"), state("newer")), (LinkState::Holds, LinkState::Withdrawn));
    store.revoke_link(BY, job, id).unwrap();
    store.agree_to(BY, id, &Yes { how: SaidHow::Telephone, taken_by: "Ottilie", ..YES }).unwrap();
}

#[test]
fn how_an_answer_came_is_kept_and_whoever_changes_what_was_answered_is_told() {
    let from = CameFrom { address: "192.168.7.31", browser: &"Browser\n/1.0 ".repeat(40), under: "Wren" };
    for (act, why) in [
        ("SELECT 1", None),
        ("UPDATE quotes SET body = '{\"x\":1}'", Some("text, dates or amount")),
        ("UPDATE quotes SET valid_until = '2030-01-01'", Some("text, dates or amount")),
        ("UPDATE quotes SET chosen = 'good'", Some("text, dates or amount")),
        ("UPDATE quotes SET made_from = '{\"survey\":1}'", Some("text, dates or amount")),
        ("UPDATE agreements SET total = '900.00'", Some("text, dates or amount")),
        ("UPDATE agreements SET paper = plan", Some("another than the one that was signed")),
        ("UPDATE agreements SET paper = NULL", Some("paper that was signed is gone")),
        ("DROP TRIGGER contents_stay_u; UPDATE contents SET body = x'00' WHERE media = 'application/pdf'", Some("damaged or gone")),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let (store, job) = shop(dir.path());
        store.agree(BY, TOKEN, &Yes { paper: Some(b"%PDF as signed"), from, ..YES }).unwrap();
        let q = store.quotes_of(job).unwrap().remove(0);
        assert_eq!((q.answered_from.as_str(), q.answered_under.as_str()), ("192.168.7.31", "Wren"));
        assert!(q.answered_with.starts_with("Browser/1.0 Browser") && q.answered_with.chars().count() == 200, "{}", q.answered_with);
        assert_eq!(store.is_as_answered(q.id).unwrap(), Same::Yes);
        assert_eq!(q.answered_paper, store.agreements_of(job).unwrap()[0].paper);
        let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
        raw.execute_batch(act).unwrap();
        match (why, store.is_as_answered(q.id).unwrap(), store.answers_that_differ().unwrap()) {
            (None, Same::Yes, (1, told)) => assert!(told.is_empty()),
            (Some(why), Same::No(said), (1, told)) => assert!(said.contains(why) && told[0].contains(why), "{act}: {said}"),
            (_, is, told) => panic!("{act}: {is:?} {told:?}"),
        }
    }
    // A no is kept the same way.
    let dir = tempfile::tempdir().unwrap();
    let (store, job) = shop(dir.path());
    store.decline(BY, TOKEN, "A. Parent", "", from).unwrap();
    let q = store.quotes_of(job).unwrap().remove(0);
    assert!(q.answered_from == "192.168.7.31" && q.answered_text.is_some());
    assert_eq!(store.is_as_answered(q.id).unwrap(), Same::Yes);
}

/// A camera's picture in little: an Exif block with a place, a frame, no data.
fn camera() -> Vec<u8> {
    let mut b = b"\xFF\xD8\xFF\xE1\0\x16Exif\0\0GPS 47.3769 N".to_vec();
    b.extend(b"\xFF\xC0\0\x0B\x08\0\x40\0\x40\x01\x01\x11\0\xFF\xD9");
    let long = u16::try_from(b"Exif\0\0GPS 47.3769 N".len() + 2).unwrap();
    b[4..6].copy_from_slice(&long.to_be_bytes());
    b
}

#[test]
fn a_photo_of_before_or_of_an_import_loses_where_it_was_taken() {
    let dir = tempfile::tempdir().unwrap();
    let record = dir.path().join("record");
    let (store, job) = shop(&record);
    store.add_photo(BY, job, &NewPhoto::default(), PNG).unwrap();
    // As an earlier program kept it: the file as it was sent.
    let (told, hash) = (camera(), store::agreements::hash_of(&camera()));
    std::fs::write(record.join("photos").join(&hash), &told).unwrap();
    std::fs::write(record.join("photos").join("b".repeat(64)), b"no picture").unwrap();
    let raw = rusqlite::Connection::open(record.join("shop.sqlite")).unwrap();
    for (n, hash) in [(2, hash.clone()), (3, hash.clone()), (4, "b".repeat(64)), (5, "c".repeat(64))] {
        let sql = "INSERT INTO photos (id, job, hash, media, bytes, at) VALUES (?1, ?2, ?3, 'image/jpeg', 1, 1)";
        raw.execute(sql, (n, job, hash)).unwrap();
    }
    assert!(holds(&record.join("photos"), "47.3769"));
    store.export(&dir.path().join("export")).unwrap();
    let done = store.make_photos_plain(BY).unwrap();
    assert_eq!((done.made, done.unreadable), (1, vec![4]), "one file for two photos; one that is no picture; one that is gone");
    assert!(!holds(&record.join("photos"), "47.3769") && !record.join("photos").join(&hash).exists());
    let all = store.photos(job).unwrap();
    assert!(all[1].hash != hash && all[1].hash == all[2].hash && store.photo(job, 2).unwrap().1.len() < told.len());
    assert_eq!(store.photo(job, 1).unwrap().1, PNG);
    // The journal tells both hashes; the second time nothing is done.
    let lines = store.journal_latest(9).unwrap();
    let changed: Vec<_> = lines.iter().filter(|l| l.record == "photos" && l.act == "update").collect();
    assert!(
        changed.len() == 2
            && changed.iter().all(|l| l.before.as_deref().unwrap().contains(&hash) && l.after.as_deref().unwrap().contains(&all[1].hash))
    );
    assert_eq!(store.make_photos_plain(BY).unwrap(), store::plain_photos::MadePlain::default());
    // An import brings a picture with its place: it goes there too.
    let other = Store::open(&dir.path().join("other")).unwrap();
    let export = dir.path().join("export");
    std::fs::remove_file(export.join("photos").join("b".repeat(64))).unwrap();
    other.import(BY, &export).unwrap();
    assert!(holds(&dir.path().join("other/photos"), "47.3769"));
    assert_eq!(other.make_photos_plain(BY).unwrap().made, 1);
    assert!(!holds(&dir.path().join("other/photos"), "47.3769"));
}

#[test]
fn a_second_factor_stays_behind_and_known_tablets_are_forgotten_with_the_password() {
    let dir = tempfile::tempdir().unwrap();
    let record = dir.path().join("record");
    let (store, _) = shop(&record);
    let one = store.add_person(BY, "ottilie", "Ottilie", PersonRole::Owner, "-").unwrap();
    store.begin_second_factor(BY, one).unwrap();
    let raw = rusqlite::Connection::open(record.join("shop.sqlite")).unwrap();
    raw.execute_batch("UPDATE second_factors SET confirmed = 1; UPDATE people SET second_factor = 1").unwrap();
    store.backup(&dir.path().join("monday.zip"), None).unwrap();
    store.export(&dir.path().join("export")).unwrap();
    assert!(!dir.path().join("export/second_factors.jsonl").exists());
    Store::restore(&dir.path().join("monday.zip"), &dir.path().join("fresh"), How::default()).unwrap();
    let fresh = Store::open(&dir.path().join("fresh")).unwrap();
    assert!(store.asks_second_factor(one).unwrap() && !fresh.asks_second_factor(one).unwrap());
    assert_eq!(fresh.second_factor(one).unwrap(), store::second_factor::SecondFactor::LeftBehind);
    store.signed_in(BY, one, "ottilie", "10.0.0.9", "tablet").unwrap();
    assert!(store.tablet_is_known("tablet", one).unwrap());
    store.set_password(BY, one, "another").unwrap();
    assert!(!store.tablet_is_known("tablet", one).unwrap());
}
