//! The place where a dent is: everything a repairer must know before touching it.

use crate::{
    Condition, ConditionKind, Cover, Dent, DentId, End, Finish, FitId, JointId, JointKind, OverlayId, Profile, Role, Run, RunEnd, RunId,
    Segment, Survey,
};
use metal::{Alloy, Temper, Value};
use serde::{Deserialize, Serialize};
use units::{Known, Origin, Unit};

/// Whether the tube is straight or bent at the place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum Shape {
    /// Straight.
    Straight,
    /// In a bend.
    Bent {
        /// Radius of the centre line, mm.
        radius_mm: f64,
    },
    /// The station is not known: this part of the run is bent.
    Unsure {
        /// The part of the run's length that is bent, 0 to 1.
        bent_part: f64,
        /// The tightest radius of the run, mm.
        radius_mm: f64,
    },
}

/// A surveyed crack or hole near a dent that is not the dent's own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CrackNear {
    /// Its name in the survey.
    pub id: crate::ConditionId,
    /// A hole, or else a crack.
    pub hole: bool,
    /// Distance from the dent's middle to it along the run, mm; 0 where the dent's middle lies in it; none where nobody said where it is.
    pub distance_mm: Option<f64>,
    /// Whether it goes through the wall.
    pub through: Option<bool>,
}

/// The place of a dent. Every value says whether it was measured, came from the pattern or was assumed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Site {
    /// The dent.
    pub dent: DentId,
    /// The run.
    pub run: RunId,
    /// What the run does.
    pub role: Role,
    /// Station, mm; wide where the survey does not say.
    pub at_mm: Known,
    /// Clock angle, degrees, where known.
    pub clock_deg: Option<Known>,
    /// Inside diameter there, mm.
    pub bore_mm: Known,
    /// Wall there, mm: what was measured at the dent or left of a thin patch; else the run's, thinned on the outside of a bend and
    /// thickened on its inside, and less what earlier work took.
    pub wall_mm: Known,
    /// Temper there, Brown & Sharpe numbers hard.
    pub temper: Known,
    /// Alloy.
    pub alloy: Alloy,
    /// Finish.
    pub finish: Finish,
    /// Straight or bent.
    pub shape: Shape,
    /// Half angle of the taper there, degrees, positive where the bore grows towards the bell.
    pub taper_half_angle_deg: f64,
    /// Overlays that cover the dent or could (where its place is not known).
    pub under: Vec<OverlayId>,
    /// Moving fits that run over this run.
    pub fits: Vec<FitId>,
    /// Soldered joints nearby, with the distance to each, mm, nearest first.
    pub joints_near: Vec<(JointId, f64)>,
    /// Red rot at the place.
    pub red_rot: bool,
    /// Whether that red rot goes through the wall; none where there is none or nobody looked.
    pub red_rot_through: Option<bool>,
    /// Season cracking near the place.
    pub season_cracking: bool,
    /// The nearest surveyed crack or hole that is not the dent's own.
    #[serde(default)]
    pub crack_near: Option<CrackNear>,
}

/// How far from a dent's middle a soldered joint still counts as near, mm: beyond it a torch's heat has fallen to a
/// small part (a tube wall's fin length is 30–60 mm; `metal::heat`). Common practice, no source.
const NEAR_MM: f64 = 250.0;

/// Half width of a dent's footprint where its widths are unknown, mm; only to judge what lies over it.
const UNKNOWN_HALF_WIDTH_MM: f64 = 8.0;

