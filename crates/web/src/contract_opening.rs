//! Opens the jobs of a contract's plan: each instrument's card, its survey from the contract's tables, its day and bench from the plan,
//! and the offer that the plan chose as it was priced, agreed by whoever speaks for the customer.

use crate::agreeing::{self, Said};
use crate::app::App;
use crate::contract_ground::{KeptPlan, PlanGround, read};
use crate::contract_jobs::{self, OwedTool};
use crate::contract_planner::{Run, Stage};
use crate::ground::{Ground, Sources, read_terms, terms_text};
use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use crate::{password, when};
use ::survey::contract_rows::{ContractTable, rows};
use ::survey::kept::{Kept, survey_to_json};
use contract::{Assigned, Standing};
use instrument::Survey;
use plan::Overrules;
use quote::{Quote, Terms};
use report::contract_files::day;
use std::collections::BTreeMap;
use store::By;
use store::agreements::SaidHow;
use store::contract_jobs::{ContractJob, NewContractJob};
use store::counter::{JobState, NewInstrument};
use store::evidence::CameFrom;
use store::offers::NewQuote;
use store::people::Person;
use store::states;
use units::money::show_price;

/// Which instruments of a plan.
#[derive(Clone, Debug, Default)]
pub struct Which {
    /// Only of this bench; empty: of all.
    pub bench: String,
    /// Only those whose work begins in the week of this Monday (ISO 8601); empty: in all.
    pub week: String,
    /// Only these tags; empty: all.
    pub tags: Vec<String>,
}

impl Which {
    /// Whether an instrument of a plan is meant.
    pub fn takes(&self, p: &KeptPlan, a: &Assigned) -> bool {
        (self.bench.is_empty() || a.bench == self.bench)
            && (self.tags.is_empty() || self.tags.contains(&a.tag))
            && (self.week.is_empty() || began(p, &a.tag).and_then(when::monday_of).is_some_and(|m| m == self.week))
    }
}

/// The day on which an instrument's work begins.
pub fn began<'p>(p: &'p KeptPlan, tag: &str) -> Option<&'p str> {
    let visit = p.planned.visits.iter().find(|v| v.tag == tag && v.tool.is_none())?;
    visit.when.first().map(|s| s.date.as_str())
}

/// The day on which it is done: the last of its work, the deadline where that lies beyond the days that are planned.
fn done_by<'p>(p: &'p KeptPlan, tag: &str) -> &'p str {
    let visit = p.planned.visits.iter().find(|v| v.tag == tag && v.tool.is_none());
    visit.and_then(|v| v.when.last()).map_or(p.contract.deadline.as_str(), |s| s.date.as_str())
}

/// Instruments of a plan that have no job, or one whose opening was cut off before it was agreed, or before what was begun by hand went on
/// its bench: what opening would do something for.
pub fn unopened<'p>(p: &'p KeptPlan, jobs: &BTreeMap<String, ContractJob>) -> Vec<&'p Assigned> {
    let half = |a: &Assigned, j: &ContractJob| {
        (!j.agreed && j.state == JobState::Surveyed) || (a.begun && j.state == JobState::Approved && j.begun_before_s.is_none())
    };
    p.planned.assigned.iter().filter(|a| jobs.get(&a.tag).is_none_or(|j| half(a, j))).collect()
}

/// What an instrument had taken that was begun by hand, seconds; none where it was not begun.
#[expect(clippy::cast_possible_truncation, reason = "minutes at a bench are far below the limit")]
fn taken_by_hand(p: &KeptPlan, a: &Assigned) -> Option<i64> {
    match p.contract.horn(&a.tag)?.standing {
        Standing::Begun { spent_min, .. } if a.begun => Some((spent_min * 60.0).round() as i64),
        _ => None,
    }
}

