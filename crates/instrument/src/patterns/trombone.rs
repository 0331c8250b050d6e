//! Trombones in Bb: tenor without a valve, bass with two rotors. Invented.

use super::builder::Builder;
use super::practice::HAND_SLIDE_CLEARANCE_MM;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves};
use crate::{End, Finish, FitKind, Instrument, Kind, Role};
use metal::Alloy;

/// What tells one trombone from another.
struct Make {
    /// Bore of the hand slide, mm.
    bore: f64,
    /// Half the distance of the hand slide's legs, mm.
    crook_radius: f64,
    /// Bore of the gooseneck's end and of the tuning slide's legs, mm.
    neck: f64,
    tuning: (f64, f64),
    /// Bell stem's bores and the rim's, mm.
    stem: (f64, f64),
    rim: f64,
}

const TENOR: Make = Make { bore: 12.7, crook_radius: 42.0, neck: 13.6, tuning: (13.6, 14.4), stem: (15.6, 26.0), rim: 203.0 };
const BASS: Make = Make { bore: 14.28, crook_radius: 45.0, neck: 15.2, tuning: (15.2, 16.4), stem: (17.8, 30.0), rim: 241.0 };
const WALL: f64 = 0.5;

/// Tenor trombone, straight.
pub fn tenor() -> Instrument {
    let mut b = Builder::new(Kind::Trombone, WALL, Finish::Lacquer);
    hand_slide(&mut b, &TENOR);
    b.add(Tube::new("gooseneck", Role::Tube).straight(190.0).bore_at(&[(0.0, TENOR.bore), (0.4, TENOR.neck), (1.0, TENOR.neck)]));
    b.thread("bell-receiver", "gooseneck");
    bell_section(&mut b, &TENOR, "gooseneck");
    b.brace("bell-brace", &[("gooseneck", 0.25, 0.0), ("bell-stem", 0.75, 0.0)]);
    b.brace("tuning-slide-cross-brace", &[("gooseneck", 0.9, 0.0), ("bell-stem", 0.05, 0.0)]);
    b.build()
}

/// Bass trombone with two independent rotors, F and G flat.
pub fn bass() -> Instrument {
    let mut b = Builder::new(Kind::Trombone, WALL, Finish::Lacquer);
    hand_slide(&mut b, &BASS);
    b.add(Tube::new("gooseneck", Role::Tube).straight(70.0).bore_at(&[(0.0, BASS.bore), (0.6, BASS.neck), (1.0, BASS.neck)]));
    b.thread("bell-receiver", "gooseneck");
    const VALVES: [Valve; 2] = [
        Valve { ordinal: "f", half_tones: 5, crook_radius_mm: 34.0, knuckle_deg: 60.0 },
        Valve { ordinal: "g-flat", half_tones: 4, crook_radius_mm: 28.0, knuckle_deg: 60.0 },
    ];
    b.valves(&Valves {
        machine: Machine::Rotor,
        valves: &VALVES,
        open_mm: 2750.0,
        bore_mm: BASS.neck,
        wall_mm: WALL,
        casing_bore_mm: 36.0,
        casing_length_mm: 34.0,
        casing_wall_mm: 2.2,
        between_mm: 22.0,
        longest_leg_mm: 130.0,
    });
    b.enters_casing("gooseneck", "f-valve-casing", End::Start);
    b.add(Tube::new("neck-tube", Role::Tube).straight(40.0).bore(BASS.neck, BASS.neck));
    b.leaves_casing("g-flat-valve-casing", "neck-tube", End::Start);
    bell_section(&mut b, &BASS, "neck-tube");
    b.brace("bell-brace", &[("gooseneck", 0.5, 0.0), ("bell-stem", 0.8, 0.0)]);
    b.brace("tuning-slide-cross-brace", &[("neck-tube", 0.5, 0.0), ("bell-stem", 0.05, 0.0)]);
    b.brace("f-slide-bell-brace", &[("f-slide-loop", 0.15, 180.0), ("bell-stem", 0.45, 90.0)]);
    b.brace("g-flat-slide-brace-to-f", &[("g-flat-slide-loop", 0.15, 180.0), ("f-slide-loop", 0.9, 90.0)]);
    b.build()
}