impl Survey {
    /// The place of a dent; none where its run is not in the instrument.
    ///
    /// Where the survey does not say the station, the middle of the run is taken with the spread of an even guess over
    /// its length (length/√12), and bore, wall and temper widen by their own spread over the run. The dent's own
    /// measured wall or hardness goes before the run's.
    pub fn site(&self, dent: &Dent) -> Option<Site> {
        let run = self.instrument.run(&dent.run)?;
        let length = run.length_mm();
        let at_mm = match &dent.at_mm {
            Some(known) => known.clone().named("distance from the mouthpiece end"),
            None => Known::new("distance from the mouthpiece end", length / 2.0, length / 12.0_f64.sqrt(), Unit::Mm, Origin::Assumed),
        };
        let unsure = at_mm.sd > UNSURE_PART * length && at_mm.origin.could_be_measured();
        let at = at_mm.value;
        let stretch = if unsure { (0.0, length) } else { (at - 2.0 * at_mm.sd, at + 2.0 * at_mm.sd) };
        let spread = |profile: &Profile| {
            let (low, high) = profile.range_between(stretch.0, stretch.1);
            // An even spread over a range has the standard deviation range/√12.
            (high - low) / 12.0_f64.sqrt()
        };
        let bore_mm = run.bore_at(at).widened_by(spread(&run.bore_mm));
        let by_hardness = dent.hardness_hv.as_ref().and_then(|hv| {
            let read = Temper::from_vickers(run.alloy, Value::new(hv.value, hv.sd))?;
            Some(Known::new("temper", read.temper.0, read.sd, Unit::NumbersHard, hv.origin))
        });
        let temper = by_hardness.unwrap_or_else(|| run.temper_at(at).widened_by(spread(&run.temper)));
        let shape = if unsure {
            match run.axis.bent_part() {
                (_, None) => Shape::Straight,
                (bent_part, Some(radius_mm)) => Shape::Unsure { bent_part, radius_mm },
            }
        } else {
            run.axis.bend_at(at).map_or(Shape::Straight, |radius_mm| Shape::Bent { radius_mm })
        };
        let clock = dent.clock_deg.as_ref().map(|k| k.value);
        let conditions = || {
            let near = |c: &&Condition| c.is_on(&run.id) && near_condition(c, at, unsure) && near_clock(c, clock);
            self.conditions.iter().filter(near)
        };
        let thin = |c: &&Condition| matches!(c.kind, ConditionKind::Thin | ConditionKind::RedRot);
        let left = conditions().filter(thin).filter_map(|c| c.wall_left_mm.as_ref()).min_by(|a, b| a.value.total_cmp(&b.value));
        let wall_mm = match (&dent.wall_mm, left) {
            (Some(w), _) | (None, Some(w)) => w.clone().named("wall"),
            (None, None) => {
                let straight = run.wall_at(at).widened_by(spread(&run.wall_mm));
                let bent = bent_wall(straight, bore_mm.value, shape, run.axis.segment_at(at).map(|s| s.0), dent.clock_deg.as_ref());
                self.thinned(dent, bent, conditions().any(|c| c.kind == ConditionKind::Thin))
            }
        };
        let crack_near = conditions()
            .filter(|c| matches!(c.kind, ConditionKind::Crack | ConditionKind::Hole))
            .map(|c| CrackNear {
                id: c.id.clone(),
                hole: c.kind == ConditionKind::Hole,
                distance_mm: if unsure { None } else { distance_mm(c, at) },
                through: c.through,
            })
            .min_by(|a, b| a.distance_mm.unwrap_or(f64::MAX).total_cmp(&b.distance_mm.unwrap_or(f64::MAX)));
        Some(Site {
            dent: dent.id.clone(),
            run: run.id.clone(),
            role: run.role,
            clock_deg: dent.clock_deg.clone().map(|k| k.named("clock")),
            bore_mm,
            wall_mm,
            temper,
            alloy: run.alloy,
            finish: run.finish,
            shape,
            taper_half_angle_deg: run.taper_half_angle_at(at),
            under: self.overlays_over(dent, run, at, unsure),
            fits: self.instrument.fits_of(&run.id).into_iter().map(|f| f.id.clone()).collect(),
            joints_near: self.joints_near(run, at),
            red_rot: conditions().any(|c| c.kind == ConditionKind::RedRot),
            // True before false before not said: one patch that goes through is enough.
            red_rot_through: conditions().filter(|c| c.kind == ConditionKind::RedRot).filter_map(|c| c.through).max(),
            season_cracking: conditions().any(|c| c.kind == ConditionKind::SeasonCracking),
            crack_near,
            at_mm,
        })
    }

    /// The wall less what earlier work or a thin patch took.
    fn thinned(&self, dent: &Dent, wall: Known, thin_patch: bool) -> Known {
        let lost = dent.earlier_repair.as_ref().and_then(|r| r.thinned_mm.as_ref());
        match lost {
            Some(lost) => {
                Known { value: (wall.value - lost.value).max(0.05), origin: wall.origin.max(lost.origin), ..wall }.widened_by(lost.sd)
            }
            // Metal that was worked and buffed before, or is surveyed as thin, is thinner by an unknown amount: a tenth of the wall.
            // Common practice, no source.
            None if dent.earlier_repair.is_some() || thin_patch => {
                let tenth = 0.1 * wall.value;
                Known { value: wall.value - tenth, ..wall }.widened_by(tenth)
            }
            None => wall,
        }
    }

