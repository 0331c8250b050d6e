//! Bb trumpet, three piston valves. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Trumpet);
    let bore = 11.66;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(32.0)], (10.2, 9.4), 1.2), false)
        .then(Tube::new("leadpipe", "leadpipe", Role::Leadpipe, vec![straight(235.0)], (9.0, bore), 0.48), false)
        .slide("main-slide", "main tuning slide", (bore, bore), 0.5, 62.0, 27.0)
        .then(Tube::new("valve-inlet", "tube to the third valve", Role::Tube, vec![straight(150.0)], (bore, bore), 0.48), true)
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 16.9,
            casing_length_mm: 118.0,
            loops: &[
                Loop { leg_mm: 48.0, crook_radius_mm: 14.0 },
                Loop { leg_mm: 16.0, crook_radius_mm: 12.5 },
                Loop { leg_mm: 85.0, crook_radius_mm: 15.0 },
            ],
        })
        .then(Tube::new("bell-tail", "bell tail", Role::BellStem, vec![straight(245.0)], (bore + 0.2, 13.2), 0.48), true)
        .then(Tube::new("bell-bow", "bell bow", Role::Bow, vec![bend(38.0, 180.0, 0.0)], (13.2, 15.6), 0.52), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(215.0)], (15.6, 26.0), 0.45), false)
        .bell(130.0, &[(0.0, 26.0), (0.35, 34.0), (0.65, 50.0), (0.85, 76.0), (1.0, 123.0)], 0.42);
    b.brace("leadpipe-brace-front", "leadpipe to bell brace, front", [("leadpipe", 0.75, 180.0), ("bell-stem", 0.2, 180.0)]);
    b.brace("leadpipe-brace-back", "leadpipe to bell brace, back", [("leadpipe", 0.2, 180.0), ("bell-stem", 0.8, 180.0)]);
    b.brace("bell-brace", "bell tail to bell stem brace", [("bell-tail", 0.6, 0.0), ("bell-stem", 0.35, 0.0)]);
    b
}
