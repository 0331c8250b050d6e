//! What a person decides against the plan; the plan is then worked out again around it.

use instrument::{DentId, JointId, OverlayId, RunId};
use reach::{Method, ToolId};
use serde::{Deserialize, Serialize};

/// What is decided.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Decision {
    /// Work a dent by this method.
    UseMethod {
        /// The dent.
        dent: DentId,
        /// The method.
        method: Method,
    },
    /// Leave a dent.
    LeaveDent {
        /// The dent.
        dent: DentId,
    },
    /// Work a dent that the assessment would leave.
    WorkDent {
        /// The dent.
        dent: DentId,
    },
    /// Anneal the place of a dent all the same, although the part must stay hard or the metal would bear it cold.
    AnnealDent {
        /// The dent.
        dent: DentId,
    },
    /// A joint stays shut.
    KeepShut {
        /// The joint.
        joint: JointId,
    },
    /// An overlay stays on.
    KeepOn {
        /// The overlay.
        overlay: OverlayId,
    },
    /// No flame on a run, or on none at all; against the customer's wish this is never given up.
    NoFlame {
        /// The run; none: nowhere.
        run: Option<RunId>,
    },
    /// A tool of the rack is not to be had (lent, broken).
    WithoutTool {
        /// The tool.
        tool: ToolId,
    },
    /// No tool is to be made.
    MakeNoTools,
    /// Replace a run.
    ReplaceRun {
        /// The run.
        run: RunId,
    },
    /// Straighten a run that the plan would replace.
    StraightenRun {
        /// The run.
        run: RunId,
    },
    /// No more bench time than this.
    Deadline {
        /// Minutes, expected.
        minutes: f64,
    },
}

/// A decision with its reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Overrule {
    /// What is decided.
    #[serde(flatten)]
    pub decision: Decision,
    /// Who decided.
    #[serde(default)]
    pub who: String,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// All decisions of a job, oldest first: where two contradict each other the later one holds.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Overrules {
    /// They.
    pub all: Vec<Overrule>,
}

impl Overrules {
    /// What was decided last of a dent: a method, to leave it, to work it.
    pub fn of_dent(&self, id: &DentId) -> Option<&Overrule> {
        self.all.iter().rev().find(|o| match &o.decision {
            Decision::UseMethod { dent, .. } | Decision::LeaveDent { dent } | Decision::WorkDent { dent } => dent == id,
            _ => false,
        })
    }

    /// Whether a dent's place is annealed all the same, and who says so.
    pub fn anneal(&self, id: &DentId) -> Option<&Overrule> {
        self.all.iter().rev().find(|o| matches!(&o.decision, Decision::AnnealDent { dent } if dent == id))
    }

    /// Whether a joint must stay shut, and who says so.
    pub fn joint_shut(&self, id: &JointId) -> Option<&Overrule> {
        self.all.iter().find(|o| matches!(&o.decision, Decision::KeepShut { joint } if joint == id))
    }

    /// Whether an overlay must stay on, and who says so.
    pub fn overlay_on(&self, id: &OverlayId) -> Option<&Overrule> {
        self.all.iter().find(|o| matches!(&o.decision, Decision::KeepOn { overlay } if overlay == id))
    }

    /// Whether flame is forbidden on a run, and who says so.
    pub fn no_flame(&self, id: &RunId) -> Option<&Overrule> {
        self.all.iter().find(|o| matches!(&o.decision, Decision::NoFlame { run } if run.as_ref().is_none_or(|r| r == id)))
    }

    /// Whether a tool is not to be had, and who says so.
    pub fn tool_gone(&self, id: &ToolId) -> Option<&Overrule> {
        self.all.iter().find(|o| matches!(&o.decision, Decision::WithoutTool { tool } if tool == id))
    }

    /// Whether no tool is to be made.
    pub fn make_no_tools(&self) -> bool {
        self.all.iter().any(|o| o.decision == Decision::MakeNoTools)
    }

    /// What was decided last of a run: true to replace it, false to straighten it.
    pub fn replace(&self, id: &RunId) -> Option<(bool, &Overrule)> {
        self.all.iter().rev().find_map(|o| match &o.decision {
            Decision::ReplaceRun { run } if run == id => Some((true, o)),
            Decision::StraightenRun { run } if run == id => Some((false, o)),
            _ => None,
        })
    }

    /// The last deadline, minutes.
    pub fn deadline_min(&self) -> Option<f64> {
        self.all.iter().rev().find_map(|o| match o.decision {
            Decision::Deadline { minutes } if minutes.is_finite() => Some(minutes.max(0.0)),
            _ => None,
        })
    }
}

impl Overrule {
    /// Who and why, for a reason that cites it.
    pub fn words(&self) -> String {
        match (self.who.is_empty(), self.why.is_empty()) {
            (true, true) => "by overrule".to_owned(),
            (false, true) => format!("overruled by {}", self.who),
            (true, false) => format!("overruled: {}", self.why),
            (false, false) => format!("overruled by {}: {}", self.who, self.why),
        }
    }
}
