//! A quantity that changes along a run: bore, wall, temper.

use serde::{Deserialize, Serialize};
use units::Origin;

/// How the quantity runs between its points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Interpolation {
    /// Straight between points (cylinder, cone).
    #[default]
    Linear,
    /// Monotone cubic (a flare). Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980), from memory.
    Monotone,
}

/// A value at a station.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Station, mm along the axis from the run's mouthpiece end.
    pub at_mm: f64,
    /// The value there, in the profile's unit.
    pub value: f64,
    /// One standard deviation, in the profile's unit.
    pub sd: f64,
    /// Where the value comes from.
    pub origin: Origin,
}

/// A quantity against the station: at least one point, in rising order of station. Constant beyond
/// its first and last point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// The points, in rising order of station.
    pub points: Vec<Point>,
    /// How the quantity runs between them.
    pub between: Interpolation,
}
