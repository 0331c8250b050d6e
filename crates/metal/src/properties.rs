//! Everything known of an alloy at a temper, in one place.

use crate::{Alloy, Temper, Value};
use units::Source;

/// Properties of an alloy at a temper.
#[derive(Clone, Debug, PartialEq)]
pub struct Properties {
    /// 0.2 % yield strength, N/mm².
    pub yield_mpa: Value,
    /// Tensile strength, N/mm².
    pub tensile_mpa: Value,
    /// Elongation in 51 mm, as a fraction.
    pub elongation: Value,
    /// Young's modulus, N/mm².
    pub e_mpa: Value,
    /// Poisson's ratio.
    pub poisson: Value,
    /// Thermal conductivity at 20 °C, W/(m K).
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
    /// Source of yield and elongation.
    pub source: Source,
    /// Source of the tensile strength.
    pub source_tensile: Source,
    /// Source of modulus, conductivity, density and melting range.
    pub source_physical: Source,
    /// Source of the annealing range.
    pub source_anneal: Source,
}

impl Alloy {
    /// Everything known of this alloy at a temper.
    pub fn properties(self, temper: Temper) -> Properties {
        let table = self.strength_table();
        let p = self.physical();
        Properties {
            yield_mpa: self.yield_mpa(temper),
            tensile_mpa: self.tensile_mpa(temper),
            elongation: self.elongation(temper),
            e_mpa: p.e_mpa,
            poisson: p.poisson,
            conductivity_w_mk: p.conductivity_w_mk,
            density_kg_m3: p.density_kg_m3,
            specific_heat_j_kgk: p.specific_heat_j_kgk,
            solidus_degc: p.solidus_degc,
            liquidus_degc: p.liquidus_degc,
            anneal_low_degc: p.anneal_low_degc,
            anneal_high_degc: p.anneal_high_degc,
            source: table.source.clone(),
            source_tensile: table.source_tensile.clone(),
            source_physical: p.source,
            source_anneal: p.source_anneal,
        }
    }
}
