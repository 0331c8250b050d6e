//! How long a record with a large journal takes to open, every line of its chain checked.
//!
//! `cargo test -p store --release --test large -- --ignored --nocapture`; `LINES` is how many lines (100,000).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::BY;
use std::time::Instant;
use store::{Store, StoreError};

#[test]
#[ignore = "measures; takes a minute to fill"]
fn a_large_journal_opens_in_seconds() {
    let lines: usize = std::env::var("LINES").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    store
        .filling(|| {
            for i in 0..lines {
                store.add_customer(BY, &format!("Customer {i}"), "555-0102", "", &"They come on Tuesdays. ".repeat(20))?;
            }
            Ok::<_, StoreError>(())
        })
        .unwrap();
    let last = store.journal_head().unwrap().0;
    drop(store);
    let began = Instant::now();
    let store = Store::open(dir.path()).unwrap();
    let took = began.elapsed();
    assert_eq!(store.noticed(), [] as [String; 0]);
    let megabytes = std::fs::metadata(dir.path().join("shop.sqlite")).unwrap().len() / 1_000_000;
    println!("{last} lines of the journal, {megabytes} MB: opened and its chain checked in {took:.1?}");
    assert!(took.as_secs() < 10, "{took:?}");
}
