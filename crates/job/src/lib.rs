//! From a survey to everything that follows from it, in one call. The survey, the rack, the shop and the overrules are
//! the ground state; all else is derived, can be thrown away, and comes out the same again.

pub mod key;
pub mod proofs;

use dent::Assessment;
use instrument::Survey;
use plan::{Overrules, Plan};
use quote::{Quote, Shop};
use reach::{Rack, Ways};
use serde::Serialize;

/// A job: the ground state and all that follows from it.
#[derive(Clone, Debug, Serialize)]
pub struct Job {
    /// The instrument and its damage.
    pub survey: Survey,
    /// The shop's tools.
    pub rack: Rack,
    /// The shop's prices and times.
    pub shop: Shop,
    /// What a person decided against the plan.
    pub overrules: Overrules,
    /// An assessment of each dent.
    pub assessments: Vec<Assessment>,
    /// The ways to each dent, and why others are ruled out.
    pub ways: Vec<Ways>,
    /// The plan of the middle level: make it good.
    pub plan: Plan,
    /// The quote with its three offers.
    pub quote: Quote,
}

/// Works a job out.
pub fn work_out(survey: Survey, rack: Rack, shop: Shop, overrules: &Overrules) -> Job {
    let assessments = dent::assess_all(&survey);
    let ways = reach::ways(&survey, &assessments, &rack);
    let plan = plan::plan(&survey, &assessments, &ways, &shop.standards, overrules);
    let quote = quote::quote(&survey, &assessments, &ways, overrules, &plan, &shop);
    Job { survey, rack, shop, overrules: overrules.clone(), assessments, ways, plan, quote }
}
