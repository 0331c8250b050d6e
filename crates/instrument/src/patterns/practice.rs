//! What the patterns take as usual. Common practice, no source, all of it.

use crate::{Finish, Role};
use metal::Alloy;

/// Spread of a pattern's bore from one instrument to the next, part of the bore.
pub const BORE_SPREAD: f64 = 0.025;
/// Spread of the wall, part of the wall: drawing, buffing and wear.
pub const WALL_SPREAD: f64 = 0.13;
/// Spread of the temper, numbers hard.
pub const TEMPER_SPREAD: f64 = 0.7;

/// Diametral clearance of a tuning or valve slide, mm, and its spread (common practice: 0.05–0.10).
pub const SLIDE_CLEARANCE_MM: (f64, f64) = (0.075, 0.02);
/// Of a hand slide (0.08–0.15).
pub const HAND_SLIDE_CLEARANCE_MM: (f64, f64) = (0.115, 0.025);
/// Of a piston or rotor in its casing (0.04–0.08).
pub const VALVE_CLEARANCE_MM: (f64, f64) = (0.06, 0.015);

/// Temper of straight and of bent lengths by role, numbers hard: drawn tubes come hard off the mandrel, bends are made
/// from annealed tube and harden only by their bending, knuckles and casings are annealed by their brazing.
pub fn temper(role: Role) -> (f64, f64) {
    match role {
        Role::Receiver => (2.5, 2.5),
        Role::Leadpipe => (3.0, 1.5),
        Role::TuningSlideInner | Role::TuningSlideOuter | Role::HandSlideOuter => (3.5, 1.5),
        Role::HandSlideInner => (4.0, 2.0),
        Role::TuningSlideCrook | Role::HandSlideCrook => (2.0, 1.0),
        Role::Knuckle => (1.0, 0.6),
        Role::Casing => (1.0, 1.0),
        Role::Piston => (2.0, 2.0),
        Role::Branch | Role::Tube => (2.6, 1.3),
        Role::Bow => (1.5, 1.0),
        Role::BellStem => (2.2, 1.2),
        Role::BellFlare => (2.2, 1.5),
        // Annealed to be rolled, hardened somewhat by it.
        Role::Rim => (1.5, 1.5),
    }
}

/// Temper along a bell: hammered and spun hard in its throat, annealed towards the rim to be spun out and rolled over the
/// wire. Part of the length and numbers hard.
pub const BELL_TEMPER: [(f64, f64); 5] = [(0.0, 2.2), (0.45, 3.3), (0.7, 2.8), (0.9, 1.4), (1.0, 1.0)];

/// Alloy by role: what slides against brass is nickel silver.
pub fn alloy(role: Role) -> Alloy {
    match role {
        Role::TuningSlideInner | Role::HandSlideInner | Role::Piston => Alloy::NickelSilver,
        _ => Alloy::YellowBrass,
    }
}

/// Finish by role where it is not the instrument's own: what slides is bare or plated.
pub fn finish(role: Role) -> Option<Finish> {
    match role {
        Role::TuningSlideInner => Some(Finish::Raw),
        Role::HandSlideInner => Some(Finish::ChromePlate),
        Role::Piston => Some(Finish::NickelPlate),
        _ => None,
    }
}

/// Half length and half width of a brace's foot on a tube of this outside diameter, mm.
pub fn foot_mm(outside_mm: f64) -> (f64, f64) {
    ((0.35 * outside_mm).clamp(5.0, 16.0), (0.3 * outside_mm).clamp(3.5, 13.0))
}

/// Length of a rim along the bell, and what it adds to its diameter, mm.
pub const RIM_MM: f64 = 3.0;

/// Length of a ferrule over a tube of this bore, mm.
pub fn ferrule_mm(bore_mm: f64) -> f64 {
    (0.9 * bore_mm).clamp(9.0, 32.0)
}

/// What a thing is called, by its id: `f-first-slide` is the F first slide.
pub fn name_of(id: &str) -> String {
    let words = id.replace("--", " to ").replace('-', " ");
    words.split(' ').map(|w| if w == "f" { "F" } else { w }).collect::<Vec<_>>().join(" ")
}
