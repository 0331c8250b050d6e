//! The units in which the project computes. One unit for each kind of quantity: whatever a person
//! typed has been converted at the rim.

use serde::{Deserialize, Serialize};

/// The unit of a [`crate::Known`] or a [`crate::Figure`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Millimetre.
    #[serde(rename = "mm")]
    Mm,
    /// One over a millimetre: a curvature.
    #[serde(rename = "1/mm")]
    PerMm,
    /// Square millimetre.
    #[serde(rename = "mm2")]
    Mm2,
    /// Degree of angle.
    #[serde(rename = "deg")]
    Deg,
    /// Newton.
    #[serde(rename = "N")]
    N,
    /// Newton per square millimetre (megapascal).
    #[serde(rename = "N/mm2")]
    MPa,
    /// Degree Celsius.
    #[serde(rename = "degC")]
    DegC,
    /// Minute of time.
    #[serde(rename = "min")]
    Min,
    /// Second of time.
    #[serde(rename = "s")]
    S,
    /// Watt.
    #[serde(rename = "W")]
    W,
    /// A plain ratio or strain.
    #[serde(rename = "1")]
    One,
    /// Probability from 0 to 1.
    #[serde(rename = "probability")]
    Probability,
    /// Brown & Sharpe numbers hard: 0 annealed, 1 quarter hard, 2 half hard, 4 hard, 6 extra hard, 8 spring.
    #[serde(rename = "numbers hard")]
    NumbersHard,
    /// Vickers hardness.
    #[serde(rename = "HV")]
    Hv,
    /// The shop's currency.
    #[serde(rename = "money")]
    Money,
}

impl Unit {
    /// How the unit is written behind a number for a person; empty for a plain ratio.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::PerMm => "1/mm",
            Unit::Mm2 => "mm²",
            Unit::Deg => "°",
            Unit::N => "N",
            Unit::MPa => "N/mm²",
            Unit::DegC => "°C",
            Unit::Min => "min",
            Unit::S => "s",
            Unit::One | Unit::Probability | Unit::Money => "",
            Unit::NumbersHard => "numbers hard",
            Unit::W => "W",
            Unit::Hv => "HV",
        }
    }
}
