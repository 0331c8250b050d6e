//! Ready-made instruments to start a survey from: every run, joint, brace, ferrule and guard that such an instrument
//! has, with dimensions that agree with each other.
//!
//! Every dimension is invented and plausible, none is of a real model; each carries the origin `Pattern` and a spread
//! (common practice, no source), so that a measurement on the bench narrows what follows from it. One file an
//! instrument; what they share is in `build`.

mod alto_horn;
mod baritone;
mod bugle;
mod build;
mod cornet;
mod euphonium;
mod flugelhorn;
mod horn;
mod sousaphone;
mod trombone;
mod trumpet;
mod tuba;

use crate::{Instrument, Kind};

/// The kinds that have a pattern.
pub const KINDS: [Kind; 11] = [
    Kind::Trumpet,
    Kind::Cornet,
    Kind::Flugelhorn,
    Kind::Trombone,
    Kind::Horn,
    Kind::AltoHorn,
    Kind::Baritone,
    Kind::Euphonium,
    Kind::Tuba,
    Kind::Sousaphone,
    Kind::Bugle,
];

/// The pattern of a kind; none for [`Kind::Other`].
pub fn pattern(kind: Kind) -> Option<Instrument> {
    built(kind).map(|b| b.instrument)
}

fn built(kind: Kind) -> Option<build::Build> {
    Some(match kind {
        Kind::Trumpet => trumpet::build(),
        Kind::Cornet => cornet::build(),
        Kind::Flugelhorn => flugelhorn::build(),
        Kind::Trombone => trombone::build(),
        Kind::Horn => horn::build(),
        Kind::AltoHorn => alto_horn::build(),
        Kind::Baritone => baritone::build(),
        Kind::Euphonium => euphonium::build(),
        Kind::Tuba => tuba::build(),
        Kind::Sousaphone => sousaphone::build(),
        Kind::Bugle => bugle::build(),
        Kind::Other => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Survey, Wishes, check};

    #[test]
    fn every_pattern_agrees_with_itself() {
        for kind in KINDS {
            let instrument = pattern(kind).unwrap();
            let survey = Survey {
                title: String::new(),
                customer: String::new(),
                surveyor: String::new(),
                date: String::new(),
                instrument,
                dents: vec![],
                conditions: vec![],
                wishes: Wishes::default(),
                cleaned: None,
            };
            assert_eq!(check::problems(&survey), [], "{kind:?}");
        }
    }

    /// A brass instrument's open length is a half wavelength of its pedal note within the end corrections and what the
    /// flare and the mouthpiece do: L = c/(2 f), c = 343.2 m/s at 20 °C (closed form of a complete cone). Real bores are
    /// neither cones nor cylinders, so only 12 % are asked.
    #[test]
    fn open_lengths_fit_their_pedal_notes() {
        // Pedal notes of equal temperament from a' = 440 Hz: 440 · 2^(n/12).
        let note = |semitones_from_a4: i32| 440.0 * 2.0_f64.powf(f64::from(semitones_from_a4) / 12.0);
        for (kind, pedal_hz) in [
            (Kind::Trumpet, note(-23)),    // Bb2
            (Kind::Cornet, note(-23)),     // Bb2
            (Kind::Flugelhorn, note(-23)), // Bb2
            (Kind::Trombone, note(-35)),   // Bb1
            (Kind::Horn, note(-40)),       // F1
            (Kind::AltoHorn, note(-30)),   // Eb2
            (Kind::Baritone, note(-35)),   // Bb1
            (Kind::Euphonium, note(-35)),  // Bb1
            (Kind::Tuba, note(-47)),       // Bb0
            (Kind::Sousaphone, note(-47)), // Bb0
            (Kind::Bugle, note(-26)),      // G2
        ] {
            let length_mm = built(kind).unwrap().open_length_mm;
            let wanted_mm = 343_200.0 / (2.0 * pedal_hz);
            let ratio = length_mm / wanted_mm;
            assert!((0.88..=1.12).contains(&ratio), "{kind:?}: {length_mm:.0} mm, wanted about {wanted_mm:.0} mm");
        }
    }

    #[test]
    fn valved_instruments_have_their_slides_and_casings() {
        use crate::{FitKind, Role};
        for (kind, valves) in
            [(Kind::Trumpet, 3), (Kind::Tuba, 4), (Kind::Horn, 4), (Kind::Euphonium, 4), (Kind::Sousaphone, 3), (Kind::Bugle, 0)]
        {
            let i = pattern(kind).unwrap();
            assert_eq!(i.runs.iter().filter(|r| r.role == Role::Casing).count(), valves, "{kind:?}");
            let moving = i.fits.iter().filter(|f| matches!(f.kind, FitKind::PistonInCasing | FitKind::RotorInCasing)).count();
            assert_eq!(moving, valves, "{kind:?}");
        }
    }
}
