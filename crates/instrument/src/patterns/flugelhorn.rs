//! Flugelhorn in Bb. Invented.

use super::builder::Builder;
use super::practice::SLIDE_CLEARANCE_MM;
use super::slide::outer_bore_mm;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, FitKind, Instrument, Kind, Role};
use metal::Alloy;

const BORE: f64 = 10.5;
const WALL: f64 = 0.45;

/// Three pistons; tuned by pulling the mouthpipe out of its shank; a wide bell with two bows.
pub fn flugelhorn() -> Instrument {
    let mut b = Builder::new(Kind::Flugelhorn, WALL, Finish::Lacquer);
    let shank = outer_bore_mm(BORE, WALL);
    b.add(Tube::new("receiver", Role::Receiver).straight(32.0).bore(10.2, 9.9).wall(1.1));
    b.add(
        Tube::new("leadpipe", Role::TuningSlideInner)
            .straight(135.0)
            .bore_at(&[(0.0, 9.0), (0.6, BORE), (1.0, BORE)])
            .wall(WALL)
            .alloy(Alloy::NickelSilver),
    );
    b.add(Tube::new("leadpipe-shank", Role::TuningSlideOuter).straight(85.0).bore(shank, shank));
    b.solder("receiver", "leadpipe");
    b.slides("leadpipe", "leadpipe-shank", 60.0);
    b.fit("leadpipe-slide", FitKind::TuningSlide, "leadpipe", "leadpipe-shank", SLIDE_CLEARANCE_MM);
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(12.0).bend(16.0, 25.0).bore(BORE, BORE));
    b.ferruled("leadpipe-shank", "entry-knuckle", 10.0);
    b.valves(&valves());
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    b.add(Tube::new("bell-tail", Role::BellStem).bend(24.0, 90.0).straight(160.0).bore(BORE, 14.5));
    b.leaves_casing("third-valve-casing", "bell-tail", End::Start);
    b.add(Tube::new("front-bow", Role::Bow).bend(46.0, 180.0).bore(14.5, 18.5));
    b.add(Tube::new("branch", Role::Branch).straight(200.0).bore(18.5, 25.0));
    b.add(Tube::new("rear-bow", Role::Bow).bend(58.0, 180.0).bore(25.0, 33.0));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(165.0).bore(33.0, 43.0));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(170.0)
            .flare(&[(0.0, 43.0), (0.35, 53.0), (0.62, 68.0), (0.82, 92.0), (0.93, 120.0), (1.0, 152.0)])
            .walls(0.5, 0.42)
            .alloy(Alloy::RoseBrass),
    );
    b.ferruled("bell-tail", "front-bow", 13.0);
    b.ferruled("front-bow", "branch", 15.0);
    b.ferruled("branch", "rear-bow", 18.0);
    b.ferruled("rear-bow", "bell-stem", 20.0);
    b.one_piece("bell-stem", "bell-flare");
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe-shank", 0.5, 180.0), ("branch", 0.3, 0.0)]);
    b.brace("bell-brace", &[("branch", 0.7, 180.0), ("bell-stem", 0.3, 0.0)]);
    b.brace("tail-brace", &[("bell-tail", 0.85, 90.0), ("bell-stem", 0.7, 90.0)]);
    b.brace("valve-brace", &[("third-valve-casing", 0.6, 0.0), ("branch", 0.5, 90.0)]);
    b.build()
}

fn valves() -> Valves<'static> {
    const VALVES: [Valve; 3] = [
        Valve { ordinal: "first", half_tones: 2, crook_radius_mm: 14.0, knuckle_deg: 45.0 },
        Valve { ordinal: "second", half_tones: 1, crook_radius_mm: 11.0, knuckle_deg: 20.0 },
        Valve { ordinal: "third", half_tones: 3, crook_radius_mm: 14.0, knuckle_deg: 60.0 },
    ];
    Valves {
        machine: Machine::Piston,
        valves: &VALVES,
        open_mm: 1340.0,
        bore_mm: BORE,
        wall_mm: WALL,
        casing_bore_mm: 16.0,
        casing_length_mm: 122.0,
        casing_wall_mm: 1.0,
        between_mm: 11.0,
        longest_leg_mm: 100.0,
    }
}
