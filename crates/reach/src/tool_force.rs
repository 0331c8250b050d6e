//! What besides the hand moves a method's tool or strikes the tube: typed, so that who plans can warn of it.

use crate::ToolBody;
use serde::{Deserialize, Serialize};

/// What besides the hand moves a tool or strikes the tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToolForce {
    /// A hammer.
    Hammer,
    /// A press or a screw.
    Press,
    /// A draw bench.
    DrawBench,
    /// A cable.
    Cable,
}

impl ToolBody {
    /// What besides the hand this tool moves or strikes with; none where the hand alone does it.
    pub fn force(&self) -> Option<ToolForce> {
        match self {
            Self::Hammer { .. } => Some(ToolForce::Hammer),
            Self::Press { .. } => Some(ToolForce::Press),
            Self::DrawBench { .. } => Some(ToolForce::DrawBench),
            Self::Cable { .. } => Some(ToolForce::Cable),
            Self::StraightRod { .. }
            | Self::CurvedRod { .. }
            | Self::Mandrel { .. }
            | Self::BallSet { .. }
            | Self::Ball { .. }
            | Self::FlexibleShaft { .. }
            | Self::Magnet { .. }
            | Self::Roller { .. }
            | Self::Stake { .. }
            | Self::Dolly { .. }
            | Self::PullStud { .. }
            | Self::Torch { .. }
            | Self::Burnisher { .. }
            | Self::Expander { .. }
            | Self::DrawRing { .. }
            | Self::Fill { .. } => None,
        }
    }
}