/// Jobs that nobody has begun and that the plan has on another day or bench.
pub fn to_move<'p>(p: &'p KeptPlan, jobs: &BTreeMap<String, ContractJob>, people: &[Person]) -> Vec<(&'p Assigned, i64)> {
    let moved = |a: &Assigned, j: &ContractJob| {
        let open = matches!(j.state, JobState::Received | JobState::Surveyed | JobState::Quoted | JobState::Approved);
        let bench = bench_person(p, &a.bench, people).map(|p| p.name.as_str());
        open && (j.due.as_deref() != Some(done_by(p, &a.tag)) || j.person.as_deref() != bench)
    };
    p.planned.assigned.iter().filter_map(|a| jobs.get(&a.tag).filter(|j| moved(a, j)).map(|j| (a, j.job))).collect()
}

/// Who of the shop works at a bench of a contract, by name.
fn bench_person<'s>(p: &KeptPlan, bench: &str, people: &'s [Person]) -> Option<&'s Person> {
    let name = &p.contract.bench(bench)?.person;
    people.iter().find(|p| p.active && !name.is_empty() && p.name.eq_ignore_ascii_case(name))
}

/// Whether the tables that a plan's offers follow from are still those: a job has the survey that was priced.
pub fn is_of_the_tables(ground: &PlanGround, row: &store::contracts::ContractRow) -> bool {
    (&ground.instruments, &ground.dents) == (&row.instruments, &row.dents)
}

/// Who says yes for the customer, to whom, and how.
#[derive(Clone, Debug)]
pub struct Agreed {
    /// Their name.
    pub name: String,
    /// By telephone or at the counter.
    pub how: SaidHow,
    /// Login of whoever took it.
    pub login: String,
    /// Name of whoever took it.
    pub taken_by: String,
    /// The unit on the papers.
    pub fmt: UnitFormat,
}

/// Opens jobs. What it ends with: why some were not opened, a sentence each.
pub fn open(app: &App, id: i64, which: &Which, agreed: &Agreed, run: &Run) -> Vec<String> {
    let broken = |p: Problem| {
        if p.status().is_server_error() {
            tracing::error!("opening jobs of contract {id}: {p}");
            return "Something broke in the program. What was saved before is safe.".to_owned();
        }
        p.to_string()
    };
    let mut why = opened(app, id, which, agreed, run).unwrap_or_else(|p| vec![broken(p)]);
    if !why.is_empty() {
        why.insert(0, "Not all jobs were opened.".to_owned());
    }
    why
}

fn opened(app: &App, id: i64, which: &Which, agreed: &Agreed, run: &Run) -> Outcome<Vec<String>> {
    let store = app.store();
    let (row, texts) = store.contract_with_texts(id)?;
    let Some(p) = KeptPlan::last(store, id)? else { return Ok(vec!["There is no plan yet. Plan first.".to_owned()]) };
    if !is_of_the_tables(&p.ground, &row) {
        return Ok(vec![
            "The instruments or their dents were changed since this plan was made. Plan again, then open the jobs.".to_owned(),
        ]);
    }
    let surveys = match read(&texts, &app.standard_jobs()?) {
        Ok(read) => read.contract.horns.iter().map(|h| h.tag.clone()).zip(read.surveys).collect::<BTreeMap<String, Survey>>(),
        Err(all) => return Ok(all.iter().map(|p| format!("{}: {}", p.file, p.problem)).collect()),
    };
    let lines = rows(ContractTable::Instruments, &texts.instruments);
    let patterns: BTreeMap<&str, String> =
        lines.iter().map(|r| (r.get("tag"), r.get("pattern").trim().to_lowercase().replace(['-', '_'], " "))).collect();
    let jobs = contract_jobs::of(store, id)?;
    let mut all: Vec<&Assigned> = unopened(&p, &jobs).into_iter().filter(|a| which.takes(&p, a)).collect();
    all.sort_by_key(|a| (began(&p, &a.tag).unwrap_or("9").to_owned(), a.tag.clone()));
    let opening = Opening { plan: &p, customer: row.customer, people: store.people()?, from: sources(store, &p.ground)?, agreed };
    let mut why = Vec::new();
    for (done, a) in all.iter().enumerate() {
        if !run.going() {
            why.push(format!("Stopped. {} of {} are open.", done, all.len()));
            break;
        }
        run.tell(Stage::Jobs { done, of: all.len() });
        let Some(survey) = surveys.get(&a.tag) else { continue };
        let pattern = patterns.get(a.tag.as_str()).map_or("", String::as_str);
        if let Some(words) = one(app, &opening, a, survey, pattern)? {
            why.push(words);
        }
    }
    Ok(why)
}

