//! A shop with one job, its owner signed in.

use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};

/// The folder, its record, and the job of an instrument of this kind. The owner's session is `token`, its form token `csrf`.
#[allow(dead_code, reason = "not every test takes it")]
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

/// Gives a job's quote behind a link, with what it was made from.
#[allow(dead_code, reason = "not every test gives one")]
pub fn give(app: &web::App, by: By<'_>, job: i64, token: &str) {
    let now = app.job_as_it_stands(job).unwrap();
    let (rack, shop) = app.files().unwrap();
    let day = web::when::today().to_string();
    let ground = web::ground::Ground::keep(app.store(), by, &now.survey, &rack, &shop, &now.overrules, &day).unwrap();
    let (body, made_from) = (serde_json::to_string(&now.quote).unwrap(), ground.to_json().unwrap());
    let new = store::offers::NewQuote { token, body: &body, valid_until: None, made_from: Some(&made_from), adds_to: None };
    app.store().add_quote(by, job, &new).unwrap();
}

/// The customer says yes to the middle offer, without a paper.
#[allow(dead_code, reason = "not every test says yes")]
pub fn say_yes(app: &web::App, by: By<'_>, job: i64, token: &str) {
    let now = app.job_as_it_stands(job).unwrap();
    let plan = serde_json::to_vec(&now.plan).unwrap();
    let total = now.quote.offers.iter().find(|o| o.level == now.plan.level).unwrap().bill.total.to_string();
    let yes = store::agreements::Yes {
        level: now.plan.level.key(),
        total: &total,
        name: "A",
        signature: "",
        how: store::agreements::SaidHow::Signed,
        taken_by: "",
        plan: ("application/json", &plan),
        paper: None,
    };
    app.store().agree(by, token, &yes).unwrap();
}
