//! The air in the bore: how heavy, how fast, how viscous, by temperature and humidity.
//!
//! Dry air and water vapor as two ideal gases that are mixed: every property follows from the temperature, the pressure
//! and the share of vapor. Carbon dioxide of breath is left out: 4 % of it would slow the sound by about 0.5 %, which
//! moves all notes alike and no dent's cents.

use units::Source;

/// Source of the gas laws.
pub const GAS: Source = Source::closed_form(
    "ideal mixture of dry air and vapor: ρ = pM/(RT), c² = γRT/M, γ = c_p/(c_p − R) (closed forms); R = 8.314 462 618 J/(mol K) (exact, SI 2019)",
);
/// Molar gas constant, J/(mol K): exact since the SI of 2019.
const R: f64 = 8.314_462_618;
/// Molar mass of dry air with 400 ppm of carbon dioxide, kg/mol. From memory: CIPM-2007, Picard et al., Metrologia 45 (2008).
const DRY_KG_PER_MOL: f64 = 28.965_46e-3;
/// Molar mass of water, kg/mol. From memory: CIPM-2007, as above.
const VAPOR_KG_PER_MOL: f64 = 18.015_28e-3;
/// Molar heat of dry air at constant pressure over R, as an ideal gas at 20 °C: 7/2 of a stiff two-atomic molecule (closed form); air's
/// own is within 0.1 % of it from 0 to 40 °C.
const DRY_HEAT: f64 = 3.5;
/// Molar heat of water vapor at constant pressure over R: 4 of a stiff bent molecule (closed form); its own is 4.04 at 20 °C.
const VAPOR_HEAT: f64 = 4.0;

/// Source of viscosity and heat conduction.
pub const TRANSPORT: Source = Source::from_memory(
    "U.S. Standard Atmosphere 1976: η = 1.458e-6 T^1.5/(T + 110.4), κ = 2.646 38e-3 T^1.5/(T + 245.4·10^(−12/T)); moist air: Wilke, J. Chem. Phys. 18 (1950)",
);
/// Source of the vapor's pressure.
pub const VAPOR: Source = Source::from_memory(
    "saturated vapor over water: CIPM-2007, exp(1.237 884 7e-5 T² − 1.912 131 6e-2 T + 33.937 110 47 − 6343.1645/T) Pa, Metrologia 45 (2008)",
);

/// What the air is like. The default is the issue's: 20 °C, dry, 1 atm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Relative humidity, 0 dry to 1 saturated.
    pub humidity: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
}

impl Default for Air {
    fn default() -> Self {
        Self { temperature_c: 20.0, humidity: 0.0, pressure_pa: 101_325.0 }
    }
}

/// The properties that the sound asks for, SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Density, kg/m³.
    pub density: f64,
    /// Speed of sound in the open, m/s.
    pub speed: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity: f64,
    /// Ratio of the specific heats.
    pub heat_ratio: f64,
    /// Prandtl number, η c_p/κ.
    pub prandtl: f64,
}

impl Air {
    /// Its properties. What cannot be (a humidity beyond 0 to 1, a temperature beyond −30 to 60 °C) is drawn to what can:
    /// the rim refuses it before.
    pub fn gas(&self) -> Gas {
        let t = (self.temperature_c.clamp(-30.0, 60.0)) + 273.15;
        let x = self.vapor_share();
        let mass = (1.0 - x) * DRY_KG_PER_MOL + x * VAPOR_KG_PER_MOL;
        let heat = R * ((1.0 - x) * DRY_HEAT + x * VAPOR_HEAT);
        let heat_ratio = heat / (heat - R);
        let (dry_eta, dry_kappa) = (dry_viscosity(t), dry_conduction(t));
        let (wet_eta, wet_kappa) = (vapor_viscosity(t), vapor_conduction(t));
        let viscosity = wilke(x, [dry_eta, wet_eta], [dry_eta, wet_eta]);
        let conduction = wilke(x, [dry_kappa, wet_kappa], [dry_eta, wet_eta]);
        Gas {
            density: self.pressure_pa * mass / (R * t),
            speed: (heat_ratio * R * t / mass).sqrt(),
            viscosity,
            heat_ratio,
            prandtl: viscosity * heat / mass / conduction,
        }
    }

