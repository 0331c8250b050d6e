//! Hammered from outside over a mandrel, a stake, a dolly or a rod's head: from the dent's rim inwards, many light
//! blows. A hammer is not limited by what a hand presses but by the work in a blow.

use crate::bench::Case;
use crate::rolling::{force, from_outside};
use crate::way::{RuledOut, Way};
use crate::{Method, ToolBody};

/// Blows that share the lift at one place. Common practice, no source.
const BLOWS: (f64, f64) = (30.0, 8.0);
/// Work that a light blow of a dent hammer puts into the wall, J: 0.2 kg at 2.5 m/s carries 0.6 J, about half of it
/// stays in the wall. Common practice, no source.
const WORK_OF_A_BLOW_J: f64 = 0.3;
/// More blows than this are not struck at one dent: the metal hardens and stretches. Common practice, no source.
const MOST_BLOWS: f64 = 300.0;
/// Room for a swing, mm. Common practice, no source.
const SWING_ROOM_MM: f64 = 90.0;

/// All hammering.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    let blows = blows(case.force_n(), case.depth_mm());
    if blows > MOST_BLOWS {
        let why = format!("its metal asks the work of {blows:.0} light blows, more than {MOST_BLOWS:.0} harden and stretch it");
        return (Vec::new(), vec![case.ruled_out(Method::Hammering, None, why)]);
    }
    let force = force(case, "blows that share the lift", BLOWS);
    let room = |b: &ToolBody| if let ToolBody::Hammer { .. } = b { Some(SWING_ROOM_MM) } else { None };
    from_outside(case, Method::Hammering, &force, None, "dent hammer", room)
}

/// Blows that carry the work of the whole lift: ∫F₀·√(δ/d) dδ = ⅔·F₀·d (closed form).
fn blows(force_n: f64, depth_mm: f64) -> f64 {
    2.0 / 3.0 * force_n * depth_mm / 1000.0 / WORK_OF_A_BLOW_J
}

#[cfg(test)]
mod tests {
    /// 1200 N over 4 mm with F ∝ √δ is ⅔·1200·4 = 3200 N·mm = 3.2 J (closed form).
    #[test]
    fn blows_carry_the_work() {
        assert!((super::blows(1200.0, 4.0) * super::WORK_OF_A_BLOW_J - 3.2).abs() < 1e-9);
    }
}
