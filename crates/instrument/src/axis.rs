//! The axis of a run: a chain of straight lengths and circular bends in space.

use serde::{Deserialize, Serialize};

/// One piece of an axis.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum Segment {
    /// A straight length.
    Straight {
        /// Length, mm.
        length_mm: f64,
    },
    /// A circular bend.
    Bend {
        /// Radius of the centre line, mm.
        radius_mm: f64,
        /// Angle turned, degrees, positive.
        angle_deg: f64,
        /// Plane of the bend: the angle about the direction of travel, from the run's marked line,
        /// towards which the tube turns. Bends in one plane that turn the same way share it; a bend
        /// back in the same plane differs by 180.
        plane_deg: f64,
    },
}

/// The axis of a run, from its mouthpiece end to its bell end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Axis {
    /// The pieces, in order.
    pub segments: Vec<Segment>,
}
