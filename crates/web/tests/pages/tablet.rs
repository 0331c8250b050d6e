//! What the tablet can say is what the file can: every case of the demo is entered as the page's script sends it, taken out
//! again as a file, and plans the same as the demo's file.

use crate::common::{FORM, Shop, encoded};
use axum::http::{Request, StatusCode};
use fixtures::demo;
use instrument::fields::dent as d;
use instrument::fields::{Field, Held, Kind, condition as c, run as r};
use instrument::{Point, Profile, Survey, patterns};
use plan::Overrules;
use serde_json::{Map, Value, json};
use store::By;
use survey::damage::Form;
use survey::given::Given;
use survey::parts::Part;
use survey::{read_survey, write_survey};
use units::{LengthUnit, Origin};

/// A shop with one instrument on its counter, as the card of the demo's instrument says it.
fn shop_for(case: &Survey) -> Shop {
    let kind = serde_json::to_value(case.instrument.kind).unwrap();
    let (dir, store, job) = crate::common::shop_with(kind.as_str().unwrap());
    let by = By { who: "test", at: web::when::now() };
    let i = &case.instrument;
    let value = i.value_money.map(|v| v.to_string());
    let card = store.instrument(store.job(job).unwrap().instrument).unwrap();
    let new = store::counter::NewInstrument {
        customer: card.customer,
        kind: kind.as_str().unwrap(),
        maker: &i.maker,
        model: &i.model,
        serial: &i.serial,
        value: value.as_deref(),
        ..Default::default()
    };
    let instrument = store.add_instrument(by, &new).unwrap();
    let job = store.add_job(by, instrument, &case.title, "", None).unwrap();
    Shop::of((dir, store, job))
}

impl Shop {
    async fn of_job(&self, path: &str) -> (StatusCode, String) {
        let (status, _, bytes) = self.send(Request::get(format!("/jobs/{}/{path}", self.job)), "").await;
        (status, String::from_utf8(bytes.to_vec()).unwrap())
    }

