//! The bench under a lost network and after the job is over: what is sent twice is done once, what would be refused has no
//! button, what throws a decision away asks first; and photos, small.

use crate::common::{FORM, Shop, encoded};
use axum::http::{HeaderMap, Request, StatusCode};
use instrument::fields::dent as d;
use instrument::{Kind, Survey, patterns};
use serde_json::Value;
use std::io::Cursor;
use store::By;
use store::bench::StepState;
use store::states::Said;
use survey::damage::Form;
use survey::kept::survey_to_json;

fn by() -> By<'static> {
    By { who: "test", at: web::when::now() }
}

/// A trumpet with one dent, quoted and agreed.
fn shop() -> Shop {
    let (dir, store, job) = crate::common::shop_with("trumpet");
    let survey = Survey::of(patterns::pattern(Kind::Trumpet).unwrap());
    store.save_survey_body(by(), job, 0, &survey_to_json(&survey).unwrap()).unwrap();
    let typed =
        [(&d::RUN, "bell-stem"), (&d::AT, "60 mm"), (&d::CLOCK, "90°"), (&d::DEPTH, "2 mm"), (&d::ALONG, "20 mm"), (&d::ACROSS, "12 mm")];
    let form = typed.iter().fold(Form::default(), |form, (field, text)| form.with(field, text));
    store.save_dent(by(), job, "d1", 0, &form.dent("d1", &survey.instrument, None).0.unwrap().to_json().unwrap()).unwrap();
    let shop = Shop::of((dir, store, job));
    crate::common::give(&shop.app, by(), job, "link");
    crate::common::say_yes(&shop.app, by(), job, "link");
    shop
}

impl Shop {
    async fn job_page(&self, path: &str) -> String {
        let (status, _, bytes) = self.send(Request::get(format!("/jobs/{}{path}", self.job)), "").await;
        assert_eq!(status, StatusCode::OK, "{path}");
        String::from_utf8(bytes.to_vec()).unwrap()
    }

    async fn job_form(&self, path: &str, accept: &str, fields: &[(&str, &str)]) -> (StatusCode, HeaderMap, String) {
        let request = Request::post(format!("/jobs/{}{path}", self.job)).header("accept", accept).header("content-type", FORM);
        let (status, headers, bytes) = self.send(request, encoded(fields)).await;
        (status, headers, String::from_utf8_lossy(&bytes).into_owned())
    }

    /// As the bench's script sends a tap.
    async fn tap(&self, fields: &[(&str, &str)]) -> (StatusCode, Value) {
        let (status, _, text) = self.job_form("/bench", "application/json", fields).await;
        (status, serde_json::from_str(&text).unwrap_or_else(|_| panic!("{text}")))
    }

    async fn photo(&self, about: &str, bytes: &[u8]) -> (StatusCode, Value) {
        let request = Request::post(format!("/jobs/{}/photos?{about}", self.job)).header("accept", "application/json");
        let (status, _, bytes) = self.send(request, bytes.to_vec()).await;
        (status, serde_json::from_slice(&bytes).unwrap_or(Value::Null))
    }

    fn keys(&self) -> Vec<String> {
        self.app.job(self.job).unwrap().plan.steps.iter().map(job::key::step_key).collect()
    }
}

