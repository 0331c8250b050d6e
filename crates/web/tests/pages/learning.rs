//! What finished jobs teach goes into the next quotes and into no quote that was given; it can be frozen and switched off; a correction is laid on
//! and taken off by the owner alone; a person's pace moves times and never a price, a rate of their own moves a price.

use crate::common::Shop;
use axum::http::StatusCode;
use fixtures::dent;
use fixtures::voice::{self, Matter, Reader};
use instrument::{Kind, Survey, patterns};
use job::key::{serde_name, step_key};
use quote::Quote;
use rust_decimal::Decimal;
use store::By;
use store::bench::{PlannedStep, StepAct};
use store::counter::{JobHead, JobState, NewInstrument};
use store::people::PersonRole;
use survey::kept::{Kept, survey_to_json};
use units::LengthUnit;
use web::app::{EXAMPLE_SHOP, SHOP};
use web::learning::{self, Mode};

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

fn trumpet() -> Survey {
    let i = patterns::pattern(Kind::Trumpet).unwrap();
    fixtures::survey(i, vec![dent("d1", "bell-stem", 60.0, 2.0, 20.0, 12.0)])
}

fn shop() -> Shop {
    let shop = crate::common::surveyed("trumpet", &trumpet());
    shop.app.store().set_setting(by(), SHOP, EXAMPLE_SHOP).unwrap();
    shop
}

impl Shop {
    /// Another trumpet with the same dent.
    fn another(&self) -> i64 {
        let store = self.app.store();
        let customer = store.customers("Fen Road", 1).unwrap()[0].id;
        let instrument = store.add_instrument(by(), &NewInstrument { customer, kind: "trumpet", ..NewInstrument::default() }).unwrap();
        let job = store.add_job(by(), instrument, "Fell", "", None).unwrap();
        let s = trumpet();
        let body = Survey { dents: vec![], ..s.clone() };
        store.save_survey_body(by(), job, 0, &survey_to_json(&body).unwrap()).unwrap();
        for d in &s.dents {
            store.save_dent(by(), job, &d.id.0, 0, &Kept::from_dent(d).to_json().unwrap()).unwrap();
        }
        job
    }

    /// A job from its quote to its end: every step takes so many times its standard.
    fn finish(&self, job: i64, person: i64, times: f64) {
        let store = self.app.store();
        let link = format!("link {job}");
        crate::common::give(&self.app, by(), job, &link);
        crate::common::say_yes(&self.app, by(), job, &link);
        let planned = self.app.job(job).unwrap();
        let mut at = web::when::now() - 40_000 + job * 60;
        for step in &planned.plan.steps {
            let (key, timed_by) = (step_key(step), learning::timed_by(step, &planned.shop.standards).unwrap());
            let minutes = step.standard.unwrap_or(step.minutes).mean() * times;
            let what = step.what.metric();
            let step = PlannedStep { key: &key, kind: serde_name(step), what: &what, likely_s: 60, timed_by: &timed_by };
            store.act_on_step(By { who: "ramon", at }, job, &step, person, StepAct::Start).unwrap();
            at += (minutes * 60.0) as i64;
            store.act_on_step(By { who: "ramon", at }, job, &step, person, StepAct::Tick).unwrap();
        }
        store.import_job_state(by(), job, JobState::Ready).unwrap();
        learning::renew(store, by(), &self.app.shop().unwrap()).unwrap();
    }

    fn quote(&self, job: i64) -> Quote {
        self.app.job_as_it_stands(job).unwrap().quote.clone()
    }

    fn total_of(&self, job: i64) -> Decimal {
        self.quote(job).offers[1].bill.total
    }

    fn p50(&self, job: i64) -> f64 {
        self.quote(job).offers[1].times.p50_min
    }

    fn journal(&self) -> Vec<String> {
        let entries = self.app.store().journal_latest(200).unwrap();
        entries.iter().map(|e| web::journal_words::Line::of(e).deed("$")).collect()
    }
}

