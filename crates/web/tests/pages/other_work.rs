//! Work of the shop's list in the shop's pages: set in the settings, added on the survey, seen on plan, quote and bench; the terms of a job
//! and of a customer in the next quote, in what is agreed and on the invoice.

use crate::common::{Shop, give, say_yes, surveyed};
use axum::http::StatusCode;
use fixtures::{pattern, survey};
use instrument::Kind;
use rust_decimal::Decimal;
use store::By;

fn shop() -> Shop {
    surveyed("trumpet", &survey(pattern(Kind::Trumpet), vec![]))
}

impl Shop {
    fn at(&self, page: &str) -> String {
        format!("/jobs/{}/{page}", self.job)
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
