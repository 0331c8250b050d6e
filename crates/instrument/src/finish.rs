//! What lies on the metal.

use serde::{Deserialize, Serialize};

/// Finish of a run's outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finish {
    /// Bare metal.
    Raw,
    /// Clear or tinted lacquer.
    Lacquer,
    /// Silver plate.
    SilverPlate,
    /// Gold plate.
    GoldPlate,
    /// Nickel plate.
    NickelPlate,
    /// Chrome plate.
    ChromePlate,
}
