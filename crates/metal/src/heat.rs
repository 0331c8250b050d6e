//! How heat spreads in a tube's wall: the closed forms. The joined metal of an assembly is in [`crate::heat_net`], the torch
//! in [`crate::heat_torch`], protection of joints in [`crate::heat_sink`], what heat does to the temper in [`crate::anneal`].

use units::Source;

pub use crate::anneal::recrystallised_fraction;

/// Source of [`fin_m_per_mm`], [`fin_temperature_degc`], [`fin_watts`].
pub const FIN: Source = Source::closed_form("infinite fin: Incropera & DeWitt, Fundamentals of Heat and Mass Transfer");
/// Source of [`half_space_degc`].
pub const HALF_SPACE: Source = Source::closed_form("half space with a sudden surface temperature: Incropera & DeWitt");
/// Source of [`still_air_loss_w_m2k`].
pub const STILL_AIR: Source = Source::from_memory(
    "still air about a level cylinder h = 1.32 (ΔT/D)^¼ W/(m² K), simplified relation for air (Holman, Heat Transfer); radiation ε σ (T⁴ − T_a⁴)",
);

/// Which sides of the wall lose heat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// The outside only: still air in the bore.
    Outside,
    /// Outside and inside.
    Both,
}

/// Fin constant m of a thin tube, 1/mm: √(h P/(k A)) with P/A = 1/t (outside) or 2/t (both sides).
///
/// `loss_w_m2k` heat lost per area and degree, W/(m² K); `conductivity_w_mk` W/(m K); `wall_mm` mm.
pub fn fin_m_per_mm(loss_w_m2k: f64, conductivity_w_mk: f64, wall_mm: f64, sides: Sides) -> f64 {
    let area = match sides {
        Sides::Outside => 1.0,
        Sides::Both => 2.0,
    };
    // h/(k t): W/m²K over W/mK × m is 1/m²; a millimetre has 10⁻³ m, so t in mm gives 10³/m², and 10⁻⁶ takes m⁻² to mm⁻².
    (area * loss_w_m2k.max(0.0) * 1e-3 / (conductivity_w_mk.max(1e-6) * wall_mm.max(1e-6))).sqrt()
}

/// Temperature at `x_mm` from the base of an infinite fin, °C: T∞ + (T_b − T∞) e^(−m x).
pub fn fin_temperature_degc(x_mm: f64, m_per_mm: f64, base_degc: f64, air_degc: f64) -> f64 {
    air_degc + (base_degc - air_degc) * (-m_per_mm * x_mm.max(0.0)).exp()
}

/// Distance from the base of an infinite fin at which the temperature has fallen to `limit_degc`, mm; 0 where the base is
/// no hotter; none where the limit is not above the air (never reached).
pub fn fin_reach_mm(m_per_mm: f64, base_degc: f64, air_degc: f64, limit_degc: f64) -> Option<f64> {
    if limit_degc <= air_degc || m_per_mm <= 0.0 {
        return None;
    }
    Some((((base_degc - air_degc) / (limit_degc - air_degc)).max(1.0)).ln() / m_per_mm)
}

/// Heat that an infinite fin carries off at its base, W: √(h P k A) (T_b − T∞).
///
/// `perimeter_mm` of the surface that loses heat, `section_mm2` of the metal.
pub fn fin_watts(loss_w_m2k: f64, perimeter_mm: f64, conductivity_w_mk: f64, section_mm2: f64, above_air_k: f64) -> f64 {
    // mm · mm² = 10⁻⁹ m³.
    (loss_w_m2k * perimeter_mm * conductivity_w_mk * section_mm2 * 1e-9).max(0.0).sqrt() * above_air_k
}

/// Thermal diffusivity, mm²/s: k/(ρ c).
pub fn diffusivity_mm2_s(conductivity_w_mk: f64, density_kg_m3: f64, specific_heat_j_kgk: f64) -> f64 {
    conductivity_w_mk / (density_kg_m3 * specific_heat_j_kgk).max(1e-6) * 1e6
}

