//! From a survey to everything that follows from it, in one call. The survey, the rack, the shop and the overrules are
//! the ground state; all else is derived, can be thrown away, and comes out the same again.

pub mod key;
pub mod proofs;
mod what_if;

use dent::Assessment;
use instrument::Survey;
use plan::{Heats, Level, Overrules, Plan};
use quote::{Quote, Shop};
use rayon::prelude::*;
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
    let ways = reach::ways_within(&survey, &assessments, &rack, &overrules.constraints(&survey));
    let (plan, others) = plans(&survey, &assessments, &ways, &rack, &shop, overrules);
    let quote = quote::quote(&survey, &plan, &others, &shop);
    Job { survey, rack, shop, overrules: overrules.clone(), assessments, ways, plan, quote }
}

/// The plan of the middle level, and those of the others for the quote.
pub fn plans(
    survey: &Survey,
    assessments: &[Assessment],
    ways: &[Ways],
    rack: &Rack,
    shop: &Shop,
    overrules: &Overrules,
) -> (Plan, Vec<Plan>) {
    // One reckoning of what flames do serves the plans of all levels.
    let heats = Heats::new(&survey.instrument, rack);
    let others: Vec<Level> = Level::ALL.into_iter().filter(|l| *l != Level::Good).collect();
    let to = |level: &Level| plan::plan_to(*level, survey, assessments, ways, &heats, &shop.standards, overrules);
    rayon::join(|| plan::plan(survey, assessments, ways, &heats, &shop.standards, overrules), || others.par_iter().map(to).collect())
}