/// Receiver, inner and outer legs with their crook, the bell's receiver.
fn hand_slide(b: &mut Builder, m: &Make) {
    let outer_bore = m.bore + 2.0 * WALL + HAND_SLIDE_CLEARANCE_MM.0;
    b.add(Tube::new("receiver", Role::Receiver).straight(48.0).bore(m.bore + 1.0, m.bore - 0.2).wall(1.2));
    for (which, from, to) in [("upper", 0.0, 1.0), ("lower", 1.0, 0.0)] {
        let inner = format!("hand-slide-{which}-inner");
        let outer = format!("hand-slide-{which}-outer");
        b.add(Tube::new(inner.as_str(), Role::HandSlideInner).straight(650.0).bore(m.bore, m.bore).wall(WALL));
        b.add(
            Tube::new(outer.as_str(), Role::HandSlideOuter)
                .straight(650.0)
                .bore(outer_bore, outer_bore)
                .walls(0.35 + 0.01 * from, 0.35 + 0.01 * to),
        );
        b.fit(&format!("hand-slide-{which}"), FitKind::HandSlide, &inner, &outer, HAND_SLIDE_CLEARANCE_MM);
    }
    b.add(
        Tube::new("hand-slide-crook", Role::HandSlideCrook)
            .bend(m.crook_radius, 180.0)
            .bore(m.bore + 0.6, m.bore + 0.6)
            .alloy(Alloy::NickelSilver),
    );
    b.add(Tube::new("bell-receiver", Role::Tube).straight(42.0).bore(m.bore, m.bore).wall(1.4));
    b.solder("receiver", "hand-slide-upper-inner");
    b.slides("hand-slide-upper-inner", "hand-slide-upper-outer", 615.0);
    b.ferruled("hand-slide-upper-outer", "hand-slide-crook", 22.0);
    b.ferruled("hand-slide-crook", "hand-slide-lower-outer", 22.0);
    b.slides("hand-slide-lower-outer", "hand-slide-lower-inner", 615.0);
    b.solder("hand-slide-lower-inner", "bell-receiver");
    b.brace("hand-slide-inner-brace", &[("hand-slide-upper-inner", 0.03, 0.0), ("hand-slide-lower-inner", 0.97, 0.0)]);
    b.brace("hand-slide-outer-brace", &[("hand-slide-upper-outer", 0.03, 0.0), ("hand-slide-lower-outer", 0.97, 0.0)]);
}

/// Tuning slide in the bell's bow, bell stem and flare.
fn bell_section(b: &mut Builder, m: &Make, before: &str) {
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: m.tuning,
        legs_mm: (95.0, 95.0),
        crook_straight_mm: 15.0,
        crook_radius_mm: 60.0,
        wall_mm: WALL,
    };
    b.slide(&slide);
    b.ferruled(before, "tuning-slide-first-outer", 14.0);
    b.add(Tube::new("bell-stem", Role::BellStem).straight(310.0).bore_at(&[
        (0.0, m.tuning.1),
        (0.15, m.stem.0),
        (0.7, 0.45 * m.stem.0 + 0.55 * m.stem.1),
        (1.0, m.stem.1),
    ]));
    b.ferruled("tuning-slide-second-outer", "bell-stem", 16.0);
    let (throat, rim) = (m.stem.1, m.rim);
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(265.0)
            .flare(&[(0.0, throat), (0.35, 1.45 * throat), (0.62, 2.2 * throat), (0.82, 0.42 * rim), (0.93, 0.64 * rim), (1.0, rim)])
            .walls(0.5, 0.4),
    );
    b.one_piece("bell-stem", "bell-flare");
    b.rim("bell-flare");
}
