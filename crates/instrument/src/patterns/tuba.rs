//! BBb tuba, four piston valves, bell up. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Tuba);
    let bore = 18.5;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(55.0)], (13.4, 12.6), 1.3), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(300.0), bend(90.0, 95.0, 0.0), straight(260.0)],
                (12.4, bore),
                0.6,
            ),
            false,
        )
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.6,
            casing_bore_mm: 25.4,
            casing_length_mm: 140.0,
            loops: &[
                Loop { leg_mm: 230.0, crook_radius_mm: 26.0 },
                Loop { leg_mm: 90.0, crook_radius_mm: 24.0 },
                Loop { leg_mm: 385.0, crook_radius_mm: 28.0 },
                Loop { leg_mm: 560.0, crook_radius_mm: 30.0 },
            ],
        })
        .slide("main-slide", "main tuning slide", (bore, bore + 0.8), 0.6, 200.0, 42.0)
        .then(
            Tube::new(
                "first-branch",
                "first branch",
                Role::Branch,
                vec![straight(560.0), bend(260.0, 25.0, 90.0), straight(60.0)],
                (bore + 1.9, 28.0),
                0.62,
            ),
            true,
        )
        .then(Tube::new("first-bow", "first bow", Role::Bow, vec![bend(62.0, 180.0, 0.0)], (28.0, 34.0), 0.7), true)
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![straight(640.0)], (34.0, 47.0), 0.62), true)
        .then(Tube::new("top-bow", "top bow", Role::Bow, vec![bend(85.0, 180.0, 180.0)], (47.0, 58.0), 0.72), true)
        .then(Tube::new("third-branch", "third branch", Role::Branch, vec![straight(640.0)], (58.0, 76.0), 0.65), true)
        .then(
            Tube::new(
                "bottom-bow",
                "bottom bow",
                Role::Bow,
                vec![straight(40.0), bend(118.0, 180.0, 0.0), straight(40.0)],
                (76.0, 104.0),
                0.75,
            ),
            true,
        )
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(640.0)], (104.0, 182.0), 0.62), true)
        .bell(250.0, &[(0.0, 182.0), (0.4, 226.0), (0.75, 310.0), (1.0, 438.0)], 0.55);
    b.guard("bottom-bow-guard", "bottom bow guard", "bottom-bow", 0.0);
    b.guard("top-bow-guard", "top bow guard", "top-bow", 180.0);
    b.guard("first-bow-guard", "first bow guard", "first-bow", 0.0);
    b.brace("branch-brace-low", "second to third branch brace, lower", [("second-branch", 0.3, 90.0), ("third-branch", 0.7, 270.0)]);
    b.brace("branch-brace-high", "second to third branch brace, upper", [("second-branch", 0.75, 90.0), ("third-branch", 0.25, 270.0)]);
    b.brace("bell-brace-low", "third branch to bell brace, lower", [("third-branch", 0.8, 90.0), ("bell-stem", 0.15, 270.0)]);
    b.brace("bell-brace-high", "first branch to bell brace, upper", [("first-branch", 0.5, 90.0), ("bell-stem", 0.6, 270.0)]);
    b.brace("leadpipe-brace", "leadpipe to bell brace", [("leadpipe", 0.4, 180.0), ("bell-stem", 0.85, 0.0)]);
    b.brace("valve-brace", "first branch to third branch brace", [("first-branch", 0.2, 180.0), ("third-branch", 0.5, 0.0)]);
    b
}
