//! Where a tool touches the wall, as a method tells it; how that is found stands in [`crate::contact`].

use serde::{Deserialize, Serialize};
use units::Figure;

/// Where a tool's working surface stands at one moment of the work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Touching {
    /// Centre of the round of which its working surface is part, in the passage's own frame, mm.
    pub centre_mm: [f64; 3],
    /// Where it looks: the direction from that centre to where it touches.
    pub faces: [f64; 3],
    /// Diameter of that round there, mm.
    pub round_mm: f64,
    /// Breadth of the working surface, mm: the round's own diameter for a ball or a mandrel, the face for a crown.
    pub face_mm: f64,
    /// What is left of the dent at that moment, mm.
    pub depth_mm: f64,
    /// Largest distance between the working surface and the wall where it works, mm.
    pub gap_mm: Figure,
    /// Centre line of the tool then, tip first, where it is not the method's pose.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub line_mm: Vec<[f64; 3]>,
}

/// The tool at the beginning and at the end of the lift.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contact {
    /// Against the dent as it lies.
    pub start: Touching,
    /// Where the last stroke leaves it.
    pub end: Touching,
    /// Air that is allowed between tool and wall, mm.
    pub allowed_mm: f64,
}
