//! From the customer's yes to the hand-back: the timers, what came with the instrument, the payments, the invoice to the cent,
//! the owner's page and the instrument's history.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{Request, StatusCode};
use instrument::fields::dent as d;
use instrument::{Kind, Survey, patterns};
use std::net::SocketAddr;
use store::By;
use store::counter::JobState;
use store::photos::{NewPhoto, Sent};
use survey::damage::Form;
use survey::kept::survey_to_json;
use tower::ServiceExt;
use units::money::show_money;
use web::App;
use web::auth::COOKIE_NAME;
use web::routes::router;

const BY: By<'static> = By { who: "test", at: 1 };

struct Shop {
    _dir: tempfile::TempDir,
    app: App,
    router: Router,
    job: i64,
    /// What was agreed, and its price.
    quote: quote::Quote,
}

/// A trumpet with one dent whose wall was measured, quoted and agreed in its least offer.
fn shop() -> Shop {
    shop_on("bell-stem")
}

fn shop_on(run: &str) -> Shop {
    let (dir, store, job) = crate::common::shop_with("trumpet");
    let survey = Survey::of(patterns::pattern(Kind::Trumpet).unwrap());
    store.save_survey_body(BY, job, 0, &survey_to_json(&survey).unwrap()).unwrap();
    let typed = [
        (&d::RUN, run),
        (&d::AT, "60 mm"),
        (&d::CLOCK, "90°"),
        (&d::DEPTH, "2 mm"),
        (&d::ALONG, "20 mm"),
        (&d::ACROSS, "12 mm"),
        (&d::WALL, "0.47 mm"),
    ];
    let form = typed.iter().fold(Form::default(), |form, (field, text)| form.with(field, text));
    store.save_dent(BY, job, "d1", 0, &form.dent("d1", &survey.instrument, None).0.unwrap().to_json().unwrap()).unwrap();
    let app = App::new(store, false);
    let quote = app.job(job).unwrap().quote.clone();
    crate::common::give(&app, BY, job, "link");
    let router = router(app.clone()).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
    Shop { _dir: dir, app, router, job, quote }
}

fn encoded(text: &str) -> String {
    text.bytes().map(|b| format!("%{b:02X}")).collect()
}

impl Shop {
    async fn ask(&self, request: axum::http::request::Builder, body: String) -> (StatusCode, String, String) {
        let request = request.header("cookie", format!("{COOKIE_NAME}=token")).body(Body::from(body)).unwrap();
        let response = self.router.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let to = response.headers().get("location").map_or(String::new(), |l| l.to_str().unwrap().to_owned());
        let bytes = to_bytes(response.into_body(), 10_000_000).await.unwrap();
        (status, to, String::from_utf8_lossy(&bytes).into_owned())
    }

    async fn get(&self, path: &str) -> String {
        let (status, _, page) = self.ask(Request::get(path), String::new()).await;
        assert_eq!(status, StatusCode::OK, "{path}: {page}");
        page
    }

    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, String, String) {
        let fields: String = fields.iter().map(|(k, v)| format!("&{k}={}", encoded(v))).collect();
        let request = Request::post(path).header("content-type", "application/x-www-form-urlencoded");
        self.ask(request, format!("csrf=csrf{fields}")).await
    }

    /// Sends a form of the job that must be taken.
    async fn taken(&self, path: &str, fields: &[(&str, &str)]) -> String {
        let (status, to, page) = self.post(&format!("/jobs/{}{path}", self.job), fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {page}");
        to
    }

    /// Sends a form of the job that must be refused; returns what is said.
    async fn refused(&self, path: &str, fields: &[(&str, &str)]) -> String {
        let (status, _, page) = self.post(&format!("/jobs/{}{path}", self.job), fields).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{path}: {page}");
        page
    }
}

