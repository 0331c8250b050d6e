//! The tablet's form of a dent: every field of a dent is on it, what is sent is read by the grammar of the survey file, and
//! what the record kept before is still shown.

use crate::common::{FORM, Shop, encoded};
use axum::http::{Request, StatusCode};
use instrument::fields::{Kind, dent as d};
use instrument::{Condition, Direction, Survey, patterns};
use serde_json::{Value, json};
use store::By;
use survey::kept::{Kept, survey_from_json, survey_to_json};

/// As the program wrote it when what is kept had no version yet.
const DENT_1: &str = include_str!("../../../survey/tests/fixtures/dent-1.json");

fn shop() -> Shop {
    let (dir, store, job) = crate::common::shop_with("trumpet");
    let by = By { who: "test", at: web::when::now() };
    let survey = Survey::of(patterns::pattern(instrument::Kind::Trumpet).unwrap());
    store.save_survey_body(by, job, 0, &survey_to_json(&survey).unwrap()).unwrap();
    Shop::of((dir, store, job))
}

impl Shop {
    async fn survey_in(&self, units: &str) -> String {
        let request = Request::get(format!("/jobs/{}/survey", self.job));
        let (status, _, bytes) = self.send_as(request, &format!("trueround_units={units}"), "").await;
        assert_eq!(status, StatusCode::OK);
        String::from_utf8(bytes.to_vec()).unwrap()
    }

    async fn data(&self, units: &str) -> Value {
        let page = self.survey_in(units).await;
        let data = page.split("id=\"survey-data\">").nth(1).unwrap().split("</script>").next().unwrap();
        serde_json::from_str(data).unwrap()
    }

    async fn send_dent(&self, body: Value) -> (StatusCode, Value) {
        let request = Request::post(format!("/jobs/{}/survey/dents", self.job))
            .header("content-type", "application/json")
            .header("accept", "application/json");
        let (status, _, bytes) = self.send(request, body.to_string()).await;
        (status, serde_json::from_slice(&bytes).unwrap_or(Value::Null))
    }

    fn kept(&self, name: &str) -> Kept {
        Kept::from_json(&self.app.store().dent(self.job, name).unwrap().unwrap().body).unwrap()
    }
}

