//! Moving fits: what must slide or turn.

use crate::{FitId, RunId};
use serde::{Deserialize, Serialize};
use units::Known;

/// What kind of moving fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FitKind {
    /// A piston in its casing.
    PistonInCasing,
    /// A rotor in its casing.
    RotorInCasing,
    /// A tuning or valve slide.
    TuningSlide,
    /// A hand slide.
    HandSlide,
}

/// How it moves as received.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FitState {
    /// Moves freely.
    Free,
    /// Moves with effort.
    Stiff,
    /// Catches somewhere on its way.
    Binds,
    /// Does not move.
    Stuck,
}

/// Two runs of which one moves in the other.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MovingFit {
    /// Its name in the survey.
    pub id: FitId,
    /// What the bench calls it.
    pub name: String,
    /// What kind.
    pub kind: FitKind,
    /// The run that moves.
    pub inner: RunId,
    /// The run in which it moves.
    pub outer: RunId,
    /// Bore of the outer less outside diameter of the inner, mm; none where nobody measured it.
    pub clearance_mm: Option<Known>,
    /// How it moves as received; none where nobody tried.
    pub state: Option<FitState>,
}
