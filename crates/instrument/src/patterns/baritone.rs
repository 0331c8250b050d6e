//! Baritone in Bb. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

const BORE: f64 = 13.0;

/// Three pistons, tuning slide behind them, two bows; narrower than a euphonium.
pub fn baritone() -> Instrument {
    let mut b = Builder::new(Kind::Baritone, 0.5, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(42.0).bore(11.6, 10.9).wall(1.2));
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(230.0).bend(90.0, 110.0).straight(130.0).bore_at(&[
        (0.0, 9.9),
        (0.9, BORE),
        (1.0, BORE),
    ]));
    b.solder("receiver", "leadpipe");
    b.valves(&valves());
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(16.0).bore(BORE, BORE));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.ferruled("leadpipe", "entry-knuckle", 12.0);
    b.add(Tube::new("exit-knuckle", Role::Knuckle).straight(14.0).bend(20.0, 80.0).bore(BORE, BORE));
    b.leaves_casing("third-valve-casing", "exit-knuckle", End::Start);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, 13.6),
        legs_mm: (120.0, 120.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 28.0,
        wall_mm: 0.5,
    };
    b.slide(&slide);
    b.ferruled("exit-knuckle", "tuning-slide-first-outer", 12.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(395.0).bore(13.6, 21.0));
    b.ferruled("tuning-slide-second-outer", "first-branch", 14.0);
    b.add(Tube::new("top-bow", Role::Bow).bend(50.0, 180.0).bore(21.0, 25.5));
    b.add(Tube::new("second-branch", Role::Branch).straight(350.0).bore(25.5, 33.0));
    b.add(Tube::new("bottom-bow", Role::Bow).bend(62.0, 180.0).bore(33.0, 41.0));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(365.0).bore(41.0, 66.0));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(230.0)
            .flare(&[(0.0, 66.0), (0.35, 81.0), (0.62, 104.0), (0.82, 140.0), (0.93, 180.0), (1.0, 226.0)])
            .walls(0.55, 0.45),
    );
    b.ferruled("first-branch", "top-bow", 17.0);
    b.ferruled("top-bow", "second-branch", 20.0);
    b.ferruled("second-branch", "bottom-bow", 24.0);
    b.ferruled("bottom-bow", "bell-stem", 26.0);
    b.one_piece("bell-stem", "bell-flare");
    b.guard("bottom-bow");
    b.guard("top-bow");
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.3, 180.0), ("bell-stem", 0.8, 0.0)]);
    b.brace("branch-brace", &[("first-branch", 0.45, 180.0), ("second-branch", 0.55, 0.0)]);
    b.brace("bell-brace", &[("second-branch", 0.6, 180.0), ("bell-stem", 0.35, 0.0)]);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 0.0), ("first-branch", 0.6, 90.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 20.0, knuckle_deg: 60.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 16.0, knuckle_deg: 50.0 },
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 20.0, knuckle_deg: 60.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 2720.0,
        bore_mm: BORE,
        wall_mm: 0.5,
        casing_bore_mm: 18.4,
        casing_length_mm: 136.0,
        casing_wall_mm: 1.0,
        between_mm: 13.0,
        longest_leg_mm: 170.0,
    }
}
