//! A form that is refused comes back as it was typed, with every problem; nothing is saved and nothing typed is lost.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{Request, StatusCode};
use instrument::fields::dent as d;
use instrument::{Kind, Survey, patterns};
use std::net::SocketAddr;
use store::counter::{JobState, NewInstrument};
use store::people::PersonRole;
use store::{By, Store};
use survey::damage::Form;
use survey::kept::survey_to_json;
use tower::ServiceExt;
use web::App;
use web::app::{EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};
use web::auth::COOKIE_NAME;
use web::routes::{map, router};

const BY: By<'static> = By { who: "test", at: 1 };

struct Shop {
    _dir: tempfile::TempDir,
    app: App,
    router: Router,
}

/// A shop with a surveyed trumpet on the bench, and a quote given.
fn shop() -> Shop {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let id = store.add_person(BY, "ottilie", "Ottilie Brandt", PersonRole::Owner, "not a hash").unwrap();
    store.open_session(By { who: "test", at: web::when::now() }, id, "127.0.0.1", ("token", "right-csrf"), 4_000_000_000).unwrap();
    let customer = store.add_customer(BY, "Fen Road", "555-0144", "", "").unwrap();
    let instrument = store.add_instrument(BY, &NewInstrument { customer, kind: "trumpet", ..NewInstrument::default() }).unwrap();
    let job = store.add_job(BY, instrument, "Sat on", "", None).unwrap();
    let survey = Survey::of(patterns::pattern(Kind::Trumpet).unwrap());
    store.save_survey_body(BY, job, 0, &survey_to_json(&survey).unwrap()).unwrap();
    let form =
        [(&d::RUN, "bell-stem"), (&d::AT, "60 mm"), (&d::CLOCK, "90°"), (&d::DEPTH, "2 mm"), (&d::ALONG, "20 mm"), (&d::ACROSS, "12 mm")];
    let form = form.iter().fold(Form::default(), |form, (field, text)| form.with(field, text));
    let kept = form.dent("d1", &survey.instrument, None).0.unwrap();
    store.save_dent(BY, job, "d1", 0, &kept.to_json().unwrap()).unwrap();
    let app = App::new(store, false);
    let quote = serde_json::to_string(&app.job(1).unwrap().quote).unwrap();
    let new = store::offers::NewQuote { token: "the-link", body: &quote, valid_until: None, made_from: None, adds_to: None };
    app.store().add_quote(BY, job, &new).unwrap();
    app.store().import_job_state(BY, job, JobState::OnBench).unwrap();
    let router = router(app.clone()).layer(MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 1))));
    Shop { _dir: dir, app, router }
}

fn encoded(fields: &[(&str, &str)]) -> String {
    let one = |text: &str| text.bytes().map(|b| format!("%{b:02X}")).collect::<String>();
    fields.iter().map(|(name, text)| format!("{}={}", one(name), one(text))).collect::<Vec<_>>().join("&")
}