/// What the plan's offers were made from, for a job under it: the same, and that the contract pays the tools.
fn sources(store: &store::Store, ground: &PlanGround) -> Outcome<Sources> {
    let text = |hash: &str| String::from_utf8(store.content(hash)?).map_err(|e| Problem::Broken(format!("content {hash}: {e}")));
    let terms = Terms { tools_by_contract: true, ..read_terms(&ground.terms)? };
    Ok(Sources {
        rack: text(&ground.rack)?,
        shop: text(&ground.shop)?,
        learned: ground.learned.clone(),
        correction: ground.correction.clone(),
        terms: terms_text(&terms)?,
        // The contract's price knows no person's rate: the bench is only chosen by the plan.
        bench: String::new(),
    })
}

/// What is the same for all jobs that are opened together.
struct Opening<'a> {
    plan: &'a KeptPlan,
    customer: i64,
    people: Vec<Person>,
    from: Sources,
    agreed: &'a Agreed,
}

/// Opens the job of one instrument. Why not as the plan has it, where it is not.
fn one(app: &App, opening: &Opening<'_>, a: &Assigned, survey: &Survey, pattern: &str) -> Outcome<Option<String>> {
    let Opening { plan: p, agreed, .. } = *opening;
    let store = app.store();
    let by = By { who: &agreed.login, at: when::now() };
    let broken = |e: &dyn std::fmt::Display| Problem::Broken(e.to_string());
    let level_name = quote::words::name(a.level);
    let gets = p.contract.horn(&a.tag).map_or_else(|| level_name.to_owned(), |h| h.gets(a.level));
    let title = format!("{}: {}", a.tag, gets.to_lowercase());
    let survey = Survey { title: title.clone(), surveyor: agreed.taken_by.clone(), date: p.ground.day.clone(), ..survey.clone() };
    let body = survey_to_json(&Survey { dents: vec![], ..survey.clone() }).map_err(|e| broken(&e))?;
    let kept = |d: &instrument::Dent| Kept::from_dent(d).to_json().map(|json| (d.id.0.clone(), json)).map_err(|e| broken(&e));
    let dents = survey.dents.iter().map(kept).collect::<Outcome<Vec<_>>>()?;
    let i = &survey.instrument;
    let value = i.value_money.map(|v| quote::bill::decimal(v, 2).to_string());
    let offer = p.contract.horn(&a.tag).and_then(|h| h.offer(a.level));
    let tool = |name: &String| p.contract.tools.iter().find(|t| t.id == *name);
    let owed = |t: &contract::Tool| OwedTool { id: t.id.clone(), price: t.cost, bill: t.bill.clone() };
    let tools: Vec<OwedTool> = offer.into_iter().flat_map(|o| &o.tools).filter_map(tool).map(owed).collect();
    let new = NewContractJob {
        contract: p.row.contract,
        instrument: NewInstrument {
            customer: opening.customer,
            kind: pattern,
            maker: &i.maker,
            model: &i.model,
            serial: &i.serial,
            value: value.as_deref(),
            asset: &a.tag,
        },
        title: &title,
        due: Some(done_by(p, &a.tag)),
        person: bench_person(p, &a.bench, &opening.people).map(|p| p.id),
        level: a.level.key(),
        bench: &a.bench,
        price: &a.cost.to_string(),
        tools: &contract_jobs::tools_text(&tools)?,
        survey: &body,
        dents: &dents,
        no_dents: states::Said { name: &agreed.taken_by, reason: "school contract: no dents in its table" },
    };
    let (job, _) = store.open_contract_job(by, &new)?;
    // What was begun by hand stands on its bench, with what it had taken.
    let on_its_bench = || {
        let begun = taken_by_hand(p, a).filter(|_| matches!(store.job(job).map(|j| j.state), Ok(JobState::Approved)));
        begun.map_or(Ok(false), |spent_s| store.begun_before(by, job, spent_s))
    };
    // One that was opened before has its quote, or somebody is at it: it is left as it is.
    if store.job(job)?.state != JobState::Surveyed || !store.quotes_of(job)?.is_empty() {
        on_its_bench()?;
        return Ok(None);
    }
    let ground = Ground::keep(store, by, &survey, &opening.from, &Overrules::default(), &p.ground.day)?;
    let planned = app.job_given(job, &ground, a.level)?;
    let money = |amount| show_price(amount, &p.contract.currency);
    let Some(offered) = planned.quote.of_level(a.level) else {
        return Ok(Some(format!(
            "{}: job {job} is open, but its survey gives no offer “{level_name}” any more. Quote it on its page.",
            a.tag
        )));
    };
    if offered.bill.total != a.cost {
        let (now, then) = (money(offered.bill.total), money(a.cost));
        return Ok(Some(format!("{}: job {job} is open, but it costs {now} and the plan has {then}. Quote it on its page.", a.tag)));
    }
    let quote = Quote { offers: vec![offered.clone()], ..planned.quote.clone() };
    let body = serde_json::to_string(&quote).map_err(|e| broken(&e))?;
    let (token, made_from) = (password::token()?, ground.to_json()?);
    let new = NewQuote { token: &token, body: &body, valid_until: None, made_from: Some(&made_from), adds_to: None };
    let number = store.add_quote(by, job, &new)?;
    let saved = store.quotes_of(job)?.into_iter().find(|q| q.id == number);
    let saved = saved.ok_or_else(|| Problem::Broken(format!("the quote of job {job} is not there")))?;
    let said = Said {
        name: &agreed.name,
        strokes: "",
        how: agreed.how,
        taken_by: &agreed.taken_by,
        from: CameFrom { under: &agreed.taken_by, ..CameFrom::default() },
    };
    agreeing::yes(app, by, &saved, a.level.key(), said, agreed.fmt)?;
    on_its_bench()?;
    Ok(None)
}

