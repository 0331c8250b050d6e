//! The condition of the metal itself, apart from dents.

use crate::{ConditionId, RunId};
use serde::{Deserialize, Serialize};
use units::Known;

/// What is wrong with the metal.
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
}

/// A patch of wall whose metal is not sound.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Condition {
    /// Its name in the survey.
    pub id: ConditionId,
    /// What it is.
    pub kind: ConditionKind,
    /// The run it is in.
    pub run: RunId,
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
    /// The surveyor's words.
    pub note: String,
}