#[tokio::test]
async fn finished_jobs_move_the_next_quote_and_none_that_was_given() {
    let shop = shop();
    let store = shop.app.store();
    let ramon = store.add_person(by(), "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    let waiting = shop.another();
    let (at_start, price) = (shop.p50(waiting), shop.total_of(waiting));
    assert!(shop.quote(waiting).rests_on.learned.is_none());
    // One that was given before anything was learned, and one that was agreed.
    crate::common::give(&shop.app, by(), waiting, "given early");
    let given = store.quotes_of(waiting).unwrap().remove(0);
    let agreed = shop.another();
    crate::common::give(&shop.app, by(), agreed, "agreed early");
    crate::common::say_yes(&shop.app, by(), agreed, "agreed early");
    let was = shop.app.job(agreed).unwrap().plan.clone();
    for _ in 0..4 {
        shop.finish(shop.another(), ramon, 1.5);
    }
    let next = shop.another();
    let basis = shop.quote(next).rests_on.learned.unwrap();
    assert_eq!(basis.jobs, 4);
    let (now, dearer) = (shop.p50(next), shop.total_of(next));
    assert!(now > 1.25 * at_start && now < 1.7 * at_start && dearer > price, "{at_start} {now} {price} {dearer}");
    // The plan's own minutes moved with it, and each step still knows its standard.
    let plan = &shop.app.job_as_it_stands(next).unwrap().plan;
    assert!(plan.steps.iter().all(|s| s.standard.is_some_and(|t| t.mean() < s.minutes.mean())));
    // What was given and what was agreed stand.
    let level = plan::Level::Good;
    let then = shop.app.job_of_quote(&given, level).unwrap();
    assert!((then.quote.offers[1].times.p50_min - at_start).abs() < 1e-9 && then.quote.offers[1].bill.total == price);
    assert_eq!(shop.app.job(agreed).unwrap().plan, was);
    // A quote given now keeps what it rests on, whatever is learned later.
    crate::common::give(&shop.app, by(), next, "given late");
    let late = store.quotes_of(next).unwrap().remove(0);
    for _ in 0..3 {
        shop.finish(shop.another(), ramon, 0.7);
    }
    let then = shop.app.job_of_quote(&late, level).unwrap();
    assert!((then.quote.offers[1].times.p50_min - now).abs() < 1e-9 && then.quote.rests_on.learned.unwrap().jobs == 4);
    assert!(shop.p50(next) < now);
    assert!(shop.journal().iter().any(|l| l.contains("learned from")));
    // The pages say it, in words that a bench says.
    let (page, offers) = (shop.read("/history/times").await, shop.read(&format!("/jobs/{next}/quote")).await);
    assert!(page.contains("steps of 7 finished jobs") && offers.contains("Times from 7 finished jobs of this shop."), "{page}");
    let reader = Reader::new(LengthUnit::Mm, [] as [String; 0]);
    let mut faults = Vec::new();
    for path in ["/history/times", "/history/quotes", "/shop/benches", &format!("/jobs/{next}/bench")] {
        let read = voice::html(&shop.read(path).await);
        faults.extend(reader.faults(path, &read.said, Matter::Said));
        faults.extend(reader.faults(path, &read.reasons, Matter::Reasons));
    }
    voice::none(faults);
}

#[tokio::test]
async fn learning_is_frozen_and_switched_off_and_begun_again() {
    let shop = shop();
    let ramon = shop.app.store().add_person(by(), "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    let waiting = shop.another();
    let at_start = shop.p50(waiting);
    shop.finish(shop.another(), ramon, 1.6);
    let learned = shop.p50(waiting);
    assert!(learned > at_start);
    assert_eq!(shop.submit("/history/times", &[("act", "mode"), ("mode", "frozen")]).await.0, StatusCode::SEE_OTHER);
    shop.finish(shop.another(), ramon, 3.0);
    assert_eq!(shop.p50(waiting), learned);
    assert_eq!(shop.submit("/history/times", &[("act", "mode"), ("mode", "off")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!((shop.p50(waiting), shop.quote(waiting).rests_on.learned), (at_start, None));
    assert_eq!(shop.submit("/history/times", &[("act", "mode"), ("mode", "on")]).await.0, StatusCode::SEE_OTHER);
    assert!(shop.p50(waiting) > learned);
    assert_eq!(Mode::of(shop.app.store()).unwrap(), Mode::On);
    assert_eq!(shop.submit("/history/times", &[("act", "mode"), ("mode", "perhaps")]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    // A standard that is set anew begins anew: what was planned by the old one teaches nothing of it.
    let text = EXAMPLE_SHOP.replace("strip = [\"3 min\", \"6 min\", \"15 min\"]", "strip = [\"8 min\", \"12 min\", \"20 min\"]");
    assert_ne!(text, EXAMPLE_SHOP);
    shop.app.store().set_setting(by(), SHOP, &text).unwrap();
    assert_eq!(shop.submit("/history/times", &[("act", "again")]).await.0, StatusCode::SEE_OTHER);
    assert!(shop.read("/history/times").await.contains("planned by a standard that you have set anew since"));
    let said = shop.journal();
    for words in ["froze the times as they were learned", "went back to start-up times", "let the times learn from finished jobs"] {
        assert!(said.iter().any(|l| l == words), "{words}: {said:?}");
    }
}

#[tokio::test]
async fn a_correction_is_the_owners_and_can_be_taken_off() {
    let shop = shop();
    let ramon = shop.app.store().add_person(by(), "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    shop.submit("/history/times", &[("act", "mode"), ("mode", "off")]).await;
    let waiting = shop.another();
    let (time, price) = (shop.p50(waiting), shop.total_of(waiting));
    for _ in 0..9 {
        shop.finish(shop.another(), ramon, 1.4);
    }
    let page = shop.read("/history/quotes").await;
    assert!(page.contains("Too few.") && !page.contains("Correct new quotes"), "{page}");
    assert_eq!(shop.submit("/history/quotes", &[("act", "correct")]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    for _ in 0..3 {
        shop.finish(shop.another(), ramon, 1.4);
    }
    let page = shop.read("/history/quotes").await;
    assert!(page.contains("Correct new quotes") && page.contains("a correction is called for"), "{page}");
    // Nothing moves by itself.
    assert_eq!((shop.p50(waiting), shop.total_of(waiting)), (time, price));
    assert_eq!(shop.submit("/history/quotes", &[("act", "correct")]).await.0, StatusCode::SEE_OTHER);
    let (corrected, dearer) = (shop.p50(waiting), shop.total_of(waiting));
    assert!(corrected > 1.15 * time && dearer > price, "{time} {corrected} {price} {dearer}");
    assert!(shop.quote(waiting).rests_on.correction.is_some());
    // Quotes from before it say nothing of quotes with it.
    assert!(shop.read("/history/quotes").await.contains("with this correction"));
    assert_eq!(shop.submit("/history/quotes", &[("act", "take-off")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!((shop.p50(waiting), shop.total_of(waiting)), (time, price));
    let said = shop.journal();
    assert!(
        said.iter().any(|l| l == "corrected the times of new quotes") && said.iter().any(|l| l == "took the correction of the times off")
    );
}

#[tokio::test]
async fn a_pace_moves_no_price_and_a_rate_of_their_own_does() {
    let shop = shop();
    let store = shop.app.store();
    let wren = store.add_person(by(), "wren", "Wren Okafor", PersonRole::Apprentice, "-").unwrap();
    let job = shop.another();
    let price = shop.total_of(job);
    let head = |bench| JobHead { title: "Fell", bench, ..JobHead::default() };
    let version = store.board_line(job).unwrap().job.version;
    store.change_job(by(), job, version, &head(Some(wren))).unwrap();
    // Her pace is 1.6 in the shop's file: her time is longer, the price is not.
    assert_eq!(shop.total_of(job), price);
    let page = shop.read(&format!("/jobs/{job}/bench")).await;
    assert!(page.contains("With Wren Okafor: about") && page.contains("How long each takes for it"), "{page}");
    // A rate of her own is the price of her hour in a quote that is given while it lies on her bench.
    let text = EXAMPLE_SHOP.replace("pace = 1.6 ", "per_hour = \"$40\"\npace = 1.6 ");
    assert_ne!(text, EXAMPLE_SHOP);
    store.set_setting(by(), SHOP, &text).unwrap();
    let hers = shop.total_of(job);
    assert!(hers < price, "{hers} {price}");
    assert!(shop.read(&format!("/jobs/{job}/quote")).await.contains("the rate that you set for them, $40"));
    crate::common::give(&shop.app, by(), job, "hers");
    let given = store.quotes_of(job).unwrap().remove(0);
    // It goes to another bench: what was given stands, what is offered now is the shop's.
    let version = store.board_line(job).unwrap().job.version;
    store.change_job(by(), job, version, &head(None)).unwrap();
    assert_eq!(shop.total_of(job), price);
    assert_eq!(shop.app.job_of_quote(&given, plan::Level::Good).unwrap().quote.offers[1].bill.total, hers);
}

#[tokio::test]
async fn a_job_of_which_no_time_counts_moves_none_and_is_counted() {
    let shop = shop();
    let ramon = shop.app.store().add_person(by(), "ramon", "Ramon Achterberg", PersonRole::Technician, "-").unwrap();
    let kept = || shop.app.store().setting(learning::LEARNED).unwrap();
    shop.finish(shop.another(), ramon, 1.3);
    let before = kept();
    assert!(before.is_some());
    shop.finish(shop.another(), ramon, 0.0);
    assert_eq!(kept(), before);
    assert_eq!(shop.journal().iter().filter(|deed| deed.starts_with("moved the times")).count(), 1);
    assert!(shop.read("/history/times").await.contains("ticked without a timer"));
}
