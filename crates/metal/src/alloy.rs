//! The alloys that brass instruments are made of, and what does not change with their temper.

use crate::Value;
use serde::{Deserialize, Serialize};
use units::Source;

/// A wrought alloy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Alloy {
    /// Yellow (cartridge) brass, 70 Cu 30 Zn, C26000.
    YellowBrass,
    /// Gold brass, 85 Cu 15 Zn, C23000.
    GoldBrass,
    /// Rose brass, 90 Cu 10 Zn, C22000.
    RoseBrass,
    /// Nickel silver, 65 Cu 18 Ni 17 Zn, C75200.
    NickelSilver,
}

/// What does not change with the temper.
#[derive(Clone, Debug, PartialEq)]
pub struct Physical {
    /// Young's modulus, N/mm².
    pub e_mpa: Value,
    /// Poisson's ratio.
    pub poisson: Value,
    /// Thermal conductivity at 20 °C, W/(m K). It rises with temperature (brass by about a third up to 400 °C, from
    /// memory), so a flame's heat runs somewhat further than the 20 °C value says.
    pub conductivity_w_mk: Value,
    /// Density, kg/m³.
    pub density_kg_m3: Value,
    /// Specific heat, J/(kg K).
    pub specific_heat_j_kgk: Value,
    /// Melting begins, °C.
    pub solidus_degc: Value,
    /// Melting is complete, °C.
    pub liquidus_degc: Value,
    /// Lower end of the annealing range, °C.
    pub anneal_low_degc: Value,
    /// Upper end of the annealing range, °C.
    pub anneal_high_degc: Value,
    /// Where modulus, conductivity, density and melting range come from.
    pub source: Source,
    /// Where Poisson's ratio and specific heat come from.
    pub source_other: Source,
    /// Where the annealing range comes from.
    pub source_anneal: Source,
}

/// Scatter of the physical constants: modulus 3 %, conductivity 5 %, density 0.5 %, specific heat 3 %, Poisson's ratio
/// 0.01, melting range 5 °C, annealing range 15 °C. Common practice, no source.
pub const PHYSICAL_SCATTER: Source = Source::common_practice(
    "scatter of physical constants: E 3 %, conductivity 5 %, density 0.5 %, specific heat 3 %, melting range 5 °C, annealing range 15 °C",
);

const ASM2: Source = Source::from_memory("ASM Handbook vol. 2, wrought copper alloys");
const ASM4: Source = Source::from_memory("ASM Handbook vol. 4, heat treating of copper alloys");

impl Alloy {
    /// All alloys.
    pub const ALL: [Self; 4] = [Self::YellowBrass, Self::GoldBrass, Self::RoseBrass, Self::NickelSilver];

    /// Trade name.
    pub fn name(self) -> &'static str {
        match self {
            Self::YellowBrass => "yellow brass",
            Self::GoldBrass => "gold brass",
            Self::RoseBrass => "rose brass",
            Self::NickelSilver => "nickel silver",
        }
    }

    /// Zinc, % by weight (nominal composition of the alloy's designation).
    pub fn zinc_percent(self) -> f64 {
        match self {
            Self::YellowBrass => 30.0,
            Self::GoldBrass => 15.0,
            Self::RoseBrass => 10.0,
            Self::NickelSilver => 17.0,
        }
    }

    /// What does not change with the temper.
    pub fn physical(self) -> Physical {
        // E N/mm², Poisson, W/(m K), kg/m³, solidus, liquidus, anneal low, anneal high.
        let (e, nu, k, rho, sol, liq, low, high) = match self {
            Self::YellowBrass => (112_000.0, 0.34, 121.0, 8530.0, 916.0, 954.0, 425.0, 750.0),
            Self::GoldBrass => (115_000.0, 0.34, 159.0, 8750.0, 990.0, 1025.0, 425.0, 725.0),
            Self::RoseBrass => (115_000.0, 0.34, 189.0, 8800.0, 1020.0, 1045.0, 425.0, 800.0),
            Self::NickelSilver => (125_000.0, 0.33, 33.0, 8730.0, 1070.0, 1110.0, 600.0, 815.0),
        };
        Physical {
            e_mpa: Value::new(e, 0.03 * e),
            poisson: Value::new(nu, 0.01),
            conductivity_w_mk: Value::new(k, 0.05 * k),
            density_kg_m3: Value::new(rho, 0.005 * rho),
            specific_heat_j_kgk: Value::new(375.0, 0.03 * 375.0),
            solidus_degc: Value::new(sol, 5.0),
            liquidus_degc: Value::new(liq, 5.0),
            anneal_low_degc: Value::new(low, 15.0),
            anneal_high_degc: Value::new(high, 15.0),
            source: match self {
                Self::YellowBrass => Source::published("C26000: a strip mill's data sheet to ASTM B36 (nominal values)"),
                _ => ASM2,
            },
            source_other: ASM2,
            source_anneal: ASM4,
        }
    }
}
