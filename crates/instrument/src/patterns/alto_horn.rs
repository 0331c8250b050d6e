//! Alto (tenor) horn in Eb, three piston valves, bell up. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::AltoHorn);
    let bore = 11.9;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(32.0)], (10.4, 9.8), 1.2), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(150.0), bend(40.0, 90.0, 0.0), straight(60.0)],
                (9.6, bore),
                0.5,
            ),
            false,
        )
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 17.2,
            casing_length_mm: 118.0,
            loops: &[
                Loop { leg_mm: 72.0, crook_radius_mm: 16.0 },
                Loop { leg_mm: 28.0, crook_radius_mm: 14.0 },
                Loop { leg_mm: 122.0, crook_radius_mm: 17.0 },
            ],
        })
        .slide("main-slide", "main tuning slide", (bore, bore + 0.3), 0.5, 80.0, 26.0)
        .then(Tube::new("first-branch", "first branch", Role::Branch, vec![straight(340.0)], (bore + 1.4, 19.0), 0.5), true)
        .then(Tube::new("first-bow", "top bow", Role::Bow, vec![bend(42.0, 180.0, 0.0)], (19.0, 23.0), 0.55), true)
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![straight(330.0)], (23.0, 31.0), 0.5), true)
        .then(Tube::new("bottom-bow", "bottom bow", Role::Bow, vec![bend(55.0, 180.0, 180.0)], (31.0, 40.0), 0.55), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(290.0)], (40.0, 72.0), 0.48), true)
        .bell(150.0, &[(0.0, 72.0), (0.45, 96.0), (0.8, 138.0), (1.0, 204.0)], 0.45);
    b.guard("bottom-bow-guard", "bottom bow guard", "bottom-bow", 180.0);
    b.brace("branch-brace", "branch to bell brace", [("second-branch", 0.4, 90.0), ("bell-stem", 0.4, 270.0)]);
    b
}
