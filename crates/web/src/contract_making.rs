//! In which job a tool is made that several jobs of a contract need: in one of them, and the others name it. Where it was begun, there; else
//! where work has begun; else where the contract's plan has it; else where it is due first. A job that is declined or moved hands it on by
//! itself, because nothing of this is kept.

use crate::app::App;
use crate::contract_ground::KeptPlan;
use crate::contract_jobs::{self, needs_tool};
use crate::problem::{Outcome, Problem};
use crate::when;
use instrument::DentId;
use job::key::step_key;
use plan::{Plan, Step, StepId, StepKind};
use reach::ToolPiece;
use std::collections::BTreeMap;
use store::Store;
use store::bench::{StepRecord, StepState};
use store::contract_jobs::ContractJob;
use store::counter::JobState;

/// How far the making of a tool is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stands {
    /// It is there.
    Made,
    /// Somebody has begun.
    Begun,
    /// Nobody has begun.
    Waits,
}

/// A tool that another job makes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// The job.
    pub job: i64,
    /// The tag of its instrument in the contract.
    pub tag: String,
    /// Whose bench it is on; empty: nobody's yet.
    pub person: String,
    /// The day on which it is due (ISO 8601).
    pub due: Option<String>,
    /// How far it is.
    pub stands: Stands,
}

impl Elsewhere {
    /// The job with its instrument, and who: "job 12 (H-2), Ottilie".
    pub fn place(&self) -> String {
        let who = if self.person.is_empty() { String::new() } else { format!(", {}", self.person) };
        format!("job {} ({}){who}", self.job, self.tag)
    }

    /// Where the tool comes from, as a sentence.
    pub fn words(&self) -> String {
        match self.stands {
            Stands::Made => format!("Made in {}.", self.place()),
            Stands::Begun => format!("Being made in {}.", self.place()),
            Stands::Waits => {
                let by = self.due.as_deref().map_or_else(String::new, |due| format!(", due {}", when::day_words(due)));
                format!("To be made in {}{by}.", self.place())
            }
        }
    }
}

/// The tools of a job that its contract's jobs share.
#[derive(Clone, Debug, Default)]
pub struct Making {
    /// Its steps whose tool another job makes.
    elsewhere: BTreeMap<StepId, (ToolPiece, Elsewhere)>,
    /// Its own steps whose tool others need too: tags of their instruments.
    for_others: BTreeMap<StepId, Vec<String>>,
    /// Its own steps that another job left out: which job, and why.
    left_out: BTreeMap<StepId, (i64, String)>,
}

impl Making {
    /// Where a step's tool is made, if not here.
    pub fn elsewhere(&self, step: &Step) -> Option<&Elsewhere> {
        self.elsewhere.get(&step.number).map(|e| &e.1)
    }

    /// Whether a step is none of this job's.
    pub fn is_elsewhere(&self, step: &Step) -> bool {
        self.elsewhere.contains_key(&step.number)
    }

    /// Whether another job has made a step's tool.
    pub fn made(&self, step: &Step) -> bool {
        self.elsewhere(step).is_some_and(|e| e.stands == Stands::Made)
    }

    /// Where a tool is made, if not here.
    pub fn of_piece(&self, piece: &ToolPiece) -> Option<&Elsewhere> {
        self.elsewhere.values().find(|(p, _)| p.body == piece.body).map(|e| &e.1)
    }

    /// What to know of a tool that is made here: who else needs it, who left it out.
    pub fn notes(&self, step: &Step) -> Vec<String> {
        let mut all = Vec::new();
        if let Some(tags) = self.for_others.get(&step.number) {
            all.push(format!(
                "The school contract pays this tool once. {} {} it too.",
                tags.join(", "),
                if tags.len() == 1 { "needs" } else { "need" }
            ));
        }
        if let Some((job, why)) = self.left_out.get(&step.number) {
            all.push(format!("Job {job} left it out: {why}"));
        }
        all
    }

    /// The plan as this job's bench works it: without the steps and tools of other jobs. The numbers stay.
    pub fn here(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        plan.steps.retain(|s| !self.is_elsewhere(s));
        plan.tools_to_make.retain(|(piece, _)| self.of_piece(piece).is_none());
        plan
    }

    /// The tools that other jobs make, each with where it comes from.
    pub fn from_others(&self) -> Vec<(ToolPiece, String)> {
        self.elsewhere.values().map(|(piece, e)| (piece.clone(), format!("from {}", e.place()))).collect()
    }
}

/// What is read of an agreed plan: its tools and the steps that make them.
#[derive(serde::Deserialize)]
struct PlanRead {
    steps: Vec<Step>,
    tools_to_make: Vec<(ToolPiece, Vec<DentId>)>,
}