#[tokio::test]
async fn a_tap_that_is_sent_twice_is_done_once_and_counts_from_when_it_was_tapped() {
    let shop = shop();
    let keys = shop.keys();
    let state = |n: usize| shop.app.store().steps(shop.job).unwrap().into_iter().find(|s| s.key == keys[n]);
    let (status, said) = shop.tap(&[("key", &keys[0]), ("act", "start"), ("made_as", "one"), ("waited", "600")]).await;
    assert_eq!(status, StatusCode::OK);
    assert!(said["to"].as_str().unwrap().starts_with(&format!("/jobs/{}/bench", shop.job)));
    shop.tap(&[("key", &keys[0]), ("act", "tick"), ("made_as", "two"), ("waited", "60")]).await;
    let done = state(0).unwrap();
    assert_eq!(done.state, StepState::Done);
    assert!((538..=545).contains(&done.spent_s), "{}", done.spent_s);
    // Taken back by somebody else; the tick that comes again for want of an answer does nothing.
    shop.tap(&[("key", &keys[0]), ("act", "untick"), ("made_as", "three")]).await;
    let (status, _) = shop.tap(&[("key", &keys[0]), ("act", "tick"), ("made_as", "two"), ("waited", "90")]).await;
    assert_eq!((status, state(0).unwrap().state), (StatusCode::OK, StepState::ToDo));
    // What is refused is told in words, with its status, and a wait that nobody believes counts as none.
    let last = keys.len() - 1;
    let (status, said) = shop.tap(&[("key", &keys[last]), ("act", "tick"), ("made_as", "four")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(said["problem"].as_str().unwrap().contains("waits for step"), "{said}");
    assert!(state(last).is_none());
    shop.tap(&[("key", &keys[0]), ("act", "tick"), ("made_as", "five"), ("waited", "99999999")]).await;
    assert!(state(0).unwrap().done_at.unwrap() >= web::when::now() - 5);
    // Without the script it is a form as before.
    let (status, headers, _) = shop.job_form("/bench", "text/html", &[("key", &keys[0]), ("act", "untick")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(headers["location"].to_str().unwrap().contains("#step-1"));
}

#[tokio::test]
async fn where_the_job_is_over_no_button_stands_that_would_be_refused() {
    let shop = shop();
    let store = shop.app.store();
    let buttons = |page: &str| {
        ["start", "tick", "untick", "skip", "note", "time"]
            .into_iter()
            .filter(|act| page.contains(&format!("name=\"act\" value=\"{act}\"")))
            .collect::<Vec<_>>()
    };
    let open = shop.job_page("/bench").await;
    assert!(buttons(&open).contains(&"tick") && open.contains("Found something") && open.contains("data-photo"));
    assert!(shop.job_page("/plan").await.contains("/plan/overrule") && shop.job_page("/survey").await.contains("data-readonly=\"no\""));
    let required = store::acceptance::Required { steps: vec![], checks: vec![] };
    store
        .tap_step(
            by(),
            shop.job,
            &store::bench::PlannedStep { key: &shop.keys()[0], kind: "flush", what: "Flush", likely_s: 60, timed_by: "" },
            &store::bench::Tap { act: store::bench::StepAct::Tick, person: 1, at: web::when::now(), made_as: None },
        )
        .unwrap();
    store.ready_job(by(), shop.job, &required, Said::both("Ottilie", "a look over")).unwrap();
    // Ready: a note and a photo may still be kept, nothing is worked.
    assert_eq!(buttons(&shop.job_page("/bench").await), ["note", "time"]);
    store.hand_back(by(), shop.job, "A. Parent", "", &[], None).unwrap();
    let over = shop.job_page("/bench").await;
    assert!(
        buttons(&over).is_empty() && !over.contains("data-photo") && !over.contains("Found something") && !over.contains("Go on with step"),
        "{over}"
    );
    assert!(over.contains("This job is picked up"));
    assert!(!shop.job_page("/plan").await.contains("/plan/overrule"));
    assert!(shop.job_page("/survey").await.contains("data-readonly=\"yes\""));
    // A declined one as well.
    store.reopen_job(by(), shop.job).unwrap();
    let shop = self::shop();
    shop.app.store().decline_job(by(), shop.job, Said::both("A. Parent", "too dear")).unwrap();
    assert!(buttons(&shop.job_page("/bench").await).is_empty());
}

#[tokio::test]
async fn a_decision_is_taken_back_with_a_second_tap() {
    let shop = shop();
    let decided = [("kind", "leave"), ("dent", "d1"), ("why", "The player does not mind it")];
    assert_eq!(shop.job_form("/plan/overrule", "text/html", &decided).await.0, StatusCode::SEE_OTHER);
    let page = shop.job_page("/plan").await;
    assert!(page.contains("Yes, undo it") && page.contains("put it back on the job"));
    let id = shop.app.store().overrules(shop.job).unwrap()[0].id.to_string();
    assert_eq!(shop.job_form("/plan/withdraw", "text/html", &[("overrule", &id)]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(shop.app.store().overrules(shop.job).unwrap().len(), 1);
    assert_eq!(shop.job_form("/plan/withdraw", "text/html", &[("overrule", &id), ("sure", "yes")]).await.0, StatusCode::SEE_OTHER);
    assert!(shop.app.store().overrules(shop.job).unwrap().is_empty());
    assert_eq!(shop.job_form("/put-back", "text/html", &[("act", "put_back_overrule"), ("which", &id)]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.app.store().overrules(shop.job).unwrap().len(), 1);
}

fn png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    image::RgbImage::from_pixel(width, height, image::Rgb([180, 120, 40]))
        .write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png)
        .unwrap();
    bytes
}

#[tokio::test]
async fn a_photo_is_kept_once_and_shown_small() {
    let shop = shop();
    let large = png(1200, 900);
    // Of a dent that the record does not have yet it waits; the tablet tries again.
    assert_eq!(shop.photo("made_as=p1&dent_made_as=n1", &large).await.0, StatusCode::CONFLICT);
    let name = shop.app.store().add_dent(by(), shop.job, Some("n1"), |_| Ok("{}".to_owned())).unwrap().0;
    let (status, first) = shop.photo("made_as=p1&dent_made_as=n1", &large).await;
    assert_eq!((status, &first["dent"]), (StatusCode::CREATED, &Value::from(name.as_str())));
    assert_eq!(shop.photo("made_as=p1&dent_made_as=n1", &large).await.1, first);
    assert_eq!(shop.app.store().photos(shop.job).unwrap().len(), 1);
    shop.app.store().remove_dent(by(), shop.job, &name, 1).unwrap();
    // Small, and for good: what a photo shows never changes.
    let small = format!("/jobs/{}/photos/{}/small", shop.job, first["id"]);
    let (status, headers, bytes) = shop.send(Request::get(&small), "").await;
    assert_eq!((status, headers["content-type"].to_str().unwrap()), (StatusCode::OK, "image/jpeg"));
    assert!(headers["cache-control"].to_str().unwrap().contains("immutable") && headers["x-content-type-options"] == "nosniff");
    let seen = image::load_from_memory(&bytes).unwrap();
    assert_eq!((seen.width(), seen.height()), (320, 240));
    assert!(shop.job_page("").await.contains(&format!("src=\"{small}\"")));
    // One that cannot be decoded has a placeholder, and is still there whole.
    let (_, broken) = shop.photo("", b"RIFF\x1a\0\0\0WEBPVP8 \x0e\0\0\0\0\0\0\x9d\x01\x2a\x09\0\x09\0\0\0\0\0").await;
    let at = format!("/jobs/{}/photos/{}", shop.job, broken["id"]);
    let (status, headers, bytes) = shop.send(Request::get(format!("{at}/small")), "").await;
    assert_eq!((status, headers["content-type"].to_str().unwrap()), (StatusCode::OK, "image/svg+xml"));
    assert!(bytes.starts_with(b"<svg") && !String::from_utf8_lossy(&bytes).contains("<script"));
    assert_eq!(shop.send(Request::get(&at), "").await.1["content-type"], "image/webp");
    assert_eq!(shop.send(Request::get(format!("/jobs/{}/photos/999/small", shop.job)), "").await.0, StatusCode::NOT_FOUND);
}