    async fn post_survey(&self, path: &str, fields: &[(String, String)]) -> (StatusCode, String) {
        let request = Request::post(format!("/jobs/{}/survey/{path}", self.job)).header("content-type", FORM);
        let (status, _, bytes) = self.send(request, encoded(fields)).await;
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    /// What the page holds of a part's sheet: the mark of what was seen. The legs of one slide stand on one sheet, whose mark is
    /// that of the one and then that of the other.
    fn seen(page: &str, part: &Part) -> String {
        let named = |key: &str| page.find(&format!("name=\"{key}\" value=\"{}\"", part.name()));
        let (at, other) = named("part")
            .map(|at| (at, false))
            .or(named("also").map(|at| (at, true)))
            .unwrap_or_else(|| panic!("no sheet of {}", part.name()));
        let marks = page[at..].split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap();
        if other { &marks[16..] } else { &marks[..16] }.to_owned()
    }

    /// All that the page has of the instrument's parts: what stands on it, and the tubes that it opens.
    async fn parts(&self) -> String {
        self.of_job("survey").await.1 + &self.of_job("survey/tubes").await.1
    }

    async fn sheet(&self, part: &Part, form: &Form) {
        let page = self.parts().await;
        let mut fields = vec![("part".to_owned(), part.name()), ("seen".to_owned(), Self::seen(&page, part))];
        for (key, given) in &form.0 {
            match given {
                Given::List(list) => fields.extend(list.iter().map(|one| (key.clone(), one.text().to_owned()))),
                other => fields.push((key.clone(), other.text().to_owned())),
            }
        }
        let (status, page) = self.post_survey("parts", &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{}: {page}", part.name());
    }

    async fn save_dent(&self, body: Value) {
        let request = Request::post(format!("/jobs/{}/survey/dents", self.job))
            .header("content-type", "application/json")
            .header("accept", "application/json");
        let (status, _, bytes) = self.send(request, body.to_string()).await;
        let saved: Value = serde_json::from_slice(&bytes).unwrap();
        assert_eq!(status, StatusCode::OK, "{saved}");
        assert!(saved["warnings"].as_array().unwrap().iter().all(|w| w["field"] != ""), "{saved}");
    }

    fn survey(&self) -> Survey {
        let (body, dents) = self.app.store().survey(self.job).unwrap().unwrap();
        web::recorded::assemble(&body, &dents).unwrap()
    }
}

/// What a person types where the demo's file has a profile: to the last figure, as the file has it.
fn typed(profile: &Profile, of: &Profile, temper: bool) -> Option<String> {
    if profile == of {
        return None;
    }
    let one = |p: &Point| match (temper, p.origin) {
        (true, Origin::Measured) => "118 HV".to_owned(),
        (true, _) => format!("{} temper steps", p.value),
        _ => format!("{} mm", p.value),
    };
    Some(match profile.points.as_slice() {
        [only] if only.at_mm == 0.0 => one(only),
        points => points.iter().map(|p| format!("{} mm: {}", p.at_mm, one(p))).collect::<Vec<_>>().join("\n"),
    })
}

/// What a person types for a field of damage: as the file's own words would.
fn words(field: &Field, held: &Held<'_>) -> String {
    let known = |k: &units::Known| match (field.kind, k.origin) {
        (Kind::Clock, Origin::ByEye) => format!("about {}°", k.value),
        (Kind::Clock, _) => format!("{}°", k.value),
        (Kind::Hardness, _) => format!("{} HV", k.value),
        (_, Origin::ByEye) if (k.sd - k.value / 4.0).abs() < 1e-9 => format!("about {} mm", k.value),
        (_, Origin::ByEye) => {
            let half = k.sd * 3.0_f64.sqrt();
            format!("{} to {} mm", (k.value - half).round(), (k.value + half).round())
        }
        _ if field.gauge().sd_mm == k.sd => format!("{} mm", k.value),
        _ => format!("{} ± {:.4} mm", k.value, k.sd * units::figure::Z90),
    };
    match held {
        Held::Known(k) => known(k),
        Held::Mm(mm) => format!("{mm} mm"),
        Held::Points(points) => points.iter().map(|p| format!("{} mm: {} mm", p.x_mm, p.depth_mm)).collect::<Vec<_>>().join("\n"),
        Held::Text(text) => (*text).to_owned(),
        Held::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        other => Form::of(d::FIELDS, &[(&d::NOTE, *other)], LengthUnit::Mm).text(&d::NOTE).to_owned(),
    }
}

async fn entered(name: &str) -> (Survey, Survey, String) {
    let case = demo::read(name);
    let shop = shop_for(&case);
    let kind = serde_json::to_value(case.instrument.kind).unwrap().as_str().unwrap().to_owned();
    assert_eq!(shop.post_survey("start", &[("kind".to_owned(), kind)]).await.0, StatusCode::SEE_OTHER);
    let pattern = patterns::pattern(case.instrument.kind).unwrap();
    let shown = |part: &Part| part.shown(&case, LengthUnit::Mm).unwrap();
    // The whole first: the finish of all tubes.
    shop.sheet(&Part::Whole, &shown(&Part::Whole)).await;
    for run in &case.instrument.runs {
        let own = pattern.run(&run.id).unwrap();
        let mut form = Form::default();
        for (field, is, was, temper) in [
            (&r::WALL, &run.wall_mm, &own.wall_mm, false),
            (&r::BORE, &run.bore_mm, &own.bore_mm, false),
            (&r::TEMPER, &run.temper, &own.temper, true),
        ] {
            if let Some(text) = typed(is, was, temper) {
                form = form.with(field, &text);
            }
        }
        if run.alloy != own.alloy || run.role != own.role || !form.0.is_empty() {
            let part = Part::Run(run.id.clone());
            form = form.with(&r::ALLOY, shown(&part).text(&r::ALLOY)).with(&r::ROLE, shown(&part).text(&r::ROLE));
            shop.sheet(&part, &form).await;
        }
    }
    for fit in case.instrument.fits.iter().filter(|f| pattern.fit(&f.id) != Some(f)) {
        shop.sheet(&Part::Fit(fit.id.clone()), &shown(&Part::Fit(fit.id.clone()))).await;
    }
    for one in &case.conditions {
        let mut fields = vec![("condition".to_owned(), String::new()), ("act".to_owned(), "keep".to_owned())];
        fields.extend(one.said().iter().filter(|(f, _)| f.key != c::ID.key).map(|(f, held)| {
            let text = match held {
                Held::Condition(_) | Held::ClockRange(_) => Form::of(c::FIELDS, &[(f, *held)], LengthUnit::Mm).text(f).to_owned(),
                held => words(f, held),
            };
            (f.key.to_owned(), text)
        }));
        assert_eq!(shop.post_survey("conditions", &fields).await.0, StatusCode::SEE_OTHER);
    }
    for (n, dent) in case.dents.iter().enumerate() {
        let mut body = Map::new();
        for (key, value) in
            [("name", Value::Null), ("token", json!(format!("t{n}"))), ("from", json!(0)), ("form", json!(2)), ("unit", json!("mm"))]
        {
            body.insert(key.to_owned(), value);
        }
        for (field, held) in dent.said().iter().filter(|(f, _)| f.kind != Kind::Id) {
            let text = match held {
                Held::Direction(_) | Held::Part => Form::of(d::FIELDS, &[(field, *held)], LengthUnit::Mm).text(field).to_owned(),
                held => words(field, held),
            };
            body.insert(field.key.to_owned(), json!(text));
        }
        shop.save_dent(Value::Object(body)).await;
    }
    let (status, file) = shop.of_job("survey.toml").await;
    assert_eq!(status, StatusCode::OK);
    (case, shop.survey(), file)
}

#[tokio::test]
async fn every_case_of_the_demo_entered_on_the_tablet_plans_as_its_file() {
    for name in demo::ALL_CASES {
        let (from_file, kept, file) = entered(name).await;
        let case = from_file;
        let out = read_survey(&file).unwrap_or_else(|p| panic!("{name}: {p:?}")).survey;
        assert_eq!(out, kept, "{name}: the file says something else than the record");
        // Who surveyed it when, for whom, and the names of conditions are the shop's own.
        let mut out = Survey {
            title: case.title.clone(),
            customer: case.customer.clone(),
            surveyor: case.surveyor.clone(),
            date: case.date.clone(),
            ..out
        };
        for (one, of) in out.conditions.iter_mut().zip(&case.conditions) {
            one.id = of.id.clone();
        }
        for (is, was) in out.instrument.runs.iter().zip(&case.instrument.runs) {
            assert_eq!(is, was, "{name}");
        }
        for (is, was) in out.instrument.fits.iter().zip(&case.instrument.fits) {
            assert_eq!(is, was, "{name}");
        }
        assert!(out.instrument == case.instrument, "{name}");
        assert_eq!(out.conditions, case.conditions, "{name}");
        for (is, was) in out.dents.iter().zip(&case.dents) {
            assert_eq!(is, was, "{name}");
        }
        let (rack, shop) = demo::rack_and_shop();
        let worked = |s: Survey| job::work_out(s, rack.clone(), shop.clone(), &Overrules::default());
        // To the last bit: the record loses none of it.
        let (by_tablet, by_file) = (worked(out), worked(case));
        let json = |job: &job::Job| serde_json::to_value(&job.plan).unwrap();
        assert!(json(&by_tablet) == json(&by_file), "{name} plans otherwise than its file");
    }
}

#[tokio::test]
async fn two_tablets_on_one_tube_and_on_two() {
    let case = demo::read("linnet-trumpet");
    let shop = shop_for(&case);
    shop.post_survey("start", &[("kind".to_owned(), "trumpet".to_owned())]).await;
    let page = shop.parts().await;
    let sent = |part: &str, wall: &str| {
        let seen = Shop::seen(&page, &Part::named(part).unwrap());
        vec![("part".to_owned(), part.to_owned()), ("seen".to_owned(), seen), ("wall".to_owned(), wall.to_owned())]
    };
    assert_eq!(shop.post_survey("parts", &sent("run leadpipe", "0.46 mm")).await.0, StatusCode::SEE_OTHER);
    // Sent again because the answer was lost: the same, and no version more.
    let version = || shop.app.store().survey_body(shop.job).unwrap().unwrap().version;
    let once = version();
    assert_eq!(shop.post_survey("parts", &sent("run leadpipe", "0.46 mm")).await.0, StatusCode::SEE_OTHER);
    assert_eq!(version(), once);
    // The other tube's sheet was opened before; that does not matter to it.
    assert_eq!(shop.post_survey("parts", &sent("run bell-tail", "0.018 in")).await.0, StatusCode::SEE_OTHER);
    // The same tube's does: both are shown, and saved a second time it is meant.
    let (status, shown) = shop.post_survey("parts", &sent("run leadpipe", "0.5 mm")).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(shown.contains("Another tablet saved here: 0.46 mm. Yours: 0.5 mm."), "{shown}");
    let mut again = sent("run leadpipe", "0.5 mm");
    again[1].1 = Shop::seen(&shown, &Part::named("run leadpipe").unwrap());
    assert_eq!(shop.post_survey("parts", &again).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.survey().instrument.run(&"leadpipe".into()).unwrap().wall_mm.points[0].value, 0.5);
}

#[tokio::test]
async fn a_wrong_pattern_is_changed_and_the_dents_are_kept() {
    let shop = shop_for(&demo::read("linnet-trumpet"));
    shop.post_survey("start", &[("kind".to_owned(), "euphonium".to_owned())]).await;
    for run in ["bell-flare", "fourth-valve-casing"] {
        shop.save_dent(json!({ "name": null, "token": run, "from": 0, "form": 2, "run": run, "at": "20 mm", "depth": "1" })).await;
    }
    let version = shop.app.store().survey_body(shop.job).unwrap().unwrap().version.to_string();
    let field = |k: &str, v: &str| (k.to_owned(), v.to_owned());
    let (status, page) = shop.post_survey("pattern", &[field("version", &version), field("pattern", "trumpet")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("D2 lies in a tube that this pattern does not have") && page.contains("name=\"sure\""), "{page}");
    let sure = [field("version", &version), field("pattern", "trumpet"), field("sure", "yes")];
    assert_eq!(shop.post_survey("pattern", &sure).await.0, StatusCode::SEE_OTHER);
    let survey = shop.survey();
    assert_eq!((survey.instrument.kind, survey.dents.len()), (instrument::Kind::Trumpet, 2));
    let (_, page) = shop.of_job("survey").await;
    assert!(page.contains("Without a tube since the pattern was changed: d2"));
    // Such a survey is planned without that dent, and does not break.
    assert_eq!(shop.of_job("survey/worth").await.0, StatusCode::OK);
    shop.save_dent(json!({ "name": "d2", "from": 1, "form": 2, "run": "bell-stem" })).await;
    assert_eq!(shop.survey().dents[1].run.0, "bell-stem");
    assert_eq!(shop.post_survey("pattern", &sure).await.0, StatusCode::CONFLICT);
}

#[tokio::test]
async fn what_is_refused_is_said_beside_its_field_and_what_stood_there_stands() {
    let shop = shop_for(&demo::read("linnet-trumpet"));
    shop.post_survey("start", &[("kind".to_owned(), "trumpet".to_owned())]).await;
    let dent = |from: i64, wall: &str| {
        let name = if from == 0 { Value::Null } else { json!("d1") };
        json!({ "name": name, "token": "t", "from": from, "form": 2, "unit": "in", "run": "bell-stem", "at": "2", "depth": "1/8", "wall": wall })
    };
    shop.save_dent(dent(0, "0.018")).await;
    let wall = || shop.survey().dents[0].wall_mm.as_ref().map(|k| k.value);
    assert!((wall().unwrap() - 0.4572).abs() < 1e-9 && (shop.survey().dents[0].at_mm.as_ref().unwrap().value - 50.8).abs() < 1e-9);
    for bad in ["0.45 stone", "-0.5 mm"] {
        let version = shop.app.store().dent(shop.job, "d1").unwrap().unwrap().version;
        shop.save_dent(dent(version, bad)).await;
        assert!((wall().unwrap() - 0.4572).abs() < 1e-9, "{bad}");
        assert!(!shop.of_job("survey").await.1.contains(bad), "{bad} is there after a reload");
    }
    // Taken out it can be brought back, with its name.
    let version = shop.app.store().dent(shop.job, "d1").unwrap().unwrap().version;
    shop.save_dent(json!({ "name": "d1", "from": version, "gone": true })).await;
    let removed = shop.app.store().dents_taken_out(shop.job).unwrap();
    assert_eq!((shop.survey().dents.len(), removed.len(), removed[0].name.as_str()), (0, 1, "d1"));
    let mut back = dent(0, "0.018");
    back["name"] = json!("d1");
    shop.save_dent(back).await;
    assert_eq!((shop.survey().dents[0].id.0.as_str(), shop.app.store().dents_taken_out(shop.job).unwrap().len()), ("d1", 0));
    // What is exported is what the record holds.
    assert_eq!(
        read_survey(&shop.of_job("survey.toml").await.1).unwrap().survey,
        read_survey(&write_survey(&shop.survey())).unwrap().survey
    );
}

#[tokio::test]
async fn a_condition_that_was_taken_out_comes_back_as_it_was() {
    let shop = shop_for(&demo::read("linnet-trumpet"));
    shop.post_survey("start", &[("kind".to_owned(), "trumpet".to_owned())]).await;
    let fields = |all: &[(&str, &str)]| all.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect::<Vec<_>>();
    let rot = [("condition", ""), ("act", "keep"), ("kind", "red rot"), ("run", "leadpipe"), ("from", "40 mm"), ("to", "90 mm")];
    assert_eq!(shop.post_survey("conditions", &fields(&rot)).await.0, StatusCode::SEE_OTHER);
    let before = shop.survey().conditions;
    let (_, page) = shop.of_job("survey").await;
    let form = page.split("name=\"condition\" value=\"c1\"").next().unwrap();
    let seen = form.rsplit("name=\"seen\" value=\"").next().unwrap().split('"').next().unwrap().to_owned();
    let gone = [("condition", "c1"), ("act", "gone"), ("seen", seen.as_str())];
    // Sent again after a lost answer it is taken out once.
    for _ in 0..2 {
        assert_eq!(shop.post_survey("conditions", &fields(&gone)).await.0, StatusCode::SEE_OTHER);
    }
    assert!(shop.survey().conditions.is_empty());
    let (_, page) = shop.of_job("survey").await;
    assert_eq!(page.matches("was deleted.").count(), 1, "{page}");
    // Another one was given its name in between: both stand.
    let crack = [("condition", ""), ("act", "keep"), ("kind", "crack"), ("run", "bell-tail"), ("from", "10 mm")];
    assert_eq!(shop.post_survey("conditions", &fields(&crack)).await.0, StatusCode::SEE_OTHER);
    for _ in 0..2 {
        assert_eq!(shop.post_survey("conditions", &fields(&[("act", "put_back"), ("which", "1")])).await.0, StatusCode::SEE_OTHER);
    }
    let after = shop.survey().conditions;
    assert_eq!(after.iter().map(|c| c.id.0.as_str()).collect::<Vec<_>>(), ["c1", "c2"]);
    assert_eq!(instrument::Condition { id: before[0].id.clone(), ..after[1].clone() }, before[0]);
    assert!(!shop.of_job("survey").await.1.contains("was deleted."));
    // Without a place it is no condition, and nothing was lost.
    assert!(shop.post_survey("conditions", &fields(&[("act", "put_back"), ("which", "the first")])).await.0.is_client_error());
}

#[tokio::test]
async fn the_day_and_what_the_customer_asks_for_are_said_on_the_survey_s_page() {
    let shop = shop_for(&demo::read("linnet-trumpet"));
    shop.post_survey("start", &[("kind".to_owned(), "trumpet".to_owned())]).await;
    let fields = |all: &[(&str, &str)]| all.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect::<Vec<_>>();
    let seen = |page: &str| {
        let form = page.split("id=\"asks-form\"").nth(1).unwrap();
        form.split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    };
    let (_, page) = shop.of_job("survey").await;
    let mark = seen(&page);
    let asks = [("due", "2026-12-04"), ("words", "For the parade.\r\nKeep the engraving."), ("seen", mark.as_str())];
    for _ in 0..2 {
        assert_eq!(shop.post_survey("asks", &fields(&asks)).await.0, StatusCode::SEE_OTHER);
    }
    let job = shop.app.store().job(shop.job).unwrap();
    assert_eq!((job.due.as_deref(), job.words.as_str()), (Some("2026-12-04"), "For the parade.\nKeep the engraving."));
    assert_eq!(job.title, demo::read("linnet-trumpet").title, "the rest stays");
    // What is no day stands as it was typed; a page that is too old is told so.
    let (status, page) = shop.post_survey("asks", &fields(&[("due", "Friday"), ("words", "soon"), ("seen", "")])).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("is no day") && page.contains("value=\"Friday\""), "{page}");
    let (status, page) = shop.post_survey("asks", &fields(&[("due", ""), ("words", "whenever"), ("seen", mark.as_str())])).await;
    assert!(status == StatusCode::CONFLICT && page.contains("Another tablet saved this"), "{page}");
}

/// What issue 15 asks of the survey's page: under 150 kB with the tuba's dents on it, whichever tube is opened, and one tube drawn.
#[tokio::test]
async fn the_tubas_survey_is_light_and_draws_the_opened_tube_alone() {
    let case = demo::read("ox-tuba");
    assert!(case.dents.len() > 40);
    let shop = crate::common::surveyed("tuba", &case);
    for (path, strips) in
        [("survey".to_owned(), 0)].into_iter().chain(case.instrument.runs.iter().map(|r| (format!("survey?tube={}", r.id), 1)))
    {
        let (status, page) = shop.of_job(&path).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.len() < 150_000, "{path}: {} bytes", page.len());
        let piston = case.instrument.runs.iter().any(|r| path.ends_with(&format!("={}", r.id)) && r.role == instrument::Role::Piston);
        assert_eq!(page.matches("<svg class=\"strip\"").count(), if piston { 0 } else { strips }, "{path}");
    }
    // All the other tubes come after it, each once.
    let (_, tubes) = shop.of_job("survey/tubes").await;
    for run in &case.instrument.runs {
        assert_eq!(tubes.matches(&format!("data-tube=\"{}\"", run.id)).count(), 1, "{}", run.id);
    }
    // A brace is found at each tube on which it stands.
    for overlay in &case.instrument.overlays {
        let on: std::collections::BTreeSet<&str> = overlay.covers.iter().map(|c| c.run.0.as_str()).collect();
        assert_eq!(tubes.matches(&format!("id=\"sheet-overlay-{}\"", overlay.id)).count(), on.len(), "{}", overlay.id);
    }
}

#[tokio::test]
async fn the_legs_of_one_slide_are_saved_in_one_go_or_not_at_all() {
    let shop = shop_for(&demo::read("linnet-trumpet"));
    shop.post_survey("start", &[("kind".to_owned(), "trumpet".to_owned())]).await;
    let (_, page) = shop.of_job("survey").await;
    let form = page.split("data-pair").nth(1).unwrap().split("</form>").next().unwrap();
    let value = |name: &str| form.split(&format!("name=\"{name}\" value=\"")).nth(1).unwrap().split('"').next().unwrap().to_owned();
    let (one, other) = (value("part"), value("also"));
    let fields = |moves: &str, clearance: &str| {
        [
            ("part", one.as_str()),
            ("also", other.as_str()),
            ("seen", &value("seen")),
            ("moves", moves),
            ("other.moves", "stuck"),
            ("other.clearance", clearance),
        ]
        .map(|(k, v)| (k.to_owned(), v.to_owned()))
    };
    let version = || shop.app.store().survey_body(shop.job).unwrap().unwrap().version;
    let before = version();
    // One leg's clearance cannot be read: nothing of either is kept, and it is said beside the field of that leg.
    let (status, page) = shop.post_survey("parts", &fields("stuck", "0.05 stone")).await;
    assert_eq!((status, version()), (StatusCode::UNPROCESSABLE_ENTITY, before));
    assert!(page.contains("name=\"other.clearance\" value=\"0.05 stone\""));
    assert_eq!(shop.post_survey("parts", &fields("stuck", "0.05 mm")).await.0, StatusCode::SEE_OTHER);
    assert_eq!(version(), before + 1);
    let survey = shop.survey();
    let state = |part: &str| survey.instrument.fit(&part.strip_prefix("fit ").unwrap().into()).unwrap().state;
    assert_eq!((state(&one), state(&other)), (Some(instrument::FitState::Stuck), Some(instrument::FitState::Stuck)));
}
