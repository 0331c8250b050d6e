//! The condition of the instrument apart from dents: of its metal, of what is soldered to it, of its lines.

use crate::{ConditionId, FitId, JointId, OverlayId, RunId};
use serde::{Deserialize, Serialize};
use units::Known;

/// What is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ConditionKind {
    /// Dezincified: pink, thin, brittle.
    RedRot,
    /// Stress-corrosion cracks.
    SeasonCracking,
    /// A crack without a dent.
    Crack,
    /// A hole without a dent.
    Hole,
    /// Thinned by buffing or wear.
    Thin,
    /// A brace whose solder has let go at a foot.
    LooseBrace,
    /// A brace that is broken between its feet.
    BrokenBrace,
    /// A brace that is not there any more.
    MissingBrace,
    /// A soldered joint that is pulled apart or out of line.
    PulledJoint,
    /// A tube bent out of its line.
    OutOfLine,
    /// A bell that stands crooked, or whose stem is bent.
    BentBell,
    /// A hand slide with a bent leg.
    BentHandSlide,
    /// A tube that is no longer round.
    Oval,
}

/// What a condition concerns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Concerns {
    /// The metal of a run.
    Metal,
    /// The line or the section of a run.
    Run,
    /// A brace.
    Brace,
    /// A joint.
    Joint,
    /// A hand slide.
    HandSlide,
}

impl ConditionKind {
    /// What it concerns.
    pub fn concerns(self) -> Concerns {
        match self {
            Self::RedRot | Self::SeasonCracking | Self::Crack | Self::Hole | Self::Thin => Concerns::Metal,
            Self::LooseBrace | Self::BrokenBrace | Self::MissingBrace => Concerns::Brace,
            Self::PulledJoint => Concerns::Joint,
            Self::BentHandSlide => Concerns::HandSlide,
            Self::OutOfLine | Self::BentBell | Self::Oval => Concerns::Run,
        }
    }

    /// In the words of the bench.
    pub fn words(self) -> &'static str {
        match self {
            Self::RedRot => "red rot",
            Self::SeasonCracking => "season cracking",
            Self::Crack => "a crack",
            Self::Hole => "a hole",
            Self::Thin => "thin wall",
            Self::LooseBrace => "a loose brace",
            Self::BrokenBrace => "a broken brace",
            Self::MissingBrace => "a missing brace",
            Self::PulledJoint => "a pulled joint",
            Self::OutOfLine => "a tube out of line",
            Self::BentBell => "a bent bell",
            Self::BentHandSlide => "a bent hand slide",
            Self::Oval => "an oval tube",
        }
    }
}

/// Something that is wrong apart from dents. Whatever was not measured is `None`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Condition {
    /// Its name in the survey.
    pub id: ConditionId,
    /// What it is.
    pub kind: ConditionKind,
    /// The run it is in; none where it is of a brace, a joint or a slide.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<RunId>,
    /// The brace.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overlay: Option<OverlayId>,
    /// The joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointId>,
    /// The slide.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fit: Option<FitId>,
    /// First station, mm; none: nobody said where.
    pub from_mm: Option<f64>,
    /// Last station, mm.
    pub to_mm: Option<f64>,
    /// Clock range, degrees; none: all round or not said.
    pub clock_deg: Option<(f64, f64)>,
    /// Whether it goes through the wall.
    pub through: Option<bool>,
    /// Wall left, mm, where measured.
    pub wall_left_mm: Option<Known>,
    /// How far it stands out of line, mm, where measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out_of_line_mm: Option<Known>,
    /// Over what length that was measured, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_mm: Option<Known>,
    /// By what angle it stands off, degrees, where measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<Known>,
    /// Least outside diameter, mm, where measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_mm: Option<Known>,
    /// Largest outside diameter, mm, where measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_mm: Option<Known>,
    /// The surveyor's words.
    pub note: String,
}

impl Condition {
    /// A condition of which nothing is known but its name and what it is.
    pub fn new(id: impl Into<ConditionId>, kind: ConditionKind) -> Self {
        Self {
            id: id.into(),
            kind,
            run: None,
            overlay: None,
            joint: None,
            fit: None,
            from_mm: None,
            to_mm: None,
            clock_deg: None,
            through: None,
            wall_left_mm: None,
            out_of_line_mm: None,
            over_mm: None,
            angle_deg: None,
            least_mm: None,
            most_mm: None,
            note: String::new(),
        }
    }

    /// The same on a run.
    #[must_use]
    pub fn on(mut self, run: impl Into<RunId>) -> Self {
        self.run = Some(run.into());
        self
    }

    /// Whether it is in a run.
    pub fn is_on(&self, run: &RunId) -> bool {
        self.run.as_ref() == Some(run)
    }

    /// How far it stands out of line, mm: as measured, or from the angle and the length; none where neither was taken.
    pub fn offset_mm(&self) -> Option<f64> {
        let from_angle = || Some(self.over_mm.as_ref()?.value * self.angle_deg.as_ref()?.value.to_radians().tan());
        self.out_of_line_mm.as_ref().map(|k| k.value).or_else(from_angle).filter(|mm| mm.is_finite())
    }

    /// How much wider than narrow the tube is, mm; none where either was not measured.
    pub fn ovality_mm(&self) -> Option<f64> {
        Some(self.most_mm.as_ref()?.value - self.least_mm.as_ref()?.value).filter(|mm| mm.is_finite())
    }
}
