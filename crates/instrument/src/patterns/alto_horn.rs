//! Alto horn in Eb, upright. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

const BORE: f64 = 12.0;

/// Three pistons, tuning slide behind them, two bows.
pub fn alto_horn() -> Instrument {
    let mut b = Builder::new(Kind::AltoHorn, 0.5, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(38.0).bore(10.4, 9.7).wall(1.2));
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(175.0).bend(75.0, 110.0).straight(75.0).bore_at(&[
        (0.0, 8.7),
        (0.9, BORE),
        (1.0, BORE),
    ]));
    b.solder("receiver", "leadpipe");
    b.valves(&valves());
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(14.0).bore(BORE, BORE));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.ferruled("leadpipe", "entry-knuckle", 11.0);
    b.add(Tube::new("exit-knuckle", Role::Knuckle).straight(12.0).bend(18.0, 80.0).bore(BORE, BORE));
    b.leaves_casing("third-valve-casing", "exit-knuckle", End::Start);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, 12.6),
        legs_mm: (75.0, 75.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 26.0,
        wall_mm: 0.5,
    };
    b.slide(&slide);
    b.ferruled("exit-knuckle", "tuning-slide-first-outer", 11.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(290.0).bore(12.6, 18.5));
    b.ferruled("tuning-slide-second-outer", "first-branch", 13.0);
    b.add(Tube::new("top-bow", Role::Bow).bend(44.0, 180.0).bore(18.5, 22.5));
    b.add(Tube::new("second-branch", Role::Branch).straight(255.0).bore(22.5, 28.5));
    b.add(Tube::new("bottom-bow", Role::Bow).bend(56.0, 180.0).bore(28.5, 36.0));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(245.0).bore(36.0, 54.0));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(185.0)
            .flare(&[(0.0, 54.0), (0.35, 66.0), (0.62, 85.0), (0.82, 117.0), (0.93, 152.0), (1.0, 192.0)])
            .walls(0.55, 0.45),
    );
    b.ferruled("first-branch", "top-bow", 15.0);
    b.ferruled("top-bow", "second-branch", 17.0);
    b.ferruled("second-branch", "bottom-bow", 20.0);
    b.ferruled("bottom-bow", "bell-stem", 24.0);
    b.one_piece("bell-stem", "bell-flare");
    b.guard("bottom-bow");
    b.guard("top-bow");
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.3, 180.0), ("bell-stem", 0.75, 0.0)]);
    b.brace("branch-brace", &[("first-branch", 0.5, 180.0), ("second-branch", 0.5, 0.0)]);
    b.brace("bell-brace", &[("second-branch", 0.6, 180.0), ("bell-stem", 0.35, 0.0)]);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 0.0), ("first-branch", 0.6, 90.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 17.0, knuckle_deg: 60.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 14.0, knuckle_deg: 40.0 },
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 17.0, knuckle_deg: 60.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 2070.0,
        bore_mm: BORE,
        wall_mm: 0.5,
        casing_bore_mm: 17.2,
        casing_length_mm: 130.0,
        casing_wall_mm: 1.0,
        between_mm: 12.0,
        longest_leg_mm: 140.0,
    }
}
