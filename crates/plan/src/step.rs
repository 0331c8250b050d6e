//! A step of the plan.

use crate::Caution;
use crate::step_kind::{StepKind, Within};
use instrument::{ConditionId, DentId, FitId, JointId, OverlayId, RunId, WorkId};
use reach::Opened;
use serde::{Deserialize, Serialize};
use units::{Figure, Text, ThreePoint};

/// Number of a step: its place in the order, from 1.
pub type StepId = u32;

/// A joint or overlay near a flame.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeatNeighbour {
    /// What it is.
    pub what: Opened,
    /// The run on which it gets hottest.
    #[serde(default)]
    pub on: Option<RunId>,
    /// Station of that place, mm.
    #[serde(default)]
    pub at_mm: f64,
    /// How far from the edge of the flame along the metal, mm.
    pub distance_mm: f64,
    /// How hot it gets, °C.
    pub temperature_degc: Figure,
    /// Where its filler begins to melt, °C.
    pub melts_at_degc: f64,
    /// Whether a heat sink or wet cloth is needed between.
    pub sink: bool,
    /// How hot it gets with the sinks in place, °C; none where it needs none.
    #[serde(default)]
    pub with_sink_degc: Option<f64>,
    /// Whether there is no room for one, or one is not enough: it will let go too, and is held with binding wire.
    #[serde(default)]
    pub too_close: bool,
    /// The step that solders it again, where it lets go.
    #[serde(default)]
    pub resoldered_by: Option<StepId>,
}

/// How hot a place gets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PeakAt {
    /// Station, mm.
    pub at_mm: f64,
    /// Peak temperature, °C.
    pub degc: f64,
}

/// How far a place of the course along the heated run may lie beside the line that is kept of it, °C: half of what a torch is led to.
/// Our own choice, for drawing.
pub const COURSE_DEGC: f64 = 5.0;

/// The heat of a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Heat {
    /// The run heated.
    pub run: RunId,
    /// Station of the flame, mm.
    pub at_mm: f64,
    /// Temperature wanted at the flame, °C.
    pub target_degc: f64,
    /// How hot the heated run gets along itself, from its start on; between two places straight within [`COURSE_DEGC`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub along: Vec<PeakAt>,
    /// Neighbours that could melt, hottest first.
    pub neighbours: Vec<HeatNeighbour>,
    /// Where the heat sink goes, mm from the flame; none where none is needed.
    pub sink_at_mm: Option<f64>,
    /// How far the finish is spoiled on either side of the flame, mm.
    pub finish_burns_mm: Figure,
    /// Runs beside the one heated whose finish is spoiled too, and over what length, mm.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub finish_burns_beside: Vec<(RunId, f64)>,
    /// What the heat does to the temper there, and whether that part had to stay hard.
    pub temper_note: Text,
    /// How long the flame burns, s: until all of it is at its heat, and held there.
    #[serde(default)]
    pub flame_s: Option<Figure>,
    /// The torch that this is reckoned with, in words.
    #[serde(default)]
    pub torch: String,
    /// That the torch never gets it there; none where it does.
    #[serde(default)]
    pub too_weak: Option<TooWeak>,
}

impl Heat {
    /// Every run whose finish is spoiled, and over what length, mm.
    pub fn burnt_mm(&self) -> impl Iterator<Item = (&RunId, f64)> {
        let own = std::iter::once((&self.run, 2.0 * self.finish_burns_mm.value));
        own.chain(self.finish_burns_beside.iter().map(|(run, mm)| (run, *mm))).filter(|(_, mm)| *mm > 0.0)
    }
}

/// A torch that is too weak for a joint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TooWeak {
    /// How hot it gets in ten minutes, °C.
    pub got_degc: f64,
    /// Power of a torch that is large enough, W.
    pub wants_w: f64,
}