    /// Share of the molecules that are water.
    fn vapor_share(&self) -> f64 {
        let t = self.temperature_c.clamp(-30.0, 60.0) + 273.15;
        // See VAPOR.
        let saturated = (1.237_884_7e-5 * t * t - 1.912_131_6e-2 * t + 33.937_110_47 - 6_343.164_5 / t).exp();
        (self.humidity.clamp(0.0, 1.0) * saturated / self.pressure_pa).clamp(0.0, 0.9)
    }
}

/// See [`TRANSPORT`].
fn dry_viscosity(t: f64) -> f64 {
    1.458e-6 * t.powf(1.5) / (t + 110.4)
}

/// See [`TRANSPORT`].
fn dry_conduction(t: f64) -> f64 {
    2.646_38e-3 * t.powf(1.5) / (t + 245.4 * 10_f64.powf(-12.0 / t))
}

/// Vapor's viscosity, Pa s: (80.58 + 0.4000 t) 10⁻⁷, t in °C. From memory: Tsilingiris, Energy Convers. Manage. 49 (2008).
fn vapor_viscosity(t: f64) -> f64 {
    (80.581_3 + 0.400_05 * (t - 273.15)) * 1e-7
}

/// Vapor's heat conduction, W/(m K): (17.62 + 0.055 59 t + 1.663e-4 t²) 10⁻³. From memory, as [`vapor_viscosity`].
fn vapor_conduction(t: f64) -> f64 {
    let c = t - 273.15;
    (17.617_6 + 0.055_589 * c + 1.663_3e-4 * c * c) * 1e-3
}

/// A property of the mixture, weighted by Wilke's factors (Mason & Saxena for the conduction, the same factors).
fn wilke(x: f64, property: [f64; 2], viscosity: [f64; 2]) -> f64 {
    let mass = [DRY_KG_PER_MOL, VAPOR_KG_PER_MOL];
    let phi = |i: usize, j: usize| {
        let a = 1.0 + (viscosity[i] / viscosity[j]).sqrt() * (mass[j] / mass[i]).powf(0.25);
        a * a / (8.0 * (1.0 + mass[i] / mass[j])).sqrt()
    };
    let share = [1.0 - x, x];
    (0..2).map(|i| share[i] * property[i] / (share[i] + share[1 - i] * phi(i, 1 - i))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steam at 100 °C, from memory of the steam tables (IAPWS): 12.27 µPa s and 25.1 mW/(m K); at 20 °C 9.7 µPa s and 18.2 mW/(m K). The
    /// fits of Tsilingiris are for vapor in air and lie up to a tenth below.
    #[test]
    fn vapor_is_steam() {
        let near = |found: f64, said: f64, within: f64| assert!((found / said - 1.0).abs() < within, "{found} for {said}");
        near(vapor_viscosity(373.15), 12.27e-6, 0.03);
        near(vapor_conduction(373.15), 25.1e-3, 0.03);
        near(vapor_viscosity(293.15), 9.7e-6, 0.10);
        near(vapor_conduction(293.15), 18.2e-3, 0.04);
    }

    /// Pressure of saturated vapor, from memory of the steam tables: 611, 2339, 6283 Pa at 0, 20, 37 °C.
    #[test]
    fn vapor_saturates() {
        for (temperature_c, pa) in [(0.0, 611.2), (20.0, 2339.0), (37.0, 6283.0)] {
            let share = Air { temperature_c, humidity: 1.0, ..Air::default() }.vapor_share();
            assert!((share * 101_325.0 / pa - 1.0).abs() < 0.003, "{temperature_c}: {}", share * 101_325.0);
        }
    }
}
