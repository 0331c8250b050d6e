//! Makes a plan of a contract from what the record holds, and keeps it: the offers as a quote makes them, with the customer's terms and
//! what finished jobs have taught; searched from the plan before, so that little changes.

use crate::app::App;
use crate::contract_ground::{KeptPlan, PlanGround, read_on};
use crate::contract_planner::{Run, Stage};
use crate::ground::{Sources, terms_text};
use crate::problem::{Outcome, Problem};
use crate::{contract_jobs, learning, terms, when};
use ::survey::kept::survey_to_json;
use contract::{Added, Contract, Effort, Standing, Unworked, what_more_buys, work_out};
use instrument::{Kind, Survey};
use quote::Shop;
use report::{ContractFile, ContractView, Paper};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::time::{Duration, Instant};
use store::By;
use units::LengthUnit;

/// The search takes so long at the most, and that for what more money and time would buy as long again.
pub const SEARCH: Duration = Duration::from_secs(20);

/// Makes a plan and keeps it. What it ends with: why there is none, a sentence each.
pub fn plan(app: &App, login: &str, id: i64, run: &Run) -> Vec<String> {
    let mut why = match made(app, login, id, run) {
        Ok(Ok(())) => vec![],
        Ok(Err(why)) => why,
        Err(p) if p.status().is_server_error() => {
            tracing::error!("the plan of contract {id}: {p}");
            vec!["Something broke in the program. What was saved before is safe.".to_owned()]
        }
        Err(p) => vec![p.to_string()],
    };
    if !why.is_empty() {
        why.insert(0, "No new plan was made.".to_owned());
    }
    why
}

fn made(app: &App, login: &str, id: i64, run: &Run) -> Outcome<Result<(), Vec<String>>> {
    let store = app.store();
    let (row, texts) = store.contract_with_texts(id)?;
    let today = when::today();
    let mut read = match read_on(&texts, today, &app.standard_jobs()?) {
        Ok(read) => read,
        Err(all) => return Ok(Err(all.iter().map(|p| format!("{}: {}", p.file, p.problem)).collect())),
    };
    let (rack, shop) = app.files()?;
    let from = Sources {
        rack,
        shop,
        learned: learning::in_use(store)?,
        correction: learning::correction_text(store)?,
        terms: terms_text(&terms::of_customer(store, row.customer)?)?,
        bench: String::new(),
    };
    let jobs = contract_jobs::of(store, id)?;
    contract_jobs::stand(&mut read.contract, &jobs)?;
    let mut contract = match with_offers(app, read, &from, run)? {
        Ok(contract) => contract,
        Err(why) => return Ok(Err(why)),
    };
    let before = KeptPlan::last(store, id)?;
    if let Some(before) = &before {
        keep_prices_of_done(&mut contract, &before.contract);
    }
    contract_jobs::charge(app, &mut contract, &jobs)?;
    let start = before.as_ref().map(|b| b.earlier().choices());
    run.tell(Stage::Search { best: None, bound: 0.0 });
    let begin = Instant::now();
    let going = || run.going() && begin.elapsed() < SEARCH;
    let effort = Effort { start: start.as_ref(), before: start.as_ref(), ..Effort::default() };
    let found = contract::plan(&contract, &effort, &going, &mut |p| run.tell(Stage::Search { best: p.value, bound: p.bound }));
    let planned = match found {
        Ok(planned) => planned,
        Err(trouble) => return Ok(Err(trouble.words(&contract.currency))),
    };
    let stopped = !run.going();
    run.tell(Stage::More);
    let begin = Instant::now();
    let more = what_more_buys(&contract, &planned, &Added::usual(&contract), &|| run.going() && begin.elapsed() < SEARCH);
    let view = ContractView {
        contract: &contract,
        planned: &planned,
        bought: &more,
        paper: Paper::Letter,
        unit: LengthUnit::Mm,
        day: report::contract_files::day,
    };
    let bytes = |f: ContractFile| f.bytes(&view).map_err(|e| Problem::Broken(e.to_string()));
    let by = By { who: login, at: when::now() };
    let keep = |text: &str, media: &str| store.keep_content(by, media, text.as_bytes());
    let ground = PlanGround {
        head: row.head,
        instruments: row.instruments,
        dents: row.dents,
        done: row.done,
        rack: keep(&from.rack, "application/toml")?,
        shop: keep(&from.shop, "application/toml")?,
        learned: from.learned,
        correction: from.correction,
        terms: from.terms,
        day: today.to_string(),
        stopped,
    };
    let made_from = serde_json::to_string(&ground).map_err(|e| Problem::Broken(e.to_string()))?;
    store.add_contract_plan(by, id, &made_from, &bytes(ContractFile::Plan)?, &bytes(ContractFile::Problem)?)?;
    Ok(Ok(()))
}

/// What is done costs what it cost in the plan before, and so do the tools that were made for it: dearer hours, or times that the shop has
/// learned since, change nothing of it.
fn keep_prices_of_done(contract: &mut Contract, before: &Contract) {
    for horn in &mut contract.horns {
        let Standing::Done { level, .. } = &horn.standing else { continue };
        let cost = before.horn(&horn.tag).and_then(|h| h.offer(*level)).map(|o| o.cost);
        if let (Some(cost), Some(offer)) = (cost, horn.offers.iter_mut().find(|o| o.level == *level)) {
            offer.cost = cost;
        }
    }
    for tool in contract.tools.iter_mut().filter(|t| t.there) {
        if let Some(then) = before.tools.iter().find(|t| t.id == tool.id) {
            (tool.cost, tool.bill) = (then.cost, then.bill.clone());
        }
    }
}

/// The contract with the offers of all its instruments, each kind's times as the shop has learned them.
fn with_offers(app: &App, read: ::survey::ContractRead, from: &Sources, run: &Run) -> Outcome<Result<Contract, Vec<String>>> {
    let mut shops: BTreeMap<Kind, Shop> = BTreeMap::new();
    for kind in read.surveys.iter().map(|s| s.instrument.kind) {
        if let Entry::Vacant(place) = shops.entry(kind) {
            place.insert(from.shop(app.store(), kind)?);
        }
    }
    let of_shop = match shops.values().next() {
        Some(shop) => shop.clone(),
        None => from.shop(app.store(), Kind::Other)?,
    };
    let rack = ::survey::read_rack(&from.rack).0;
    let of = read.surveys.len();
    run.tell(Stage::Offers { done: 0, of });
    let offers_of = |survey: &Survey| {
        let shop = shops.get(&survey.instrument.kind).unwrap_or(&of_shop);
        let work = || contract::offers::offers(survey, &rack, shop);
        // A plan that is made again works out the offers of those instruments only whose rows, or whose prices, changed.
        match survey_to_json(&Survey { title: String::new(), ..survey.clone() }) {
            Ok(json) => app.offers().get(hashed(&(json, from)), work),
            Err(_) => work(),
        }
    };
    let told = |done: usize| run.tell(Stage::Offers { done, of });
    let worked = work_out(read.contract, &read.surveys, &read.plays, &of_shop, &offers_of, &|| run.going(), &told);
    Ok(worked.map_err(|e| match e {
        Unworked::Stopped => vec!["Stopped before a plan was found. The plan before still stands.".to_owned()],
        Unworked::NoSuchOffer(why) => why,
    }))
}

fn hashed(from: &impl Hash) -> u64 {
    let mut h = DefaultHasher::new();
    from.hash(&mut h);
    h.finish()
}