#[tokio::test]
async fn the_invoice_is_what_was_agreed_less_what_was_paid_to_the_cent() {
    let shop = shop();
    let job = shop.job;
    let offer = shop.quote.offers[0].clone();
    let level = serde_json::to_value(offer.level).unwrap().as_str().unwrap().to_owned();
    let money = |amount| show_money(amount, &shop.quote.currency);
    let (status, ..) = shop.post("/q/link", &[("answer", "yes"), ("chosen", &level), ("name", "A. Parent")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let page = shop.get(&format!("/jobs/{job}/hand-back")).await;
    assert!(page.contains(&format!("{} outstanding", money(offer.bill.total))) && page.contains("signed by A. Parent"), "{page}");
    // Every line is there, and they are the total.
    for line in &offer.bill.lines {
        assert!(page.contains(&money(line.labour + line.parts)), "{}", line.what);
    }
    let sum: rust_decimal::Decimal = offer.bill.lines.iter().map(|l| l.labour + l.parts).sum();
    assert_eq!(sum + offer.bill.tax, offer.bill.total);
    // A deposit; amounts that are none are refused.
    for bad in ["", "-5", "12,50", "0", "1.005"] {
        assert!(shop.refused("/payments", &[("act", "take"), ("amount", bad), ("how", "card")]).await.contains("amount"), "{bad}");
    }
    shop.taken("/payments", &[("act", "take"), ("amount", "$20.10"), ("how", "card"), ("note", "deposit")]).await;
    let rest = offer.bill.total - "20.10".parse::<rust_decimal::Decimal>().unwrap();
    assert!(shop.get(&format!("/jobs/{job}/hand-back")).await.contains(&format!("{} outstanding", money(rest))));
    // The owner's page says the same; a price that changes later changes nothing.
    assert!(shop.get("/money").await.contains(&format!("{} outstanding", money(rest))));
    let dearer = web::app::EXAMPLE_SHOP.replacen("labour_per_hour = \"$85\"", "labour_per_hour = \"$185\"", 1);
    assert_ne!(dearer, web::app::EXAMPLE_SHOP);
    shop.app.store().set_setting(BY, web::app::SHOP, &dearer).unwrap();
    assert!(shop.get(&format!("/jobs/{job}/hand-back")).await.contains(&format!("{} outstanding", money(rest))));
    // What came with it goes back or somebody says why not.
    shop.taken("/accessories", &[("accessories", "case\n\nmouthpiece\ncase"), ("version", "1")]).await;
    shop.taken("/ready", &[("name", "Ottilie"), ("reason", "the parade is at noon")]).await;
    let ids: Vec<String> = shop.app.store().accessories(job).unwrap().iter().map(|a| format!("back_{}", a.id)).collect();
    assert_eq!(ids.len(), 2);
    let said = shop.refused("/hand-back", &[("collected_by", "A. Parent"), (&ids[0], "yes")]).await;
    assert!(said.contains("stays here: mouthpiece") && said.contains("value=\"A. Parent\""), "{said}");
    shop.taken("/hand-back", &[("collected_by", "A. Parent"), (&ids[0], "yes"), (&ids[1], "yes")]).await;
    assert_eq!(shop.app.store().job(job).unwrap().state, JobState::HandedBack);
    // A payment by mistake does not count; the rest pays it off.
    shop.taken("/payments", &[("act", "take"), ("amount", "999"), ("how", "cash")]).await;
    shop.taken("/payments", &[("act", "void"), ("which", "2")]).await;
    shop.taken("/payments", &[("act", "take"), ("amount", &rest.to_string()), ("how", "check"), ("note", "no. 118")]).await;
    let page = shop.get(&format!("/jobs/{job}/hand-back")).await;
    assert!(page.contains(&format!("{} outstanding", money(rust_decimal::Decimal::ZERO))), "{page}");
    assert!(page.contains("by check, no. 118") && page.contains("Let go by Ottilie: the parade is at noon"), "{page}");
    assert!(shop.get("/money").await.contains(&format!("{} outstanding", money(rust_decimal::Decimal::ZERO))));
    let (status, _, pdf) = shop.ask(Request::get(format!("/jobs/{job}/invoice.pdf")), String::new()).await;
    assert!(status == StatusCode::OK && pdf.starts_with("%PDF"));
    // Handed back it is not late, and its due day says so.
    shop.app
        .store()
        .change_job(BY, job, 2, &store::counter::JobHead { title: "Fell", due: Some("2020-01-01"), ..Default::default() })
        .unwrap();
    let page = shop.get(&format!("/jobs/{job}")).await;
    assert!(page.contains("was due 2020-01-01") && !page.contains("days late"), "{page}");
}

#[tokio::test]
async fn less_than_was_agreed_is_charged_with_a_reason_and_never_more() {
    let shop = shop();
    let job = shop.job;
    let less = |charge: &str, of: &str, reason: &str| {
        [("act", "less"), ("charge", charge), ("of", of), ("reason", reason)].map(|(k, v)| (k, v.to_owned()))
    };
    let refused = async |fields: [(&str, String); 4]| {
        let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (*k, v.as_str())).collect();
        shop.refused("/charge", &fields).await.to_lowercase()
    };
    assert!(refused(less("10", "0", "x")).await.contains("nothing was agreed"));
    let offer = shop.quote.offers.iter().find(|o| o.bill.total > "100".parse().unwrap()).unwrap().clone();
    let level = serde_json::to_value(offer.level).unwrap().as_str().unwrap().to_owned();
    shop.post("/q/link", &[("answer", "yes"), ("chosen", &level), ("name", "A. Parent")]).await;
    let money = |amount| show_money(amount, &shop.quote.currency);
    let total = offer.bill.total;
    let of = total.to_string();
    let charged = total - "30.25".parse::<rust_decimal::Decimal>().unwrap();
    // No reason, more than was agreed, fractions of a cent, a page that is old.
    assert!(refused(less(&charged.to_string(), &of, " ")).await.contains("write why"));
    assert!(refused(less(&(total + rust_decimal::Decimal::ONE).to_string(), &of, "more work")).await.contains("offer a supplement"));
    assert!(refused(less("1.005", &of, "x")).await.contains("whole cents"));
    assert!(refused(less("50", "12345.00", "x")).await.contains("changed since"));
    let fields = less(&charged.to_string(), &of, "one dent was shallower than it looked");
    let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (*k, v.as_str())).collect();
    shop.taken("/charge", &fields).await;
    // Page, invoice, money and journal say it.
    let page = shop.get(&format!("/jobs/{job}/hand-back")).await;
    for said in [format!("{} outstanding", money(charged)), "Charged less: one dent was shallower than it looked".to_owned(), money(total)]
    {
        assert!(page.contains(&said), "{said}: {page}");
    }
    let invoice = web::invoice::invoice(&shop.app, job).unwrap();
    assert_eq!((invoice.total(), invoice.agreed()), (charged, total));
    assert_eq!(invoice.tax(), units::money::to_cents(offer.bill.tax * charged / total));
    assert!(shop.get("/money").await.contains(&format!("{} outstanding", money(charged))));
    assert!(shop.get("/journal").await.contains("charged $30.25 less: one dent was shallower than it looked"));
    // Sent twice it is refused: the page that it was made from is old.
    assert!(shop.refused("/charge", &fields).await.contains("changed since"));
    // Taken back, what was agreed is owed again.
    let which = shop.app.store().reductions(job).unwrap()[0].id.to_string();
    shop.taken("/charge", &[("act", "void"), ("which", &which)]).await;
    assert!(shop.get(&format!("/jobs/{job}/hand-back")).await.contains(&format!("{} outstanding", money(total))));
    assert_eq!(web::invoice::invoice(&shop.app, job).unwrap().tax(), offer.bill.tax);
}

