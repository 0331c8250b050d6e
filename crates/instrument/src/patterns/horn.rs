//! Double horn in F and Bb, four rotary valves; the F side is drawn out in full, each valve with its long slide.
//! Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Horn);
    let bore = 11.9;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(30.0)], (8.2, 7.8), 1.0), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(180.0), bend(190.0, 100.0, 0.0), straight(30.0)],
                (7.6, bore),
                0.48,
            ),
            false,
        )
        .slide("main-slide", "main tuning slide", (bore, bore), 0.5, 75.0, 20.0)
        .valves(&Valves {
            kind: FitKind::RotorInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 28.0,
            casing_length_mm: 34.0,
            loops: &[
                Loop { leg_mm: 120.0, crook_radius_mm: 17.0 },
                Loop { leg_mm: 42.0, crook_radius_mm: 15.0 },
                Loop { leg_mm: 205.0, crook_radius_mm: 17.0 },
                Loop { leg_mm: 110.0, crook_radius_mm: 18.0 },
            ],
        })
        .slide("f-slide", "F tuning slide", (bore, bore), 0.5, 160.0, 24.0)
        .then(Tube::new("f-loop", "F branch", Role::Tube, vec![bend(150.0, 90.0, 0.0)], (bore, 12.6), 0.48), true)
        .then(Tube::new("first-branch", "first branch", Role::Branch, vec![bend(160.0, 270.0, 0.0)], (12.6, 17.0), 0.48), true)
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![bend(150.0, 200.0, 0.0)], (17.0, 23.0), 0.48), true)
        .then(Tube::new("bell-tail", "bell tail", Role::BellStem, vec![bend(140.0, 110.0, 0.0)], (23.0, 36.0), 0.45), true)
        .then(Tube::new("bell-throat", "bell throat", Role::BellStem, vec![bend(170.0, 60.0, 0.0)], (36.0, 62.0), 0.42), false)
        .bell(205.0, &[(0.0, 62.0), (0.35, 88.0), (0.65, 138.0), (0.85, 210.0), (1.0, 305.0)], 0.4);
    b.guard("first-branch-guard", "first branch guard", "first-branch", 0.0);
    b.brace("bell-brace", "bell tail to first branch brace", [("bell-tail", 0.5, 0.0), ("first-branch", 0.5, 180.0)]);
    b.brace("leadpipe-brace", "leadpipe to second branch brace", [("leadpipe", 0.5, 0.0), ("second-branch", 0.4, 180.0)]);
    b
}
