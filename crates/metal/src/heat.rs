//! What a tube loses to still air, and how much better it conducts when hot. The joined metal of an assembly is in [`crate::heat_net`], the torch
//! in [`crate::heat_torch`], protection of joints in [`crate::heat_sink`], what heat does to the temper in [`crate::anneal`].

use units::Source;

/// Source of [`still_air_loss_w_m2k`].
pub const STILL_AIR: Source = Source::from_memory(
    "still air about a level cylinder h = 1.32 (ΔT/D)^¼ W/(m² K), simplified relation for air (Holman, Heat Transfer); radiation ε σ (T⁴ − T_a⁴)",
);

/// How much better the metal conducts when hot than the tables say for 20 °C, at the mean of room and flame: brass gains
/// about a third up to 400 °C (from memory: ASM Handbook vol. 2), taken as straight.
pub fn hot_conductivity_part(flame_degc: f64) -> f64 {
    let mean = 0.5 * (flame_degc + 20.0);
    1.0 + HOT_GAIN_PER_K * (mean - 20.0).max(0.0)
}

/// A third over the 380 °C from 20 to 400 °C.
const HOT_GAIN_PER_K: f64 = 1.0 / 3.0 / 380.0;

/// Emissivity of a brass surface, by common practice: polished 0.05, lacquered or tarnished 0.6, oxidised by the flame 0.6.
pub const EMISSIVITY_OXIDISED: f64 = 0.6;

/// Heat that a level tube loses to still air by convection and radiation, per area and degree above the air, W/(m² K).
pub fn still_air_loss_w_m2k(surface_degc: f64, air_degc: f64, outside_diameter_mm: f64, emissivity: f64) -> f64 {
    convection_w_m2k(surface_degc, air_degc, outside_diameter_mm) + radiation_w_m2k(surface_degc, air_degc, emissivity)
}

/// Convection's part.
fn convection_w_m2k(surface_degc: f64, air_degc: f64, outside_diameter_mm: f64) -> f64 {
    let diameter_m = outside_diameter_mm.max(0.1) * 1e-3;
    1.32 * ((surface_degc - air_degc).max(0.0) / diameter_m).sqrt().sqrt()
}

/// Radiation's part: σ ε (T² + T_a²)(T + T_a), Stefan–Boltzmann constant 5.670374 · 10⁻⁸ W/(m² K⁴) (CODATA, from memory).
fn radiation_w_m2k(surface_degc: f64, air_degc: f64, emissivity: f64) -> f64 {
    let (s, a) = ((surface_degc + 273.15).max(1.0), (air_degc + 273.15).max(1.0));
    5.670_374e-8 * emissivity.clamp(0.0, 1.0) * (s * s + a * a) * (s + a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hot_brass_conducts_a_third_better() {
        // A flame of 780 °C has a mean of 400 °C: a third more; one of 230 °C a mean of 125 °C: 105/380 of a third.
        assert!((hot_conductivity_part(780.0) - 4.0 / 3.0).abs() < 1e-12);
        assert!((hot_conductivity_part(230.0) - (1.0 + 105.0 / 380.0 / 3.0)).abs() < 1e-12);
        assert_eq!(hot_conductivity_part(20.0), 1.0);
        assert_eq!(hot_conductivity_part(-50.0), 1.0);
    }

    #[test]
    fn an_oxidised_tube_loses_to_still_air_by_both_ways() {
        // A tube of 13 mm at 230 °C in air at 20 °C, ε 0.6. Convection 1.32 (210/0.013)^¼ = 1.32 · 11.274 = 14.88;
        // radiation 0.6 · 5.670374e-8 · (503.15² + 293.15²)(503.15 + 293.15) = 0.6 · 15.31 = 9.19 W/(m² K).
        let h = still_air_loss_w_m2k(230.0, 20.0, 13.0, EMISSIVITY_OXIDISED);
        assert!((h - 24.07).abs() < 0.05, "{h}");
        // Nothing is lost by convection to warmer air.
        assert!(still_air_loss_w_m2k(20.0, 30.0, 13.0, 0.0) == 0.0);
        // Colder than absolute zero is taken as next to it, a mirror radiates nothing, more than black is black.
        assert!(still_air_loss_w_m2k(-400.0, -400.0, 13.0, 1.0) < 1e-6);
        assert_eq!(still_air_loss_w_m2k(20.0, 20.0, 13.0, 5.0), still_air_loss_w_m2k(20.0, 20.0, 13.0, 1.0));
    }
}
