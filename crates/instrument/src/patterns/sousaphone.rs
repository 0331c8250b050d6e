//! BBb sousaphone, three piston valves, body in a coil, bell screwed on. Invented dimensions.

use super::build::{Build, Loop, Tube, Valves, bend, straight};
use crate::{End, FitKind, JointKind, Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Sousaphone);
    let bore = 18.6;
    b.then(Tube::new("receiver", "mouthpiece bit receiver", Role::Receiver, vec![straight(50.0)], (13.6, 12.8), 1.3), false)
        .then(
            Tube::new("neck", "neck", Role::Leadpipe, vec![straight(90.0), bend(70.0, 70.0, 0.0), straight(70.0)], (12.8, 14.6), 0.7),
            false,
        )
        .then(Tube::new("leadpipe", "leadpipe", Role::Leadpipe, vec![straight(210.0), bend(120.0, 60.0, 0.0)], (14.6, bore), 0.62), true)
        .slide("main-slide", "main tuning slide", (bore, bore), 0.6, 95.0, 36.0)
        .valves(&Valves {
            kind: FitKind::PistonInCasing,
            bore_mm: bore,
            wall_mm: 0.6,
            casing_bore_mm: 25.4,
            casing_length_mm: 140.0,
            loops: &[
                Loop { leg_mm: 228.0, crook_radius_mm: 26.0 },
                Loop { leg_mm: 90.0, crook_radius_mm: 24.0 },
                Loop { leg_mm: 382.0, crook_radius_mm: 28.0 },
            ],
        })
        .then(
            Tube::new(
                "first-branch",
                "first branch",
                Role::Branch,
                vec![straight(300.0), bend(260.0, 110.0, 0.0)],
                (bore + 0.6, 28.0),
                0.62,
            ),
            true,
        )
        .then(Tube::new("second-branch", "second branch", Role::Branch, vec![bend(300.0, 170.0, 0.0)], (28.0, 42.0), 0.65), true)
        .then(Tube::new("third-branch", "third branch", Role::Branch, vec![bend(310.0, 175.0, 0.0)], (42.0, 66.0), 0.68), true)
        .then(Tube::new("body-bow", "large body bow", Role::Bow, vec![bend(320.0, 170.0, 0.0)], (66.0, 108.0), 0.75), true)
        .then(Tube::new("bell-neck", "bell neck", Role::BellStem, vec![bend(220.0, 80.0, 180.0)], (108.0, 160.0), 0.7), true);
    let tenon = "bell-neck";
    b.loose(Tube::new("bell-collar", "bell collar", Role::BellStem, vec![straight(90.0)], (160.0, 205.0), 0.65));
    b.joint(tenon, End::Finish, "bell-collar", End::Start, JointKind::Threaded, 30.0);
    b.open_length_mm += 90.0;
    b.carry_on_from("bell-collar");
    b.bell(330.0, &[(0.0, 205.0), (0.4, 290.0), (0.75, 430.0), (1.0, 640.0)], 0.62);
    b.guard("body-bow-guard", "body bow guard", "body-bow", 0.0);
    b.brace("branch-brace", "second to third branch brace", [("second-branch", 0.5, 90.0), ("third-branch", 0.3, 270.0)]);
    b.brace("body-brace", "third branch to body bow brace", [("third-branch", 0.6, 90.0), ("body-bow", 0.4, 270.0)]);
    b.brace("neck-brace", "leadpipe to body bow brace", [("leadpipe", 0.5, 180.0), ("body-bow", 0.8, 0.0)]);
    b
}
