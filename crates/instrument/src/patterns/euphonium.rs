//! Euphonium in Bb, four piston valves, bell up. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Euphonium);
    let bore = 15.0;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(42.0)], (12.6, 11.8), 1.2), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(230.0), bend(60.0, 110.0, 0.0), straight(80.0)],
                (11.6, bore),
                0.52,
            ),
            false,
        )
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.52,
            casing_bore_mm: 20.0,
            casing_length_mm: 126.0,
            loops: &[
                Loop { leg_mm: 108.0, crook_radius_mm: 19.0 },
                Loop { leg_mm: 42.0, crook_radius_mm: 17.0 },
                Loop { leg_mm: 182.0, crook_radius_mm: 20.0 },
                Loop { leg_mm: 290.0, crook_radius_mm: 22.0 },
            ],
        })
        .slide("main-slide", "main tuning slide", (bore, bore + 0.5), 0.52, 110.0, 32.0)
        .then(Tube::new("first-branch", "first branch", Role::Branch, vec![straight(370.0)], (bore + 1.6, 25.0), 0.55), true)
        .then(Tube::new("first-bow", "top bow", Role::Bow, vec![bend(55.0, 180.0, 0.0)], (25.0, 32.0), 0.6), true)
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![straight(370.0)], (32.0, 46.0), 0.55), true)
        .then(Tube::new("bottom-bow", "bottom bow", Role::Bow, vec![bend(75.0, 180.0, 180.0)], (46.0, 62.0), 0.62), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(390.0)], (62.0, 108.0), 0.52), true)
        .bell(190.0, &[(0.0, 108.0), (0.45, 140.0), (0.8, 198.0), (1.0, 282.0)], 0.48);
    b.guard("bottom-bow-guard", "bottom bow guard", "bottom-bow", 180.0);
    b.guard("first-bow-guard", "top bow guard", "first-bow", 0.0);
    b.brace("branch-brace", "branch to bell brace", [("second-branch", 0.4, 90.0), ("bell-stem", 0.4, 270.0)]);
    b.brace("leadpipe-brace", "leadpipe to bell brace", [("leadpipe", 0.3, 180.0), ("bell-stem", 0.8, 0.0)]);
    b
}
