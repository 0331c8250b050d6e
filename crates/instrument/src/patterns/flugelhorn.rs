//! Bb flugelhorn, three piston valves, the leadpipe itself the tuning slide. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{FitKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Flugelhorn);
    let bore = 10.4;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(28.0)], (9.4, 8.8), 1.2), false)
        .then(Tube::new("leadpipe", "leadpipe", Role::Leadpipe, vec![straight(160.0)], (8.6, bore), 0.5), false)
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.5,
            casing_bore_mm: 16.4,
            casing_length_mm: 110.0,
            loops: &[
                Loop { leg_mm: 46.0, crook_radius_mm: 14.0 },
                Loop { leg_mm: 15.0, crook_radius_mm: 12.0 },
                Loop { leg_mm: 84.0, crook_radius_mm: 15.0 },
            ],
        })
        .then(Tube::new("bell-tail", "bell tail", Role::BellStem, vec![straight(310.0)], (bore + 0.4, 17.5), 0.48), true)
        .then(Tube::new("bell-bow", "bell bow", Role::Bow, vec![bend(48.0, 180.0, 0.0)], (17.5, 25.0), 0.52), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(440.0)], (25.0, 58.0), 0.45), true)
        .bell(165.0, &[(0.0, 58.0), (0.4, 74.0), (0.75, 104.0), (1.0, 152.0)], 0.42);
    b.guard("bell-bow-guard", "bell bow guard", "bell-bow", 0.0);
    b.brace("bell-brace", "bell tail to bell stem brace", [("bell-tail", 0.5, 0.0), ("bell-stem", 0.3, 0.0)]);
    b
}
