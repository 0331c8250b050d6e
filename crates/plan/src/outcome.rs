//! The plan itself.

use crate::aftermath::Odds;
use crate::{Level, PlannedWork, Step, StepKind};
use instrument::{ConditionId, DentId, OverlayId, RunId, WorkId};
use reach::{Method, MethodKind, Opened, ToolPiece, ToolToMake};
use serde::{Deserialize, Serialize};
use units::duration::show_minutes;
use units::money::show_about;
use units::{Figure, Text, ThreePoint, text};

/// The method chosen for a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Choice {
    /// The dent.
    pub dent: DentId,
    /// The method.
    pub method: Method,
    /// Why this one and not the next best.
    pub because: Text,
    /// Its expected cost alone, money (time, risk).
    pub cost_money: Figure,
    /// What may go wrong in its work, and what follows then.
    #[serde(default)]
    pub odds: Odds,
    /// What a person asked for and why it cannot be; none where it is taken, or nobody asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instead_of: Option<Asked>,
}

/// A method that was asked for and cannot be taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// The method.
    pub method: MethodKind,
    /// Why it cannot be taken.
    pub because: Text,
}

/// A dent or condition that is not brought back, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NotDone {
    /// What.
    pub what: Text,
    /// The dent, where it is one.
    pub dent: Option<DentId>,
    /// The condition, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<ConditionId>,
    /// The work that was asked for, where it is that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub work: Option<WorkId>,
    /// Why not.
    pub because: Text,
    /// The tool that would do it, where a tool is what lacks.
    pub make: Option<ToolToMake>,
}

/// How something apart from dents is mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mend {
    /// A loose brace is soldered again.
    SolderBrace,
    /// A broken brace is brazed and soldered on again.
    BrazeBrace,
    /// A new brace is bought, fitted and soldered on.
    NewBrace,
    /// A brace is made and soldered on.
    MakeBrace,
    /// A pulled joint is opened, cleaned, lined up and closed.
    AlignJoint,
    /// A tube or a bell is straightened.
    Straighten,
    /// A leg of a hand slide is straightened.
    StraightenSlide,
    /// An oval tube is rounded.
    RoundOut,
    /// A patch is soldered over what leaks.
    Patch,
}

/// Something apart from dents that is mended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Mending {
    /// What is wrong.
    pub condition: ConditionId,
    /// How it is mended.
    pub mend: Mend,
    /// Parts and material, money.
    pub parts_money: f64,
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
    /// What kind of reason that has.
    #[serde(default)]
    pub why: WhyReplaced,
    /// Why.
    pub because: Text,
}

/// What kind of reason there is to replace a run, or to keep it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhyReplaced {
    /// Its metal is used up, or eaten through.
    Metal,
    /// Dents in it cannot be removed by any way on hand.
    NoWay,
    /// What costs less is done.
    #[default]
    Price,
    /// A person decided.
    Decided,
    /// It cannot be taken out.
    CannotComeOut,
}

/// How good the plan is proved to be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certificate {
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
    pub what: Text,
    /// What would change if it is not so.
    pub would_change: Text,
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
    pub methods: Vec<(DentId, MethodKind)>,
    /// What separates it from the best.
    pub differs: Text,
}

/// How well the steps are ordered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OrderCertificate {
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
    /// A method for each dent that is worked.
    pub choices: Vec<Choice>,
    /// What is mended apart from dents.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mended: Vec<Mending>,
    /// Work of the shop's list that is done.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub work: Vec<PlannedWork>,
    /// What is opened or taken off.
    pub opened: Vec<Opened>,
    /// Runs to be replaced or not.
    pub replacements: Vec<Replacement>,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// Tools to make, shared over the dents that need them.
    pub tools_to_make: Vec<(ToolPiece, Vec<DentId>)>,
    /// What is not done.
    pub not_done: Vec<NotDone>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// Total bench minutes, three-point sum.
    pub minutes: ThreePoint,
    /// How good it is.
    pub certificate: Certificate,
    /// How good the order of its steps is.
    #[serde(default)]
    pub order: Option<OrderCertificate>,
    /// The next best plans: each leaves shut, unmade or unheated something that every better one does not.
    #[serde(default)]
    pub alternatives: Vec<Alternative>,
    /// How far the work goes.
    #[serde(default)]
    pub level: Level,
}

