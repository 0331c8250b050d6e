//! The units in which the project computes. One unit for each kind of quantity: whatever a person
//! typed has been converted at the rim.

use crate::LengthUnit;
use crate::force::N_PER_LBF;
use crate::length::MM_PER_INCH;
use crate::temperature::fahrenheit;
use serde::{Deserialize, Serialize};

/// Kilograms in a pound (exact: NIST SP 811, from memory).
const KG_PER_LB: f64 = 0.453_592_37;

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
    /// Newton per millimeter: what a rope presses along the inside of a bend.
    #[serde(rename = "N/mm")]
    NPerMm,
    /// Kilogram.
    #[serde(rename = "kg")]
    Kg,
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
    /// Hundredth of a half tone: 1200 log₂ of a ratio of frequencies.
    #[serde(rename = "cents")]
    Cents,
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
            Unit::NPerMm => "N/mm",
            Unit::Kg => "kg",
            Unit::DegC => "°C",
            Unit::Min => "min",
            Unit::S => "s",
            Unit::One | Unit::Probability | Unit::Money => "",
            Unit::NumbersHard => "temper steps",
            Unit::W => "W",
            Unit::Hv => "HV",
            Unit::Cents => "cents",
        }
    }

    /// A value in the reader's system, with its unit there: a force in pounds, a stress in thousands of pounds to the square inch.
    pub fn in_system(self, value: f64, system: LengthUnit) -> (f64, &'static str) {
        match (system, self) {
            (LengthUnit::Inch, Unit::Mm) => (value / MM_PER_INCH, "in"),
            (LengthUnit::Inch, Unit::PerMm) => (value * MM_PER_INCH, "1/in"),
            (LengthUnit::Inch, Unit::Mm2) => (value / (MM_PER_INCH * MM_PER_INCH), "in²"),
            (LengthUnit::Inch, Unit::N) => (value / N_PER_LBF, "lbf"),
            (LengthUnit::Inch, Unit::MPa) => (value * MM_PER_INCH * MM_PER_INCH / N_PER_LBF / 1000.0, "ksi"),
            (LengthUnit::Inch, Unit::NPerMm) => (value * MM_PER_INCH / N_PER_LBF, "lbf/in"),
            (LengthUnit::Inch, Unit::Kg) => (value / KG_PER_LB, "lb"),
            (LengthUnit::Inch, Unit::DegC) => (fahrenheit(value), "°F"),
            (_, own) => (value, own.symbol()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 ksi = 6.894 757 MPa, 1 in² = 645.16 mm², 1 N/mm = 5.710 15 lbf/in, 1 kg = 2.204 62 lb (NIST SP 811, from memory).
    #[test]
    fn each_quantity_has_a_unit_in_either_system() {
        let inch = |value: f64, unit: Unit| unit.in_system(value, LengthUnit::Inch);
        let near = |found: (f64, &str), value: f64, symbol: &str| assert!((found.0 - value).abs() < 1e-5 && found.1 == symbol, "{found:?}");
        near(inch(6.894_757, Unit::MPa), 1.0, "ksi");
        near(inch(645.16, Unit::Mm2), 1.0, "in²");
        near(inch(1.0, Unit::PerMm), 25.4, "1/in");
        near(inch(4.448_222, Unit::N), 1.0, "lbf");
        near(inch(1.0, Unit::NPerMm), 5.710_15, "lbf/in");
        near(inch(1.0, Unit::Kg), 2.204_62, "lb");
        near(inch(100.0, Unit::DegC), 212.0, "°F");
        near(Unit::MPa.in_system(3.0, LengthUnit::Mm), 3.0, "N/mm²");
        near(inch(90.0, Unit::Deg), 90.0, "°");
    }
}
