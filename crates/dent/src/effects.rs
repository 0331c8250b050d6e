//! Why a dent matters.

use crate::{Effect, Form};
use instrument::{Dent, Role, Site};
use units::Source;

/// Source of the limits below.
pub const EFFECTS: Source = Source::common_practice(
    "bore: passage under 0.90 of it (0.95 in a leadpipe or receiver) or less than 0.97 of its area left; joint: a soldered joint closer than the dent's edge and 5 mm, or a brace, ferrule, guard or patch over it",
);

/// Passage over bore below which a swab or a ball notices. See [`EFFECTS`].
const PASSAGE_PART: f64 = 0.90;
/// The same close to the mouthpiece, where the air is most particular. See [`EFFECTS`].
const PASSAGE_PART_LEADPIPE: f64 = 0.95;
/// Part of the area left below which the air notices. See [`EFFECTS`].
const AREA_PART: f64 = 0.97;
/// How near a soldered joint holds a dent's edge, mm. See [`EFFECTS`].
const JOINT_MM: f64 = 5.0;

/// Whether something must slide or turn in or over this run.
pub fn moves(role: Role) -> bool {
    use Role::{Casing, HandSlideInner, HandSlideOuter, Piston, TuningSlideInner, TuningSlideOuter};
    matches!(role, Casing | Piston | TuningSlideInner | TuningSlideOuter | HandSlideInner | HandSlideOuter)
}

/// What the effects depend on.
#[derive(Clone, Copy, Debug)]
pub struct Measures {
    /// Passage over bore.
    pub passage_part: f64,
    /// Part of the area left.
    pub area_left: f64,
    /// Half the width along the tube, mm.
    pub half_along_mm: f64,
    /// Form.
    pub form: Form,
}

/// The effects, gravest first; never empty.
pub fn effects(dent: &Dent, site: &Site, m: Measures) -> Vec<Effect> {
    let mut effects = Vec::with_capacity(3);
    if moves(site.role) {
        effects.extend(site.fits.iter().map(|fit| Effect::MovingFit { fit: fit.clone() }));
    }
    let least = if matches!(site.role, Role::Leadpipe | Role::Receiver) { PASSAGE_PART_LEADPIPE } else { PASSAGE_PART };
    if m.passage_part < least || m.area_left < AREA_PART {
        effects.push(Effect::Bore);
    }
    // A station that is only guessed says nothing about how near a joint is.
    let placed = site.at_mm.sd <= m.half_along_mm + 10.0;
    let near_joint = placed && site.joints_near.iter().any(|(_, distance)| *distance <= m.half_along_mm + JOINT_MM);
    if near_joint || dent.pushed_in_by.is_some() || !site.under.is_empty() {
        effects.push(Effect::Joint);
    }
    let weak = dent.crack.is_some() || dent.crease.is_some() || m.form == Form::VShaped || site.red_rot || site.season_cracking;
    if weak {
        // A crack that may go through leaks: before the bore.
        let leaks = dent.crack.as_ref().is_some_and(|c| c.through != Some(false));
        let place = if leaks { effects.iter().take_while(|e| matches!(e, Effect::MovingFit { .. })).count() } else { effects.len() };
        effects.insert(place, Effect::Structural);
    }
    if effects.is_empty() {
        effects.push(Effect::Cosmetic);
    }
    effects
}
