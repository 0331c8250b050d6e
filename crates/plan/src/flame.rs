//! How hot a flame is, how long it burns, and how far it spoils the finish: closed forms, cheap enough to weigh every
//! opening with. The steps that are taken get the full reckoning of [`crate::heat`].

use instrument::{Finish, Run};
use metal::{Filler, heat};
use units::Source;

/// Where the temperatures and times come from.
pub const PRACTICE: Source = Source::common_practice(
    "solder is worked 40 °C above its liquidus, for 40 s with soft solder and 90 s with silver; lacquer browns from about 180 °C, plate discolours or lifts from about 400–500 °C; no source",
);

/// Where the burnt length comes from.
pub const BURN: Source = Source::closed_form(
    "the nearer of two bounds: half space with a sudden surface temperature after the heating time, and the infinite fin at rest (Incropera & DeWitt)",
);

/// Temperature wanted at the flame to melt a filler, °C.
pub fn solder_degc(filler: Filler) -> f64 {
    filler.liquidus_degc() + 40.0
}

/// How long the flame burns to melt a filler, s.
pub fn solder_s(filler: Filler) -> f64 {
    if filler.is_soft() { 40.0 } else { 90.0 }
}

/// Temperature for an anneal, °C: in the lower half of the alloy's range, where the grain stays fine.
pub fn anneal_degc(alloy: metal::Alloy) -> f64 {
    let p = alloy.physical();
    p.anneal_low_degc.value + 0.4 * (p.anneal_high_degc.value - p.anneal_low_degc.value)
}

/// How long the flame burns for an anneal, s.
pub const ANNEAL_S: f64 = 40.0;

/// Temperature from which a finish is spoiled, °C; none for bare metal.
pub fn finish_limit_degc(finish: Finish) -> Option<f64> {
    match finish {
        Finish::Raw => None,
        Finish::Lacquer => Some(180.0),
        Finish::SilverPlate | Finish::GoldPlate => Some(450.0),
        Finish::NickelPlate => Some(500.0),
        Finish::ChromePlate => Some(400.0),
    }
}

/// How far from the flame's edge the metal gets hotter than a limit, mm. `target_degc` at the flame, `heat_s` its time,
/// `conductivity` a factor on the alloy's conductivity.
pub fn reaches_mm(run: &Run, at_mm: f64, target_degc: f64, heat_s: f64, limit_degc: f64, conductivity: f64) -> f64 {
    const AIR: f64 = 20.0;
    if !(target_degc > limit_degc && limit_degc > AIR) {
        return 0.0;
    }
    let p = run.alloy.physical();
    let k = p.conductivity_w_mk.value * conductivity.max(0.05);
    let diffusivity = heat::diffusivity_mm2_s(k, p.density_kg_m3.value, p.specific_heat_j_kgk.value);
    // The half space's temperature falls steadily with depth, so halving finds the limit.
    let (mut near, mut far) = (0.0, 8.0 * (diffusivity * heat_s.max(0.0)).sqrt());
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if heat::half_space_degc(middle, diffusivity, heat_s, AIR, target_degc) > limit_degc {
            near = middle;
        } else {
            far = middle;
        }
    }
    let outside = run.outside_diameter_at(at_mm);
    let loss = heat::still_air_loss_w_m2k(0.5 * (target_degc + limit_degc), AIR, outside, heat::EMISSIVITY_OXIDISED);
    let m = heat::fin_m_per_mm(loss, k, run.wall_at(at_mm).value, heat::Sides::Outside);
    let at_rest = heat::fin_reach_mm(m, target_degc, AIR, limit_degc).unwrap_or(f64::INFINITY);
    let reach = far.min(at_rest);
    if reach.is_finite() { reach } else { 0.0 }
}

/// How far on either side of the flame the run's finish is spoiled, mm; 0 for bare metal.
pub fn burns_mm(run: &Run, at_mm: f64, target_degc: f64, heat_s: f64) -> f64 {
    finish_limit_degc(run.finish).map_or(0.0, |limit| reaches_mm(run, at_mm, target_degc, heat_s, limit, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(kind: instrument::Kind, id: &str) -> Run {
        instrument::patterns::pattern(kind).unwrap().run(&id.into()).unwrap().clone()
    }

    #[test]
    fn lacquer_burns_as_far_as_the_half_space_says() {
        // Closed form: yellow brass, α = 121/(8530 · 375) m²/s = 37.83 mm²/s; (T − T_s)/(T_i − T_s) = (180 − 230)/(20 − 230)
        // = 0.2381 = erf(0.2143); x = 2 · 0.2143 · √(37.83 · 40) = 16.67 mm. The fin at rest reaches further.
        let branch = run(instrument::Kind::Tuba, "second-branch");
        assert_eq!(branch.alloy, metal::Alloy::YellowBrass);
        let reach = reaches_mm(&branch, 300.0, 230.0, 40.0, 180.0, 1.0);
        assert!((reach - 16.67).abs() < 0.1, "{reach}");
    }

    #[test]
    fn nothing_burns_below_its_limit_and_more_burns_with_more_heat() {
        let branch = run(instrument::Kind::Tuba, "second-branch");
        assert_eq!(reaches_mm(&branch, 300.0, 170.0, 40.0, 180.0, 1.0), 0.0);
        let at = |degc, s| reaches_mm(&branch, 300.0, degc, s, 180.0, 1.0);
        assert!(at(230.0, 40.0) < at(230.0, 90.0) && at(230.0, 40.0) < at(560.0, 40.0));
        // Hours of flame reach no further than the fin at rest.
        assert!(at(560.0, 1e6) < 400.0);
    }
}
