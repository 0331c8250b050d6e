//! A run of tube.

use crate::{Axis, Finish, Profile, Role, RunId};
use metal::Alloy;
use serde::{Deserialize, Serialize};

/// A run of tube between two joints or openings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// Its name in the survey.
    pub id: RunId,
    /// What the bench calls it ("first branch").
    pub name: String,
    /// What it does.
    pub role: Role,
    /// Its axis; the axis' length is the run's length.
    pub axis: Axis,
    /// Inside diameter along the run, mm.
    pub bore_mm: Profile,
    /// Wall thickness along the run, mm.
    pub wall_mm: Profile,
    /// What it is made of.
    pub alloy: Alloy,
    /// Temper along the run, Brown & Sharpe numbers hard.
    pub temper: Profile,
    /// What lies on its outside.
    pub finish: Finish,
}
