//! Baritone in Bb, three piston valves, bell up. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Baritone);
    let bore = 13.8;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(38.0)], (12.2, 11.4), 1.2), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(240.0), bend(50.0, 100.0, 0.0), straight(90.0)],
                (11.2, bore),
                0.5,
            ),
            false,
        )
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 19.0,
            casing_length_mm: 122.0,
            loops: &[
                Loop { leg_mm: 112.0, crook_radius_mm: 18.0 },
                Loop { leg_mm: 44.0, crook_radius_mm: 16.0 },
                Loop { leg_mm: 186.0, crook_radius_mm: 19.0 },
            ],
        })
        .slide("main-slide", "main tuning slide", (bore, bore + 0.4), 0.5, 120.0, 30.0)
        .then(Tube::new("first-branch", "first branch", Role::Branch, vec![straight(430.0)], (bore + 1.5, 20.0), 0.52), true)
        .then(Tube::new("first-bow", "top bow", Role::Bow, vec![bend(48.0, 180.0, 0.0)], (20.0, 24.0), 0.58), true)
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![straight(410.0)], (24.0, 34.0), 0.52), true)
        .then(Tube::new("bottom-bow", "bottom bow", Role::Bow, vec![bend(62.0, 180.0, 180.0)], (34.0, 44.0), 0.6), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(400.0)], (44.0, 80.0), 0.5), true)
        .bell(170.0, &[(0.0, 80.0), (0.45, 108.0), (0.8, 155.0), (1.0, 228.0)], 0.45);
    b.guard("bottom-bow-guard", "bottom bow guard", "bottom-bow", 180.0);
    b.brace("branch-brace", "branch to bell brace", [("second-branch", 0.4, 90.0), ("bell-stem", 0.4, 270.0)]);
    b
}
