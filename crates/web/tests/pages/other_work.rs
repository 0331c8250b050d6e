//! Work of the shop's list in the shop's pages: set in the settings, added on the survey, seen on plan, quote and bench; the terms of a job
//! and of a customer in the next quote, in what is agreed and on the invoice.

use crate::common::{FORM, Shop, encoded, give, say_yes, shop_with, surveyed};
use axum::body::to_bytes;
use axum::http::{Request, StatusCode};
use fixtures::{pattern, survey};
use instrument::Kind;
use rust_decimal::Decimal;
use store::By;
use store::people::PersonRole;
use tower::ServiceExt;

fn shop() -> Shop {
    surveyed("trumpet", &survey(pattern(Kind::Trumpet), vec![]))
}

impl Shop {
    fn at(&self, page: &str) -> String {
        format!("/jobs/{}/{page}", self.job).trim_end_matches('/').to_owned()
    }

    async fn add(&self, fields: &[(&str, &str)]) -> (StatusCode, String) {
        self.submit(&self.at("survey/work"), &[&[("work", ""), ("act", "keep")][..], fields].concat()).await
    }
}

#[tokio::test]
async fn work_goes_from_the_list_to_the_bench_and_out_again() {
    let shop = shop();
    assert!(shop.read(&shop.at("quote")).await.contains("there is nothing to offer"));
    assert_eq!(shop.add(&[("job", "water_key_cork"), ("count", "2"), ("note", "wet")]).await.0, StatusCode::SEE_OTHER);
    // Sent again after a lost answer it is there once.
    assert_eq!(shop.add(&[("job", "water_key_cork"), ("count", "2"), ("note", "wet")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.add(&[("job", "align_hand_slide"), ("optional", "yes")]).await.0, StatusCode::SEE_OTHER);
    // An instrument without a dent is surveyed with its work: it can be quoted.
    assert_eq!(shop.app.store().board_line(shop.job).unwrap().job.state, store::counter::JobState::Surveyed);
    for (page, wanted) in [
        ("survey", "New cork on a water key, 2 times"),
        ("plan", "New cork on a water key"),
        ("quote", "The work you asked for"),
        ("quote", "With the optional work"),
        ("bench", "New cork on a water key, 2 times (wet)"),
    ] {
        let shown = shop.read(&shop.at(page)).await;
        assert!(shown.contains(wanted), "{page} lacks “{wanted}”: {shown}");
    }
    // What cannot be is said beside its field, all at once.
    let (status, refused) = shop.add(&[("job", "polish_the_moon"), ("count", "lots"), ("run", "nowhere")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for wanted in ["Choose the job from the list", "no count", "no run"] {
        assert!(refused.contains(wanted), "{wanted}: {refused}");
    }
    // Another tablet's change is seen; what is taken out is gone.
    let stale = [("work", "w1"), ("seen", "0"), ("job", "water_key_cork"), ("count", "3"), ("act", "keep")];
    assert_eq!(shop.submit(&shop.at("survey/work"), &stale).await.0, StatusCode::CONFLICT);
    let page = shop.read(&shop.at("survey")).await;
    let form = &page[page.find("work-w1-form").unwrap()..];
    let seen = form.split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    let gone = [("work", "w1"), ("seen", seen), ("act", "gone")];
    assert_eq!(shop.submit(&shop.at("survey/work"), &gone).await.0, StatusCode::SEE_OTHER);
    assert!(!shop.read(&shop.at("bench")).await.contains("water key"));
}

#[tokio::test]
async fn the_list_is_the_shops_own() {
    let shop = shop();
    let new = |name, minutes: [&'static str; 3]| {
        vec![
            ("key", ""),
            ("act", "keep"),
            ("version", "0"),
            ("name", name),
            ("minutes.0", minutes[0]),
            ("minutes.1", minutes[1]),
            ("minutes.2", minutes[2]),
            ("when", "assembly"),
            ("hazards", "eyes"),
            ("needs", "valves_out"),
            ("skill", "valves"),
            ("parts", "4.50"),
        ]
    };
    let (status, refused) = shop.submit("/shop/jobs", &new("Refit a top", ["30", "20", "x"])).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && refused.contains("“x"), "{refused}");
    assert_eq!(shop.submit("/shop/jobs", &new("Refit a top", ["5", "10", "20"])).await.0, StatusCode::SEE_OTHER);
    assert!(shop.read("/shop/jobs").await.contains("Refit a top"));
    assert_eq!(shop.add(&[("job", "refit_a_top")]).await.0, StatusCode::SEE_OTHER);
    // Who may do it stands beside the step.
    assert!(shop.read(&shop.at("bench")).await.contains("Needs somebody who knows valves: Ottilie Brandt, Ramon Achterberg."));
    let job = shop.app.job_as_it_stands(shop.job).unwrap();
    let step = job.plan.steps.iter().find(|s| s.standard_job.as_deref() == Some("refit_a_top")).unwrap();
    assert_eq!((step.minutes.likely, step.cautions.contains(&plan::Caution::Eyes)), (10.0, true));
    // Retired it is offered no more, and stays where it was asked for.
    let retire = new("Refit a top", ["5", "10", "20"]).into_iter().map(|(k, v)| match k {
        "key" => (k, "refit_a_top"),
        "act" => (k, "retire"),
        "version" => (k, "1"),
        _ => (k, v),
    });
    assert_eq!(shop.submit("/shop/jobs", &retire.collect::<Vec<_>>()).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.add(&[("job", "refit_a_top"), ("count", "2")]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(shop.read(&shop.at("bench")).await.contains("Refit a top"));
}

#[tokio::test]
async fn terms_hold_for_the_next_quote_and_stay_in_what_was_agreed() {
    let shop = shop();
    let by = By { who: "test", at: web::when::now() };
    assert_eq!(shop.add(&[("job", "fit_valve"), ("count", "3")]).await.0, StatusCode::SEE_OTHER);
    let bill = |s: &Shop| s.app.job_as_it_stands(s.job).unwrap().quote.offers[0].bill.clone();
    let plain = bill(&shop);
    // A rush has its day, a discount its reason: both are told at once.
    let (status, refused) = shop.submit(&shop.at("terms"), &[("rush", "yes"), ("discount", "10 %"), ("version", "0")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.contains("by which day") && refused.contains("why it is cheaper"), "{refused}");
    let terms = [("rush", "yes"), ("due", "2099-12-04"), ("discount", "10"), ("reason", "late last time"), ("version", "0")];
    assert_eq!(shop.submit(&shop.at("terms"), &terms).await.0, StatusCode::SEE_OTHER);
    let with = bill(&shop);
    let of = |kind: quote::LineKind| with.lines.iter().find(|l| l.kind == kind).unwrap().clone();
    assert_eq!(of(quote::LineKind::Discount).labour + of(quote::LineKind::Discount).parts, Decimal::from(-10));
    assert!(of(quote::LineKind::Rush).what.starts_with("Rush, ready by") && of(quote::LineKind::Rush).labour > Decimal::ZERO);
    give(&shop.app, by, shop.job, "the-link");
    say_yes(&shop.app, by, shop.job, "the-link");
    // The terms of another day change nothing of what was agreed.
    assert_eq!(shop.submit(&shop.at("terms"), &[("version", "1"), ("due", "")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(bill(&shop).total, plain.total);
    let agreed = shop.app.job(shop.job).unwrap();
    assert_eq!(agreed.quote.offers[0].bill, with);
    assert_eq!(web::agreeing::since(&shop.app, &shop.app.agreement(shop.job).unwrap().unwrap()).unwrap().map(|_| ()), None);
    let invoice = web::invoice::invoice(&shop.app, shop.job).unwrap();
    assert_eq!((invoice.total(), invoice.deposit), (with.total, with.deposit));
    assert!(invoice.parts[0].lines.iter().any(|l| l.0 == "Discount: late last time" && l.1 == Decimal::from(-10)));
    let page = shop.read(&shop.at("hand-back")).await;
    assert!(page.contains("Discount: late last time"), "{page}");
    if with.deposit > Decimal::ZERO {
        assert!(page.contains(": due."), "{page}");
    }
}

#[tokio::test]
async fn a_customers_terms_hold_for_all_their_jobs() {
    let shop = shop();
    assert_eq!(shop.add(&[("job", "valve_felts"), ("count", "3")]).await.0, StatusCode::SEE_OTHER);
    let customer = shop.app.store().customers("", 1).unwrap()[0].id;
    let path = format!("/customers/{customer}/terms");
    assert_eq!(shop.submit(&path, &[("discount", "8 %"), ("version", "0")]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    let terms = [("discount", "8 %"), ("reason", "summer contract"), ("exempt", "certificate E-2210"), ("version", "0")];
    assert_eq!(shop.submit(&path, &terms).await.0, StatusCode::SEE_OTHER);
    let quote = shop.app.job_as_it_stands(shop.job).unwrap().quote.clone();
    let bill = &quote.offers[0].bill;
    assert!(bill.tax.is_zero() && bill.lines.iter().any(|l| l.what == "Discount 8 %: summer contract"), "{bill:?}");
    let page = shop.read(&shop.at("quote")).await;
    assert!(page.contains("no sales tax (certificate E-2210)") && page.contains("from the customer’s terms"), "{page}");
    // The job's own discount goes before the customer's.
    assert_eq!(
        shop.submit(&shop.at("terms"), &[("discount", "3 %"), ("reason", "small"), ("version", "0")]).await.0,
        StatusCode::SEE_OTHER
    );
    let bill = shop.app.job_as_it_stands(shop.job).unwrap().quote.offers[0].bill.clone();
    assert_eq!(
        bill.lines.iter().filter(|l| l.kind == quote::LineKind::Discount).map(|l| l.what.as_str()).collect::<Vec<_>>(),
        ["Discount 3 %: small"]
    );
}

/// Asked for at the counter it stands on the job's page, and the survey begins with it. What the list does not have opens nothing.
#[tokio::test]
async fn work_is_asked_for_when_the_instrument_is_taken_in() {
    let shop = Shop::of(shop_with("trumpet"));
    let store = shop.app.store();
    let instrument = store.job(shop.job).unwrap().instrument;
    let (page, at) = (format!("/instruments/{instrument}"), format!("/instruments/{instrument}/jobs"));
    let form = shop.read(&page).await;
    assert!(form.contains("Other work") && form.contains("name=\"work_clean_inside\""), "{form}");
    let new = [("title", "Will not play"), ("words", ""), ("due", ""), ("work_clean_inside", "yes")];
    let (status, refused) = shop.submit(&at, &[&new[..], &[("work_polish_the_moon", "yes")]].concat()).await;
    assert!(status.is_client_error() && refused.contains("polish_the_moon") && refused.contains("Will not play"), "{status} {refused}");
    assert!(refused.contains("name=\"work_clean_inside\" value=\"yes\" checked"), "{refused}");
    assert_eq!(store.jobs_of_instrument(instrument).unwrap().len(), 1, "nothing was opened");
    assert_eq!(shop.submit(&at, &[&new[..], &[("work_free_mouthpiece", "yes")]].concat()).await.0, StatusCode::SEE_OTHER);
    let job = store.jobs_of_instrument(instrument).unwrap().into_iter().map(|l| l.job.id).max().unwrap();
    let asked = shop.read(&format!("/jobs/{job}")).await;
    assert!(asked.contains("<dt>Asked for</dt>") && asked.contains("The survey begins with it"), "{asked}");
    // Nobody has looked at it: it is not surveyed, until the survey is begun.
    assert_eq!(store.job(job).unwrap().state, store::counter::JobState::Received);
    assert_eq!(shop.submit(&format!("/jobs/{job}/survey/start"), &[("kind", "trumpet")]).await.0, StatusCode::SEE_OTHER);
    let plan = &shop.app.job_as_it_stands(job).unwrap().plan;
    let mut keys: Vec<&str> = plan.work.iter().map(|w| w.job.as_str()).collect();
    keys.sort_unstable();
    assert_eq!(keys, ["clean_inside", "free_mouthpiece"]);
    assert!(!shop.read(&format!("/jobs/{job}")).await.contains("The survey begins with it"));
    // A job without any has nothing of it.
    assert!(!shop.read(&shop.at("")).await.contains("<dt>Asked for</dt>"));
}

/// Who of the benches lacks a skill that another has does not start or tick the step, and the job's page says so where it is put on their
/// bench. An account that is no bench's is told who can.
#[tokio::test]
async fn who_lacks_the_skill_is_told_who_has_it() {
    let shop = shop();
    let store = shop.app.store();
    store.set_setting(By { who: "test", at: 1 }, web::app::SHOP, web::app::EXAMPLE_SHOP).unwrap();
    let by = By { who: "test", at: web::when::now() };
    let wren = store.add_person(by, "wren", "Wren Okafor", PersonRole::Apprentice, "-").unwrap();
    let ramon = store.add_person(by, "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    for (id, token) in [(wren, "wren"), (ramon, "ramon")] {
        store.open_session(by, id, "", (token, "csrf"), 4_000_000_000).unwrap();
    }
    assert_eq!(shop.add(&[("job", "time_valves")]).await.0, StatusCode::SEE_OTHER);
    let job = shop.app.job_as_it_stands(shop.job).unwrap();
    let step = job.plan.steps.iter().find(|s| !s.work.is_empty()).unwrap();
    let ask = async |token: &str, request: axum::http::request::Builder, body: String| {
        let cookie = format!("{}={token}", web::auth::COOKIE_NAME);
        let request = request.header("cookie", cookie).header("x-csrf", "csrf").body(axum::body::Body::from(body)).unwrap();
        let answer = shop.router.clone().oneshot(request).await.unwrap();
        let status = answer.status();
        (status, String::from_utf8_lossy(&to_bytes(answer.into_body(), 1 << 24).await.unwrap()).into_owned())
    };
    let tap = async |token: &str, act: &str| {
        let key = job::key::step_key(step);
        let body = encoded(&[("key", key.as_str()), ("act", act), ("text", "")]);
        ask(token, Request::post(shop.at("bench")).header("content-type", FORM), body).await
    };
    // What comes before it is done.
    for s in job.plan.steps.iter().take_while(|s| s.number != step.number) {
        assert_eq!(shop.submit(&shop.at("bench"), &[("key", &job::key::step_key(s)), ("act", "tick")]).await.0, StatusCode::SEE_OTHER);
    }
    let (status, said) = tap("wren", "start").await;
    assert!(status.is_client_error() && said.contains("somebody who knows valves: Ottilie Brandt, Ramon Achterberg"), "{said}");
    assert!(tap("wren", "tick").await.0.is_client_error() && store.steps(shop.job).unwrap().iter().all(|s| s.kind != "other_work"));
    // A button that would be refused is not there, and the note says for whom.
    let of_step =
        |page: &str| page.split(&format!("id=\"step-{}\"", step.number)).nth(1).unwrap().split("</li>").next().unwrap().to_owned();
    let page = of_step(&ask("wren", Request::get(shop.at("bench")), String::new()).await.1);
    assert!(page.contains("Not Wren Okafor.") && !page.contains("value=\"start\""), "{page}");
    assert_eq!(tap("ramon", "start").await.0, StatusCode::SEE_OTHER);
    assert!(of_step(&ask("ramon", Request::get(shop.at("bench")), String::new()).await.1).contains("value=\"tick\""));
    // On Wren's bench the job's page says who can; on Ramon's it has nothing to say.
    for (bench, told) in [(wren, true), (ramon, false)] {
        let head = store.job(shop.job).unwrap();
        store
            .change_job(by, shop.job, head.version, &store::counter::JobHead { title: "Fell", words: "", due: None, bench: Some(bench) })
            .unwrap();
        let page = shop.read(&shop.at("")).await;
        assert_eq!(page.contains("Wren Okafor does not know valves. Ottilie Brandt, Ramon Achterberg can do it."), told, "{page}");
    }
    // The owner's account is no bench's: the owner is told who can, and not held up.
    assert_eq!(tap("token", "tick").await.0, StatusCode::SEE_OTHER);
}
