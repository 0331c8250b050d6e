//! Euphonium in Bb, three valves on top and a fourth at the side, not compensating. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

const BORE: f64 = 14.7;
const WALL: f64 = 0.55;

/// Four pistons, tuning slide behind them, three bows.
pub fn euphonium() -> Instrument {
    let mut b = Builder::new(Kind::Euphonium, WALL, Finish::SilverPlate);
    b.add(Tube::new("receiver", Role::Receiver).straight(45.0).bore(12.9, 12.1).wall(1.3));
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(160.0).bend(95.0, 100.0).straight(90.0).bore_at(&[
        (0.0, 11.0),
        (0.9, BORE),
        (1.0, BORE),
    ]));
    b.solder("receiver", "leadpipe");
    b.valves(&valves(&TOP, 15.0));
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(20.0).bore(BORE, BORE));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.ferruled("leadpipe", "entry-knuckle", 13.0);
    b.valves(&valves(&SIDE, 15.0));
    b.add(Tube::new("third-to-fourth-tube", Role::Tube).straight(40.0).bend(40.0, 90.0).straight(50.0).bore(BORE, BORE));
    b.leaves_casing("third-valve-casing", "third-to-fourth-tube", End::Start);
    b.enters_casing("third-to-fourth-tube", "fourth-valve-casing", End::Start);
    b.add(Tube::new("exit-knuckle", Role::Knuckle).straight(15.0).bend(23.0, 80.0).bore(BORE, BORE));
    b.leaves_casing("fourth-valve-casing", "exit-knuckle", End::Start);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, 16.0),
        legs_mm: (100.0, 100.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 32.0,
        wall_mm: WALL,
    };
    b.slide(&slide);
    b.ferruled("exit-knuckle", "tuning-slide-first-outer", 13.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(215.0).bore(16.0, 23.0));
    b.ferruled("tuning-slide-second-outer", "first-branch", 15.0);
    b.add(Tube::new("small-bow", Role::Bow).bend(38.0, 180.0).bore(23.0, 26.5));
    b.add(Tube::new("second-branch", Role::Branch).straight(210.0).bore(26.5, 34.0));
    b.add(Tube::new("top-bow", Role::Bow).bend(58.0, 180.0).bore(34.0, 41.0));
    b.add(Tube::new("third-branch", Role::Branch).straight(205.0).bore(41.0, 50.0));
    b.add(Tube::new("bottom-bow", Role::Bow).bend(70.0, 180.0).bore(50.0, 62.0));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(270.0).bore(62.0, 92.0));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(240.0)
            .flare(&[(0.0, 92.0), (0.35, 112.0), (0.62, 142.0), (0.82, 188.0), (0.93, 238.0), (1.0, 300.0)])
            .walls(0.6, 0.48),
    );
    b.ferruled("first-branch", "small-bow", 18.0);
    b.ferruled("small-bow", "second-branch", 20.0);
    b.ferruled("second-branch", "top-bow", 24.0);
    b.ferruled("top-bow", "third-branch", 26.0);
    b.ferruled("third-branch", "bottom-bow", 28.0);
    b.ferruled("bottom-bow", "bell-stem", 30.0);
    b.one_piece("bell-stem", "bell-flare");
    for bow in ["bottom-bow", "top-bow"] {
        b.guard(bow);
    }
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.25, 180.0), ("bell-stem", 0.8, 0.0)]);
    b.brace("upper-leadpipe-brace", &[("leadpipe", 0.75, 180.0), ("bell-flare", 0.1, 0.0)]);
    b.brace("first-branch-brace", &[("first-branch", 0.5, 180.0), ("second-branch", 0.5, 0.0)]);
    b.brace("second-branch-brace", &[("second-branch", 0.6, 180.0), ("third-branch", 0.4, 0.0)]);
    b.brace("bell-brace", &[("third-branch", 0.5, 180.0), ("bell-stem", 0.4, 0.0)]);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 0.0), ("first-branch", 0.6, 90.0)]);
    b.brace("fourth-valve-brace", &[("fourth-valve-casing", 0.5, 0.0), ("third-branch", 0.7, 90.0)]);
    b.build()
}

const TOP: [Valve; 3] = [
    Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 22.0, knuckle_deg: 60.0 },
    Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 17.0, knuckle_deg: 40.0 },
    Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 22.0, knuckle_deg: 60.0 },
];
const SIDE: [Valve; 1] = [Valve { ordinal: "fourth", half_tones: 5, crook_radius_mm: 26.0, knuckle_deg: 60.0 }];

fn valves<'a>(valves: &'a [Valve<'a>], between_mm: f64) -> Valves<'a> {
    Valves {
        machine: Machine::Piston,
        valves,
        open_mm: 2730.0,
        bore_mm: BORE,
        wall_mm: WALL,
        casing_bore_mm: 20.3,
        casing_length_mm: 142.0,
        casing_wall_mm: 1.1,
        between_mm,
        longest_leg_mm: 185.0,
    }
}
