//! Horns: single in F, and double in F and Bb. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{Machine, Valve, Valves, loop_mm};
use crate::{End, Finish, Instrument, Kind, Role};
use metal::Alloy;

const BORE: f64 = 11.9;
const WALL: f64 = 0.5;
/// Open tube in F and in Bb, mm.
const F_MM: f64 = 3750.0;
const B_FLAT_MM: f64 = 2770.0;

const fn valve(ordinal: &str, half_tones: i32, crook_radius_mm: f64, knuckle_deg: f64) -> Valve<'_> {
    Valve { ordinal, half_tones, crook_radius_mm, knuckle_deg }
}

const VALVES: [Valve; 3] = [valve("first", 2, 19.0, 60.0), valve("second", 1, 15.0, 40.0), valve("third", 3, 19.0, 60.0)];

fn rotors(open_mm: f64) -> Valves<'static> {
    Valves {
        machine: Machine::Rotor,
        valves: &VALVES,
        open_mm,
        bore_mm: BORE,
        wall_mm: WALL,
        casing_bore_mm: 30.0,
        casing_length_mm: 42.0,
        casing_wall_mm: 2.0,
        between_mm: 14.0,
        longest_leg_mm: 150.0,
    }
}

fn mouthpipe(b: &mut Builder) {
    b.add(Tube::new("receiver", Role::Receiver).straight(28.0).bore(8.4, 8.8).wall(1.1));
    b.add(
        Tube::new("leadpipe", Role::Leadpipe)
            .straight(110.0)
            .bend(150.0, 110.0)
            .straight(90.0)
            .bore_at(&[(0.0, 7.8), (0.3, 9.0), (0.9, BORE), (1.0, BORE)])
            .alloy(Alloy::GoldBrass),
    );
    b.solder("receiver", "leadpipe");
}

/// From the valves to the rim: branches round the corpus, the bell's throat and its flare.
fn corpus(b: &mut Builder, from: &str, wrap_mm: f64) {
    b.add(Tube::new("first-branch", Role::Branch).bend(60.0, 90.0).straight(wrap_mm).bore(BORE, 14.0));
    b.leaves_casing(from, "first-branch", End::Start);
    b.add(Tube::new("first-bow", Role::Bow).bend(128.0, 180.0).bore(14.0, 17.5));
    b.add(Tube::new("second-branch", Role::Branch).straight(150.0).bore(17.5, 20.5));
    b.add(Tube::new("second-bow", Role::Bow).bend(135.0, 180.0).bore(20.5, 30.0));
    b.add(Tube::new("bell-stem", Role::BellStem).bend(190.0, 70.0).straight(60.0).bore(30.0, 56.0));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(230.0)
            .flare(&[(0.0, 56.0), (0.35, 82.0), (0.62, 122.0), (0.82, 178.0), (0.93, 240.0), (1.0, 310.0)])
            .walls(0.5, 0.4),
    );
    b.ferruled("first-branch", "first-bow", 14.0);
    b.ferruled("first-bow", "second-branch", 16.0);
    b.ferruled("second-branch", "second-bow", 18.0);
    b.ferruled("second-bow", "bell-stem", 24.0);
    b.one_piece("bell-stem", "bell-flare");
    b.guard("first-bow");
    b.garland("bell-flare", 22.0);
    b.rim("bell-flare");
    b.brace("leadpipe-brace", &[("leadpipe", 0.35, 180.0), ("first-bow", 0.5, 0.0)]);
    b.brace("branch-brace", &[("first-branch", 0.6, 90.0), ("second-branch", 0.5, 270.0)]);
    b.brace("bow-brace", &[("first-bow", 0.75, 90.0), ("second-bow", 0.3, 270.0)]);
    b.brace("bell-brace", &[("second-branch", 0.8, 0.0), ("bell-stem", 0.4, 0.0)]);
}

