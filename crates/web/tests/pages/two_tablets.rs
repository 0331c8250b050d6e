//! Two tablets on one form: whoever saves second is told what the first saved and sees both; and a dent that is sent again after a
//! lost answer overwrites nothing.

use crate::common::{FORM, Shop, encoded, surveyed};
use axum::http::{Request, StatusCode};
use instrument::{Kind, Survey, patterns};
use serde_json::{Value, json};
use web::app::{EXAMPLE_RACK, EXAMPLE_SHOP};

fn shop() -> Shop {
    surveyed("trumpet", &Survey::of(patterns::pattern(Kind::Trumpet).unwrap()))
}

impl Shop {
    async fn form_of(&self, path: &str, version: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let fields: Vec<_> = fields.iter().copied().chain([("version", version)]).collect();
        let (status, _, page) = self.send(Request::post(path).header("content-type", FORM), encoded(&fields)).await;
        (status, String::from_utf8_lossy(&page).into_owned())
    }

    async fn send_dent_of(&self, body: &Value) -> (StatusCode, String) {
        let request = Request::post(format!("/jobs/{}/survey/dents", self.job)).header("content-type", "application/json");
        let (status, _, answer) = self.send(request, body.to_string()).await;
        (status, String::from_utf8_lossy(&answer).into_owned())
    }
}

/// A form's address, the page where it stands, the version that both tablets saw, what each types, and words of both.
type Form<'a> = (&'a str, &'a str, &'a str, &'a [(&'a str, &'a str)], &'a [(&'a str, &'a str)], &'a str, &'a str);

#[tokio::test]
async fn the_second_tablet_is_told_what_the_first_saved_and_loses_nothing() {
    let shop = shop();
    let dearer = format!("# of the first tablet\n{EXAMPLE_SHOP}");
    let other = format!("# of the second tablet\n{EXAMPLE_SHOP}");
    let (rack_a, rack_b) = (format!("# rack one\n{EXAMPLE_RACK}"), format!("# rack two\n{EXAMPLE_RACK}"));
    let forms: &[Form<'_>] = &[
        (
            "/customers/1",
            "/customers/1",
            "1",
            &[("name", "Fen Road"), ("note", "call after six")],
            &[("name", "Fen Road"), ("note", "pays by check")],
            "call after six",
            "pays by check",
        ),
        (
            "/instruments/1",
            "/instruments/1",
            "1",
            &[("kind", "trumpet"), ("serial", "F-1")],
            &[("kind", "trumpet"), ("serial", "S-2")],
            "F-1",
            "S-2",
        ),
        (
            "/jobs/1",
            "/jobs/1",
            "1",
            &[("title", "Fell"), ("words", "from the stand")],
            &[("title", "Fell"), ("words", "down the stair")],
            "from the stand",
            "down the stair",
        ),
        ("/jobs/1/accessories", "/jobs/1", "3", &[("accessories", "gig bag")], &[("accessories", "lyre")], "gig bag", "lyre"),
        (
            "/shop/files",
            "/shop/files",
            "0",
            &[("which", "shop"), ("text", &dearer)],
            &[("which", "shop"), ("text", &other)],
            "of the first",
            "of the second",
        ),
        (
            "/shop/files",
            "/shop/files",
            "0",
            &[("which", "rack"), ("text", &rack_a)],
            &[("which", "rack"), ("text", &rack_b)],
            "rack one",
            "rack two",
        ),
        (
            "/people/1",
            "/people",
            "1",
            &[("name", "Ottilie First"), ("role", "owner"), ("active", "yes")],
            &[("name", "Ottilie Second"), ("role", "owner"), ("active", "yes")],
            "Ottilie First",
            "Ottilie Second",
        ),
    ];
    for (path, at, version, first, second, saved, typed) in forms {
        let (status, page) = shop.form_of(path, version, first).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {page}");
        // Who may sign in was changed, and is signed out everywhere.
        if *path == "/people/1" {
            let by = store::By { who: "test", at: web::when::now() };
            shop.app.store().open_session(by, 1, "127.0.0.1", ("token", "csrf"), 4_000_000_000).unwrap();
        }
        let (status, page) = shop.form_of(path, version, second).await;
        assert_eq!(status, StatusCode::CONFLICT, "{path}");
        assert!(page.contains("Another tablet saved"), "{path}: {page}");
        assert!(page.contains(saved) && page.contains(typed), "{path} does not show both");
        // Nothing was overwritten; and whoever has seen both may save.
        let (_, _, kept) = shop.send(Request::get(*at), "").await;
        let kept = String::from_utf8_lossy(&kept);
        assert!(kept.contains(saved) && !kept.contains(typed), "{path}: the first one's words are lost");
        let newest = page.split(&format!("action=\"{path}\"")).nth(1).and_then(|form| form.split("name=\"version\" value=\"").nth(1));
        let newest = match (*path, second[0].1) {
            // The page has two files' forms.
            ("/shop/files", which) => {
                let form = page.split(&format!("name=\"which\" value=\"{which}\"")).nth(1).unwrap();
                form.split("name=\"version\" value=\"").nth(1).unwrap()
            }
            _ => newest.unwrap(),
        };
        let newest = newest.split('"').next().unwrap().to_owned();
        assert_eq!(shop.form_of(path, &newest, second).await.0, StatusCode::SEE_OTHER, "{path}: {newest}");
        if *path == "/people/1" {
            break;
        }
    }
}

