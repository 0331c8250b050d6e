//! What was agreed is what is done: the tuba's customer signs the smallest offer; prices, tools and survey change; a dent is found
//! on the bench; a supplement is agreed; nothing that was agreed moves, to the cent and to the byte.

use crate::common::Shop;
use axum::http::{Request, StatusCode};
use instrument::Dent;
use rust_decimal::Decimal;
use store::By;
use store::agreements::{AgreementKind, SaidHow, hash_of};
use store::counter::JobState;
use survey::kept::Kept;
use web::app::{EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

/// The shop's prices with ten times the labor.
fn dearer() -> String {
    let text = EXAMPLE_SHOP.replace("labour_per_hour = \"$", "labour_per_hour = \"$9");
    assert_ne!(text, EXAMPLE_SHOP);
    text
}

fn shop() -> Shop {
    crate::common::surveyed("tuba", &fixtures::demo::read("ox-tuba"))
}

impl Shop {
    async fn bytes(&self, path: &str) -> (StatusCode, Vec<u8>) {
        let (status, _, bytes) = self.send(Request::get(path), "").await;
        (status, bytes.to_vec())
    }

    /// The link of the newest quote.
    fn link(&self) -> String {
        format!("/q/{}", self.app.store().quotes_of(self.job).unwrap()[0].token.as_deref().unwrap())
    }

    fn total(&self) -> Decimal {
        web::agreeing::owed(&self.app.store().agreements_of(self.job).unwrap()).unwrap()
    }

    /// Gives the quote and lets the customer sign the smallest offer.
    async fn sign_play(&self) {
        let job = self.job;
        let (status, page) = self.submit(&format!("/jobs/{job}/quote"), &[]).await;
        assert!(status.is_redirection(), "{page}");
        let signed = [("chosen", "play"), ("name", "A. Parent"), ("signature", "M10 10L60 40"), ("answer", "yes")];
        let (status, page) = self.submit(&self.link(), &signed).await;
        assert!(status.is_redirection(), "{page}");
    }

    /// A dent is found beside one that the agreed work brings back, and deeper.
    fn find_a_dent(&self) -> Dent {
        let agreed = self.app.job(self.job).unwrap();
        let beside = &agreed.plan.choices[0].dent;
        let mut dent = fixtures::demo::read("ox-tuba").dent(beside).unwrap().clone();
        dent.at_mm.as_mut().unwrap().value += 25.0;
        dent.depth_mm.as_mut().unwrap().value *= 1.3;
        let (name, _) = self
            .app
            .store()
            .add_dent(by(), self.job, None, |name| {
                let mut named = dent.clone();
                named.id.0 = name.to_owned();
                Ok(Kept::from_dent(&named).to_json().unwrap())
            })
            .unwrap();
        dent.id.0 = name;
        dent
    }
}

#[tokio::test]
async fn nothing_that_was_agreed_moves() {
    let s = shop();
    let job = s.job;
    s.sign_play().await;
    assert_eq!(s.app.store().job(job).unwrap().state, JobState::Approved);
    let agreed = s.app.job(job).unwrap();
    assert_eq!(agreed.plan.level, plan::Level::Play);
    let offered = agreed.quote.offers.iter().find(|o| o.level == plan::Level::Play).unwrap();
    assert_eq!(s.total(), offered.bill.total);
    let (steps, dents, left) = (agreed.plan.steps.len(), agreed.plan.choices.len(), agreed.plan.not_done.len());
    assert_eq!(dents + left, s.app.job_as_it_stands(s.job).unwrap().survey.dents.len());
    let bench = s.read(&format!("/jobs/{job}/bench")).await;
    assert!(
        bench.contains("Agreed: Playing condition")
            && bench.contains(&format!("{dents} of {} dents are worked", s.app.job_as_it_stands(s.job).unwrap().survey.dents.len()))
    );
    assert!(left > 0 && bench.contains(&format!("{left} stay by agreement")) && bench.contains("Stays, by agreement"));
    let paper = s.app.store().agreements_of(job).unwrap()[0].paper.clone().unwrap();
    let (_, pdf) = s.bytes(&format!("{}/quote.pdf", s.link())).await;
    assert_eq!(hash_of(&pdf), paper, "what the customer sees is what was signed");

    // The labor rate, the rack and the survey change.
    s.app.store().set_setting(by(), SHOP, &dearer()).unwrap();
    let cut = EXAMPLE_RACK.rfind("[[tool]]").or_else(|| EXAMPLE_RACK.rfind("[[tools]]")).unwrap();
    s.app.store().set_setting(by(), RACK, &EXAMPLE_RACK[..cut]).unwrap();
    s.find_a_dent();
    let still = s.app.job(job).unwrap();
    assert_eq!((still.plan.steps.len(), still.plan.choices.len(), s.total()), (steps, dents, offered.bill.total));
    assert!(still.shop == agreed.shop && still.rack == agreed.rack && still.survey == agreed.survey);
    let (_, same) = s.bytes(&format!("{}/quote.pdf", s.link())).await;
    assert_eq!(same, pdf);
    // A program that starts anew reads it all back from the record.
    let fresh = web::App::new(store::Store::open(s.dir.path()).unwrap(), false).job(job).unwrap();
    assert_eq!(serde_json::to_value(&fresh.plan).unwrap(), serde_json::to_value(&agreed.plan).unwrap());
    // The counter sees what the customer holds beside what the plan says now.
    let quote = s.read(&format!("/jobs/{job}/quote")).await;
    assert!(quote.contains("What the customer holds, and what the plan says now"));
}

#[tokio::test]
async fn what_is_found_on_the_bench_is_a_supplement() {
    let s = shop();
    let job = s.job;
    s.sign_play().await;
    let before = s.total();
    let agreed = s.app.job(job).unwrap();
    // A step is done.
    let first = job::key::step_key(&agreed.plan.steps[0]);
    assert!(s.submit(&format!("/jobs/{job}/bench"), &[("key", &first), ("act", "tick")]).await.0.is_redirection());
    let bench = s.read(&format!("/jobs/{job}/bench")).await;
    assert!(bench.contains("Found something") && !bench.contains("Found since it was agreed"));

    let dent = s.find_a_dent();
    let bench = s.read(&format!("/jobs/{job}/bench")).await;
    assert!(bench.contains("Found since it was agreed"));
    let found = s.read(&format!("/jobs/{job}/supplement")).await;
    assert!(
        found.contains("Ask the customer") && found.contains("A dent on the") && found.contains(&format!("dent {}", dent.id)),
        "{found}"
    );
    assert!(s.submit(&format!("/jobs/{job}/supplement"), &[]).await.0.is_redirection());
    assert!(s.read(&format!("/jobs/{job}/bench")).await.contains("The customer is asked."));
    // What was agreed and would then stay is told to whoever asks and to whoever is asked.
    let since = web::agreeing::since(&s.app, &s.app.agreement(job).unwrap().unwrap()).unwrap().unwrap();
    let gone: Vec<_> = agreed.plan.choices.iter().filter(|c| !since.job.plan.choices.iter().any(|d| d.dent == c.dent)).collect();
    for page in [s.read(&format!("/jobs/{job}/supplement")).await, s.read(&s.link()).await] {
        assert!(gone.iter().all(|c| page.contains(&format!("Dent {} on the", c.dent))), "{page}");
        assert_eq!(page.contains("agreed to remove them") || page.contains("no longer worked"), !gone.is_empty());
    }
    // The prices of the day of the yes hold for what is found, too.
    s.app.store().set_setting(by(), SHOP, &dearer()).unwrap();
    let customer = s.read(&s.link()).await;
    assert!(customer.contains("This adds") && customer.contains("Yes, do this too"));
    // By telephone, taken by whoever is signed in.
    let q = s.app.store().quotes_of(job).unwrap()[0].id.to_string();
    let told = [("quote", q.as_str()), ("name", "A. Parent"), ("how", "telephone")];
    let (status, page) = s.submit(&format!("/jobs/{job}/quote/told"), &told).await;
    assert!(status.is_redirection(), "{page}");
    let all = s.app.store().agreements_of(job).unwrap();
    assert_eq!(all.iter().map(|a| a.kind).collect::<Vec<_>>(), [AgreementKind::Offer, AgreementKind::Supplement]);
    assert_eq!((all[1].how, all[1].taken_by.as_str()), (SaidHow::Telephone, "Ottilie"));
    // The work and the price are those of the new agreement; to the cent what was signed and what was added.
    let now = s.app.job(job).unwrap();
    assert!(now.survey.dent(&dent.id).is_some());
    let offer = now.quote.offers.iter().find(|o| o.level == plan::Level::Play).unwrap();
    assert_eq!(s.total(), offer.bill.total);
    assert_eq!(s.total() - before, all[1].total.parse::<Decimal>().unwrap());
    // So does the invoice, part by part: its lines and tax are its total.
    let invoice = web::invoice::invoice(&s.app, job).unwrap();
    assert_eq!(invoice.parts.iter().map(|p| p.total).sum::<Decimal>(), s.total());
    for part in &invoice.parts {
        assert_eq!(part.lines.iter().map(|l| l.1).sum::<Decimal>() + part.tax, part.total, "{}", part.title);
    }
    // What was done stays done, and the first plan stays readable.
    let done = s.app.store().steps(job).unwrap();
    assert!(done.iter().any(|r| r.key == first && r.done_at.is_some()));
    let earlier = s.read(&format!("/jobs/{job}/agreements/{}", all[0].id)).await;
    assert!(earlier.contains("Playing condition") && earlier.contains("SHA-256"));
    // The journal tells who, when, what.
    let journal = s.app.store().journal_latest(200).unwrap();
    let kept: Vec<_> = journal.iter().filter(|e| e.record == "agreements").map(|e| (e.who.as_str(), e.act.as_str())).collect();
    assert_eq!(kept, [("ottilie", "insert"), ("customer", "insert")]);
}

#[tokio::test]
async fn a_no_to_what_was_found_leaves_the_work_as_agreed() {
    let s = shop();
    let job = s.job;
    s.sign_play().await;
    let before = (s.total(), s.app.job(job).unwrap().plan.steps.len());
    s.find_a_dent();
    assert!(s.submit(&format!("/jobs/{job}/supplement"), &[]).await.0.is_redirection());
    let (status, _) = s.submit(&s.link(), &[("name", "A. Parent"), ("signature", ""), ("answer", "no")]).await;
    assert!(status.is_redirection());
    assert_eq!((s.total(), s.app.job(job).unwrap().plan.steps.len()), before);
    let bench = s.read(&format!("/jobs/{job}/bench")).await;
    assert!(bench.contains("said no to what was found") && !bench.contains("waits for the customer"));
    // The answered link cannot be answered again, nor the first one.
    for link in s.app.store().quotes_of(job).unwrap().iter().map(|q| format!("/q/{}", q.token.as_deref().unwrap())) {
        let (status, _) = s.submit(&link, &[("chosen", "good"), ("name", "B"), ("signature", ""), ("answer", "yes")]).await;
        assert!(status.is_client_error(), "{status}");
    }
}

/// The leadpipe is eaten through: customer and shop are told so, that the new one is ordered, and where that is too late.
#[tokio::test]
async fn rot_odds_and_the_wait_for_a_part_are_told() {
    let shop = crate::common::surveyed("trumpet", &fixtures::demo::read("leadpipe-red-rot"));
    let job = shop.job;
    let plan = shop.read(&format!("/jobs/{job}/plan")).await;
    assert!(!plan.contains("Too late for"), "no day is set");
    let day = |days: u32| web::when::in_days(days);
    for (due, late) in [(day(3), true), (day(9), true), (day(10), false), (day(60), false)] {
        let seen = shop.app.store().job(job).unwrap().version;
        shop.app
            .store()
            .change_job(by(), job, seen, &store::counter::JobHead { title: "Rot", due: Some(&due), ..Default::default() })
            .unwrap();
        for page in ["plan", "quote"] {
            let text = shop.read(&format!("/jobs/{job}/{page}")).await;
            assert_eq!(text.contains(&format!("Too late for {due}")), late, "{page} {due}");
        }
    }
    let (status, page) = shop.submit(&format!("/jobs/{job}/quote"), &[]).await;
    assert!(status.is_redirection(), "{page}");
    for page in [shop.read(&shop.link()).await, shop.read(&format!("/jobs/{job}/quote")).await] {
        assert!(page.contains("has red rot") && page.contains("about 10 days later"), "{page}");
        assert_eq!(page.matches("has red rot").count(), 1, "what is told of every offer stands once");
    }
}
