//! Nobody rewrites the journal, not even with a tool of their own.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use store::{By, Store};

#[test]
fn the_database_itself_refuses() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    store.add_customer(By { who: "ottilie", at: 1 }, "x", "", "", "").unwrap();
    let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
    for sql in ["DELETE FROM journal", "UPDATE journal SET who = 'nobody'"] {
        let error = raw.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains("append-only"), "{error}");
    }
}