#[tokio::test]
async fn a_form_refused_for_another_reason_keeps_the_version_that_it_was_made_from() {
    let shop = shop();
    assert_eq!(shop.form_of("/customers/1", "1", &[("name", "Fen Road"), ("note", "first")]).await.0, StatusCode::SEE_OTHER);
    let (status, page) = shop.form_of("/customers/1", "1", &[("name", ""), ("note", "second")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("name=\"version\" value=\"1\""), "the form would overwrite what the first saved");
}

fn dent(name: Option<&str>, mark: &str, from: i64, depth: &str) -> Value {
    json!({ "name": name, "token": "tablet-one", "mark": mark, "from": from, "form": 2, "unit": "mm", "run": "bell-stem", "at": "60", "clock": "90°", "depth": depth, "along": "20", "across": "12" })
}

#[tokio::test]
async fn a_dent_sent_again_after_a_lost_answer_overwrites_nothing() {
    let shop = shop();
    let depth = || {
        let (body, dents) = shop.app.store().survey(shop.job).unwrap().unwrap();
        web::recorded::assemble(&body, &dents).unwrap().dents[0].depth_mm.as_ref().map(|k| k.value)
    };
    // A new dent; the answer is lost.
    let (status, first) = shop.send_dent_of(&dent(None, "m1", 0, "3")).await;
    assert_eq!(status, StatusCode::OK, "{first}");
    // Another tablet measures it again.
    let mut theirs = dent(Some("d1"), "x1", 1, "3.5");
    theirs["token"] = Value::Null;
    assert_eq!(shop.send_dent_of(&theirs).await.0, StatusCode::OK);
    // Sent again: the same answer, and nothing is written.
    assert_eq!(shop.send_dent_of(&dent(None, "m1", 0, "3")).await, (StatusCode::OK, first));
    assert_eq!(depth(), Some(3.5));
    // What was typed since then is another save: the record shows what stands there.
    let mut more = dent(None, "m2", 0, "2.5");
    more["after"] = json!(["m1"]);
    let (status, clash) = shop.send_dent_of(&more).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(clash.contains("3.5") && clash.contains("\"name\":\"d1\""), "{clash}");
    assert_eq!(depth(), Some(3.5));

    // A dent that was there: the same.
    let (status, again) = shop.send_dent_of(&dent(Some("d1"), "m3", 2, "4")).await;
    assert_eq!(status, StatusCode::OK, "{again}");
    theirs["mark"] = json!("x2");
    theirs["from"] = json!(3);
    assert_eq!(shop.send_dent_of(&theirs).await.0, StatusCode::OK);
    assert_eq!(shop.send_dent_of(&dent(Some("d1"), "m3", 2, "4")).await, (StatusCode::OK, again));
    assert_eq!(depth(), Some(3.5));
}

#[tokio::test]
async fn a_tablets_own_saves_without_an_answer_are_no_conflict() {
    let shop = shop();
    assert_eq!(shop.send_dent_of(&dent(None, "m1", 0, "3")).await.0, StatusCode::OK);
    let mut second = dent(None, "m2", 0, "2.5");
    second["after"] = json!(["m1"]);
    assert_eq!(shop.send_dent_of(&second).await.0, StatusCode::OK);
    let mut third = dent(None, "m3", 0, "3");
    third["after"] = json!(["m1", "m2"]);
    let (status, answer) = shop.send_dent_of(&third).await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    // Taken out, twice; somebody puts it back in between, and it stays.
    let gone = json!({ "name": "d1", "mark": "m4", "from": 3, "gone": true });
    let (status, answer) = shop.send_dent_of(&gone).await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    shop.app.store().restore_dent(store::By { who: "other", at: web::when::now() }, shop.job, "d1").unwrap();
    assert_eq!(shop.send_dent_of(&gone).await, (StatusCode::OK, answer));
    assert!(shop.app.store().dent(shop.job, "d1").unwrap().is_some());
}
