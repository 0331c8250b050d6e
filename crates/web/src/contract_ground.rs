//! What a contract's plan is made from and what it came to, as the record keeps both.

use crate::problem::{Outcome, Problem};
use ::survey::contract::{InFile, templates};
use ::survey::contract_rows::{ContractTable, rows};
use ::survey::{ContractRead, contract_form, read_contract};
use contract::bare;
use contract::more::Earlier;
use contract::{Bought, Contract, Planned};
use jiff::civil::Date;
use plan::StandardJob;
use serde::{Deserialize, Serialize};
use store::Store;
use store::contracts::{ContractPlanRow, ContractRow, ContractTexts};

/// The name of a contract's head among its files.
pub const HEAD: &str = "contract.toml";

/// Hashes of what a plan was made from, and the day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanGround {
    /// Budget, days, benches.
    pub head: String,
    /// The table of instruments.
    pub instruments: String,
    /// The table of dents.
    pub dents: String,
    /// The table of what was done or begun.
    pub done: String,
    /// The rack's file.
    pub rack: String,
    /// The shop's file.
    pub shop: String,
    /// What finished jobs had taught; empty: start-up times.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub learned: String,
    /// What the owner had corrected, JSON.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub correction: String,
    /// The customer's terms, JSON; empty: the shop's prices as they are.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub terms: String,
    /// The day on which it was made.
    pub day: String,
    /// Whether somebody stopped the search: the best so far was taken.
    #[serde(default)]
    pub stopped: bool,
}

impl PlanGround {
    /// Whether the contract's own texts are still those.
    pub fn is_of(&self, row: &ContractRow) -> bool {
        (&self.head, &self.instruments, &self.dents, &self.done) == (&row.head, &row.instruments, &row.dents, &row.done)
    }
}

/// A plan as it is kept.
#[derive(Deserialize)]
struct File {
    contract: Contract,
    plan: Planned,
    more: Vec<Bought>,
}

/// A plan read back from the record.
pub struct KeptPlan {
    /// Its row.
    pub row: ContractPlanRow,
    /// What it was made from.
    pub ground: PlanGround,
    /// The contract as it was, with the offers.
    pub contract: Contract,
    /// The plan.
    pub planned: Planned,
    /// What more would buy.
    pub more: Vec<Bought>,
}

impl KeptPlan {
    /// Reads a plan.
    ///
    /// # Errors
    /// Where a content is missing or damaged.
    pub fn read(store: &Store, row: ContractPlanRow) -> Outcome<Self> {
        let broken = |e: serde_json::Error| Problem::Broken(format!("the plan of a contract cannot be read back: {e}"));
        let File { contract, mut plan, more } = serde_json::from_slice(&store.content(&row.plan)?).map_err(broken)?;
        plan.problem = serde_json::from_slice::<bare::Problem>(&store.content(&row.problem)?).map_err(broken)?;
        let ground = serde_json::from_str(&row.made_from).map_err(broken)?;
        Ok(Self { row, ground, contract, planned: plan, more })
    }

    /// The newest plan of a contract.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn last(store: &Store, contract: i64) -> Outcome<Option<Self>> {
        store.contract_plans(contract)?.into_iter().next().map(|row| Self::read(store, row)).transpose()
    }

    /// The newest of a contract's plans, and the one before it.
    ///
    /// # Errors
    /// Where the record fails.
    pub fn newest(store: &Store, plans: &[ContractPlanRow]) -> Outcome<(Option<Self>, Option<Self>)> {
        let mut rows = plans.iter();
        let mut next = || rows.next().map(|row| Self::read(store, row.clone())).transpose();
        Ok((next()?, next()?))
    }

    /// What the next plan is compared with.
    pub fn earlier(&self) -> Earlier {
        Earlier { assigned: self.planned.assigned.clone(), visits: self.planned.visits.clone() }
    }
}

/// The table of a contract's texts.
pub fn table(texts: &ContractTexts, of: ContractTable) -> &str {
    match of {
        ContractTable::Instruments => &texts.instruments,
        ContractTable::Dents => &texts.dents,
        ContractTable::Done => &texts.done,
    }
}

/// The same, to be changed.
pub fn table_mut(texts: &mut ContractTexts, of: ContractTable) -> &mut String {
    match of {
        ContractTable::Instruments => &mut texts.instruments,
        ContractTable::Dents => &mut texts.dents,
        ContractTable::Done => &mut texts.done,
    }
}

/// A table as the program writes it for others to fill in.
pub fn unfilled(of: ContractTable) -> String {
    templates().into_iter().find(|(name, _)| *name == of.file()).map(|(_, text)| text).unwrap_or_default()
}

/// Whether a contract has no instruments yet.
pub fn is_empty(texts: &ContractTexts) -> bool {
    rows(ContractTable::Instruments, &texts.instruments).is_empty()
}

/// Reads a contract's texts; `list` is the shop's list of standard jobs.
///
/// # Errors
/// Everything that hinders, in every table.
pub fn read(texts: &ContractTexts, list: &[StandardJob]) -> Result<ContractRead, Vec<InFile>> {
    let read = read_tables(texts)?;
    let unknown = read.unknown_work(list);
    if unknown.is_empty() { Ok(read) } else { Err(unknown) }
}

/// Reads a contract's texts whatever other work they name.
///
/// # Errors
/// Everything else that hinders, in every table.
pub fn read_tables(texts: &ContractTexts) -> Result<ContractRead, Vec<InFile>> {
    let open =
        |name: &str| ContractTable::named(name).map(|t| table(texts, t).to_owned()).ok_or_else(|| format!("there is no table {name}"));
    read_contract(HEAD, &texts.head, &open)
}

/// As [`read`], for a plan that is made on a day: the days before it are gone.
///
/// # Errors
/// As there.
pub fn read_on(texts: &ContractTexts, day: Date, list: &[StandardJob]) -> Result<ContractRead, Vec<InFile>> {
    let here = |problem| vec![InFile { file: HEAD.to_owned(), problem }];
    let head = contract_form::from_day(&texts.head, day).map_err(here)?;
    read(&ContractTexts { head, ..texts.clone() }, list)
}
