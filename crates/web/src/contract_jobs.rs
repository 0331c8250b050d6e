//! Jobs of the shop that were opened from a contract's plan: what they make of the contract's instruments when it is planned again, and
//! what the contract itself owes for the tools that they share.

use crate::agreeing::amount;
use crate::app::{App, level_named};
use crate::invoice::agreed_totals;
use crate::problem::{Outcome, Problem};
use crate::when;
use contract::{Contract, Standing};
use plan::StepKind;
use quote::Bill;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::mem::discriminant;
use store::Store;
use store::contract_jobs::ContractJob;
use store::counter::JobState;

/// The jobs of a contract by the tags of its instruments, as they stand now. Making a tool is the contract's, not the instrument's: it is
/// no part of what a job has taken.
///
/// # Errors
/// Where the record fails.
pub fn of(store: &Store, contract: i64) -> Outcome<BTreeMap<String, ContractJob>> {
    let apart: &'static str = StepKind::MakeTool.into();
    Ok(store.contract_jobs(contract, when::now(), apart)?.into_iter().map(|j| (j.tag.clone(), j)).collect())
}

/// Where a job's instrument stands in its contract: agreed, begun with what its timers have, or done with it; open where the customer has
/// not said yes, or said no.
fn standing(job: &ContractJob, contract: &Contract) -> Outcome<Standing> {
    let level = level_named(&job.level)?;
    let person = job.person.as_deref().unwrap_or_default();
    let of_person = contract.benches.iter().find(|b| !person.is_empty() && b.person.eq_ignore_ascii_case(person));
    let bench = of_person.or_else(|| contract.bench(&job.bench)).map(|b| b.id.clone());
    let minutes = job.spent_s as f64 / 60.0;
    Ok(match (job.state, bench) {
        (JobState::OnBench | JobState::Checking, Some(bench)) => Standing::Begun { level, bench, spent_min: minutes },
        (JobState::Ready | JobState::HandedBack, bench) => {
            Standing::Done { level, bench: bench.unwrap_or_else(|| job.bench.clone()), took_min: minutes }
        }
        (JobState::Declined, _) => Standing::Open,
        _ if job.agreed => Standing::Agreed { level },
        _ => Standing::Open,
    })
}

/// Puts what became of its jobs into a contract before it is planned: what was agreed keeps its offer, what is on a bench is begun, what is
/// ready or picked up is done. A mark by hand on an instrument counts until its job says more.
///
/// # Errors
/// Where the record holds a level that is none.
pub fn stand(contract: &mut Contract, jobs: &BTreeMap<String, ContractJob>) -> Outcome<()> {
    for at in 0..contract.horns.len() {
        let Some(job) = jobs.get(&contract.horns[at].tag) else { continue };
        let standing = standing(job, contract)?;
        if standing != Standing::Open {
            contract.horns[at].standing = standing;
        }
    }
    Ok(())
}

/// Instruments that were begun, done or declined in their jobs since a plan was made of the contract as it was then.
///
/// # Errors
/// Where the record holds a level that is none.
pub fn moved(then: &Contract, jobs: &BTreeMap<String, ContractJob>) -> Outcome<usize> {
    let mut moved = 0;
    for horn in &then.horns {
        let Some(job) = jobs.get(&horn.tag) else { continue };
        let now = standing(job, then)?;
        // That it was opened as the plan had it changes nothing.
        let opened = matches!((&now, &horn.standing), (Standing::Agreed { .. }, Standing::Open));
        let waits = now == Standing::Open && !matches!(horn.standing, Standing::Agreed { .. });
        moved += usize::from(!opened && !waits && discriminant(&now) != discriminant(&horn.standing));
    }
    Ok(moved)
}

/// Puts what was agreed in its jobs into a contract with its offers: those prices hold, whatever the shop asks now. A done job that nobody
/// timed counts what was expected of it. Tools that were made for jobs before were paid from the budget.
///
/// # Errors
/// Where the record fails.
pub fn charge(app: &App, contract: &mut Contract, jobs: &BTreeMap<String, ContractJob>) -> Outcome<()> {
    let charged = agreed_totals(app)?;
    let paces: BTreeMap<String, f64> = contract.benches.iter().map(|b| (b.id.clone(), b.pace)).collect();
    for horn in &mut contract.horns {
        let Some(job) = jobs.get(&horn.tag) else { continue };
        let Some(offer) = horn.offers.iter_mut().find(|o| o.level.key() == job.level) else { continue };
        if let Some(charged) = charged.get(&job.job) {
            offer.cost = *charged;
        }
        if let Standing::Done { bench, took_min, .. } = &mut horn.standing
            && *took_min <= 0.0
        {
            *took_min = offer.mean_min * paces.get(bench).copied().unwrap_or(1.0);
        }
    }
    // A tool that the customer owes costs what was agreed, made or not; one that the shop's rack has by now is owed all the same.
    let mut gone = Decimal::ZERO;
    for owed in tools_owed(jobs)? {
        match contract.tools.iter_mut().find(|t| t.id == owed.id) {
            Some(tool) => (tool.cost, tool.bill) = (owed.price, owed.bill),
            None => gone += owed.price,
        }
    }
    contract.tools_paid = gone + contract.tools.iter().filter(|t| t.there).map(|t| t.cost).sum::<Decimal>();
    Ok(())
}