/// How much better the metal conducts when hot than the tables say for 20 °C, at the mean of room and flame: brass gains
/// about a third up to 400 °C (from memory: ASM Handbook vol. 2), taken as straight.
pub fn hot_conductivity_part(flame_degc: f64) -> f64 {
    let mean = 0.5 * (flame_degc + 20.0);
    1.0 + HOT_GAIN_PER_K * (mean - 20.0).max(0.0)
}

/// A third over the 380 °C from 20 to 400 °C.
const HOT_GAIN_PER_K: f64 = 1.0 / 3.0 / 380.0;

/// Temperature at `x_mm` below a surface that was brought to `surface_degc` `after_s` ago, °C: T_s + (T_i − T_s) erf(x/(2√(α τ))).
pub fn half_space_degc(x_mm: f64, diffusivity_mm2_s: f64, after_s: f64, start_degc: f64, surface_degc: f64) -> f64 {
    let depth = 2.0 * (diffusivity_mm2_s.max(0.0) * after_s.max(0.0)).sqrt();
    let part = if depth > 0.0 { libm::erf(x_mm.max(0.0) / depth) } else { 1.0 };
    surface_degc + (start_degc - surface_degc) * part
}

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
    fn the_reach_of_a_fin_turns_its_temperature_round() {
        let m = fin_m_per_mm(30.0, 121.0, 0.5, Sides::Outside);
        let x = fin_reach_mm(m, 650.0, 20.0, 183.0).unwrap();
        assert!((fin_temperature_degc(x, m, 650.0, 20.0) - 183.0).abs() < 1e-9);
        assert_eq!(fin_reach_mm(m, 100.0, 20.0, 183.0), Some(0.0));
        assert_eq!(fin_reach_mm(m, 650.0, 20.0, 20.0), None);
    }

    #[test]
    fn two_sides_cool_root_two_times_as_fast() {
        let one = fin_m_per_mm(30.0, 121.0, 0.5, Sides::Outside);
        assert!((fin_m_per_mm(30.0, 121.0, 0.5, Sides::Both) / one - std::f64::consts::SQRT_2).abs() < 1e-12);
        // In metres: √(30/(121 · 0.0005)) = 22.27 1/m.
        assert!((one * 1e3 - 22.268).abs() < 1e-2);
    }

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

    #[test]
    fn a_fin_carries_off_what_the_square_root_says() {
        // √(100 · 0.02 · 121 · 19e-6) = √0.0045980 = 0.067809 W/K; at 100 K 6.7809 W.
        assert!((fin_watts(100.0, 20.0, 121.0, 19.0, 100.0) - 6.7809).abs() < 1e-3);
        assert_eq!(fin_watts(-1.0, 20.0, 121.0, 19.0, 100.0), 0.0);
        // e⁻¹ of 100 K above 20 °C at one length 1/m.
        assert!((fin_temperature_degc(40.0, 0.025, 120.0, 20.0) - (20.0 + 36.788)).abs() < 1e-3);
        assert_eq!(fin_temperature_degc(-5.0, 0.025, 120.0, 20.0), 120.0);
        // Diffusivity of yellow brass: 121/(8530 · 375) m²/s = 37.827 mm²/s.
        assert!((diffusivity_mm2_s(121.0, 8530.0, 375.0) - 37.827).abs() < 1e-3);
        // The reach to half of the rise is ln 2/m.
        assert!((fin_reach_mm(0.025, 120.0, 20.0, 70.0).unwrap() - 27.726).abs() < 1e-3);
        assert_eq!(fin_reach_mm(0.0, 120.0, 20.0, 70.0), None);
        assert_eq!(fin_reach_mm(0.025, 120.0, 20.0, 10.0), None);
    }

    #[test]
    fn the_half_space_starts_cold_and_ends_hot() {
        assert_eq!(half_space_degc(10.0, 37.0, 0.0, 20.0, 600.0), 20.0);
        assert!((half_space_degc(10.0, 37.0, 1e7, 20.0, 600.0) - 600.0).abs() < 1.0);
    }
}