/// Each tool to make or buy with the step in which that is done. A step is about the tool's dents; two for the same dents stand in the order
/// of the tools.
pub fn tool_steps<'a>(tools: &'a [(ToolPiece, Vec<DentId>)], steps: &'a [Step]) -> Vec<(&'a ToolPiece, &'a Step)> {
    let mut free: Vec<&Step> = steps.iter().filter(|s| s.kind == StepKind::MakeTool).collect();
    free.sort_by_key(|s| s.number);
    let mut with_step = |(piece, dents): &'a (ToolPiece, Vec<DentId>)| {
        let at = (0..free.len()).filter(|i| free[*i].dents == *dents).min_by_key(|i| (free[*i].further_tool, free[*i].number))?;
        Some((piece, free.remove(at)))
    };
    tools.iter().filter_map(&mut with_step).collect()
}

impl Plan {
    /// Nothing is damaged and nothing asked for: not even a cleaning is planned.
    pub(crate) fn nothing(level: Level) -> Self {
        Self {
            choices: vec![],
            mended: vec![],
            work: vec![],
            opened: vec![],
            replacements: vec![],
            steps: vec![],
            tools_to_make: vec![],
            not_done: vec![],
            assumptions: vec![Assumption {
                what: "The survey names no dent, no other damage and no work: nothing is planned.".into(),
                would_change: "Enter the first dent.".into(),
            }],
            minutes: ThreePoint::ZERO,
            certificate: Certificate { cost_money: 0.0, bound_money: 0.0, nodes: 0 },
            order: None,
            alternatives: vec![],
            level,
        }
    }

    /// How often the flame is lit: steps that follow each other in one heat share it; each anneal between passes has its own.
    pub fn lit(&self) -> usize {
        let heats = self.order.as_ref().map_or_else(|| self.steps.iter().filter(|s| s.heat.is_some()).count(), |o| o.heats);
        heats + self.steps.iter().map(|s| s.relit as usize).sum::<usize>()
    }

    /// What stays on over dents that are pushed out under it, each once.
    pub fn stays_on(&self) -> Vec<&OverlayId> {
        let mut all: Vec<&OverlayId> = self.choices.iter().flat_map(|c| c.method.stays_on()).collect();
        all.sort();
        all.dedup();
        all
    }

    /// Dents that are gone with their run, which is replaced.
    pub fn gone(&self) -> impl Iterator<Item = &DentId> {
        self.steps.iter().filter(|s| s.kind == StepKind::ReplaceRun).flat_map(|s| &s.dents)
    }

    /// Dents that are seen to: worked, patched over, or gone with their run.
    pub fn seen_to(&self) -> Vec<DentId> {
        let mut all: Vec<DentId> = self.choices.iter().map(|c| c.dent.clone()).collect();
        let others = self.steps.iter().filter(|s| matches!(s.kind, StepKind::ReplaceRun | StepKind::Patch)).flat_map(|s| &s.dents);
        for d in others {
            if !all.contains(d) {
                all.push(d.clone());
            }
        }
        all
    }

    /// The likelihood that a crack starts in the dent's work as planned: after an anneal where the plan has one for it.
    pub fn crack_likelihood<'a>(&self, of: &'a dent::Assessment) -> &'a Figure {
        let annealed = self.steps.iter().any(|s| s.kind == StepKind::Anneal && s.dents.contains(&of.dent));
        if annealed { &of.crack_likelihood_annealed } else { &of.crack_likelihood }
    }

    /// What separates another plan from this one, with what it costs the shop more or less.
    pub fn against(&self, other: &Alternative, currency: &str) -> Text {
        let more = other.cost_money - self.certificate.cost_money;
        let money = format!("{}{}", if more < 0.0 { "−" } else { "+" }, show_about(more.abs(), currency));
        text!("{} · expected cost to the shop {}", other.differs, money)
    }

    /// How good the plan is proved to be: its choices, and the order of its steps; in one line.
    pub fn how_good(&self, currency: &str) -> String {
        /// Less than half a unit of money, or half a minute, is no difference that is shown.
        const NONE: f64 = 0.5;
        let gap = self.certificate.cost_money - self.certificate.bound_money;
        let mut words = if gap < NONE {
            "No other choice among the methods and openings compared costs less (proved).".to_owned()
        } else {
            format!("Another choice among the methods and openings compared could save {} at most (proved).", show_about(gap, currency))
        };
        if let Some(o) = &self.order {
            let spare = o.setup_min - o.bound_min;
            words.push_str(&format!(" The flame is lit {}, a fixture set up {}. ", times(o.heats), times(o.fixtures)));
            if spare < NONE {
                words.push_str("No order needs less setting up (proved).");
            } else {
                words.push_str(&format!("Another order might save {} of setting up.", show_minutes(spare)));
            }
        }
        words
    }
}

/// How often, as it is said.
fn times(n: usize) -> String {
    match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}
