//! Tuba in BBb with four pistons. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

/// Bore of the valves, mm.
const BORE: f64 = 18.5;
const WALL: f64 = 0.6;

/// Four pistons, tuning slide behind them; four branches with three bows, bell of one piece with its stem.
pub fn tuba() -> Instrument {
    let mut b = Builder::new(Kind::Tuba, WALL, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(62.0).bore(15.0, 13.9).wall(1.5));
    b.add(
        Tube::new("leadpipe", Role::Leadpipe)
            .straight(270.0)
            .bend(150.0, 75.0)
            .straight(200.0)
            .bore_at(&[(0.0, 12.8), (0.9, BORE), (1.0, BORE)])
            .wall(WALL),
    );
    b.solder("receiver", "leadpipe");
    b.valves(&valves());
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(26.0).bore(BORE, BORE));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.ferruled("leadpipe", "entry-knuckle", 14.0);
    b.add(Tube::new("exit-knuckle", Role::Knuckle).straight(22.0).bend(30.0, 85.0).bore(BORE, BORE));
    b.leaves_casing("fourth-valve-casing", "exit-knuckle", End::Start);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, 20.0),
        legs_mm: (150.0, 150.0),
        crook_straight_mm: 20.0,
        crook_radius_mm: 46.0,
        wall_mm: WALL,
    };
    b.slide(&slide);
    b.ferruled("exit-knuckle", "tuning-slide-first-outer", 16.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(500.0).bend(300.0, 20.0).straight(90.0).bore(20.0, 29.0));
    b.ferruled("tuning-slide-second-outer", "first-branch", 20.0);
    b.add(Tube::new("small-bow", Role::Bow).bend(66.0, 180.0).bore(29.0, 34.0));
    b.add(Tube::new("second-branch", Role::Branch).straight(660.0).bore(34.0, 46.0));
    b.add(Tube::new("top-bow", Role::Bow).bend(92.0, 180.0).bore(46.0, 55.0));
    b.add(Tube::new("third-branch", Role::Branch).straight(690.0).bore(55.0, 75.0));
    b.add(Tube::new("bottom-bow", Role::Bow).straight(45.0).bend(108.0, 180.0).straight(45.0).bore(75.0, 98.0).wall(0.65));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(590.0).bore(98.0, 148.0).wall(0.65));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(420.0)
            .flare(&[(0.0, 148.0), (0.35, 179.0), (0.62, 222.0), (0.82, 284.0), (0.93, 345.0), (1.0, 435.0)])
            .walls(0.65, 0.5),
    );
    b.ferruled("first-branch", "small-bow", 24.0);
    b.ferruled("small-bow", "second-branch", 28.0);
    b.ferruled("second-branch", "top-bow", 30.0);
    b.ferruled("top-bow", "third-branch", 30.0);
    b.ferruled("third-branch", "bottom-bow", 36.0);
    b.ferruled("bottom-bow", "bell-stem", 40.0);
    b.one_piece("bell-stem", "bell-flare");
    for bow in ["bottom-bow", "top-bow", "small-bow"] {
        b.guard(bow);
    }
    b.garland("bell-flare", 28.0);
    b.rim("bell-flare");
    braces(&mut b);
    b.build()
}

fn braces(b: &mut Builder) {
    b.brace("receiver-brace", &[("leadpipe", 0.1, 180.0), ("bell-stem", 0.9, 0.0)]);
    b.brace("leadpipe-brace", &[("leadpipe", 0.55, 180.0), ("third-branch", 0.2, 90.0)]);
    b.brace("first-branch-brace", &[("first-branch", 0.35, 180.0), ("second-branch", 0.6, 0.0)]);
    b.brace("upper-first-branch-brace", &[("first-branch", 0.75, 180.0), ("third-branch", 0.35, 0.0)]);
    b.brace("second-branch-brace", &[("second-branch", 0.25, 180.0), ("third-branch", 0.75, 0.0)]);
    b.brace("upper-second-branch-brace", &[("second-branch", 0.8, 180.0), ("third-branch", 0.2, 0.0)]);
    b.brace("lower-bell-brace", &[("third-branch", 0.85, 180.0), ("bell-stem", 0.15, 0.0)]);
    b.brace("upper-bell-brace", &[("second-branch", 0.55, 270.0), ("bell-stem", 0.6, 0.0)]);
    b.brace("top-bow-brace", &[("top-bow", 0.5, 90.0), ("bell-stem", 0.97, 0.0)]);
    b.brace("small-bow-brace", &[("small-bow", 0.5, 90.0), ("bottom-bow", 0.4, 90.0)]);
    b.brace("upper-valve-brace", &[("first-valve-casing", 0.3, 0.0), ("second-branch", 0.45, 90.0)]);
    b.brace("lower-valve-brace", &[("fourth-valve-casing", 0.7, 0.0), ("first-branch", 0.55, 90.0)]);
    b.brace("tuning-slide-crook-brace", &[("tuning-slide-first-inner", 0.9, 0.0), ("tuning-slide-second-inner", 0.1, 0.0)]);
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 4] = [
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 32.0, knuckle_deg: 70.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 26.0, knuckle_deg: 60.0 },
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 32.0, knuckle_deg: 70.0 },
        Valve { ordinal: "fourth", half_tones: 5, crook_radius_mm: 38.0, knuckle_deg: 70.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 5400.0,
        bore_mm: BORE,
        wall_mm: WALL,
        casing_bore_mm: 25.5,
        casing_length_mm: 165.0,
        casing_wall_mm: 1.2,
        between_mm: 16.0,
        longest_leg_mm: 280.0,
    }
}
