//! Jobs of the shop that are opened from a contract's plan: each instrument once, at the plan's price, and what becomes of them is what the
//! contract plans on.

use crate::common::{Shop, shop_with};
use crate::contract_shop::{by, planned, shop, texts};
use axum::http::{Request, StatusCode};
use contract::Standing;
use fixtures::voice::{self, Matter, Reader};
use job::key::step_key;
use rust_decimal::Decimal;
use std::time::Duration;
use store::contract_jobs::{ContractJob, NewContractJob};
use store::counter::{JobState, NewInstrument};
use store::states::Said;
use survey::kept::{Kept, survey_to_json};
use units::LengthUnit;
use web::contract_ground::KeptPlan;
use web::{contract_jobs, contract_opening, when};

#[tokio::test(flavor = "multi_thread")]
async fn each_instrument_of_the_plan_becomes_one_job_at_the_plan_s_price() {
    let (shop, id) = shop();
    let p = KeptPlan::last(shop.app.store(), id).unwrap().unwrap();
    let store = shop.app.store();
    // One of them was here before.
    let before = NewInstrument { customer: 1, kind: "trumpet", serial: "3", ..NewInstrument::default() };
    let known = store.add_instrument(by(), &before).unwrap();
    let cards = store.instruments_of(1).unwrap().len();
    let page = format!("/contracts/{id}");
    assert!(shop.read(&page).await.contains("0 of 6 instruments in this plan have a job"));

    // What cannot be is told beside its field, and nothing is opened.
    let jobs_at = format!("{page}/jobs");
    let (status, said) = shop.submit(&jobs_at, &[("name", " "), ("how", "telephone"), ("tags", "H-1, H-99")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(said.contains("Say who agreed") && said.contains("H-99 has no repair to begin"), "{}", voice::html(&said).said);
    assert!(shop.jobs(id).is_empty());

    shop.open(id, &[("tags", "H-3")]).await;
    assert_eq!(shop.jobs(id).iter().map(|j| j.tag.as_str()).collect::<Vec<_>>(), ["H-3"]);
    let (status, said) = shop.submit(&jobs_at, &[("name", "Principal Hale"), ("how", "counter"), ("tags", "H-3")]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && said.contains("H-3 has job"), "{}", voice::html(&said).said);
    // A bench's of a week, and no other.
    let (bench, week) = {
        let a = p.planned.assigned.iter().find(|a| a.tag != "H-3").unwrap();
        (a.bench.clone(), when::monday_of(contract_opening::began(&p, &a.tag).unwrap()).unwrap())
    };
    shop.open(id, &[("bench", &bench), ("week", &week)]).await;
    let of_week = |a: &&contract::Assigned| when::monday_of(contract_opening::began(&p, &a.tag).unwrap()).unwrap() == week;
    let mut meant: Vec<&str> = p.planned.assigned.iter().filter(|a| a.bench == bench).filter(of_week).map(|a| a.tag.as_str()).collect();
    meant.extend((!meant.contains(&"H-3")).then_some("H-3"));
    meant.sort_unstable();
    assert_eq!(shop.jobs(id).iter().map(|j| j.tag.as_str()).collect::<Vec<_>>(), meant);
    if meant.len() < 6 {
        shop.open(id, &[]).await;
    }
    let jobs = shop.jobs(id);
    assert_eq!(jobs.len(), 6);
    assert_eq!(store.instruments_of(1).unwrap().len(), cards + 5, "one was found again by its serial number");
    assert_eq!(store.job(jobs[2].job).unwrap().instrument, known);
    for j in &jobs {
        let a = p.planned.of(&j.tag).unwrap();
        let visit = p.planned.visits.iter().find(|v| v.tag == j.tag && v.tool.is_none()).unwrap();
        assert_eq!((j.state, j.level.as_str(), j.bench.as_str()), (JobState::Approved, a.level.key(), a.bench.as_str()), "{}", j.tag);
        assert_eq!(j.due.as_deref(), Some(visit.when.last().unwrap().date.as_str()));
        // The agreement is the plan's offer at the plan's price, on a paper.
        let [agreement] = &store.agreements_of(j.job).unwrap()[..] else { panic!("{}: one agreement", j.tag) };
        assert_eq!(agreement.total.parse::<Decimal>().unwrap(), a.cost);
        assert!(agreement.said_by == "Principal Hale" && agreement.paper.is_some());
        let survey = shop.app.job(j.job).unwrap();
        assert_eq!((survey.survey.dents.len(), survey.plan.level), (2, a.level));
        let invoice = web::invoice::invoice(&shop.app, j.job).unwrap();
        assert_eq!((invoice.total(), invoice.customer.as_str()), (a.cost, "Fen Road"));
    }
    // Both people are of the shop: each job lies on its bench.
    assert!(jobs.iter().filter(|j| j.bench == "bench 1").all(|j| j.person.as_deref().is_none_or(|p| p.starts_with("Ottilie"))));
    // The pages lead both ways, and the bench works it like any other.
    let read = shop.read(&page).await;
    assert!(read.contains("6 of 6 instruments in this plan have a job") && read.contains(&format!("/jobs/{}\"", jobs[0].job)));
    assert!(shop.read(&format!("/jobs/{}", jobs[0].job)).await.contains(&format!("H-1 of contract {id}")));
    for at in ["", "/plan", "/quote", "/bench", "/hand-back"] {
        shop.read(&format!("/jobs/{}{at}", jobs[0].job)).await;
    }
    assert!(shop.read(&format!("{page}/work")).await.contains(&format!("/jobs/{}\"", jobs[0].job)));
    assert_eq!((store.faults().unwrap(), store.journal_faults().unwrap()), (vec![], vec![]));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_becomes_of_a_job_is_what_the_contract_plans_on() {
    let (shop, id) = shop();
    let store = shop.app.store();
    shop.open(id, &[("tags", "H-1, H-2, H-3")]).await;
    let first = KeptPlan::last(store, id).unwrap().unwrap();
    let jobs = shop.jobs(id);
    let page = format!("/contracts/{id}");
    assert!(!shop.read(&page).await.contains("Changed since this plan was made"));
    // H-1 is begun at the bench: its first step is timed.
    let step = shop.app.job(jobs[0].job).unwrap().plan.steps[0].clone();
    let bench = format!("/jobs/{}/bench", jobs[0].job);
    assert_eq!(shop.submit(&bench, &[("act", "tick"), ("key", &step_key(&step)), ("text", "")]).await.0, StatusCode::SEE_OTHER);
    let timed = [("act", "time"), ("key", &step_key(&step)), ("minutes", "25"), ("text", "from memory")];
    assert_eq!(shop.submit(&bench, &timed.map(|(k, v)| (k, v))).await.0, StatusCode::SEE_OTHER);
    // H-2 was worked and picked up, and nobody timed it; H-3 is cancelled.
    store.import_job_state(by(), jobs[1].job, JobState::HandedBack).unwrap();
    store.decline_job(by(), jobs[2].job, Said::both("Principal Hale", "sold")).unwrap();
    assert!(shop.read(&page).await.contains("2 jobs went on"));

    // Dearer hours since: what was agreed keeps its price.
    let dearer = web::app::EXAMPLE_SHOP.replacen("labour_per_hour = \"$", "labour_per_hour = \"$1", 1);
    store.set_setting(by(), web::app::SHOP, &dearer).unwrap();
    let version = store.contract(id).unwrap().version.to_string();
    let more = [("budget", "$30,000"), ("version", version.as_str())];
    assert_eq!(shop.submit(&format!("{page}/head"), &more).await.0, StatusCode::SEE_OTHER);
    let second = planned(&shop, id);
    let cost = |p: &KeptPlan, tag: &str| p.planned.of(tag).unwrap().cost;
    let level = |tag: &str| first.planned.of(tag).unwrap().level;
    let begun = second.planned.of("H-1").unwrap();
    assert!(begun.begun && begun.level == level("H-1") && begun.cost == cost(&first, "H-1"));
    assert!(matches!(second.contract.horn("H-1").unwrap().standing, Standing::Begun { spent_min, .. } if (spent_min - 25.0).abs() < 0.1));
    let done = &second.contract.horn("H-2").unwrap().standing;
    let expected = first.planned.of("H-2").unwrap();
    assert!(
        matches!(done, Standing::Done { took_min, level, .. } if (took_min / expected.mean_min - 1.0).abs() < 0.5 && *level == expected.level),
        "{done:?}"
    );
    assert_eq!(second.planned.spent - second.contract.tools_paid, expected.cost);
    assert_eq!(second.contract.horn("H-3").unwrap().standing, Standing::Open);
    assert!(cost(&second, "H-4") > cost(&first, "H-4"), "what is not agreed costs what it costs now");
    // By hand nobody marks what a job says.
    let version = store.contract(id).unwrap().version.to_string();
    let mark = [("tag", "H-1"), ("state", "done"), ("level", "play"), ("bench", "bench 1"), ("time", "5"), ("version", version.as_str())];
    let (status, said) = shop.submit(&format!("{page}/work"), &mark).await;
    assert!(status == StatusCode::CONFLICT && said.contains("counts here by itself"), "{}", voice::html(&said).said);

    // A job that nobody has begun goes where the newest plan has it.
    shop.open(id, &[("tags", "H-4")]).await;
    let four = shop.jobs(id).into_iter().find(|j| j.tag == "H-4").unwrap();
    let head = store.job(four.job).unwrap();
    let moved = store::counter::JobHead { title: &head.title, words: "", due: Some("2020-01-01"), bench: None };
    store.change_job(by(), four.job, head.version, &moved).unwrap();
    assert!(shop.read(&page).await.contains("another day or bench than this plan"));
    assert_eq!(shop.submit(&format!("{page}/jobs"), &[("act", "move")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(store.job(four.job).unwrap().due, four.due);
}

/// Cut off between a job and its agreement it is gone on with; a job that the plan's price does not fit any more is told by name and left
/// to be quoted.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_cut_off_is_gone_on_with_and_another_price_is_told() {
    let (shop, id) = shop();
    let (store, p) = (shop.app.store(), KeptPlan::last(shop.app.store(), id).unwrap().unwrap());
    let read = web::contract_ground::read_tables(&texts("$3,000")).unwrap();
    let half = |n: usize, dents: &[instrument::Dent]| {
        let (survey, tag) = (&read.surveys[n], format!("H-{}", n + 1));
        let body = survey_to_json(&instrument::Survey { dents: vec![], ..survey.clone() }).unwrap();
        let dents: Vec<(String, String)> = dents.iter().map(|d| (d.id.0.clone(), Kept::from_dent(d).to_json().unwrap())).collect();
        let new = NewContractJob {
            contract: id,
            instrument: NewInstrument { customer: 1, kind: "trumpet", asset: &tag, ..NewInstrument::default() },
            title: "half",
            due: None,
            person: None,
            level: p.planned.of(&tag).unwrap().level.key(),
            bench: "bench 1",
            price: "0",
            tools: "[]",
            survey: &body,
            dents: &dents,
            no_dents: Said { name: "", reason: "" },
        };
        store.open_contract_job(by(), &new).unwrap().0
    };
    let whole = half(0, &read.surveys[0].dents);
    assert!(shop.read(&format!("/contracts/{id}")).await.contains("6 instruments have none"));
    shop.open(id, &[("tags", "H-1")]).await;
    let [job] = &shop.jobs(id)[..] else { panic!("one job") };
    assert_eq!((job.job, job.agreed, job.state), (whole, true, JobState::Approved));
    // The plan was kept with another price than its ground gives: nothing is agreed at it.
    let text = String::from_utf8(store.content(&p.row.plan).unwrap()).unwrap();
    let mut kept: serde_json::Value = serde_json::from_str(&text).unwrap();
    let of = kept["plan"]["assigned"].as_array_mut().unwrap().iter_mut().find(|a| a["tag"] == "H-2").unwrap();
    of["cost"] = serde_json::json!("1.00");
    store.add_contract_plan(by(), id, &p.row.made_from, kept.to_string().as_bytes(), &store.content(&p.row.problem).unwrap()).unwrap();
    let fields = [("tags", "H-2"), ("name", "Principal Hale"), ("how", "counter")];
    assert_eq!(shop.submit(&format!("/contracts/{id}/jobs"), &fields).await.0, StatusCode::SEE_OTHER);
    while shop.app.planner().stage(id).is_some() {
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    let page = shop.read(&format!("/contracts/{id}")).await;
    assert!(page.contains("Not all jobs were opened") && page.contains("the plan has $1"), "{}", voice::html(&page).said);
    let two = shop.jobs(id).into_iter().find(|j| j.tag == "H-2").unwrap();
    assert!(two.state == JobState::Surveyed && !two.agreed && store.quotes_of(two.job).unwrap().is_empty());
}

/// Other work is priced and timed beside the dents, alone it is an offer of its own, and it comes along into the job.
#[tokio::test(flavor = "multi_thread")]
async fn other_work_is_part_of_the_plan_the_price_and_the_job() {
    let shop = Shop::of(shop_with("trumpet"));
    let plain = texts("$3,000");
    let id = shop.app.store().add_contract(by(), 1, &plain).unwrap();
    let before = planned(&shop, id);
    // H-1 has new felts too, three of them; H-7 has no dent and is cleaned.
    let mut asked = plain.clone();
    asked.instruments = asked
        .instruments
        .replace("H-1,trumpet,Tessaly,Wagtail,1,North,,yes,$700,,,,", "H-1,trumpet,Tessaly,Wagtail,1,North,,yes,$700,,,,,3 valve_felts");
    asked.instruments += "H-7,cornet,Tessaly,Wren,7,North,high,,$900,yes,,,,clean_inside; time_valves\n";
    // A key that the list does not have is told beside its row, and nothing is imported.
    let tables = format!("/contracts/{id}/tables");
    let wrong = asked.instruments.replace("time_valves", "time_valvs");
    let (status, said) = shop.submit(&tables, &[("version", "1"), ("instruments.csv", &wrong)]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && said.contains("1 thing to mend"), "{}", voice::html(&said).said);
    assert!(said.to_lowercase().contains("did you mean “time_valves”"), "{}", voice::html(&said).said);
    assert_eq!(shop.submit(&tables, &[("version", "1"), ("instruments.csv", &asked.instruments)]).await.0, StatusCode::SEE_OTHER);
    let after = planned(&shop, id);
    let offer = |p: &KeptPlan, tag: &str, n: usize| p.contract.horn(tag).unwrap().offers[n].clone();
    for n in 0..before.contract.horn("H-1").unwrap().offers.len() {
        let (was, is) = (offer(&before, "H-1", n), offer(&after, "H-1", n));
        // Three sets of felts take 6.5 min in the mean (PERT of 3, 6 and 12) and a third of that for each further one.
        let felts = (3.0 + 4.0 * 6.0 + 12.0) / 6.0 * (1.0 + 2.0 / 3.0);
        assert!(is.mean_min - was.mean_min >= felts - 0.1 && is.cost > was.cost, "{} {}", was.mean_min, is.mean_min);
        assert_eq!(is.work, ["New valve felts and corks (3)"]);
    }
    let alone = after.contract.horn("H-7").unwrap();
    assert!(alone.plays && alone.offers.len() == 1 && alone.offers[0].dents == 0, "{:?}", alone.offers);
    assert!(alone.offers[0].skills.contains(&contract::Skill::Valves));
    let page = shop.read(&format!("/contracts/{id}")).await;
    assert!(page.contains("also cleaned inside, valves timed") && page.contains("also new valve felts and corks (3)"));
    assert!(shop.read(&format!("/contracts/{id}/work")).await.contains("also new valve felts"));
    // Opened, it has its work: at the contract's price.
    shop.open(id, &[("tags", "H-1, H-7")]).await;
    for j in shop.jobs(id) {
        let agreed = shop.app.store().agreements_of(j.job).unwrap().remove(0);
        assert_eq!(agreed.total.parse::<Decimal>().unwrap(), after.planned.of(&j.tag).unwrap().cost, "{}", j.tag);
        assert!(!shop.app.job(j.job).unwrap().plan.work.is_empty());
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tool_that_several_horns_need_is_paid_once_and_by_the_contract() {
    let shop = Shop::of(shop_with("trumpet"));
    // No tool reaches a leadpipe: one is made.
    let rack = web::app::EXAMPLE_RACK.split("[[tool]]").next().unwrap().to_owned();
    shop.app.store().set_setting(by(), web::app::RACK, &rack).unwrap();
    let id = shop.app.store().add_contract(by(), 1, &texts("$3,000")).unwrap();
    let p = planned(&shop, id);
    assert!(!p.planned.tools.is_empty(), "a tool is to be made");
    let sharing = |tool: &String| {
        let of = |a: &contract::Assigned| p.contract.horn(&a.tag).unwrap().offer(a.level).unwrap().tools.contains(tool);
        p.planned.assigned.iter().filter(|a| of(a)).count()
    };
    assert!(p.planned.tools.iter().any(|t| sharing(t) > 1), "several horns share one");
    shop.open(id, &[]).await;
    let jobs = shop.jobs(id);
    let account = web::contract_jobs::account(&shop.app, id, &contract_jobs::of(shop.app.store(), id).unwrap()).unwrap();
    assert_eq!(account.agreed, jobs.len());
    // What the customer pays in all is what the plan costs, tools once.
    assert_eq!((account.instruments + account.tools_cost(), account.tools_cost()), (p.planned.cost, p.planned.tools_cost));
    let page = shop.read(&format!("/contracts/{id}")).await;
    assert!(page.contains("The contract pays each tool once") && page.contains(&format!("/contracts/{id}/tools")));
    let (status, headers, pdf) = shop.send(Request::get(format!("/contracts/{id}/files/tools-invoice.pdf")), "").await;
    assert!(status.is_success() && headers["content-type"] == "application/pdf" && pdf.starts_with(b"%PDF"));
    // The customer reads it beside each offer that needs one, and no bill has a line of it.
    let quote = |j: &ContractJob| shop.app.store().quotes_of(j.job).unwrap().remove(0);
    let told = jobs.iter().filter(|j| quote(j).body.contains("tool_by_contract")).count();
    assert_eq!(
        told,
        p.planned.assigned.iter().filter(|a| !p.contract.horn(&a.tag).unwrap().offer(a.level).unwrap().tools.is_empty()).count()
    );
    // Once it is made it is there, and its price stays spent.
    let first = jobs.iter().find(|j| j.tools != "[]").unwrap();
    shop.app.store().import_job_state(by(), first.job, JobState::HandedBack).unwrap();
    let then = planned(&shop, id);
    assert!(then.contract.tools_paid > Decimal::ZERO);
    assert_eq!(then.planned.cost + then.planned.spent, p.planned.cost);
    // In inches where the tablet tells them.
    let inches = Reader::new(LengthUnit::Inch, ["contract.json", "problem.json"].map(str::to_owned));
    for at in ["", "/work"] {
        let (_, _, page) = shop.send_as(Request::get(format!("/contracts/{id}{at}")), "trueround_units=in", "").await;
        voice::none(inches.faults(at, &voice::html(&String::from_utf8_lossy(&page)).said, Matter::Said));
    }
}

/// By hand, of a tool of the example shop at $85 an hour with 4 % tax on labor, 7.25 % on parts, to the cent, less 8 %: the plan, the contract's
/// page and the invoice have the same amount, tax in it, and what is paid of it is kept, shown, undone and owed like a job's invoice.
#[tokio::test(flavor = "multi_thread")]
async fn the_tools_are_taxed_and_paid_like_any_bill() {
    let shop = Shop::of(shop_with("trumpet"));
    let store = shop.app.store();
    let rack = web::app::EXAMPLE_RACK.split("[[tool]]").next().unwrap().to_owned();
    store.set_setting(by(), web::app::RACK, &rack).unwrap();
    let taxed =
        web::app::EXAMPLE_SHOP.replacen("labour = \"0 %\"", "labour = \"4 %\"", 1).replacen("round_to = \"$1\"", "round_to = \"$0.01\"", 1);
    assert_ne!(taxed, web::app::EXAMPLE_SHOP);
    store.set_setting(by(), web::app::SHOP, &taxed).unwrap();
    let terms = store::terms::CustomerTerms { discount: "8 %".to_owned(), reason: "school contract".to_owned(), ..Default::default() };
    store.set_customer_terms(by(), 1, &terms).unwrap();
    let id = store.add_contract(by(), 1, &texts("$3,000")).unwrap();
    let at = format!("/contracts/{id}/tools");
    assert!(shop.read(&at).await.contains("No tool is owed yet"));
    let p = planned(&shop, id);
    for tool in &p.contract.tools {
        let cents = |d: Decimal| d.round_dp_with_strategy(2, rust_decimal::RoundingStrategy::MidpointAwayFromZero);
        let making = cents(Decimal::try_from((tool.mean_min * 100.0).round() / 100.0).unwrap() * Decimal::from(85) / Decimal::from(60));
        let material = Decimal::from(8);
        let off = cents((making + material) * Decimal::new(8, 2));
        let whole = making * Decimal::new(4, 2) + material * Decimal::new(725, 4);
        let tax = cents(whole * (Decimal::ONE - off / (making + material)));
        assert_eq!(tool.cost, making + material - off + tax, "{}: {making} {off} {tax}", tool.id);
    }
    shop.open(id, &[]).await;
    let owed = contract_jobs::account(&shop.app, id, &contract_jobs::of(store, id).unwrap()).unwrap();
    let invoice = web::contract_tools::invoice(&shop.app, id, LengthUnit::Mm).unwrap();
    assert_eq!((invoice.total(), owed.tools_cost()), (p.planned.tools_cost, p.planned.tools_cost));
    assert_eq!(owed.instruments + owed.tools_cost(), p.planned.cost);
    assert!(invoice.tax() > Decimal::ZERO && !invoice.parts.is_empty());
    for part in &invoice.parts {
        assert_eq!(part.lines.iter().map(|l| l.1).sum::<Decimal>() + part.tax, part.total, "{}", part.title);
        assert!(part.lines.iter().any(|l| l.0 == "Discount 8 %: school contract"), "{:?}", part.lines);
    }
    let page = shop.read(&format!("/contracts/{id}")).await;
    assert!(page.contains("Sales tax is in all amounts.") && page.contains("Paid for the tools: $0"), "{}", voice::html(&page).said);
    let kept = String::from_utf8(store.content(&p.row.plan).unwrap()).unwrap();
    assert_eq!(serde_json::from_str::<serde_json::Value>(&kept).unwrap()["contract"]["tax"]["state"], "included");

    // Paid in parts, once by mistake.
    let money = |amount| units::money::show_money(amount, "$");
    for bad in ["", "-5", "0", "1.005"] {
        let (status, said) = shop.submit(&at, &[("act", "take"), ("amount", bad), ("how", "card")]).await;
        assert!(status.is_client_error() && said.contains("amount"), "{bad}: {status}");
    }
    let (status, _) = shop.submit(&at, &[("act", "take"), ("amount", "5"), ("how", "shells")]).await;
    assert!(status.is_client_error() && store.contract_payments(id).unwrap().is_empty());
    let take = [("act", "take"), ("amount", "$5.50"), ("how", "check"), ("note", "no. 118")];
    assert_eq!(shop.submit(&at, &take).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.submit(&at, &[("act", "take"), ("amount", "999"), ("how", "cash")]).await.0, StatusCode::SEE_OTHER);
    assert!(shop.read(&at).await.contains("too much paid"));
    assert_eq!(shop.submit(&at, &[("act", "void"), ("which", "2")]).await.0, StatusCode::SEE_OTHER);
    let rest = invoice.total() - Decimal::new(550, 2);
    let page = shop.read(&at).await;
    assert!(page.contains(&format!("{} outstanding", money(rest))), "{}", voice::html(&page).said);
    assert!(page.contains("by check, no. 118") && page.contains("(does not count)"));
    assert!(shop.read(&format!("/contracts/{id}")).await.contains(&format!("Paid for the tools: {} of", money(Decimal::new(550, 2)))));
    // The owner sees it beside what is owed for jobs, and the journal says who took it.
    let owner = shop.read("/money").await;
    assert!(owner.contains(&format!("href=\"{at}\"")) && owner.contains(&money(rest)), "{}", voice::html(&owner).said);
    let journal = shop.read("/journal").await;
    assert!(journal.contains("took a payment of $5.50 for the tools of a school contract"));
    assert!(journal.contains("marked the payment of $999.00 as a mistake"));
    let (status, headers, pdf) = shop.send(Request::get(format!("/contracts/{id}/files/tools-invoice.pdf")), "").await;
    assert!(status.is_success() && headers["content-type"] == "application/pdf" && pdf.starts_with(b"%PDF"));
    // A certificate of the customer: the next plan has no tax, and what was agreed keeps its price.
    let version = store.customer_terms(1).unwrap().version;
    let exempt = store::terms::CustomerTerms { exempt: "certificate E-2210".to_owned(), version, ..terms };
    store.set_customer_terms(by(), 1, &exempt).unwrap();
    let then = planned(&shop, id);
    assert_eq!(then.planned.cost + then.planned.spent, p.planned.cost);
    assert!(shop.read(&format!("/contracts/{id}")).await.contains("No sales tax: certificate E-2210."));
    let inches = Reader::new(LengthUnit::Inch, vec![]);
    let (_, _, page) = shop.send_as(Request::get(at.clone()), "trueround_units=in", "").await;
    voice::none(inches.faults(&at, &voice::html(&String::from_utf8_lossy(&page)).said, Matter::Said));
}
