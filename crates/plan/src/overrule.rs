//! What a person decides against the plan; the plan is then worked out again around it.

use instrument::{ConditionId, DentId, JointId, OverlayId, RunId, Survey};
use reach::{Constraints, MethodKind, Rack, Said, Tool, ToolId};
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
        method: MethodKind,
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
    /// Leave something else that is wrong.
    LeaveCondition {
        /// What.
        condition: ConditionId,
    },
    /// Mend something else that the level would leave.
    MendCondition {
        /// What.
        condition: ConditionId,
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
    /// An overlay comes off over whatever is worked under it, although that could be worked from inside with it on.
    TakeOff {
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
    /// A tool of the rack is lent out: nobody decided it for this job, the rack says so.
    ToolLent {
        /// The tool.
        tool: ToolId,
        /// Until the end of this day.
        until: String,
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

impl Decision {
    /// In words, with what the bench calls the instrument's parts.
    pub fn words(&self, survey: &Survey) -> String {
        let i = &survey.instrument;
        let run = |id: &RunId| i.run(id).map_or_else(|| id.0.clone(), |r| r.name.clone());
        let condition = |id: &ConditionId| {
            survey.condition(id).map_or_else(|| id.0.clone(), |c| format!("{} ({}, {})", id.0, c.kind.words(), c.of_what(i)))
        };
        match self {
            Decision::UseMethod { dent, method } => format!("dent {dent} is worked by {}", crate::steps::words::method_words(*method)),
            Decision::LeaveDent { dent } => format!("dent {dent} is left"),
            Decision::WorkDent { dent } => format!("dent {dent} is worked"),
            Decision::LeaveCondition { condition: id } => format!("{} is left as it is", condition(id)),
            Decision::MendCondition { condition: id } => format!("{} is mended", condition(id)),
            Decision::AnnealDent { dent } => format!("dent {dent} is annealed"),
            Decision::KeepShut { joint: id } => {
                format!("the joint {} stays shut", i.joint(id).map_or(id.0.as_str(), |j| j.name.as_str()))
            }
            Decision::KeepOn { overlay: id } => {
                format!("the {} stays on", i.overlay(id).map_or(id.0.as_str(), |o| o.name.as_str()))
            }
            Decision::TakeOff { overlay: id } => {
                format!("the {} comes off over what is worked under it", i.overlay(id).map_or(id.0.as_str(), |o| o.name.as_str()))
            }
            Decision::NoFlame { run: Some(id) } => format!("no flame is lit on the {}", run(id)),
            Decision::NoFlame { run: None } => "no flame is lit".to_owned(),
            Decision::WithoutTool { tool } => format!("{} is away", tool.0),
            Decision::ToolLent { tool, until } => format!("{} is away until {until}", tool.0),
            Decision::MakeNoTools => "no tool is made".to_owned(),
            Decision::ReplaceRun { run: id } => format!("the {} is replaced", run(id)),
            Decision::StraightenRun { run: id } => format!("the {} is straightened", run(id)),
            Decision::Deadline { minutes } => format!("at most {} on the bench", units::duration::show_minutes(*minutes)),
        }
    }
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

/// All decisions of a job, oldest first. Whoever takes a decision is told what it contradicts ([`crate::Contradiction`]); of two in an old
/// record that do, the later one holds.
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

    /// What was decided last of something else that is wrong: to leave it, to mend it.
    pub fn of_condition(&self, id: &ConditionId) -> Option<&Overrule> {
        self.all.iter().rev().find(|o| match &o.decision {
            Decision::LeaveCondition { condition } | Decision::MendCondition { condition } => condition == id,
            _ => false,
        })
    }

    /// Whether a dent's place is annealed all the same, and who says so.
    pub fn anneal(&self, id: &DentId) -> Option<&Overrule> {
        self.all.iter().rev().find(|o| matches!(&o.decision, Decision::AnnealDent { dent } if dent == id))
    }

    /// The same and, before them, what the rack says of tools that are away on a day (ISO 8601).
    pub fn on_day(mut self, rack: &Rack, day: &str) -> Self {
        let lent = |t: &Tool| {
            let until = t.away_until.clone()?;
            Some(Overrule { decision: Decision::ToolLent { tool: t.id.clone(), until }, who: String::new(), why: String::new() })
        };
        let away: Vec<Overrule> = rack.away_on(day).filter_map(lent).collect();
        self.all.splice(0..0, away);
        self
    }

    /// What is decided before the search: the customer's wishes, and over them what a person decided.
    pub fn constraints(&self, survey: &Survey) -> Constraints {
        let mut all = Constraints::wishes(survey);
        for o in &self.all {
            match &o.decision {
                Decision::KeepShut { joint } => {
                    all.shut.insert(joint.clone(), o.said());
                }
                Decision::KeepOn { overlay } => {
                    all.on.insert(overlay.clone(), o.said());
                    all.off.remove(overlay);
                }
                Decision::TakeOff { overlay } => {
                    all.off.insert(overlay.clone(), o.said());
                    all.on.remove(overlay);
                }
                Decision::NoFlame { run } => {
                    let meant = survey.instrument.runs.iter().filter(|r| run.as_ref().is_none_or(|x| *x == r.id));
                    all.no_flame.extend(meant.map(|r| (r.id.clone(), o.said())));
                }
                Decision::WithoutTool { tool } => {
                    all.away.insert(tool.clone(), o.said());
                }
                Decision::ToolLent { tool, until } => {
                    all.away.insert(tool.clone(), Said::Lent { until: until.clone() });
                }
                Decision::MakeNoTools => all.make_no_tools = Some(o.said()),
                Decision::UseMethod { dent, method } => {
                    all.methods.insert(dent.clone(), *method);
                }
                Decision::AnnealDent { dent } => {
                    all.anneal.insert(dent.clone());
                }
                Decision::LeaveDent { dent } | Decision::WorkDent { dent } => {
                    all.methods.remove(dent);
                }
                Decision::ReplaceRun { .. }
                | Decision::StraightenRun { .. }
                | Decision::LeaveCondition { .. }
                | Decision::MendCondition { .. }
                | Decision::Deadline { .. } => {}
            }
        }
        all
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
    /// Who decided.
    pub fn said(&self) -> Said {
        Said::Person { who: self.who.clone(), why: self.why.clone() }
    }

    /// Who and why, for a reason that cites it.
    pub fn words(&self) -> String {
        self.said().words()
    }
}
