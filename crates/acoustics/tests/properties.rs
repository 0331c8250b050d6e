//! What holds of every bore.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use acoustics::{Bore, Losses, Model, Radiation, Tube, Waves};
use proptest::prelude::*;

/// A bore of up to nine points.
fn bores() -> impl Strategy<Value = Bore> {
    (1.0..60.0_f64, proptest::collection::vec((0.0..400.0_f64, 1.0..80.0_f64), 1..9)).prop_map(|(first, rest)| {
        let mut at = 0.0;
        let mut points = vec![(0.0, first)];
        for (i, (step, d)) in rest.into_iter().enumerate() {
            at += if i == 0 { step + 50.0 } else { step };
            points.push((at, d));
        }
        Bore::new(points).unwrap()
    })
}

/// The bore from its other end.
fn reversed(bore: &Bore) -> Bore {
    let last = bore.points.last().unwrap().station_mm;
    Bore::new(bore.points.iter().rev().map(|p| (last - p.station_mm, p.diameter_mm))).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Reciprocity. The whole bore's matrix ((A, B), (C, D)) shows Z = A/C with its far end closed and B/D with no pressure there, from its
    /// other end D/C and B/A. AD − BC = 1 says that (A/C − B/D)·D/C and (D/C − B/A)·A/C are both 1/C².
    #[test]
    fn the_determinant_is_one(bore in bores(), hz in 30.0..900.0_f64, plane in any::<bool>()) {
        let z = |b: &Bore, radiation| {
            let waves = if plane { Waves::Plane } else { Waves::Spherical };
            Tube::new(b, &Model { radiation, waves, ..Model::default() }, 1000.0).at(hz)
        };
        let other = reversed(&bore);
        let (c1, o1, c2, o2) = (z(&bore, Radiation::Closed), z(&bore, Radiation::Ideal), z(&other, Radiation::Closed), z(&other, Radiation::Ideal));
        let (left, right) = ((c1 - o1) * c2, (c2 - o2) * c1);
        // Where the two differ by little of themselves the digits are gone.
        let lost = (c1.norm() / (c1 - o1).norm()).max(c2.norm() / (c2 - o2).norm());
        prop_assert!((left / right - 1.0).norm() < 1e-9 * lost, "{left} {right} {lost}");
    }

    /// Nothing gives sound away: Re Z ≥ 0.
    #[test]
    fn a_tube_is_passive(bore in bores(), hz in 20.0..2000.0_f64, fast in any::<bool>(), flanged in any::<bool>()) {
        let losses = if fast { Losses::Fast } else { Losses::Full };
        let radiation = if flanged { Radiation::Flanged } else { Radiation::Unflanged };
        let z = Tube::new(&bore, &Model { losses, radiation, ..Model::default() }, 2000.0).at(hz);
        prop_assert!(z.re > 0.0 && z.is_finite(), "{z}");
    }

    /// Without losses all lengths by two halve all frequencies: Z(f) of the one is four times Z(f/2) of the other.
    #[test]
    fn twice_the_size_is_an_octave_lower(bore in bores(), hz in 40.0..1500.0_f64) {
        let model = Model { losses: Losses::None, ..Model::default() };
        let small = Tube::new(&bore, &model, 1500.0).at(hz);
        let large = Tube::new(&bore.scaled(2.0), &model, 750.0).at(hz / 2.0);
        prop_assert!((small / large / 4.0 - 1.0).norm() < 1e-6, "{small} {large}");
    }

    /// One frequency alone, or among others, in any place of a vector, on any core: the same.
    #[test]
    fn a_frequency_is_the_same_in_any_company(bore in bores(), first in 20.0..400.0_f64, count in 1..200_usize) {
        let tube = Tube::new(&bore, &Model::default(), 2000.0);
        let hz: Vec<f64> = (0..count).map(|i| first + 7.0 * i as f64).collect();
        let all = tube.impedance(&hz);
        for (f, z) in hz.iter().zip(&all).step_by(17) {
            let alone = tube.at(*f);
            prop_assert!((alone / z - 1.0).norm() < 1e-8, "{f}: {alone} {z}");
        }
    }

    /// Any changes leave a bore that can be, with peaks that are numbers.
    #[test]
    fn any_dents_leave_a_bore(bore in bores(), at in -50.0..3000.0_f64, depth in -5.0..200.0_f64, along in 0.1..200.0_f64, across in 0.1..400.0_f64) {
        let changes = [
            acoustics::Change::Dent { station_mm: at, depth_mm: depth, along_mm: along, across_mm: across, profile: vec![] },
            acoustics::Change::Step { from_mm: at, to_mm: at + along, height_mm: depth / 10.0, across_mm: across },
            acoustics::Change::Ring { from_mm: at / 2.0, to_mm: at, diameter_mm: depth / 50.0 },
        ];
        let dented = bore.changed(&changes);
        prop_assert!(dented.check().is_ok(), "{:?}", dented.check());
        for r in Tube::new(&dented, &Model::default(), 800.0).resonances(20.0, 800.0) {
            prop_assert!(r.hz.is_finite() && r.magnitude > 0.0 && r.q > 0.0, "{r:?}");
        }
    }
}