#[tokio::test]
async fn one_timer_a_person_and_a_time_set_by_hand() {
    let shop = shop();
    let job = shop.job;
    shop.post("/q/link", &[("answer", "yes"), ("chosen", "good"), ("name", "A. Parent")]).await;
    let planned = shop.app.job(job).unwrap();
    // Two steps that wait for nothing: on a second job the first step of the same plan.
    let step = job::key::step_key(planned.plan.steps.iter().find(|s| s.after.is_empty()).unwrap());
    let card = shop.app.store().job(job).unwrap();
    let other = shop.app.store().add_job(BY, card.instrument, "Fell again", "", None).unwrap();
    let survey = shop.app.store().survey(job).unwrap().unwrap();
    shop.app.store().save_survey_body(BY, other, 0, &survey.0.body).unwrap();
    shop.app.store().save_dent(BY, other, "d1", 0, &survey.1[0].saved.body).unwrap();
    assert!(!shop.taken("/bench", &[("key", &step), ("act", "start")]).await.contains("stopped"));
    let (_, to, _) = shop.post(&format!("/jobs/{other}/bench"), &[("key", &step), ("act", "start")]).await;
    assert!(to.contains("?stopped="), "{to}");
    let page = shop.get(to.split('#').next().unwrap()).await;
    assert!(page.contains("Your other timer stopped") && page.contains("T00001"), "{page}");
    assert!(page.contains("done unpaid"), "the second job is not approved");
    assert!(!shop.get(&format!("/jobs/{job}/bench")).await.contains("done unpaid"));
    // A time by hand needs a reason, and a time.
    assert!(shop.refused("/bench", &[("key", &step), ("act", "time"), ("minutes", "45 min"), ("text", "")]).await.contains("why the time"));
    assert!(shop.refused("/bench", &[("key", &step), ("act", "time"), ("minutes", "long"), ("text", "x")]).await.contains("no time"));
    shop.taken("/bench", &[("key", &step), ("act", "time"), ("minutes", "1 h 20 min"), ("text", "forgot it over lunch")]).await;
    assert_eq!(shop.app.store().steps(job).unwrap()[0].spent_s, 4800);
    assert!(shop.get(&format!("/jobs/{job}/bench")).await.contains("Time set by hand: forgot it over lunch"));
}

