//! What lies over a run: ferrules, brace feet, guards, rim wire.

use crate::{JointId, OverlayId, RunId};
use metal::Filler;
use serde::{Deserialize, Serialize};
use units::ThreePoint;

/// What kind of overlay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OverlayKind {
    /// A ring over a joint.
    Ferrule,
    /// A brace with its feet (flanges) on one or more runs.
    Brace,
    /// A guard over the outside of a bow.
    Guard,
    /// A wire rolled into the bell's rim.
    RimWire,
    /// A band round the bell near its rim.
    Garland,
    /// A patch soldered on in an earlier repair.
    Patch,
}

impl OverlayKind {
    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ferrule => "ferrule",
            Self::Brace => "brace",
            Self::Guard => "guard",
            Self::RimWire => "rim wire",
            Self::Garland => "garland",
            Self::Patch => "patch",
        }
    }
}

/// A stretch of wall that an overlay covers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cover {
    /// The run covered.
    pub run: RunId,
    /// First station covered, mm.
    pub from_mm: f64,
    /// Last station covered, mm.
    pub to_mm: f64,
    /// Clock range covered, degrees (from, to), going the way of the clock; none: all round.
    pub clock_deg: Option<(f64, f64)>,
}

/// Something soldered over one or more runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Overlay {
    /// Its name in the survey.
    pub id: OverlayId,
    /// What the bench calls it.
    pub name: String,
    /// What it is.
    pub kind: OverlayKind,
    /// What it covers: a guard one stretch, a brace one foot on each run that it ties, a ferrule the
    /// ends of both runs of its joint.
    pub covers: Vec<Cover>,
    /// What holds it; none where it is held mechanically (a rolled-in rim wire).
    pub filler: Option<Filler>,
    /// The joint that must be opened before this overlay can come off (a ferrule slides off only when
    /// its joint is apart).
    pub slides_off_at: Option<JointId>,
    /// Minutes to take it off, where the shop's standard for its kind does not fit.
    pub off_minutes: Option<ThreePoint>,
    /// Minutes to put it back, where the shop's standard for its kind does not fit.
    pub back_minutes: Option<ThreePoint>,
}