impl Shop {
    async fn post(&self, path: &str, session: Option<&str>, csrf: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let body = format!("csrf={csrf}&{}", encoded(fields));
        let mut request = Request::post(path).header("content-type", "application/x-www-form-urlencoded");
        if let Some(session) = session {
            request = request.header("cookie", format!("{COOKIE_NAME}={session}"));
        }
        let response = self.router.clone().oneshot(request.body(Body::from(body)).unwrap()).await.unwrap();
        let status = response.status();
        let bytes = to_bytes(response.into_body(), 10_000_000).await.unwrap();
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    async fn sent(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        self.post(path, Some("token"), "right-csrf", fields).await
    }

    fn journal(&self) -> usize {
        self.app.store().journal_latest(1000).unwrap().len()
    }
}

#[tokio::test]
async fn a_shop_text_that_is_refused_comes_back_with_every_problem() {
    let shop = shop();
    let before = shop.journal();
    let text = EXAMPLE_SHOP.replacen("currency", "curency", 1).replacen("hold", "hodl", 1) + "\nmy_own_line = 3 # <typed & kept>\n";
    let (status, page) = shop.sent("/shop/files", &[("which", "shop"), ("text", &text)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("# &lt;typed &amp; kept&gt;"), "what was typed is gone");
    let told = page.matches("<li>Line ").count();
    assert!(told >= 2, "{told} problems with their lines: {page}");
    assert!(page.contains("To mend it"));
    // The rack beside it is shown as it is saved, and nothing is kept.
    assert!(page.contains("trueround_rack = 1"));
    assert_eq!((shop.app.store().setting(SHOP).unwrap(), shop.journal()), (None, before));
    // A text that can be read is kept.
    assert_eq!(shop.sent("/shop/files", &[("which", "shop"), ("text", EXAMPLE_SHOP)]).await.0, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn one_bad_tool_refuses_the_rack_and_both_are_told() {
    let shop = shop();
    let text = format!(
        "{EXAMPLE_RACK}\n[[tool]]\nid = \"mine\"\nkind = \"spoon\"\n\n[[tool]]\nid = \"other\"\nkind = \"ball\"\ndiameter = \"wide\"\n"
    );
    let (status, page) = shop.sent("/shop/files", &[("which", "rack"), ("text", &text)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("spoon") && page.contains("wide") && page.matches("<li>Line ").count() >= 2, "{page}");
    assert!(page.contains("id = &quot;mine&quot;") || page.contains("id = \"mine\""));
    assert_eq!(shop.app.store().setting(RACK).unwrap(), None);
}

/// A form's path, its fields as sent, and the words that must come back.
type Refused<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a [&'a str]);

#[tokio::test]
async fn every_form_with_typed_words_comes_back_with_them() {
    let shop = shop();
    let job = shop.app.job(1).unwrap();
    let step = job::key::step_key(&job.plan.steps[0]);
    let check = job::acceptance::acceptance_checks(&job.survey, &job.plan).remove(0).key;
    // Each is refused.
    let forms: &[Refused<'_>] = &[
        ("/customers", &[("name", " "), ("phone", "555-0199"), ("note", "rings\ntwice")], &["555-0199", "rings\ntwice"]),
        ("/customers/1", &[("name", ""), ("email", "fen@road.example")], &["fen@road.example"]),
        (
            "/customers/1/instruments",
            &[("kind", "tuba"), ("maker", "Harrow"), ("value", "much")],
            &["Harrow", "value=\"much\"", "value=\"tuba\" selected"],
        ),
        ("/instruments/1", &[("kind", "trumpet"), ("serial", "T-77"), ("value", "1,0x")], &["T-77", "1,0x"]),
        ("/instruments/1/jobs", &[("title", ""), ("words", "it fell, I swear"), ("due", "")], &["it fell, I swear"]),
        ("/jobs/1", &[("title", "Sat on twice"), ("words", "by two people"), ("due", "soon")], &["Sat on twice", "by two people"]),
        (
            "/jobs/1/plan/overrule",
            &[("box", "whole"), ("kind", "leave"), ("dent", ""), ("why", "she does not mind")],
            &["she does not mind", "value=\"leave\" selected"],
        ),
        (
            "/jobs/1/plan/overrule",
            &[("box", "d1"), ("kind", "method"), ("dent", "d1"), ("method", "none"), ("why", "rods are away")],
            &["rods are away"],
        ),
        ("/jobs/1/bench", &[("key", &step), ("act", "dance"), ("text", "left by the vise")], &["left by the vise"]),
        ("/jobs/1/bench", &[("key", "gone"), ("act", "note"), ("text", "a long note")], &["a long note"]),
        ("/jobs/1/checks", &[("key", &check), ("figure", "11.2 mm"), ("passed", "no"), ("reason", "")], &["11.2 mm"]),
        ("/jobs/1/checks", &[("key", "gone"), ("figure", "9 mm"), ("passed", "yes")], &["9 mm"]),
        (
            "/jobs/1/survey/parts",
            &[("part", "run leadpipe"), ("seen", "of yesterday"), ("wall", "0.47 mm")],
            &["0.47 mm", "Another tablet saved here: nothing"],
        ),
        (
            "/jobs/1/survey/parts",
            &[("part", "run leadpipe"), ("wall", "0.47 stone"), ("alloy", "rose brass")],
            &["0.47 stone", "cannot be read", "value=\"rose brass\" checked"],
        ),
        ("/jobs/1/survey/pattern", &[("version", "99"), ("pattern", "cornet")], &["value=\"cornet\" selected"]),
        (
            "/jobs/1/survey/conditions",
            &[
                ("version", "1"),
                ("condition", ""),
                ("kind", "red rot"),
                ("run", "leadpipe"),
                ("from", "40 stone"),
                ("note", "pink all over"),
            ],
            &["40 stone", "pink all over", "value=\"red rot\" selected"],
        ),
        (
            "/people",
            &[("name", "Wren Okafor"), ("login", "wren"), ("role", "apprentice"), ("password", "short")],
            &["Wren Okafor", "value=\"wren\"", "value=\"apprentice\" selected"],
        ),
        ("/people/1", &[("name", "Ottilie B."), ("role", "technician"), ("active", "yes")], &["Ottilie B."]),
        (
            "/q/the-link",
            &[("name", "A. Parent"), ("answer", "yes"), ("chosen", "good"), ("signature", "M1 1L2 2")],
            &["A. Parent", "M1 1L2 2"],
        ),
    ];
    let before = shop.journal();
    for (path, fields, words) in forms {
        let (status, page) = shop.sent(path, fields).await;
        assert!(matches!(status, StatusCode::UNPROCESSABLE_ENTITY | StatusCode::CONFLICT), "{path} answered {status}");
        assert!(page.contains("Not saved."), "{path} does not say that nothing was saved");
        for word in *words {
            assert!(page.contains(word), "{path}: “{word}” is gone");
        }
        assert!(!page.contains("short\""), "{path} shows a password");
    }
    assert_eq!(shop.journal(), before, "something was saved");
}

/// The routes whose forms have no words to lose: a button, or a choice that the page still shows.
const NO_WORDS: &[&str] = &[
    "/sign-in",
    "/sign-out",
    "/jobs/{id}/state",
    "/jobs/{id}/survey/start",
    "/jobs/{id}/survey/dents", // JSON: what is typed stays on the tablet until it is saved
    "/jobs/{id}/photos",
    "/jobs/{id}/plan/withdraw",
    "/jobs/{id}/quote",
    "/jobs/{id}/ready",
    "/people/{id}/password",
    "/me",
    "/sign-in/code",
    "/me/sessions/end-others",
    "/me/sessions/{id}/end",
    "/me/second-factor",
    "/me/second-factor/confirm",
    "/me/second-factor/remove",
    "/jobs/{id}/quote/sent",
    "/jobs/{id}/quote/photos",
    "/jobs/{id}/quote/link/close",
    "/jobs/{id}/quote/link/renew",
];

#[tokio::test]
async fn whatever_turns_a_form_away_what_was_typed_is_on_the_page() {
    let shop = shop();
    let fields = [("name", "N4"), ("note", "do not lose this"), ("password", "but never show this")];
    for route in map().iter().filter(|r| r.method == "POST" && !NO_WORDS.contains(&r.path)) {
        let path = route.path.replace("{id}", "1").replace("{token}", "unknown");
        for (session, csrf) in [(None, "right-csrf"), (Some("ended"), "right-csrf"), (Some("token"), "old")] {
            let (status, page) = shop.post(&path, session, csrf, &fields).await;
            assert!(status.is_client_error(), "{path} answered {status}");
            // A form that lacks its own fields is no form of ours.
            if route.path == "/q/{token}" {
                continue;
            }
            if session == Some("token") {
                assert!(page.contains("do not lose this"), "{path}: what was typed is gone");
            } else {
                // A stranger is shown nothing again; the browser keeps what was typed on the page before.
                assert!(!page.contains("do not lose this") && page.len() < 4000, "{path} answers a stranger with {} bytes", page.len());
                assert!(page.contains("go back to it and send it again"), "{path}: {page}");
            }
            assert!(!page.contains("but never show this"), "{path} shows a password");
        }
    }
}
