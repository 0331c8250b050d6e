//! Hammered from outside over a mandrel, a stake, a dolly or a rod's head: from the dent's rim inwards, many light
//! blows. A hammer is not limited by what a hand presses but by the work in a blow: what a blow leaves in the wall is its force
//! times the lift that stays, so the lift of a blow and with it the number of blows follow from the work of the way back.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::rolling::from_outside;
use crate::strokes::{Head, MOST_PASSES, Motion, Working, with_lift, within};
use crate::{MethodKind, ToolBody};
use dent::stroke::Hold;
use units::{Text, text};

/// Work that a light blow of a dent hammer puts into the wall, J: 0.2 kg at 2.5 m/s carries 0.6 J, about half of it
/// stays in the wall. Common practice, no source.
pub const WORK_OF_A_BLOW_J: f64 = 0.3;
/// Work that a firm blow puts into the wall where it stands on its support, J: 0.4 kg at 3.5 m/s carries 2.4 J, about half of
/// it stays. Common practice, no source: harder ones leave the hammer's face in the metal.
const FIRM_BLOW_J: f64 = 1.2;
/// More blows than this are not struck at one dent: the metal hardens and stretches. Common practice, no source.
const MOST_BLOWS: f64 = 300.0;
/// Room for a swing, mm. Common practice, no source.
const SWING_ROOM_MM: f64 = 90.0;

/// All hammering.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let no = |why: Text| (Vec::new(), vec![case.rejected(MethodKind::Hammering, None, why)]);
    let hammers = case.tools_where(|_, b| if let ToolBody::Hammer { face_radius_mm } = *b { Some(face_radius_mm) } else { None });
    // The flattest face marks least.
    let Some((tool, face)) = hammers.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)) else {
        return no("no dent hammer on the rack".into());
    };
    if let Some(why) = case.outside_closed(SWING_ROOM_MM) {
        return no(why);
    }
    let working = match work(case, head(case, face)) {
        Ok(w) => w,
        Err(why) => return no(why),
    };
    let blows = working.strokes.strokes;
    if blows > MOST_BLOWS {
        return no(text!(
            "its metal needs {} blows, more than {} harden and stretch it",
            format!("{:.0}", blows),
            format!("{:.0}", MOST_BLOWS)
        ));
    }
    from_outside(case, MethodKind::Hammering, tool, &working, f64::INFINITY)
}

/// A crowned face touches no more of the wall than the dent is wide.
fn head(case: &Case, face_radius_mm: f64) -> Head {
    let narrower = case.assessment.width_along_mm.value.min(case.assessment.width_across_mm.value);
    Head::new((2.0 * face_radius_mm).min(narrower).max(1.0), Hold::Stake, Motion::Places)
}

/// The lift that a blow leaves: no more than is wanted in a pass, and no more than its work pays for. Firm blows only
/// where light ones would be too many.
fn work(case: &Case, head: Head) -> Result<Working, Text> {
    let light = with_blows(case, head, WORK_OF_A_BLOW_J);
    match light {
        Ok(w) if w.strokes.strokes <= MOST_BLOWS => Ok(w),
        _ => with_blows(case, head, FIRM_BLOW_J),
    }
}

fn with_blows(case: &Case, head: Head, blow_j: f64) -> Result<Working, Text> {
    let pays = |w: &Working| work_j(w.force_n, w.strokes.lift_mm) <= blow_j;
    // A hammer gives any force for a moment.
    let wanted = within(case, head, f64::INFINITY).map_err(|w| w.words(case, "a blow gives", f64::INFINITY))?;
    if pays(&wanted) {
        return Ok(wanted);
    }
    let (mut lo, mut hi) = (case.depth_mm() / MOST_PASSES, wanted.strokes.lift_mm);
    let slowest = with_lift(case, head, lo);
    if !pays(&slowest) {
        let asked = work_j(slowest.force_n, lo);
        return Err(text!(
            "a blow leaves {} J in the wall; to remove the dent in {} passes each must leave {} J",
            text!("{}", format!("{:.1}", blow_j)),
            format!("{:.0}", MOST_PASSES),
            format!("{:.1}", asked)
        ));
    }
    for _ in 0..20 {
        let mid = 0.5 * (lo + hi);
        if pays(&with_lift(case, head, mid)) { lo = mid } else { hi = mid }
    }
    Ok(with_lift(case, head, lo))
}

/// Work that stays in the wall where a force leaves a lift, J (closed form).
fn work_j(force_n: f64, lift_mm: f64) -> f64 {
    force_n * lift_mm / 1000.0
}

#[cfg(test)]
mod tests {
    /// 500 N over 0.6 mm is 300 N·mm = 0.3 J (closed form): a light blow by hand.
    #[test]
    fn a_blow_s_work_is_force_times_lift() {
        assert!((super::work_j(500.0, 0.6) - 0.3).abs() < 1e-12);
    }

    /// A light blow: 0.2 kg at 2.5 m/s is ½·0.2·2.5² = 0.625 J, half of which stays (common practice).
    #[test]
    fn a_light_blow() {
        assert!((super::WORK_OF_A_BLOW_J / (0.5 * 0.5 * 0.2 * 2.5 * 2.5) - 1.0).abs() < 0.05);
        // A firm one: 0.4 kg at 3.5 m/s is 2.45 J.
        assert!((super::FIRM_BLOW_J / (0.5 * 0.5 * 0.4 * 3.5 * 3.5) - 1.0).abs() < 0.05);
        assert!((super::MOST_BLOWS, super::SWING_ROOM_MM) == (300.0, 90.0));
    }
}