/// Something that is checked before the job may close.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "check")]
pub enum Check {
    /// The bore of a run, by the largest ball that passes.
    Bore {
        /// The run.
        run: RunId,
        /// What the work leaves open at these dents, mm: the least of them. (In a record of before: the narrowest true bore.)
        bore_mm: f64,
        /// The dents that this ball tells of.
        #[serde(default)]
        dents: Vec<DentId>,
        /// What passed them before the work, mm: the most of them; less than is wanted. None in a record of before.
        #[serde(default)]
        before_mm: Option<f64>,
    },
    /// A moving fit, over its whole way.
    Fit {
        /// The fit.
        fit: FitId,
    },
    /// A brace, by hand; or what stayed on over a dent that was worked, along its seam.
    Holds {
        /// The brace, guard or ferrule.
        overlay: OverlayId,
    },
    /// A line, by a straight edge.
    InLine {
        /// What was out of line.
        condition: ConditionId,
        /// How far it may be off, mm.
        most_mm: f64,
        /// Over what length, mm.
        over_mm: f64,
    },
    /// A section, by a caliper.
    Round {
        /// What was oval.
        condition: ConditionId,
        /// How much wider than narrow it may be, mm.
        most_mm: f64,
    },
    /// Tightness.
    Tight,
    /// Each tuning slide drawn with its valve shut.
    Pull,
    /// Before and after, along the light.
    Look {
        /// How many dents were worked.
        dents: u32,
        /// What may stay of each, mm, where that is less than its depth.
        #[serde(default)]
        stay_mm: Vec<(DentId, f64)>,
    },
    /// Played over its range.
    Plays,
}

impl Check {
    /// Names the check in its job, whatever its place.
    pub fn key(&self) -> String {
        match self {
            Check::Bore { run, dents, .. } if dents.is_empty() => format!("passage:{run}"),
            Check::Bore { run, dents, .. } => {
                let dents: Vec<&str> = dents.iter().map(|d| d.0.as_str()).collect();
                format!("passage:{run}:{}", dents.join("+"))
            }
            Check::Fit { fit } => format!("fit:{fit}"),
            Check::Holds { overlay } => format!("holds:{overlay}"),
            Check::InLine { condition, .. } => format!("line:{condition}"),
            Check::Round { condition, .. } => format!("round:{condition}"),
            Check::Tight => "tight".to_owned(),
            Check::Pull => "pull".to_owned(),
            Check::Look { .. } => "map".to_owned(),
            Check::Plays => "plays".to_owned(),
        }
    }
}

/// A step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Its place in the order, from 1.
    pub number: StepId,
    /// The setting up that it is done in, from 1: steps with the same number are done one after another without a change
    /// of fixture, entry or flame.
    #[serde(default)]
    pub setting: u32,
    /// What kind.
    pub kind: StepKind,
    /// What to do, in the words of the bench.
    pub what: Text,
    /// Dents that it works on.
    pub dents: Vec<DentId>,
    /// Of the steps that make tools for the same dents: how many come before it in the plan's list of tools.
    #[serde(default, skip_serializing_if = "is_none")]
    pub further_tool: u32,
    /// The run it is on, where it is on one.
    pub run: Option<RunId>,
    /// The joint or overlay, for steps that open or close.
    pub opened: Option<Opened>,
    /// The joint, for steps about a fit or a run that has one.
    pub joint: Option<JointId>,
    /// What is mended apart from dents.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<ConditionId>,
    /// Work asked for by name that it does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub work: Vec<WorkId>,
    /// Key of the standard job that it does: with the kind, what its time is learned under.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard_job: Option<String>,
    /// Minutes.
    pub minutes: ThreePoint,
    /// What tells it apart from others of its kind, as far as its time goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<Within>,
    /// Minutes by the standard before the shop's timed steps moved it; none where they moved nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard: Option<ThreePoint>,
    /// Whether a flame is lit: with the heat below, at the bench, or between the passes of a dent.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub flame: bool,
    /// How often a flame is lit again within the step: the anneals between the passes of a dent.
    #[serde(default, skip_serializing_if = "is_none")]
    pub relit: u32,
    /// Heat, where there is a flame whose heat on the instrument is worked out.
    pub heat: Option<Heat>,
    /// Cautions.
    pub cautions: Vec<Caution>,
    /// What is checked, for steps of acceptance.
    #[serde(default)]
    pub checks: Vec<Check>,
    /// Steps that must come before.
    pub after: Vec<StepId>,
    /// Why this step, and why here.
    pub because: Text,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn is_none(count: &u32) -> bool {
    *count == 0
}

/// The steps by setup, in their order: those of one setup are done one after another without a change of fixture, entry or flame.
pub fn setups(steps: &[Step]) -> Vec<&[Step]> {
    steps.chunk_by(|a, b| a.setting == b.setting).collect()
}

/// All that a step waits for, directly or through others, in the plan's order. A step names only what does not follow.
pub fn waits_for(steps: &[Step], step: &Step) -> Vec<StepId> {
    let mut all: Vec<StepId> = step.after.clone();
    let mut next = 0;
    while let Some(number) = all.get(next).copied() {
        next += 1;
        for before in steps.iter().filter(|s| s.number == number).flat_map(|s| &s.after) {
            if !all.contains(before) {
                all.push(*before);
            }
        }
    }
    all.sort_unstable();
    all
}
