//! Trumpet in Bb. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};

/// Bore of the valves, mm.
const BORE: f64 = 11.66;

/// Three pistons, the third first on the way of the air; one-piece bell.
pub fn trumpet() -> Instrument {
    let mut b = Builder::new(Kind::Trumpet, 0.5, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(30.0).bore(10.7, 9.9).wall(1.3));
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(240.0).bore_at(&[(0.0, 8.9), (0.85, BORE), (1.0, BORE)]));
    b.solder("receiver", "leadpipe");
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, BORE),
        legs_mm: (78.0, 56.0),
        crook_straight_mm: 16.0,
        crook_radius_mm: 31.0,
        wall_mm: 0.5,
    };
    b.slide(&slide);
    b.ferruled("leadpipe", "tuning-slide-first-outer", 12.0);
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(14.0).bend(17.0, 30.0).bore(BORE, BORE));
    b.ferruled("tuning-slide-second-outer", "entry-knuckle", 10.0);
    b.valves(&valves());
    b.enters_casing("entry-knuckle", "third-valve-casing", End::Finish);
    b.add(Tube::new("bell-tail", Role::BellStem).bend(30.0, 25.0).straight(190.0).bore(BORE, 13.2));
    b.leaves_casing("first-valve-casing", "bell-tail", End::Start);
    b.add(Tube::new("bell-bow", Role::Bow).bend(37.0, 180.0).bore(13.2, 15.6));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(235.0).bore_at(&[(0.0, 15.6), (0.55, 19.0), (1.0, 24.5)]));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(185.0)
            .flare(&[(0.0, 24.5), (0.35, 31.0), (0.62, 42.0), (0.82, 61.0), (0.93, 87.0), (1.0, 122.0)])
            .walls(0.5, 0.42),
    );
    b.one_piece("bell-tail", "bell-bow");
    b.one_piece("bell-bow", "bell-stem");
    b.one_piece("bell-stem", "bell-flare");
    b.rim("bell-flare");
    b.brace("front-brace", &[("leadpipe", 0.55, 180.0), ("bell-stem", 0.2, 0.0)]);
    b.brace("rear-brace", &[("leadpipe", 0.2, 180.0), ("bell-stem", 0.75, 0.0)]);
    b.brace("bell-brace", &[("bell-tail", 0.75, 0.0), ("bell-stem", 0.12, 180.0)]);
    b.brace("tuning-slide-crook-brace", &[("tuning-slide-first-inner", 0.75, 0.0), ("tuning-slide-second-inner", 0.2, 0.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 15.0, knuckle_deg: 60.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 11.0, knuckle_deg: 20.0 },
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 15.0, knuckle_deg: 45.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 1370.0,
        bore_mm: BORE,
        wall_mm: 0.5,
        casing_bore_mm: 16.9,
        casing_length_mm: 128.0,
        casing_wall_mm: 1.0,
        between_mm: 11.0,
        longest_leg_mm: 100.0,
    }
}
