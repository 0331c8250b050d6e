//! The place where a dent is: everything a repairer must know before touching it.

use crate::{DentId, Finish, FitId, JointId, OverlayId, Role, RunId};
use metal::Alloy;
use serde::{Deserialize, Serialize};
use units::Known;

/// Whether the tube is straight or bent at the place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum Shape {
    /// Straight.
    Straight,
    /// In a bend.
    Bent {
        /// Radius of the centre line, mm.
        radius_mm: f64,
    },
    /// The station is not known: this part of the run is bent.
    Unsure {
        /// The part of the run's length that is bent, 0 to 1.
        bent_part: f64,
        /// The tightest radius of the run, mm.
        radius_mm: f64,
    },
}

/// The place of a dent. Every value says whether it was measured, came from the pattern or was assumed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Site {
    /// The dent.
    pub dent: DentId,
    /// The run.
    pub run: RunId,
    /// What the run does.
    pub role: Role,
    /// Station, mm; wide where the survey does not say.
    pub at_mm: Known,
    /// Clock angle, degrees, where known.
    pub clock_deg: Option<Known>,
    /// Inside diameter there, mm.
    pub bore_mm: Known,
    /// Wall there, mm.
    pub wall_mm: Known,
    /// Temper there, Brown & Sharpe numbers hard.
    pub temper: Known,
    /// Alloy.
    pub alloy: Alloy,
    /// Finish.
    pub finish: Finish,
    /// Straight or bent.
    pub shape: Shape,
    /// Half angle of the taper there, degrees, positive where the bore grows towards the bell.
    pub taper_half_angle_deg: f64,
    /// Overlays that cover the dent or could (where its place is not known).
    pub under: Vec<OverlayId>,
    /// Moving fits that run over this run.
    pub fits: Vec<FitId>,
    /// Soldered joints nearby, with the distance to each, mm, nearest first.
    pub joints_near: Vec<(JointId, f64)>,
    /// Red rot at the place.
    pub red_rot: bool,
    /// Season cracking near the place.
    pub season_cracking: bool,
}
