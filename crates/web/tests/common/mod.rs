//! A shop with one job, its owner signed in, and its pages served.
#![allow(dead_code, reason = "not every test takes all of it")]

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::request::Builder;
use axum::http::{HeaderMap, Request, StatusCode};
use instrument::Survey;
use std::net::SocketAddr;
use store::counter::NewInstrument;
use store::people::PersonRole;
use store::{By, Store};
use survey::kept::{Kept, survey_to_json};
use tower::ServiceExt;
use web::App;
use web::auth::COOKIE_NAME;
use web::routes::router;

/// The type of what a form sends.
pub const FORM: &str = "application/x-www-form-urlencoded";

/// The largest answer that a test takes, bytes.
const LARGEST_ANSWER: usize = 50_000_000;

/// A shop whose pages are served, and its one job.
pub struct Shop {
    pub dir: tempfile::TempDir,
    pub app: App,
    pub router: Router,
    pub job: i64,
}

impl Shop {
    /// The shop of a record.
    pub fn of((dir, store, job): (tempfile::TempDir, Store, i64)) -> Self {
        let app = App::new(store, false);
        let router = router(app.clone()).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
        Self { dir, app, router, job }
    }

    /// Sends a request in the owner's session, with its form token.
    pub async fn send(&self, request: Builder, body: impl Into<Body>) -> (StatusCode, HeaderMap, Bytes) {
        self.send_as(request, "", body).await
    }

    /// The same with more cookies.
    pub async fn send_as(&self, request: Builder, cookies: &str, body: impl Into<Body>) -> (StatusCode, HeaderMap, Bytes) {
        let cookie = format!("{COOKIE_NAME}=token{}{cookies}", if cookies.is_empty() { "" } else { "; " });
        let request = request.header("cookie", cookie).header("x-csrf", "csrf").body(body.into()).unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (status, headers) = (response.status(), response.headers().clone());
        (status, headers, to_bytes(response.into_body(), LARGEST_ANSWER).await.unwrap())
    }

    /// Sends a form; its answer and the page that came.
    pub async fn submit(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let (status, _, page) = self.send(Request::post(path).header("content-type", FORM), encoded(fields)).await;
        (status, String::from_utf8_lossy(&page).into_owned())
    }

    /// A page that is there.
    pub async fn read(&self, path: &str) -> String {
        let (status, _, page) = self.send(Request::get(path), "").await;
        assert_eq!(status, StatusCode::OK, "{path}");
        String::from_utf8_lossy(&page).into_owned()
    }
}

/// A form's fields as they are sent.
pub fn encoded(fields: &[(impl AsRef<str>, impl AsRef<str>)]) -> String {
    let one = |text: &str| text.bytes().map(|b| format!("%{b:02X}")).collect::<String>();
    fields.iter().map(|(name, text)| format!("{}={}", one(name.as_ref()), one(text.as_ref()))).collect::<Vec<_>>().join("&")
}

/// The folder, its record, and the job of an instrument of this kind. The owner's session is `token`, its form token `csrf`.
pub fn shop_with(kind: &str) -> (tempfile::TempDir, Store, i64) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let by = By { who: "test", at: web::when::now() };
    let id = store.add_person(by, "ottilie", "Ottilie", PersonRole::Owner, "-").unwrap();
    store.open_session(by, id, "127.0.0.1", ("token", "csrf"), 4_000_000_000).unwrap();
    let customer = store.add_customer(by, "Fen Road", "", "", "").unwrap();
    let instrument = store.add_instrument(by, &NewInstrument { customer, kind, ..NewInstrument::default() }).unwrap();
    let job = store.add_job(by, instrument, "Fell", "", None).unwrap();
    (dir, store, job)
}

/// A shop whose job's survey is that of a case, dent by dent.
pub fn surveyed(kind: &str, survey: &Survey) -> Shop {
    let (dir, store, job) = shop_with(kind);
    let by = By { who: "test", at: web::when::now() };
    let body = Survey { dents: vec![], ..survey.clone() };
    store.save_survey_body(by, job, 0, &survey_to_json(&body).unwrap()).unwrap();
    for d in &survey.dents {
        store.save_dent(by, job, &d.id.0, 0, &Kept::from_dent(d).to_json().unwrap()).unwrap();
    }
    Shop::of((dir, store, job))
}

/// Gives a job's quote behind a link, with what it was made from.
pub fn give(app: &App, by: By<'_>, job: i64, token: &str) {
    let now = app.job_as_it_stands(job).unwrap();
    let from = app.sources(job).unwrap();
    let day = web::when::today().to_string();
    let ground = web::ground::Ground::keep(app.store(), by, &now.survey, &from, &now.overrules, &day).unwrap();
    let (body, made_from) = (serde_json::to_string(&now.quote).unwrap(), ground.to_json().unwrap());
    let new = store::offers::NewQuote { token, body: &body, valid_until: None, made_from: Some(&made_from), adds_to: None };
    app.store().add_quote(by, job, &new).unwrap();
}

/// The customer says yes to the middle offer, without a paper.
pub fn say_yes(app: &App, by: By<'_>, job: i64, token: &str) {
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
        from: store::evidence::CameFrom::default(),
    };
    app.store().agree(by, token, &yes).unwrap();
}
