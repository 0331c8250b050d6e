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

impl Finish {
    /// Temperature from which it is spoiled, °C; none for bare metal, which only colors and is cleaned. Common practice, no source:
    /// lacquer browns from about 180 °C, plate discolors or lifts from about 400 to 500 °C.
    pub fn spoiled_from_degc(self) -> Option<f64> {
        match self {
            Self::Raw => None,
            Self::Lacquer => Some(180.0),
            Self::SilverPlate | Self::GoldPlate => Some(450.0),
            Self::NickelPlate => Some(500.0),
            Self::ChromePlate => Some(400.0),
        }
    }

    /// What the bench calls it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Raw => "bare metal",
            Self::Lacquer => "lacquer",
            Self::SilverPlate => "silver plate",
            Self::GoldPlate => "gold plate",
            Self::NickelPlate => "nickel plate",
            Self::ChromePlate => "chrome plate",
        }
    }
}