#[tokio::test]
async fn every_field_of_a_dent_is_on_the_form() {
    let shop = shop();
    let (page, data) = (shop.survey_in("mm").await, shop.data("mm").await);
    let keys: Vec<&str> = data["fields"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    for field in d::FIELDS.iter().filter(|f| !matches!(f.kind, Kind::Id | Kind::Run)) {
        let filled = format!("name=\"{}\"", field.key);
        let chosen = format!("data-choice=\"{}\"", field.key);
        let asked = page.contains(&filled) || page.contains(&chosen);
        assert_eq!(asked, keys.contains(&field.key), "{}", field.key);
        assert!(asked || field.key == d::CREASE.key, "{} is not on the form", field.key);
        // A crease is asked for by how it lies, under its own name.
        assert!(page.contains(field.label) || field.key == d::CREASE_LIES.key, "{}", field.label);
    }
}

#[tokio::test]
async fn what_is_sent_is_read_as_a_file_is() {
    let shop = shop();
    let sent = json!({
        "name": null, "token": "t1", "from": 0, "form": 2, "run": "bell-bow", "at": "60 mm", "clock": "3 o'clock", "depth": "about 2 mm",
        "along": "wide", "crack": "yes", "crack.length": "5 mm", "hardness": "110", "profile_across": "-8 mm: 0 mm\n0 mm: 2 mm",
    });
    let (status, saved) = shop.send_dent(sent).await;
    assert_eq!(status, StatusCode::OK, "{saved}");
    let name = saved["name"].as_str().unwrap();
    let mut told: Vec<&str> = saved["warnings"].as_array().unwrap().iter().filter_map(|w| w["field"].as_str()).collect();
    told.sort_unstable();
    // Two points are few; a width is no word. A bare hardness is in the one unit that the tablet knows for it.
    assert_eq!(told, ["along", "profile_across"], "{saved}");
    assert_eq!((saved["dent"]["at_mm"].as_f64(), saved["dent"]["clock_deg"].as_f64()), (Some(60.0), Some(90.0)));
    let kept = shop.kept(name);
    let crack = kept.dent.crack.as_ref().unwrap();
    assert_eq!(kept.dent.hardness_hv.as_ref().map(|k| k.value), Some(110.0));
    // What was refused is not kept: the page shows it no more after it was loaded anew.
    assert!(kept.dent.profile_across.is_empty() && !kept.typed.0.contains_key("along") || kept.typed.text(&d::ALONG).is_empty());
    assert_eq!(shop.data("mm").await["dents"][0]["along"].as_str().unwrap_or_default(), "");
    // Nobody said how it lies.
    assert_eq!((crack.direction, crack.through, crack.length_mm.as_ref().map(|k| k.value)), (None, None, Some(5.0)));
    // A word that no field is called is told, a tube that is not there refuses the dent.
    let (status, saved) = shop.send_dent(json!({"name": name, "from": 1, "form": 2, "run": "bell-bow", "dept": "3 mm"})).await;
    assert_eq!(status, StatusCode::OK);
    assert!(saved["warnings"][0]["words"].as_str().unwrap().contains("did you mean `depth`"), "{saved}");
    let (status, refused) = shop.send_dent(json!({"name": name, "from": 2, "form": 2, "run": "bell-bov"})).await;
    assert_eq!((status, refused["problems"][0]["field"].as_str()), (StatusCode::UNPROCESSABLE_ENTITY, Some("run")));
}

#[tokio::test]
async fn what_was_kept_before_it_had_a_version_is_shown_and_kept_anew() {
    let shop = shop();
    let by = By { who: "test", at: web::when::now() };
    shop.app.store().save_dent(by, shop.job, "d1", 0, DENT_1).unwrap();
    let dent = shop.data("in").await["dents"][0].clone();
    assert_eq!(
        (dent["at"].as_str(), dent["crease.lies"].as_str(), dent["edge_radius"].as_str()),
        (Some("2.402 in"), Some("across"), Some("2 mm"))
    );
    let mut sent = dent.clone();
    sent["from"] = json!(1);
    sent["depth"] = json!("3 mm");
    let fields: Vec<String> =
        shop.data("in").await["fields"].as_array().unwrap().iter().filter_map(|k| k.as_str().map(str::to_owned)).collect();
    let own = |k: &String| fields.contains(k) || ["name", "from", "form", "run"].contains(&k.as_str());
    let sent: serde_json::Map<String, Value> = sent.as_object().unwrap().clone().into_iter().filter(|(k, _)| own(k)).collect();
    let (status, saved) = shop.send_dent(Value::Object(sent)).await;
    assert_eq!(status, StatusCode::OK, "{saved}");
    let kept = shop.kept("d1");
    assert_eq!((kept.dent.depth_mm.unwrap().value, kept.dent.at_mm.unwrap().value), (3.0, 61.0));
    assert_eq!(kept.dent.crease.unwrap().direction, Direction::Across);
    assert!(shop.app.store().dent(shop.job, "d1").unwrap().unwrap().body.starts_with("{\"version\":2,"));
}

#[tokio::test]
async fn a_dent_that_an_old_page_could_not_send_is_still_taken() {
    let shop = shop();
    let old = json!({
        "name": null, "token": "t2", "from": 0, "run": "leadpipe", "at_mm": 40, "clock_deg": 90, "depth": "2 mm", "crack": "closed",
        "edge": "1 mm", "hardness": "110", "repair": "", "crease": "", "gone": false,
    });
    let (status, saved) = shop.send_dent(old).await;
    assert_eq!(status, StatusCode::OK, "{saved}");
    assert_eq!(saved["warnings"], json!([]));
    let dent = shop.kept(saved["name"].as_str().unwrap()).dent;
    assert_eq!((dent.at_mm.unwrap().value, dent.edge_radius_mm.unwrap().value, dent.hardness_hv.unwrap().value), (40.0, 1.0, 110.0));
    let crack = dent.crack.unwrap();
    assert_eq!((crack.direction, crack.through), (None, Some(false)));
}

#[tokio::test]
async fn a_condition_is_saved_changed_refused_and_taken_out() {
    let shop = shop();
    let post = async |fields: &[(&str, &str)]| {
        let request = Request::post(format!("/jobs/{}/survey/conditions", shop.job)).header("content-type", FORM);
        let (status, _, bytes) = shop.send(request, encoded(fields)).await;
        (status, String::from_utf8_lossy(&bytes).into_owned())
    };
    let kept = || survey_from_json(&shop.app.store().survey_body(shop.job).unwrap().unwrap().body).unwrap().conditions;
    let rot = [
        ("condition", ""),
        ("act", "keep"),
        ("kind", "red rot"),
        ("run", "leadpipe"),
        ("from", "40 mm"),
        ("to", "90 mm"),
        ("through", ""),
        ("wall_left", "about 0.2 mm"),
    ];
    let (status, page) = post(&rot).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let first = kept();
    assert_eq!((first.len(), first[0].id.0.as_str(), first[0].from_mm, first[0].through), (1, "c1", Some(40.0), None));
    // What cannot be read refuses it, with the words of the file, and what was typed stands there again.
    // Sent twice, because the first answer was lost, it is one.
    assert_eq!((post(&rot).await.0, kept().len()), (StatusCode::SEE_OTHER, 1));
    let seen = async || {
        let page = shop.survey_in("mm").await;
        let form = page.split("name=\"condition\" value=\"c1\"").next().unwrap_or_default();
        form.rsplit("name=\"seen\" value=\"").next().unwrap_or_default().split('"').next().unwrap_or_default().to_owned()
    };
    let first_seen = seen().await;
    let (status, page) = post(&[
        ("seen", &first_seen),
        ("condition", "c1"),
        ("act", "keep"),
        ("kind", "red rot"),
        ("run", "leadpipe"),
        ("from", "40 stone"),
    ])
    .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("40 stone") && page.contains("cannot be read"), "{page}");
    assert_eq!(kept(), first);
    // Sent as it is shown it stays as it is.
    let same = [("from", "40 mm"), ("to", "90 mm"), ("clock", ""), ("through", "no"), ("wall_left", "about 0.2 mm"), ("note", "")];
    let (status, _) = post(
        &[
            &[("seen", first_seen.as_str()), ("condition", "c1"), ("act", "keep"), ("kind", "red rot"), ("run", "leadpipe")],
            same.as_slice(),
        ]
        .concat(),
    )
    .await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(kept(), [Condition { through: Some(false), ..first[0].clone() }]);
    let (status, _) = post(&[("seen", &first_seen), ("condition", "c1"), ("act", "gone")]).await;
    assert_eq!(status, StatusCode::CONFLICT);
    let (status, _) = post(&[("seen", &seen().await), ("condition", "c1"), ("act", "gone")]).await;
    assert_eq!((status, kept().len()), (StatusCode::SEE_OTHER, 0));
}