    fn overlays_over(&self, dent: &Dent, run: &Run, at: f64, unsure: bool) -> Vec<OverlayId> {
        let half_along = dent.width_along_mm.as_ref().map_or(UNKNOWN_HALF_WIDTH_MM, |w| w.value / 2.0);
        let radius = (run.outside_diameter_at(at) / 2.0).max(1.0);
        let half_across = dent.width_across_mm.as_ref().map_or(UNKNOWN_HALF_WIDTH_MM, |w| w.value / 2.0);
        let half_clock = (half_across / radius).to_degrees().min(180.0);
        let covered = |c: &Cover| {
            c.run == run.id
                && (unsure || (at + half_along > c.from_mm && at - half_along < c.to_mm))
                && match (c.clock_deg, &dent.clock_deg) {
                    (Some(range), Some(clock)) => clock_overlaps(range, clock.value, half_clock),
                    _ => true,
                }
        };
        // A station that nobody gave puts every overlay of the run in question; only what goes all round or is long counts then.
        let counts = |c: &Cover| !unsure || (c.to_mm - c.from_mm) > 0.3 * run.length_mm();
        self.instrument
            .overlays
            .iter()
            .filter(|o| dent.pushed_in_by.as_ref() == Some(&o.id) || o.covers.iter().any(|c| covered(c) && counts(c)))
            .filter(|o| !self.lacks(&o.id))
            .filter(|o| !matches!(o.kind, crate::OverlayKind::RimWire | crate::OverlayKind::Garland))
            .map(|o| o.id.clone())
            .collect()
    }

    /// Soldered joints within [`NEAR_MM`] along the metal, over neighbouring runs too, nearest first. A casing's mass and a
    /// slide's loose contact end the way of the heat.
    fn joints_near(&self, run: &Run, at: f64) -> Vec<(JointId, f64)> {
        let mut near: Vec<(JointId, f64)> = Vec::new();
        let mut ends = vec![(run, End::Start, at.max(0.0)), (run, End::Finish, (run.length_mm() - at).max(0.0))];
        let mut passed: Vec<&JointId> = Vec::new();
        while let Some((run, end, distance)) = ends.pop() {
            if distance > NEAR_MM || distance.is_nan() {
                continue;
            }
            for joint in self.instrument.joints_at(&RunEnd { run: run.id.clone(), end }) {
                let soldered = matches!(joint.kind, JointKind::SoftSoldered { .. } | JointKind::SilverBrazed { .. });
                match near.iter_mut().find(|(id, _)| *id == joint.id) {
                    Some(known) => known.1 = known.1.min(distance),
                    None if soldered => near.push((joint.id.clone(), distance)),
                    None => {}
                }
                let beyond = if joint.a.run == run.id && joint.a.end == end { &joint.b } else { &joint.a };
                let Some(next) = self.instrument.run(&beyond.run) else { continue };
                if joint.kind == JointKind::SlidingFit || matches!(next.role, Role::Casing | Role::Piston) || passed.contains(&&joint.id) {
                    continue;
                }
                passed.push(&joint.id);
                let far = if beyond.end == End::Start { End::Finish } else { End::Start };
                ends.push((next, far, distance + next.length_mm()));
            }
        }
        near.sort_by(|a, b| a.1.total_cmp(&b.1));
        near
    }
}

/// Source of [`bend_thinning`].
pub const BENT_WALL: units::Source = units::Source::closed_form(
    "a bent tube's wall keeps its volume and its section: t R/(R − (D/2) cos φ), φ from the inside of the bend; known to a fifth of what it changes (the neutral line moves with the pull of the bending)",
);

/// Factor of a bent tube's wall at an angle from the inside of its bend: thinner outside, thicker inside. See [`BENT_WALL`].
pub fn bend_thinning(diameter_mm: f64, bend_radius_mm: f64, from_inside_deg: f64) -> f64 {
    1.0 / (1.0 - curved(diameter_mm, bend_radius_mm) * from_inside_deg.to_radians().cos())
}