/// Single horn in F with three rotors.
pub fn single() -> Instrument {
    let mut b = Builder::new(Kind::Horn, WALL, Finish::Lacquer);
    mouthpipe(&mut b);
    b.add(Tube::new("leadpipe-loop", Role::Tube).straight(290.0).bend(110.0, 180.0).straight(275.0).bore(BORE, BORE));
    b.ferruled("leadpipe", "leadpipe-loop", 12.0);
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (BORE, BORE),
        legs_mm: (125.0, 125.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 26.0,
        wall_mm: WALL,
    };
    b.slide(&slide);
    b.ferruled("leadpipe-loop", "tuning-slide-first-outer", 12.0);
    b.add(Tube::new("entry-knuckle", Role::Knuckle).straight(10.0).bend(18.0, 60.0).bore(BORE, BORE));
    b.ferruled("tuning-slide-second-outer", "entry-knuckle", 10.0);
    b.valves(&rotors(F_MM));
    b.enters_casing("entry-knuckle", "first-valve-casing", End::Start);
    corpus(&mut b, "third-valve-casing", 250.0);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 180.0), ("second-branch", 0.3, 90.0)]);
    b.build()
}

/// Double horn in F and Bb: three rotors of two storeys and a change valve whose two storeys are named front (towards the
/// leadpipe) and rear (towards the bell). Open in Bb.
pub fn double() -> Instrument {
    let mut b = Builder::new(Kind::Horn, WALL, Finish::Lacquer);
    mouthpipe(&mut b);
    let tuning =
        |id| Slide { id, bore_mm: (BORE, BORE), legs_mm: (85.0, 85.0), crook_straight_mm: 0.0, crook_radius_mm: 24.0, wall_mm: WALL };
    b.slide(&tuning("tuning-slide"));
    b.ferruled("leadpipe", "tuning-slide-first-outer", 12.0);
    let knuckle = |id: &str| Tube::new(id, Role::Knuckle).straight(10.0).bend(18.0, 60.0).bore(BORE, BORE);
    b.add(knuckle("entry-knuckle"));
    b.ferruled("tuning-slide-second-outer", "entry-knuckle", 10.0);
    let b_flat = rotors(B_FLAT_MM);
    b.casing(&b_flat, "front-change");
    b.casing(&b_flat, "rear-change");
    b.enters_casing("entry-knuckle", "front-change-valve-casing", End::Start);
    b.valves(&b_flat);
    // The F side goes through the lower storeys, over a slide of its own.
    for v in &VALVES {
        b.valve_loop(&b_flat, v, &format!("f-{}-slide", v.ordinal), loop_mm(F_MM, v.half_tones));
    }
    let between = |b: &mut Builder, id: &str, length: f64, from: &str, to: &str, port: End| {
        b.add(Tube::new(id, Role::Tube).straight(length).bore(BORE, BORE));
        b.leaves_casing(from, id, port);
        b.enters_casing(id, to, port);
    };
    between(&mut b, "front-change-to-first-knuckle", 40.0, "front-change-valve-casing", "first-valve-casing", End::Start);
    between(&mut b, "third-to-rear-change-knuckle", 60.0, "third-valve-casing", "rear-change-valve-casing", End::Start);
    between(&mut b, "f-first-to-second-knuckle", 14.0, "first-valve-casing", "second-valve-casing", End::Finish);
    between(&mut b, "f-second-to-third-knuckle", 14.0, "second-valve-casing", "third-valve-casing", End::Finish);
    between(&mut b, "f-third-to-rear-change-tube", 80.0, "third-valve-casing", "rear-change-valve-casing", End::Finish);
    // What F is longer than Bb by, less the slide and the tubes that the Bb side has as well.
    b.slide(&tuning("f-tuning-slide"));
    let slide_mm = 170.0 + 24.0 * std::f64::consts::PI;
    let straight = (F_MM - B_FLAT_MM - slide_mm - 105.0 * std::f64::consts::PI) / 2.0;
    b.add(Tube::new("f-tube", Role::Tube).straight(straight).bend(105.0, 180.0).straight(straight).bore(BORE, BORE));
    b.leaves_casing("front-change-valve-casing", "f-tube", End::Finish);
    b.ferruled("f-tube", "f-tuning-slide-first-outer", 12.0);
    b.add(knuckle("f-entry-knuckle"));
    b.ferruled("f-tuning-slide-second-outer", "f-entry-knuckle", 10.0);
    b.enters_casing("f-entry-knuckle", "first-valve-casing", End::Finish);
    corpus(&mut b, "rear-change-valve-casing", 105.0);
    b.brace("valve-brace", &[("second-valve-casing", 0.5, 180.0), ("second-branch", 0.3, 90.0)]);
    b.brace("f-tube-brace", &[("f-tube", 0.5, 180.0), ("first-bow", 0.25, 0.0)]);
    b.build()
}
