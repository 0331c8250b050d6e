//! What heat does to the temper: recrystallisation by temperature and time.

use crate::{Alloy, Temper};
use units::Source;

/// Source of [`recrystallised_fraction`].
pub const RECRYSTALLISATION: Source = Source::common_practice(
    "X = 1 − exp(−ln 2 (t/t½)^1.5), t½ = 1 h at 105 °C below the annealing range for hard metal, 25 °C more for each halving of the rolling strain, activation energy 170 kJ/mol for yellow brass and for the others in proportion to that temperature; form after Johnson–Mehl–Avrami, constants by common practice",
);

/// Source of [`temper_after`].
pub const SOFTENING: Source = Source::common_practice("yield strength of partly recrystallised metal: that of the two parts in proportion");

/// Avrami exponent.
const EXPONENT: f64 = 1.5;
/// Activation energy of yellow brass over the gas constant, K (170 kJ/mol over 8.314 J/(mol K)).
const ENERGY_K: f64 = 170_000.0 / 8.314_46;
/// Seconds in the hour at which the half-way temperature is given.
const HOUR_S: f64 = 3600.0;

/// Temperature at which half of the metal recrystallises in one hour, °C. Metal that was never worked has nothing to
/// recrystallise; its strain is held at that of a tenth of a number so that the formula stays finite.
pub fn half_in_an_hour_degc(alloy: Alloy, temper: Temper) -> f64 {
    let strain = temper.rolling_strain().max(Temper(0.1).rolling_strain());
    let halvings = (Temper::HARD.rolling_strain() / strain).log2();
    alloy.physical().anneal_low_degc.value - 105.0 + 25.0 * halvings
}

/// Time in which half of the metal recrystallises at a temperature, s (infinite at absolute zero).
fn half_time_s(alloy: Alloy, temper: Temper, degc: f64) -> f64 {
    let kelvin = degc + 273.15;
    if kelvin <= 0.0 {
        return f64::INFINITY;
    }
    let reference = half_in_an_hour_degc(alloy, temper) + 273.15;
    // An alloy that softens at a higher temperature has stronger bonds to break: its energy goes up with it.
    let hard = |a| half_in_an_hour_degc(a, Temper::HARD) + 273.15;
    let energy_k = ENERGY_K * hard(alloy) / hard(Alloy::YellowBrass);
    HOUR_S * (energy_k * (1.0 / kelvin - 1.0 / reference)).exp()
}

fn fraction(halves: f64) -> f64 {
    -(-std::f64::consts::LN_2 * halves.max(0.0).powf(EXPONENT)).exp_m1()
}

/// Part of the metal that has recrystallised after `seconds` at a temperature, 0 to 1.
pub fn recrystallised_fraction(alloy: Alloy, temper: Temper, degc: f64, seconds: f64) -> f64 {
    fraction(seconds.max(0.0) / half_time_s(alloy, temper, degc))
}

/// The same over a history of (temperature °C, seconds): the parts of the half-times add up (Scheil's rule of additivity,
/// from memory: Christian, The Theory of Transformations in Metals and Alloys).
pub fn recrystallised_over(alloy: Alloy, temper: Temper, history: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    fraction(history.into_iter().map(|(degc, s)| s.max(0.0) / half_time_s(alloy, temper, degc)).sum())
}

/// The temper that is left after a part of the metal has recrystallised: the one whose yield strength is that of the two
/// parts in proportion.
pub fn temper_after(alloy: Alloy, temper: Temper, recrystallised: f64) -> Temper {
    let x = recrystallised.clamp(0.0, 1.0);
    let wanted = x * alloy.yield_mpa(Temper::ANNEALED).value + (1.0 - x) * alloy.yield_mpa(temper).value;
    let (mut low, mut high) = (0.0, temper.numbers());
    // Yield rises steadily with temper, so halving always finds it.
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if alloy.yield_mpa(Temper(middle)).value < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Temper((low + high) / 2.0)
}

/// What a heat does to the metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Annealed {
    /// Part recrystallised, 0 to 1.
    pub recrystallised: f64,
    /// Temper after.
    pub temper: Temper,
    /// Temperature went above the annealing range: the grain grows coarse, the surface will look like orange peel when worked.
    pub overheated: bool,
    /// Temperature came within 30 °C of where the metal itself begins to melt.
    pub near_melting: bool,
}

/// What `seconds` at a temperature does to an alloy at a temper.
pub fn anneal(alloy: Alloy, temper: Temper, degc: f64, seconds: f64) -> Annealed {
    let physical = alloy.physical();
    let recrystallised = recrystallised_fraction(alloy, temper, degc, seconds);
    Annealed {
        recrystallised,
        temper: temper_after(alloy, temper, recrystallised),
        overheated: degc > physical.anneal_high_degc.value,
        near_melting: degc > physical.solidus_degc.value - 30.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_anneal_anneals_and_soft_soldering_does_not() {
        for alloy in Alloy::ALL {
            let p = alloy.physical();
            let middle = (p.anneal_low_degc.value + p.anneal_high_degc.value) / 2.0;
            for temper in [Temper::HALF_HARD, Temper::HARD] {
                let red = anneal(alloy, temper, middle, 30.0);
                assert!(red.recrystallised > 0.99 && red.temper.0 < 0.1 && !red.overheated, "{alloy:?} {red:?}");
                let solder = anneal(alloy, temper, 230.0, 60.0);
                assert!(solder.recrystallised < 0.01 && (solder.temper.0 - temper.0).abs() < 0.05, "{alloy:?} {solder:?}");
            }
            assert!(anneal(alloy, Temper::HARD, p.anneal_high_degc.value + 5.0, 5.0).overheated);
            assert!(anneal(alloy, Temper::HARD, p.solidus_degc.value, 5.0).near_melting);
        }
    }

    #[test]
    fn half_in_an_hour_is_half_in_an_hour() {
        let alloy = Alloy::YellowBrass;
        let t = half_in_an_hour_degc(alloy, Temper::HARD);
        assert!((recrystallised_fraction(alloy, Temper::HARD, t, 3600.0) - 0.5).abs() < 1e-12);
        assert!(half_in_an_hour_degc(alloy, Temper::QUARTER_HARD) > half_in_an_hour_degc(alloy, Temper::SPRING));
    }

    #[test]
    fn a_history_in_pieces_is_the_history() {
        let whole = recrystallised_fraction(Alloy::RoseBrass, Temper::HARD, 380.0, 90.0);
        let pieces = recrystallised_over(Alloy::RoseBrass, Temper::HARD, (0..9).map(|_| (380.0, 10.0)));
        assert!((whole - pieces).abs() < 1e-12 && whole > 0.0);
        assert_eq!(recrystallised_fraction(Alloy::RoseBrass, Temper::HARD, -300.0, 90.0), 0.0);
    }

    #[test]
    fn a_half_softened_piece_lies_between() {
        let t = temper_after(Alloy::YellowBrass, Temper::HARD, 0.5);
        assert!((Alloy::YellowBrass.yield_mpa(t).value - (145.0 + 495.0) / 2.0).abs() < 1e-6);
        assert!((temper_after(Alloy::YellowBrass, Temper::HARD, 0.0).0 - 4.0).abs() < 1e-9);
    }
}
