//! Sousaphone in BBb with three pistons and a bell that comes off. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

const BORE: f64 = 17.5;
const WALL: f64 = 0.6;

/// Neck and bits, three pistons, tuning slide, the body's rings, a bell on a screw collar.
pub fn sousaphone() -> Instrument {
    let mut b = Builder::new(Kind::Sousaphone, WALL, Finish::Lacquer);
    // The bits and the neck's sockets are tapers; their ends slip into each other and turn.
    b.add(Tube::new("receiver", Role::Receiver).straight(50.0).bore(14.6, 13.6).wall(1.4));
    b.add(Tube::new("first-bit", Role::Tube).straight(25.0).bend(45.0, 50.0).straight(20.0).bore(13.6, 14.2));
    b.add(Tube::new("second-bit", Role::Tube).straight(20.0).bend(45.0, 50.0).straight(25.0).bore(15.5, 16.0));
    b.add(Tube::new("neck", Role::Tube).straight(40.0).bend(110.0, 95.0).straight(70.0).bore(17.3, 16.8));
    b.solder("receiver", "first-bit");
    b.slides("first-bit", "second-bit", 18.0);
    b.slides("second-bit", "neck", 18.0);
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(300.0).bend(160.0, 70.0).straight(120.0).bore_at(&[
        (0.0, 18.1),
        (0.08, 16.9),
        (0.6, BORE),
        (1.0, BORE),
    ]));
    b.slides("neck", "leadpipe", 25.0);
    b.valves(&valves());
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(24.0).bore(BORE, BORE));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.ferruled("leadpipe", "entry-knuckle", 14.0);
    b.add(Tube::new("exit-knuckle", Role::Knuckle).straight(20.0).bend(28.0, 85.0).bore(BORE, BORE));
    b.leaves_casing("third-valve-casing", "exit-knuckle", End::Start);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, 19.0),
        legs_mm: (110.0, 110.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 42.0,
        wall_mm: WALL,
    };
    b.slide(&slide);
    b.ferruled("exit-knuckle", "tuning-slide-first-outer", 16.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(250.0).bore(19.0, 23.5));
    b.ferruled("tuning-slide-second-outer", "first-branch", 18.0);
    b.add(Tube::new("inner-bow", Role::Bow).bend(150.0, 180.0).bore(23.5, 32.0));
    b.add(Tube::new("second-branch", Role::Branch).straight(220.0).bore(32.0, 36.0));
    b.add(Tube::new("rear-bow", Role::Bow).bend(255.0, 180.0).bore(36.0, 53.0));
    b.add(Tube::new("third-branch", Role::Branch).straight(190.0).bore(53.0, 57.0));
    b.add(Tube::new("front-bow", Role::Bow).bend(265.0, 180.0).bore(57.0, 82.0).wall(0.65));
    b.add(Tube::new("bell-branch", Role::BellStem).bend(270.0, 70.0).straight(60.0).bore(82.0, 110.0).wall(0.65));
    b.add(Tube::new("bell-stem", Role::BellStem).bend(180.0, 80.0).straight(60.0).bore(110.0, 165.0).wall(0.7));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(390.0)
            .flare(&[(0.0, 165.0), (0.35, 215.0), (0.62, 290.0), (0.82, 400.0), (0.93, 510.0), (1.0, 645.0)])
            .walls(0.7, 0.55),
    );
    b.ferruled("first-branch", "inner-bow", 22.0);
    b.ferruled("inner-bow", "second-branch", 26.0);
    b.ferruled("second-branch", "rear-bow", 30.0);
    b.ferruled("rear-bow", "third-branch", 34.0);
    b.ferruled("third-branch", "front-bow", 36.0);
    b.ferruled("front-bow", "bell-branch", 40.0);
    b.thread("bell-branch", "bell-stem");
    b.one_piece("bell-stem", "bell-flare");
    for bow in ["inner-bow", "rear-bow", "front-bow"] {
        b.guard(bow);
    }
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.4, 180.0), ("inner-bow", 0.3, 0.0)]);
    b.brace("upper-leadpipe-brace", &[("leadpipe", 0.1, 180.0), ("bell-branch", 0.6, 0.0)]);
    b.brace("first-branch-brace", &[("first-branch", 0.5, 180.0), ("second-branch", 0.5, 0.0)]);
    b.brace("inner-bow-brace", &[("inner-bow", 0.7, 180.0), ("rear-bow", 0.4, 0.0)]);
    b.brace("third-branch-brace", &[("second-branch", 0.3, 180.0), ("third-branch", 0.5, 0.0)]);
    b.brace("bow-brace", &[("rear-bow", 0.85, 90.0), ("front-bow", 0.2, 90.0)]);
    b.brace("bell-branch-brace", &[("rear-bow", 0.15, 90.0), ("bell-branch", 0.3, 270.0)]);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 0.0), ("inner-bow", 0.5, 90.0)]);
    b.brace("lower-valve-brace", &[("third-valve-casing", 0.7, 0.0), ("first-branch", 0.7, 90.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 32.0, knuckle_deg: 70.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 26.0, knuckle_deg: 60.0 },
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 32.0, knuckle_deg: 70.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 5400.0,
        bore_mm: BORE,
        wall_mm: WALL,
        casing_bore_mm: 24.5,
        casing_length_mm: 162.0,
        casing_wall_mm: 1.2,
        between_mm: 16.0,
        longest_leg_mm: 280.0,
    }
}
