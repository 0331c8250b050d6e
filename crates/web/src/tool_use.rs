//! What each tool is used for this month: the dents for which an agreed plan names it, of jobs agreed or worked on since the month
//! began.

use crate::app::App;
use crate::problem::{Outcome, Problem};
use crate::when;
use instrument::DentId;
use reach::ToolChoice;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The dents by job.
pub type Use = BTreeMap<i64, Vec<DentId>>;

/// What is read of an agreed plan.
#[derive(Deserialize)]
struct PlanRead {
    choices: Vec<ChoiceRead>,
}

#[derive(Deserialize)]
struct ChoiceRead {
    dent: DentId,
    method: MethodRead,
}

#[derive(Deserialize)]
struct MethodRead {
    tool: ToolChoice,
}

/// What each tool is used for this month, by its name on the rack.
///
/// # Errors
/// Where the record fails, or an agreed plan cannot be read back.
pub fn this_month(app: &App) -> Outcome<BTreeMap<String, Use>> {
    let mut used: BTreeMap<String, Use> = BTreeMap::new();
    for (job, plan) in app.store().plans_agreed_or_worked_since(when::month_began())? {
        let read: PlanRead = serde_json::from_slice(&app.store().content(&plan)?)
            .map_err(|e| Problem::Broken(format!("the agreed plan of job {job} cannot be read back: {e}")))?;
        for choice in read.choices {
            let (ToolChoice::Rack { tools } | ToolChoice::ToMake { with: tools, .. }) = choice.method.tool;
            for tool in tools {
                used.entry(tool.0).or_default().entry(job).or_default().push(choice.dent.clone());
            }
        }
    }
    Ok(used)
}

/// In words: "3 dents, 2 jobs".
pub fn words(used: &Use) -> String {
    let (dents, jobs) = (used.values().map(Vec::len).sum::<usize>(), used.len());
    let s = |n: usize| if n == 1 { "" } else { "s" };
    format!("{dents}\u{a0}dent{}, {jobs}\u{a0}job{}", s(dents), s(jobs))
}