/// Moves the jobs that nobody has begun to the days and benches of the newest plan; how many moved.
///
/// # Errors
/// Where the record fails.
pub fn move_to_plan(app: &App, id: i64, login: &str) -> Outcome<usize> {
    let store = app.store();
    let Some(p) = KeptPlan::last(store, id)? else { return Ok(0) };
    let (jobs, people) = (contract_jobs::of(store, id)?, store.people()?);
    let by = By { who: login, at: when::now() };
    let mut moved = 0;
    for (a, job) in to_move(&p, &jobs, &people) {
        let person = bench_person(&p, &a.bench, &people).map(|p| p.id);
        moved += usize::from(store.move_contract_job(by, job, Some(done_by(&p, &a.tag)), person, &a.bench)?);
    }
    Ok(moved)
}

/// The weeks in which work of the plan begins for instruments without a job, by their Mondays, each as it is said.
pub fn weeks(p: &KeptPlan, unopened: &[&Assigned]) -> Vec<(String, String)> {
    let mut all: Vec<String> = unopened.iter().filter_map(|a| began(p, &a.tag).and_then(when::monday_of)).collect();
    all.sort();
    all.dedup();
    all.into_iter().map(|monday| (monday.clone(), day(&monday))).collect()
}

/// Instruments that were marked as begun by hand and have no job yet.
pub fn begun_by_hand(p: &KeptPlan, jobs: &BTreeMap<String, ContractJob>) -> usize {
    p.planned.assigned.iter().filter(|a| taken_by_hand(p, a).is_some() && !jobs.contains_key(&a.tag)).count()
}
