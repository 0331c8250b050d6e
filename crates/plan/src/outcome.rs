//! The plan itself.

use crate::{Level, Step};
use instrument::{DentId, RunId};
use reach::{Method, Opened, ToolToMake, Way};
use serde::{Deserialize, Serialize};
use units::{Figure, ThreePoint};

/// The way chosen for a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Choice {
    /// The dent.
    pub dent: DentId,
    /// The way.
    pub way: Way,
    /// Why this one and not the next best.
    pub because: String,
    /// Its expected cost alone, money (time, risk).
    pub cost_money: Figure,
}

/// A dent or condition that is not brought back, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NotDone {
    /// What.
    pub what: String,
    /// The dent, where it is one.
    pub dent: Option<DentId>,
    /// Why not.
    pub because: String,
    /// The tool that would do it, where a tool is what lacks.
    pub make: Option<ToolToMake>,
}

/// Replace a run instead of straightening it: both prices and the reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Replacement {
    /// The run.
    pub run: RunId,
    /// Price of straightening, money.
    pub straighten_money: Figure,
    /// Price of replacing, money.
    pub replace_money: Figure,
    /// Whether the plan replaces it.
    pub replace: bool,
    /// Why.
    pub because: String,
}

/// How good the plan is proved to be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proof {
    /// Expected cost of the plan, money.
    pub cost_money: f64,
    /// No plan can cost less than this, money.
    pub bound_money: f64,
    /// Choices looked at.
    pub nodes: u64,
}

/// Something that the plan took for granted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Assumption {
    /// What was assumed.
    pub what: String,
    /// What would change if it is not so.
    pub would_change: String,
}

/// A measurement that would narrow the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WorthMeasuring {
    /// The dent, where it belongs to one.
    pub dent: Option<DentId>,
    /// What to measure.
    pub what: String,
    /// How far it would narrow the total time's 90 % interval, minutes.
    pub narrows_min: f64,
}

/// Another plan, nearly as good.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Alternative {
    /// Its expected cost, money.
    pub cost_money: f64,
    /// Its expected minutes of opening, heating, making tools and working dents.
    pub minutes: f64,
    /// What it opens.
    pub opened: Vec<Opened>,
    /// How it works each dent.
    pub methods: Vec<(DentId, Method)>,
    /// What separates it from the best.
    pub differs: String,
}

/// How well the steps are ordered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OrderProof {
    /// Heats lit.
    pub heats: usize,
    /// Times that something is taken into or out of a fixture.
    pub fixtures: usize,
    /// Minutes of setting these up.
    pub setup_min: f64,
    /// No order that keeps the precedences needs fewer minutes.
    pub bound_min: f64,
}

/// A plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// A way for each dent that is worked.
    pub choices: Vec<Choice>,
    /// What is opened or taken off.
    pub opened: Vec<Opened>,
    /// Runs to be replaced or not.
    pub replacements: Vec<Replacement>,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// Tools to make, shared over the dents that need them.
    pub tools_to_make: Vec<(ToolToMake, Vec<DentId>)>,
    /// What is not done.
    pub not_done: Vec<NotDone>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// What to measure next, the most useful first.
    pub worth_measuring: Vec<WorthMeasuring>,
    /// Total bench minutes, three-point sum.
    pub minutes: ThreePoint,
    /// How good it is.
    pub proof: Proof,
    /// How good the order of its steps is.
    #[serde(default)]
    pub order: Option<OrderProof>,
    /// The next best plans: each leaves shut, unmade or unheated something that every better one does not.
    #[serde(default)]
    pub alternatives: Vec<Alternative>,
    /// How far the work goes.
    #[serde(default)]
    pub level: Level,
}
