//! A record of each earlier schema opens with what was in it, and a copy of what it was stays; one that is damaged is left as it is and
//! told, and what can be saved of it is saved.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{PNG, steps};
use rusqlite::Connection;
use std::path::Path;
use store::restore::How;
use store::{Store, StoreError};

/// What the first version of the program kept of a shop: something in every table that a later step touches.
fn rows_of_the_first_version(photo: &str) -> String {
    format!(
        "INSERT INTO settings VALUES (1, 'shop.toml', 'trueround_shop = 1');
         INSERT INTO people VALUES (1, 'ottilie', 'Ottilie Brandt', 'owner', 'h', 1);
         INSERT INTO sessions VALUES (1, 'x', 'y', 1, 1, 4000000000);
         INSERT INTO customers VALUES (1, 'Juniper Vale', '555-0102', '', '');
         INSERT INTO instruments VALUES (1, 1, 'tuba', '', '', 'HQ-1', 'T00001', '3800.00');
         INSERT INTO jobs VALUES (1, 1, 'Fell', 'down the stair', 'on_bench', '2026-12-01', 1, 1800000000, NULL);
         INSERT INTO jobs VALUES (2, 1, 'Bell', '', 'proving', NULL, NULL, 1800000000, NULL);
         INSERT INTO surveys VALUES (1, 1, '{{}}', 3);
         INSERT INTO dents VALUES (1, 1, 'd1', '{{}}', 1, 'mark'), (2, 1, 'd7', '{{}}', 2, NULL);
         INSERT INTO overrules VALUES (1, 1, '{{}}', 'as she wants it', 'ottilie', 1800000000, 0);
         INSERT INTO quotes VALUES (1, 1, 'token', '{{}}', 1800000000, '2026-12-24', 'good', 'A. Parent', 'M1 2', 1800000100);
         INSERT INTO steps VALUES (1, 1, 'prove:Prove the bores of 4', 'prove', 'Prove', 600, 'done', NULL, 500, 1, '', 1800000200);
         INSERT INTO steps VALUES (2, 1, 'strip:all of it', 'strip', 'Strip', 600, 'running', 1800000300, 5, 1, '', NULL);
         INSERT INTO proofs VALUES (1, 1, 'tight', 'Tight', '', '', 1, '', 'ottilie', 1800000200);
         INSERT INTO photos VALUES (1, 1, 'd1', 'prove:Prove tightness', '{photo}', 'image/png', 67, 'before', 1800000000);
         INSERT INTO drafts VALUES (1, 1, 'somewhere', '{{}}', 1);
         INSERT INTO journal (at, who, act, record, row, before, after) VALUES
             (1800000000, 'ottilie', 'insert', 'customers', 1, NULL, '{{\"name\":\"Juniper Vale\"}}'),
             (1800000001, 'ottilie', 'insert', 'dents', 3, NULL, '{{\"job\":1,\"name\":\"d9\"}}'),
             (1800000002, 'ottilie', 'delete', 'dents', 3, '{{\"job\":1,\"name\":\"d9\"}}', NULL);"
    )
}

/// A record as the program left it that had so many steps.
fn record_of(folder: &Path, schema: usize) {
    std::fs::create_dir_all(folder.join("photos")).unwrap();
    let photo = "0".repeat(64);
    std::fs::write(folder.join("photos").join(&photo), PNG).unwrap();
    let c = Connection::open(folder.join("shop.sqlite")).unwrap();
    c.pragma_update(None, "journal_mode", "WAL").unwrap();
    for (i, step) in steps()[..schema].iter().enumerate() {
        c.execute_batch(step).unwrap();
        if i == 0 {
            c.execute_batch(&rows_of_the_first_version(&photo)).unwrap();
        }
    }
    c.pragma_update(None, "user_version", i64::try_from(schema).unwrap()).unwrap();
}

fn version(file: &Path) -> i64 {
    Connection::open(file).unwrap().query_row("PRAGMA user_version", [], |r| r.get(0)).unwrap()
}

fn copies(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut all: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    all.retain(|p| p.file_name().unwrap().to_string_lossy().starts_with("before-schema-"));
    all.sort();
    all
}