#[tokio::test]
async fn a_figure_in_the_tablets_unit_is_compared_with_what_is_wanted() {
    let shop = shop_on("bell-bow");
    shop.post("/q/link", &[("answer", "yes"), ("chosen", "good"), ("name", "A. Parent")]).await;
    let planned = shop.app.job(shop.job).unwrap();
    let checks = job::acceptance::acceptance_checks(&planned.survey, &planned.plan);
    let bore = checks.iter().find(|c| c.wanted_mm.is_some_and(|w| w.figure_needed)).unwrap();
    for (figure, words) in [("5", "misses what is wanted"), ("0.1 in", "misses what is wanted"), ("wide", "compared with"), ("", "figure")]
    {
        let fields = [("key", bore.key.as_str()), ("passed", "yes"), ("figure", figure)];
        assert!(shop.refused("/checks", &fields).await.contains(words), "{figure}");
    }
    let let_go = [("key", bore.key.as_str()), ("passed", "yes"), ("figure", "5"), ("reason", "old sleeve"), ("let_go_by", "Ottilie")];
    shop.taken("/checks", &let_go).await;
    let page = shop.get(&format!("/jobs/{}/checks", shop.job)).await;
    assert!(page.contains("Not passed. ") && page.contains("5 mm old sleeve") && page.contains("Let go by Ottilie"), "{page}");
    let fine = format!("{:.3} in", (bore.wanted_mm.unwrap().least_mm.unwrap() + 0.1) / 25.4);
    shop.taken("/checks", &[("key", &bore.key), ("passed", "yes"), ("figure", &fine)]).await;
    let kept = shop.app.store().acceptance_records(shop.job).unwrap().remove(0);
    assert_eq!((kept.passed, kept.figure.as_str(), kept.let_go_by.as_str()), (Some(true), fine.as_str(), ""));
}

#[tokio::test]
async fn an_instruments_history_stands_on_one_page() {
    let shop = shop();
    let page = shop.get("/instruments/1/history").await;
    for wanted in ["Walls measured", "0.47 mm", "at dent d1", "Before: 1 dent", "Open job: Fell", "One job"] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    // Closed, the tag leads there; the dent that was agreed on is gone.
    shop.post("/q/link", &[("answer", "yes"), ("chosen", "beautiful"), ("name", "A. Parent")]).await;
    shop.taken("/ready", &[("name", "Ottilie"), ("reason", "parade")]).await;
    shop.taken("/hand-back", &[("collected_by", "A. Parent")]).await;
    let (_, to, _) = shop.ask(Request::get("/tags/T00001"), String::new()).await;
    assert_eq!(to, "/instruments/1/history");
    let page = shop.get(&to).await;
    assert!(page.contains("After: no dent stays by agreement") && page.contains("Let go by Ottilie: parade"), "{page}");
}

#[tokio::test]
async fn what_was_taken_out_comes_back_and_a_no_too() {
    let shop = shop();
    let store = shop.app.store();
    let png = b"\x89PNG\x0d\x0a\x1a\x0a\x00\x00\x00\x0dIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00\x1f\x15\xc4\x89\x00\x00\x00\x0dIDATx\x9cc\xf8\xcf\xc0\xf0\x1f\x00\x05\x00\x01\xff\x89\x99=\x1d\x00\x00\x00\x00IEND\xaeB`\x82";
    let Sent::Kept(photo, None) = store.add_photo(BY, shop.job, &NewPhoto::default(), png).unwrap() else { panic!("no photo") };
    let photo = photo.to_string();
    shop.taken("/put-back", &[("act", "take_out_photo"), ("which", &photo)]).await;
    assert!(store.photos(shop.job).unwrap().is_empty());
    store.remove_dent(BY, shop.job, "d1", 1).unwrap();
    let page = shop.get(&format!("/jobs/{}", shop.job)).await;
    assert!(page.contains("Removed (2)"), "{page}");
    shop.taken("/put-back", &[("act", "put_back_photo"), ("which", &photo)]).await;
    shop.taken("/put-back", &[("act", "put_back_dent"), ("which", "d1")]).await;
    assert_eq!((store.photos(shop.job).unwrap().len(), store.survey(shop.job).unwrap().unwrap().1.len()), (1, 1));
    shop.post("/q/link", &[("answer", "no"), ("name", "A. Parent")]).await;
    assert_eq!(store.job(shop.job).unwrap().state, JobState::Declined);
    shop.taken("/state", &[("act", "reopen")]).await;
    assert_eq!(store.job(shop.job).unwrap().state, JobState::Quoted);
}