/// How the making of a tool stands in another job, by that job's own plan: its record, where it has one.
fn record_of(app: &App, job: i64, tool: &str) -> Outcome<Option<StepRecord>> {
    let kind: &'static str = StepKind::MakeTool.into();
    let records: Vec<StepRecord> = app.store().steps(job)?.into_iter().filter(|r| r.kind == kind).collect();
    // Most have none: their plan need not be read.
    let Some(agreed) = app.agreement(job)?.filter(|_| !records.is_empty()) else { return Ok(None) };
    let read: PlanRead = serde_json::from_slice(&app.store().content(&agreed.plan)?)
        .map_err(|e| Problem::Broken(format!("the agreed plan of job {job} cannot be read back: {e}")))?;
    let found = plan::tool_steps(&read.tools_to_make, &read.steps).into_iter().find(|(piece, _)| piece.words().metric() == tool);
    Ok(found.and_then(|(_, step)| records.into_iter().find(|r| r.key == step_key(step))))
}

/// How far a record is; none where it says nothing: not begun, or left out.
fn begun(record: Option<&StepRecord>) -> Option<Stands> {
    match record {
        Some(r) if r.state == StepState::Done => Some(Stands::Made),
        Some(r) if r.state == StepState::Running || (r.state == StepState::ToDo && r.spent_s > 0) => Some(Stands::Begun),
        _ => None,
    }
}

/// The instrument for which a contract's newest plan makes a tool.
fn planned_for(store: &Store, contract: i64, tool: &str) -> Outcome<Option<String>> {
    let visits = KeptPlan::last(store, contract)?.map(|p| p.planned.visits).unwrap_or_default();
    Ok(visits.into_iter().find(|v| v.tool.as_deref() == Some(tool)).map(|v| v.tag))
}

/// Where the tools of a job are made; nothing to say where it is no agreed job of a contract, or makes none.
///
/// # Errors
/// Where the record fails, or an agreed plan cannot be read back.
pub fn of(app: &App, id: i64, plan: &Plan) -> Outcome<Making> {
    let mut making = Making::default();
    if !plan.steps.iter().any(|s| s.kind == StepKind::MakeTool) {
        return Ok(making);
    }
    let Some((contract, _)) = app.store().contract_of_job(id)? else { return Ok(making) };
    let jobs = contract_jobs::of(app.store(), contract)?;
    if !jobs.values().any(|j| j.job == id && j.agreed && j.state != JobState::Declined) {
        return Ok(making);
    }
    let mine = app.store().steps(id)?;
    for (piece, step) in plan::tool_steps(&plan.tools_to_make, &plan.steps) {
        let tool = piece.words().metric();
        let mut sharing: Vec<(&ContractJob, Option<StepRecord>)> = Vec::new();
        for j in jobs.values().filter(|j| j.agreed && j.state != JobState::Declined) {
            if j.job == id {
                sharing.push((j, mine.iter().find(|r| r.key == step_key(step)).cloned()));
            } else if needs_tool(j, &tool)? {
                sharing.push((j, record_of(app, j.job, &tool)?));
            }
        }
        if sharing.len() < 2 {
            continue;
        }
        let first = planned_for(app.store(), contract, &tool)?;
        let rank = |(j, record): &(&ContractJob, Option<StepRecord>)| {
            let at_work = matches!(j.state, JobState::OnBench | JobState::Checking);
            let due = j.due.clone().unwrap_or_else(|| "9999".to_owned());
            (begun(record.as_ref()).unwrap_or(Stands::Waits), !at_work, first.as_ref() != Some(&j.tag), due, j.job)
        };
        // Who left it out, or is done without it, makes none.
        let out = |(j, record): &(&ContractJob, Option<StepRecord>)| {
            begun(record.as_ref()).is_none()
                && (matches!(j.state, JobState::Ready | JobState::HandedBack)
                    || record.as_ref().is_some_and(|r| r.state == StepState::Skipped))
        };
        let maker = sharing.iter().filter(|s| !out(s)).min_by_key(|s| rank(s));
        let own_says = sharing.iter().any(|(j, r)| j.job == id && r.as_ref().is_some_and(|r| r.state != StepState::ToDo || r.spent_s > 0));
        match maker {
            // What was begun or left out here stays here, whoever else makes one.
            Some((j, record)) if j.job != id && !own_says => {
                let there = Elsewhere {
                    job: j.job,
                    tag: j.tag.clone(),
                    person: j.person.clone().unwrap_or_default(),
                    due: j.due.clone(),
                    stands: begun(record.as_ref()).unwrap_or(Stands::Waits),
                };
                making.elsewhere.insert(step.number, (piece.clone(), there));
            }
            _ => {
                let others = sharing.iter().filter(|s| s.0.job != id).map(|s| s.0.tag.clone()).collect();
                making.for_others.insert(step.number, others);
                let skipped = sharing.iter().find(|(j, r)| j.job != id && r.as_ref().is_some_and(|r| r.state == StepState::Skipped));
                if let Some((j, Some(r))) = skipped {
                    making.left_out.insert(step.number, (j.job, r.note.clone()));
                }
            }
        }
    }
    Ok(making)
}
