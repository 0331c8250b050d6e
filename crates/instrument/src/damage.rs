//! A dent, as it was measured.

use crate::{DentId, RunId};
use serde::{Deserialize, Serialize};
use units::Known;

/// How something lies on the tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Along the axis.
    Along,
    /// Across (round) the tube.
    Across,
    /// Slantwise.
    Oblique,
}

/// A fold line in a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Crease {
    /// How it lies.
    pub direction: Direction,
    /// Its length, mm, where measured.
    pub length_mm: Option<Known>,
}

/// A crack or a hole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Crack {
    /// How it lies; none where nobody said.
    #[serde(default)]
    pub direction: Option<Direction>,
    /// Its length, mm, where measured.
    pub length_mm: Option<Known>,
    /// Whether it goes through; none where nobody looked.
    pub through: Option<bool>,
}

/// Work that was done here before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EarlierRepair {
    /// What is seen ("buffed flat", "old patch").
    pub note: String,
    /// How much wall was lost, mm, where measured.
    pub thinned_mm: Option<Known>,
}

/// A point of a profile gauge: distance along the gauge and depth below the true surface, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProfilePoint {
    /// Distance along the gauge from the dent's middle, mm.
    pub x_mm: f64,
    /// Depth below the true surface, mm, positive inwards.
    pub depth_mm: f64,
}

/// A dent as surveyed. Whatever was not measured is `None`; nothing is filled in here.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Dent {
    /// Its name in the survey.
    pub id: DentId,
    /// The run it is in.
    pub run: RunId,
    /// Station of its middle, mm.
    pub at_mm: Option<Known>,
    /// Clock angle of its middle, degrees from the run's marked line.
    pub clock_deg: Option<Known>,
    /// Deepest depth below the true surface, mm.
    pub depth_mm: Option<Known>,
    /// Width along the axis, mm.
    pub width_along_mm: Option<Known>,
    /// Width round the tube, mm.
    pub width_across_mm: Option<Known>,
    /// Inside radius of its sharpest edge, mm.
    pub edge_radius_mm: Option<Known>,
    /// Profile points along the axis.
    pub profile_along: Vec<ProfilePoint>,
    /// Profile points round the tube.
    pub profile_across: Vec<ProfilePoint>,
    /// A fold line, where there is one.
    pub crease: Option<Crease>,
    /// A crack or hole, where there is one.
    pub crack: Option<Crack>,
    /// Earlier work here.
    pub earlier_repair: Option<EarlierRepair>,
    /// Vickers hardness measured at the dent.
    pub hardness_hv: Option<Known>,
    /// Wall measured at the dent, mm.
    pub wall_mm: Option<Known>,
    /// What a brace foot or another part pushed in: the dent is the foot's own print.
    pub pushed_in_by: Option<crate::OverlayId>,
    /// The surveyor's words.
    pub note: String,
}

impl Dent {
    /// A dent of which nothing is known but its name and its run.
    pub fn new(id: impl Into<DentId>, run: impl Into<RunId>) -> Self {
        Self {
            id: id.into(),
            run: run.into(),
            at_mm: None,
            clock_deg: None,
            depth_mm: None,
            width_along_mm: None,
            width_across_mm: None,
            edge_radius_mm: None,
            profile_along: vec![],
            profile_across: vec![],
            crease: None,
            crack: None,
            earlier_repair: None,
            hardness_hv: None,
            wall_mm: None,
            pushed_in_by: None,
            note: String::new(),
        }
    }
}
