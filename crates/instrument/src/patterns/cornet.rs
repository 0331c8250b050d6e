//! Cornet in Bb, with a shepherd's crook. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, Instrument, Kind, Role};
use metal::Alloy;

const BORE: f64 = 11.7;

/// Three pistons; a leadpipe that turns forward into the tuning slide; a bell with two bows.
pub fn cornet() -> Instrument {
    let mut b = Builder::new(Kind::Cornet, 0.5, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(38.0).bore(9.9, 9.3).wall(1.2));
    b.add(
        Tube::new("leadpipe", Role::Leadpipe)
            .straight(165.0)
            .bend(42.0, 180.0)
            .straight(45.0)
            .bore_at(&[(0.0, 8.3), (0.9, 11.5), (1.0, 11.5)])
            .alloy(Alloy::GoldBrass),
    );
    b.solder("receiver", "leadpipe");
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (11.5, BORE),
        legs_mm: (55.0, 55.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 19.0,
        wall_mm: 0.5,
    };
    b.slide(&slide);
    b.ferruled("leadpipe", "tuning-slide-first-outer", 12.0);
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(10.0).bend(17.0, 45.0).bore(BORE, BORE));
    b.ferruled("tuning-slide-second-outer", "entry-knuckle", 10.0);
    b.valves(&valves());
    b.enters_casing("entry-knuckle", "third-valve-casing", End::Finish);
    b.add(Tube::new("bell-tail", Role::BellStem).bend(26.0, 40.0).straight(105.0).bore(BORE, 13.0));
    b.leaves_casing("first-valve-casing", "bell-tail", End::Start);
    b.add(Tube::new("shepherds-crook", Role::Bow).bend(30.0, 180.0).straight(65.0).bend(46.0, 180.0).bore(13.0, 18.0));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(125.0).bore_at(&[(0.0, 18.0), (1.0, 23.0)]));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(150.0)
            .flare(&[(0.0, 23.0), (0.35, 31.0), (0.62, 43.0), (0.82, 62.0), (0.93, 87.0), (1.0, 119.0)])
            .walls(0.5, 0.42),
    );
    b.ferruled("bell-tail", "shepherds-crook", 12.0);
    b.one_piece("shepherds-crook", "bell-stem");
    b.one_piece("bell-stem", "bell-flare");
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.35, 180.0), ("bell-stem", 0.4, 0.0)]);
    b.brace("crook-brace", &[("shepherds-crook", 0.1, 180.0), ("bell-stem", 0.2, 180.0)]);
    b.brace("valve-brace", &[("leadpipe", 0.2, 90.0), ("first-valve-casing", 0.5, 0.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 14.0, knuckle_deg: 60.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 11.0, knuckle_deg: 20.0 },
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 14.0, knuckle_deg: 45.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 1350.0,
        bore_mm: BORE,
        wall_mm: 0.5,
        casing_bore_mm: 16.9,
        casing_length_mm: 125.0,
        casing_wall_mm: 1.0,
        between_mm: 11.0,
        longest_leg_mm: 100.0,
    }
}
