//! A shop with one job, its owner signed in.

use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};

/// The folder, its record, and the job of an instrument of this kind. The owner's session is `token`, its form token `csrf`.
pub fn shop_with(kind: &str) -> (tempfile::TempDir, Store, i64) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "test", at: web::when::now() };
    let id = store.add_person(by, "ottilie", "Ottilie", PersonRole::Owner, "-").unwrap();
    store.open_session(by, id, "token", "csrf", 4_000_000_000).unwrap();
    let customer = store.add_customer(by, "Fen Road", "", "", "").unwrap();
    let instrument = store.add_instrument(by, &NewInstrument { customer, kind, ..NewInstrument::default() }).unwrap();
    let job = store.add_job(by, instrument, "Fell", "", None).unwrap();
    (dir, store, job)
}