/// Tube radius over bend radius. No tube is bent tighter than 1 D without folding; the formula ends at ½.
fn curved(diameter_mm: f64, bend_radius_mm: f64) -> f64 {
    let x = diameter_mm / (2.0 * bend_radius_mm.max(1e-6));
    if x.is_finite() { x.clamp(0.0, 0.5) } else { 0.0 }
}

/// The wall at a dent in a bend.
fn bent_wall(wall: Known, bore_mm: f64, shape: Shape, segment: Option<Segment>, clock: Option<&Known>) -> Known {
    /// The part of the change that is not known. See [`BENT_WALL`].
    const DOUBT: f64 = 0.2;
    let diameter = bore_mm + wall.value;
    // All round: mean 1/√(1 − x²) and mean square (1 − x²)^(−3/2) of 1/(1 − x cos φ) (closed form).
    let all_round = |radius: f64| {
        let rest = 1.0 - curved(diameter, radius).powi(2);
        (rest.powf(-0.5), (rest.powf(-1.5) - 1.0 / rest).max(0.0))
    };
    let (factor, variance) = match (shape, segment, clock) {
        (Shape::Straight, _, _) => return wall,
        (Shape::Bent { radius_mm }, Some(Segment::Bend { plane_deg, .. }), Some(clock)) if clock.value.is_finite() => {
            let at = |off: f64| bend_thinning(diameter, radius_mm, clock.value - plane_deg + off);
            let sd = if clock.sd.is_finite() { clock.sd.clamp(0.0, 90.0) } else { 90.0 };
            (at(0.0), ((at(sd) - at(-sd)) / 2.0).powi(2))
        }
        (Shape::Bent { radius_mm }, _, _) => all_round(radius_mm),
        (Shape::Unsure { bent_part, radius_mm }, _, _) => {
            let (mean, var) = all_round(radius_mm);
            let p = if bent_part.is_finite() { bent_part.clamp(0.0, 1.0) } else { 0.5 };
            (1.0 + p * (mean - 1.0), p * var + p * (1.0 - p) * (mean - 1.0).powi(2))
        }
    };
    let sd = wall.value * variance.sqrt().hypot(DOUBT * (factor - 1.0));
    Known { value: wall.value * factor, sd: wall.sd * factor, ..wall }.widened_by(sd)
}

/// Distance of a condition from a station along the run, mm; none where nobody said where it is.
fn distance_mm(c: &Condition, at: f64) -> Option<f64> {
    match (c.from_mm, c.to_mm) {
        (Some(a), Some(b)) => Some((a.min(b) - at).max(at - a.max(b)).max(0.0)),
        (Some(one), None) | (None, Some(one)) => Some((at - one).abs()),
        (None, None) => None,
    }
}

/// Whether a condition may lie on the dent's side of the tube: what is not said may; 45° more than the range said counts.
fn near_clock(c: &Condition, clock_deg: Option<f64>) -> bool {
    match (c.clock_deg, clock_deg) {
        (Some(range), Some(clock)) => clock_overlaps(range, clock, 45.0),
        _ => true,
    }
}

/// A station known no better than this part of the run's length is not known.
const UNSURE_PART: f64 = 0.15;

fn near_condition(c: &Condition, at: f64, unsure: bool) -> bool {
    match (c.from_mm, c.to_mm) {
        _ if unsure => true,
        (Some(from), Some(to)) => at >= from - 20.0 && at <= to + 20.0,
        (Some(one), None) | (None, Some(one)) => (at - one).abs() <= 40.0,
        (None, None) => true,
    }
}

/// Whether a clock range (from, to), going the way of the clock, comes within `half_deg` of `clock_deg`.
fn clock_overlaps((from, to): (f64, f64), clock_deg: f64, half_deg: f64) -> bool {
    let span = (to - from).rem_euclid(360.0);
    let span = if span == 0.0 && to != from { 360.0 } else { span };
    let into = (clock_deg - from).rem_euclid(360.0);
    into <= span + half_deg || into >= 360.0 - half_deg
}

#[cfg(test)]
mod tests {
    use super::clock_overlaps;

    #[test]
    fn a_clock_range_may_run_over_twelve() {
        assert!(clock_overlaps((330.0, 30.0), 0.0, 1.0));
        assert!(!clock_overlaps((330.0, 30.0), 180.0, 10.0));
        assert!(clock_overlaps((330.0, 30.0), 35.0, 10.0));
        assert!(clock_overlaps((0.0, 360.0), 123.0, 0.0));
    }
}
