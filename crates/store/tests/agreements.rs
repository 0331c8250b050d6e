//! What was agreed stays as it was: by content, once, and with the job's state in one go.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::BY;
use store::agreements::{AgreementKind, SaidHow, Yes, hash_of};
use store::counter::{JobState, NewInstrument};
use store::evidence::CameFrom;
use store::offers::NewQuote;
use store::{Store, StoreError};

const YES: Yes<'static> = Yes {
    total: "1502.40",
    signature: "M0 0L3 4",
    plan: ("application/json", b"{\"steps\":[]}"),
    paper: Some(b"%PDF-1.7 signed"),
    ..common::YES
};

fn a_job() -> (tempfile::TempDir, Store, i64) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let customer = store.add_customer(BY, "Pelham Ridge", "", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "tuba", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(BY, instrument, "Fell", "", None).unwrap();
    store.save_dent(BY, job, "d1", 0, "{}").unwrap();
    (dir, store, job)
}

fn given<'a>(token: &'a str, adds_to: Option<i64>) -> NewQuote<'a> {
    NewQuote { adds_to, ..common::given(token) }
}

#[test]
fn a_quote_is_answered_once_and_only_the_newest() {
    let (_dir, store, job) = a_job();
    store.add_quote(BY, job, &given("old", None)).unwrap();
    assert!(matches!(store.add_quote(BY, job, &given("new", None)), Err(StoreError::Refused(_))));
    store.replace_quote(BY, job, &given("new", None)).unwrap();
    assert!(matches!(store.agree(BY, "old", &YES), Err(StoreError::Refused(_))));
    store.agree(BY, "new", &YES).unwrap();
    assert_eq!(store.job(job).unwrap().state, JobState::Approved);
    assert!(matches!(store.agree(BY, "new", &YES), Err(StoreError::Refused(_))));
    assert!(matches!(store.decline(BY, "new", "A. Parent", "", CameFrom::default()), Err(StoreError::Refused(_))));
    // A second offer of a job that was agreed is refused; what comes on top is a supplement.
    assert!(matches!(store.replace_quote(BY, job, &given("again", None)), Err(StoreError::Refused(_))));
    assert_eq!(store.agreements_of(job).unwrap().len(), 1);
}

#[test]
fn a_supplement_adds_to_what_was_agreed_and_a_no_leaves_it() {
    let (_dir, store, job) = a_job();
    store.add_quote(BY, job, &given("offer", None)).unwrap();
    let offer = store.agree(BY, "offer", &YES).unwrap();
    store.import_job_state(BY, job, JobState::OnBench).unwrap();
    store.add_quote(BY, job, &given("more", Some(offer))).unwrap();
    assert_eq!(store.job(job).unwrap().state, JobState::OnBench, "a supplement leaves the job on the bench");
    store.decline(BY, "more", "A. Parent", "", CameFrom::default()).unwrap();
    assert_eq!(store.job(job).unwrap().state, JobState::OnBench);
    store.add_quote(BY, job, &given("more again", Some(offer))).unwrap();
    let told = Yes { total: "88.10", how: SaidHow::Telephone, taken_by: "wren", paper: None, signature: "", ..YES };
    store.agree(BY, "more again", &told).unwrap();
    let all = store.agreements_of(job).unwrap();
    let gist: Vec<_> = all.iter().map(|a| (a.kind, a.how, a.total.as_str(), a.said_by.as_str(), a.taken_by.as_str())).collect();
    assert_eq!(
        gist,
        [
            (AgreementKind::Offer, SaidHow::Signed, "1502.40", "A. Parent", ""),
            (AgreementKind::Supplement, SaidHow::Telephone, "88.10", "A. Parent", "wren"),
        ]
    );
    assert_eq!(store.job(job).unwrap().state, JobState::OnBench);
}

#[test]
fn what_was_signed_is_kept_as_signed() {
    let (dir, store, job) = a_job();
    store.add_quote(BY, job, &given("offer", None)).unwrap();
    store.agree(BY, "offer", &YES).unwrap();
    let paper = store.agreements_of(job).unwrap().remove(0).paper.unwrap();
    // SHA-256 of nothing: FIPS 180-4's example (e3b0c442...).
    assert_eq!(hash_of(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_eq!((paper.as_str(), store.content(&paper).unwrap()), (hash_of(b"%PDF-1.7 signed").as_str(), b"%PDF-1.7 signed".to_vec()));
    // The same content is kept once, and nobody changes it through the record.
    assert_eq!(store.keep_content(BY, "application/pdf", b"%PDF-1.7 signed").unwrap(), paper);
    let raw = rusqlite::Connection::open(dir.path().join("shop.sqlite")).unwrap();
    assert!(raw.execute("UPDATE contents SET body = x'00'", []).is_err());
    assert!(raw.execute("DELETE FROM contents", []).is_err());
    // Changed behind its back it is noticed.
    raw.execute_batch("DROP TRIGGER contents_stay_u; UPDATE contents SET body = x'00' WHERE media = 'application/pdf';").unwrap();
    assert!(matches!(store.content(&paper), Err(StoreError::Garbled { .. })));
}

#[test]
fn agreements_come_back_from_an_export() {
    let (dir, store, job) = a_job();
    store.add_quote(BY, job, &given("offer", None)).unwrap();
    let offer = store.agree(BY, "offer", &YES).unwrap();
    store.add_quote(BY, job, &given("more", Some(offer))).unwrap();
    store.agree(BY, "more", &Yes { total: "5.00", ..YES }).unwrap();
    let folder = dir.path().join("export");
    store.export(&folder).unwrap();
    let other = tempfile::tempdir().unwrap();
    let back = Store::open(other.path()).unwrap();
    back.import(BY, &folder).unwrap();
    assert_eq!(back.agreements_of(job).unwrap(), store.agreements_of(job).unwrap());
    let paper = back.agreements_of(job).unwrap().remove(0).paper.unwrap();
    assert_eq!(back.content(&paper).unwrap(), b"%PDF-1.7 signed");
}

#[test]
fn the_level_looked_at_is_the_shops_until_one_is_agreed() {
    let (_dir, store, job) = a_job();
    assert_eq!(store.level_of(job).unwrap(), "good");
    store.look_at_level(BY, job, "beautiful").unwrap();
    assert_eq!(store.level_of(job).unwrap(), "beautiful");
    store.add_quote(BY, job, &given("offer", None)).unwrap();
    store.agree(BY, "offer", &YES).unwrap();
    assert!(matches!(store.look_at_level(BY, job, "good"), Err(StoreError::Refused(_))));
}