#[test]
fn a_record_of_each_earlier_schema_opens_and_a_copy_stays() {
    let latest = steps().len();
    for schema in 1..latest {
        let dir = tempfile::tempdir().unwrap();
        record_of(dir.path(), schema);
        let store = Store::open(dir.path()).unwrap_or_else(|e| panic!("schema {schema}: {e}"));
        assert_eq!(store.faults().unwrap(), Vec::<String>::new(), "schema {schema}");
        assert_eq!(store.journal_faults().unwrap(), Vec::<String>::new(), "schema {schema}");
        assert_eq!(store.noticed(), [] as [String; 0], "schema {schema}");
        assert_eq!(store.customers("Juniper", 9).unwrap().len(), 1);
        assert_eq!(store.photos(1).unwrap()[0].step.as_deref(), Some("acceptance_check:Prove tightness"), "schema {schema}");
        let (_, dents) = store.survey(1).unwrap().unwrap();
        assert_eq!(dents.iter().map(|d| d.name.as_str()).collect::<Vec<_>>(), ["d1", "d7"], "schema {schema}");
        let keys: Vec<String> = store.steps(1).unwrap().into_iter().map(|s| s.key).collect();
        assert!(keys.contains(&"acceptance_check:bores".to_owned()) && keys.contains(&"strip".to_owned()), "schema {schema}: {keys:?}");
        assert_eq!(store.quotes_of(1).unwrap()[0].signed_by.as_deref(), Some("A. Parent"), "schema {schema}");
        drop(store);
        let copies = copies(dir.path());
        assert_eq!(copies.len(), 1, "schema {schema}: {copies:?}");
        assert_eq!(version(&copies[0]), i64::try_from(schema).unwrap());
        let kept = Connection::open(&copies[0]).unwrap();
        let rows: i64 = kept.query_row("SELECT count(*) FROM journal", [], |r| r.get(0)).unwrap();
        assert_eq!(rows, 3, "the copy is as it was");
        // Opened once more there is nothing to do, and no copy more.
        assert_eq!(Store::open(dir.path()).unwrap().noticed(), [] as [String; 0]);
        assert_eq!(self::copies(dir.path()).len(), 1);
    }
}

/// The name that a dent had is not given again, although it was taken out before names were kept.
#[test]
fn what_a_step_makes_of_older_rows_is_made() {
    let dir = tempfile::tempdir().unwrap();
    record_of(dir.path(), 1);
    drop(Store::open(dir.path()).unwrap());
    let c = Connection::open(dir.path().join("shop.sqlite")).unwrap();
    assert_eq!(c.query_row("SELECT last FROM dent_names WHERE id = 1", [], |r| r.get::<_, i64>(0)).unwrap(), 9);
    assert_eq!(c.query_row("SELECT count(*) FROM sqlite_master WHERE name = 'drafts'", [], |r| r.get::<_, i64>(0)).unwrap(), 0);
}

/// A copy from another time is not taken for this one's, and half a copy for none.
#[test]
fn a_copy_that_is_there_is_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    record_of(dir.path(), 5);
    let earlier = dir.path().join(format!("before-schema-{}.sqlite", steps().len()));
    std::fs::write(&earlier, b"another").unwrap();
    std::fs::write(dir.path().join("before-schema-unfinished.sqlite"), b"half").unwrap();
    drop(Store::open(dir.path()).unwrap());
    assert_eq!(std::fs::read(&earlier).unwrap(), b"another");
    let all = copies(dir.path());
    assert_eq!(all.len(), 2, "{all:?}");
    assert!(all.iter().any(|c| *c != earlier && version(c) == 5));
}

#[test]
fn a_record_of_a_newer_program_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    drop(Store::open(dir.path()).unwrap());
    let file = dir.path().join("shop.sqlite");
    Connection::open(&file).unwrap().execute_batch("PRAGMA user_version = 9999").unwrap();
    let before = std::fs::read(&file).unwrap();
    let error = Store::open(dir.path()).err().unwrap().to_string();
    assert!(error.contains("newer program"), "{error}");
    assert_eq!(std::fs::read(&file).unwrap(), before);
}

#[test]
fn a_damaged_older_record_is_not_changed_but_told_and_saved() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("record");
    record_of(&folder, 7);
    let file = folder.join("shop.sqlite");
    let c = Connection::open(&file).unwrap();
    for i in 0..300 {
        c.execute("INSERT INTO customers (name) VALUES (?1)", [format!("Customer {i} {}", "x".repeat(300))]).unwrap();
    }
    c.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
    drop(c);
    let mut bytes = std::fs::read(&file).unwrap();
    let page = bytes.windows(13).rposition(|w| w == b"Customer 200 ").unwrap() / 4096;
    bytes[page * 4096..page * 4096 + 4096].fill(0x5A);
    std::fs::write(&file, &bytes).unwrap();
    match Store::open(&folder) {
        Err(e @ StoreError::Damaged { .. }) => assert!(e.to_string().contains("--salvage"), "{e}"),
        other => panic!("{:?}", other.err()),
    }
    assert_eq!(std::fs::read(&file).unwrap(), bytes, "not a byte of it was changed");
    let fresh = dir.path().join("fresh");
    let lost = Store::restore(&folder, &fresh, How { passphrase: None, salvage: true }).unwrap();
    assert!(!lost.is_empty());
    let store = Store::open(&fresh).unwrap();
    let kept = store.customers("Customer", 1000).unwrap().len();
    assert!((250..300).contains(&kept), "{kept}");
    assert_eq!(store.faults().unwrap(), Vec::<String>::new());
    assert_eq!(std::fs::read(&file).unwrap(), bytes);
}