/// A tool that a contract pays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwedTool {
    /// Its name: what it is, with its sizes in millimeters.
    pub id: String,
    /// What it costs, tax included.
    pub price: Decimal,
    /// Its bill; none where an earlier program kept the price alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bill: Option<Bill>,
}

/// A tool as the record has it: an earlier program kept name and price, without tax.
#[derive(Deserialize)]
#[serde(untagged)]
enum KeptTool {
    Billed(OwedTool),
    Priced(String, Decimal),
}

/// The tools of a job that its contract pays.
///
/// # Errors
/// Where the record cannot be read back.
fn tools(job: &ContractJob) -> Outcome<Vec<OwedTool>> {
    let kept: Vec<KeptTool> =
        serde_json::from_str(&job.tools).map_err(|e| Problem::Broken(format!("the tools of job {} cannot be read back: {e}", job.job)))?;
    let owed = |kept| match kept {
        KeptTool::Billed(tool) => tool,
        KeptTool::Priced(id, price) => OwedTool { id, price, bill: None },
    };
    Ok(kept.into_iter().map(owed).collect())
}

/// The tools as a job of a contract keeps them.
///
/// # Errors
/// Never in practice: plain values.
pub fn tools_text(tools: &[OwedTool]) -> Outcome<String> {
    serde_json::to_string(tools).map_err(|e| Problem::Broken(e.to_string()))
}

/// What the contract itself owes: each tool that a job of it needs, once, at the price of the first. A job that the customer declined
/// needs none.
///
/// # Errors
/// Where the record cannot be read back.
pub fn tools_owed(jobs: &BTreeMap<String, ContractJob>) -> Outcome<Vec<OwedTool>> {
    let mut first: Vec<&ContractJob> = jobs.values().filter(|j| j.agreed && j.state != JobState::Declined).collect();
    first.sort_by_key(|j| j.job);
    let mut all: Vec<OwedTool> = Vec::new();
    for tool in first.into_iter().map(tools).collect::<Outcome<Vec<_>>>()?.into_iter().flatten() {
        if !all.iter().any(|t| t.id == tool.id) {
            all.push(tool);
        }
    }
    Ok(all)
}

/// The instruments of a contract whose agreed jobs need a tool, by their tags.
///
/// # Errors
/// Where the record cannot be read back.
pub fn needed_by<'j>(jobs: &'j BTreeMap<String, ContractJob>, tool: &str) -> Outcome<Vec<&'j str>> {
    let mut all = Vec::new();
    for job in jobs.values().filter(|j| j.agreed && j.state != JobState::Declined) {
        if needs_tool(job, tool)? {
            all.push(job.tag.as_str());
        }
    }
    Ok(all)
}

/// Whether a job needs a tool that its contract pays.
///
/// # Errors
/// Where the record cannot be read back.
pub fn needs_tool(job: &ContractJob, tool: &str) -> Outcome<bool> {
    Ok(tools(job)?.iter().any(|t| t.id == tool))
}

/// What the jobs of a contract come to: agreed for the instruments less what was taken off, the tools that the contract pays.
pub struct Account {
    /// Jobs in which something was agreed.
    pub agreed: usize,
    /// What is charged for them.
    pub instruments: Decimal,
    /// Tools, each once.
    pub tools: Vec<OwedTool>,
    /// What was paid for them.
    pub tools_paid: Decimal,
}

impl Account {
    /// What the tools cost.
    pub fn tools_cost(&self) -> Decimal {
        self.tools.iter().map(|t| t.price).sum()
    }
}

/// What was paid for the tools of a contract, mistakes left out.
///
/// # Errors
/// Where the record fails.
pub fn paid(app: &App, contract: i64) -> Outcome<Decimal> {
    app.store().contract_payments(contract)?.iter().filter(|p| !p.void).map(|p| amount(&p.amount)).sum()
}

/// The account of a contract.
///
/// # Errors
/// Where the record fails.
pub fn account(app: &App, contract: i64, jobs: &BTreeMap<String, ContractJob>) -> Outcome<Account> {
    let charged = agreed_totals(app)?;
    let mine: Vec<Decimal> = jobs.values().filter_map(|j| charged.get(&j.job).copied()).collect();
    Ok(Account { agreed: mine.len(), instruments: mine.iter().sum(), tools: tools_owed(jobs)?, tools_paid: paid(app, contract)? })
}
