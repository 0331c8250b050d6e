//! Bb cornet, three piston valves, wrapped once more than a trumpet. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Cornet);
    let bore = 11.7;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(30.0)], (9.6, 8.9), 1.2), false)
        .then(
            Tube::new(
                "leadpipe",
                "leadpipe",
                Role::Leadpipe,
                vec![straight(220.0), bend(22.0, 180.0, 0.0), straight(100.0)],
                (8.6, bore),
                0.48,
            ),
            false,
        )
        .slide("main-slide", "main tuning slide", (bore, bore), 0.5, 55.0, 24.0)
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 16.9,
            casing_length_mm: 112.0,
            loops: &[
                Loop { leg_mm: 46.0, crook_radius_mm: 14.0 },
                Loop { leg_mm: 15.0, crook_radius_mm: 12.5 },
                Loop { leg_mm: 82.0, crook_radius_mm: 15.0 },
            ],
        })
        .then(Tube::new("bell-tail", "bell tail", Role::BellStem, vec![straight(230.0)], (bore + 0.3, 14.5), 0.48), true)
        .then(Tube::new("bell-bow", "bell bow", Role::Bow, vec![bend(34.0, 180.0, 0.0)], (14.5, 18.0), 0.52), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(220.0)], (18.0, 30.0), 0.45), false)
        .bell(120.0, &[(0.0, 30.0), (0.4, 40.0), (0.7, 58.0), (0.88, 82.0), (1.0, 119.0)], 0.42);
    b.brace("leadpipe-brace", "leadpipe to bell brace", [("leadpipe", 0.3, 180.0), ("bell-stem", 0.6, 180.0)]);
    b.brace("bell-brace", "bell tail to bell stem brace", [("bell-tail", 0.6, 0.0), ("bell-stem", 0.35, 0.0)]);
    b
}
