//! Where runs meet.

use crate::{JointId, RunId};
use metal::Filler;
use serde::{Deserialize, Serialize};
use units::ThreePoint;

/// Which end of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum End {
    /// The end towards the mouthpiece (station 0).
    Start,
    /// The end towards the bell (the last station).
    Finish,
}

/// One end of one run.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct RunEnd {
    /// The run.
    pub run: RunId,
    /// Which end of it.
    pub end: End,
}

/// How a joint holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "by")]
pub enum JointKind {
    /// Soft solder.
    SoftSoldered {
        /// The solder.
        filler: Filler,
    },
    /// Silver braze.
    SilverBrazed {
        /// The filler.
        filler: Filler,
    },
    /// A slide that pulls out by hand.
    SlidingFit,
    /// A thread (valve caps, a screwed bell).
    Threaded,
    /// Pressed together.
    Pressed,
    /// Made of one piece or bottoming in a casing's wall: never opened on the bench.
    Fixed,
}

impl JointKind {
    /// Whether it is held by a soft solder (or a hard one); none where it is not soldered.
    pub fn is_soft(&self) -> Option<bool> {
        match self {
            Self::SoftSoldered { .. } => Some(true),
            Self::SilverBrazed { .. } => Some(false),
            Self::SlidingFit | Self::Threaded | Self::Pressed | Self::Fixed => None,
        }
    }
}

/// Where two runs meet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// Its name in the survey.
    pub id: JointId,
    /// What the bench calls it.
    pub name: String,
    /// The end on the mouthpiece side.
    pub a: RunEnd,
    /// The end on the bell side.
    pub b: RunEnd,
    /// How it holds.
    pub kind: JointKind,
    /// Length of the overlap, mm.
    pub overlap_mm: f64,
    /// Minutes to open it, where the shop's standard for its kind does not fit.
    pub open_minutes: Option<ThreePoint>,
    /// Minutes to close it, where the shop's standard for its kind does not fit.
    pub close_minutes: Option<ThreePoint>,
}
