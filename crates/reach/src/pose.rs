//! The pose of a body in a tube: maximise the least clearance over all cross-sections.
//!
//! The body's centre line crosses each cross-section of the tube at an offset o from the axis. In a
//! cylinder as in a circular bend the distance from there to the wall is a − |o| (closed form), so the
//! clearance is (a − |o|)·cos ψ − r, ψ the tilt of the body against the section, and beside a dent
//! (limit − o·e) − r. Offsets are very nearly linear in the five coordinates of a pose, so the clearance is
//! nearly concave, and a sequence of linear programmes with a trust region finds the best pose (sequential
//! linear programming; from memory of Fletcher & Sainz de la Maza, Math. Programming 43 (1989)).
//!
//! A 'yes' is a pose whose clearance is not negative at any section; a 'no' names the section where the
//! best pose that was found lacks most.

use crate::body::{Body, Placement, Walk};
pub use crate::clearances::Ignore;
use crate::clearances::{Motion, Step};
use crate::lp::{self, MOST};
use crate::measure::{Fitting, cross};
use crate::tube::{Section, Tube};
use glam::DVec3;
use std::f64::consts::TAU;

/// How the tip is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tip {
    /// The head's centre stands at this offset in the tip's section: it presses there.
    Held(DVec3),
    /// The head may lie anywhere that the bore and the dents leave it.
    Free,
}

/// The best pose found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Best {
    /// Where the body lies.
    pub placement: Placement,
    /// Least clearance, mm; negative: it does not fit.
    pub clearance_mm: f64,
    /// Where the clearance is least, mm from the mouth.
    pub tightest_mm: f64,
    /// Whether the clearance is a bound that no pose passes (as far as clearances are concave) rather than
    /// this placement's own.
    pub bound: bool,
}

/// A body with its tip at one place of a tube.
pub struct Question<'a> {
    /// The tube.
    pub tube: &'a Tube,
    /// Its cross-sections from the mouth up to the tip (or past it: those beyond the tip are left out).
    pub sections: &'a [Section],
    /// Where the tip is, mm from the mouth.
    pub tip_mm: f64,
    /// The body.
    pub body: Body,
    /// How the tip is held.
    pub tip: Tip,
    /// Dents whose flats do not count.
    pub ignore: Ignore,
}

/// A climb on few sections ends when a step would gain less than this, mm.
const ROUGH_MM: f64 = 0.02;
/// A climb on all sections ends when a step would gain less than this, mm.
const FINE_MM: f64 = 1e-3;
/// A rough climb that lacks less than this part of the bore's radius is climbed to its end.
const NEARLY: f64 = 0.1;
/// Starts climbed from at most.
const MOST_CLIMBS: usize = 8;
/// Climbs that end where the best one did, in a row, after which no more are tried.
const OFTEN_ENOUGH: usize = 2;
/// Clearances of this many tolerances are not looked at again with closer sections.
const SURE: f64 = 5.0;
/// A clearance with which no other start is tried, mm.
const ENOUGH_MM: f64 = 0.02;

impl Question<'_> {
    fn fitting(&self) -> Fitting<'_> {
        Fitting::new(self.tube, &self.body, self.ignore, self.tip_mm, self.tip == Tip::Free)
    }

    /// The sections of the way, from the mouth to the tip.
    fn way(&self) -> Vec<&Section> {
        self.sections[..self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6)].iter().collect()
    }

    /// Length of the body in the tube, mm, at least 1.
    fn reach_mm(&self) -> f64 {
        self.tip_mm.min(self.body.length_mm).max(1.0)
    }

    /// The best pose found. Several starts are looked at and the most promising are climbed from, on every
    /// fourth section first (fewer sections can only flatter: a 'no' there is a 'no'), until one fits or none
    /// is left; what fits is climbed to its end on all sections.
    pub fn best(&self) -> Option<Best> {
        self.best_up_to(f64::INFINITY)
    }

    /// The best pose found; one that has `goal_mm` of clearance is not bettered.
    fn best_up_to(&self, goal_mm: f64) -> Option<Best> {
        let mut fit = self.fitting();
        let may_lie_across = std::mem::replace(&mut fit.across, false);
        let best = self.search(&fit, goal_mm);
        if may_lie_across && best.is_none_or(|b| b.clearance_mm < 0.0) {
            // Not upright: lying across the short way?
            fit.across = true;
            return self.search(&fit, goal_mm).into_iter().chain(best).max_by(|a, b| a.clearance_mm.total_cmp(&b.clearance_mm));
        }
        best
    }

    /// Whether some pose fits, by the sections given: as [`Question::best`], but the first that fits is enough.
    pub fn fits_somewhere(&self) -> Result<(), Option<Best>> {
        let best = self.best_up_to(0.0);
        if best.is_some_and(|b| b.clearance_mm >= 0.0) { Ok(()) } else { Err(best) }
    }

    fn search(&self, fit: &Fitting, goal_mm: f64) -> Option<Best> {
        let fine = self.way();
        let every =
            |n: usize| fine.iter().enumerate().filter(|(i, _)| i % n == 0 || i + 1 == fine.len()).map(|(_, s)| *s).collect::<Vec<_>>();
        let coarse = every(if fine.len() < 24 { 1 } else { 4 });
        let coarsest = every((fine.len() / 8).max(1));
        let same = coarse.len() == fine.len();
        let climb = Climb { reach_mm: self.reach_mm(), enough_mm: FINE_MM, goal_mm };
        let rough = Climb { enough_mm: if same { FINE_MM } else { ROUGH_MM }, ..climb };
        let starts = distinct(self.starts(&fit.tip, &fine));
        let first = most_clearance(&starts, |p, floor| fit.least(p, &coarsest, floor))?;
        // All in order, those with the least clearance first, where that one does not do.
        let mut order: Option<Vec<Placement>> = None;
        let in_order = || rising(&starts, |p| fit.least(p, &coarsest, f64::NEG_INFINITY));
        let short = self.tip_mm < 3.0 * fit.tip.radius_mm;
        let few = if self.body.curvature > 0.0 { 4 } else { 2 };
        let (mut best, mut again): (Option<Best>, usize) = (None, 0);
        for i in 0..starts.len().min(MOST_CLIMBS) {
            // More starts only where it nearly fits, or where a wide short way leaves clearance for quite other poses.
            if i >= few && !short && best.is_some_and(|b| b.clearance_mm < -0.3 * fit.tip.radius_mm) {
                break;
            }
            let placement = match i {
                0 => starts[first.0],
                _ => order.get_or_insert_with(in_order)[starts.len() - 1 - i],
            };
            let mut found = self.improve(placement, fit, &coarse, rough);
            if found.bound && self.body.curvature == 0.0 && !short {
                return Some(found);
            }
            if found.clearance_mm < 0.0 && i == 0 && (self.body.curvature > 0.0 || first.1 < -2.0 * fit.tip.radius_mm) {
                let longer = self.lengthen(order.get_or_insert_with(in_order), fit, &coarse);
                if longer.clearance_mm > found.clearance_mm {
                    found = longer;
                }
            }
            if found.clearance_mm < 0.0 && found.clearance_mm > -NEARLY * fit.tip.radius_mm && !same {
                found = self.improve(found.placement, fit, &coarse, climb);
            }
            if found.clearance_mm >= 0.0 && !same {
                found = self.improve(found.placement, fit, &fine, climb);
            }
            // Climbs that end at the same place, one after the other, will not find another.
            again = if best.is_some_and(|b| same_place(&b, &found, fit.tip.radius_mm)) { again + 1 } else { 0 };
            if best.is_none_or(|b| found.clearance_mm > b.clearance_mm) {
                best = Some(found);
            }
            if again >= OFTEN_ENOUGH {
                break;
            }
            if best.is_some_and(|b| b.clearance_mm >= goal_mm.min(ENOUGH_MM)) {
                break;
            }
        }
        best
    }

    /// As [`Question::best`], from a pose of a question that differs little.
    pub fn best_from(&self, near: &Placement) -> Option<Best> {
        let fit = self.fitting();
        let at = match self.tip {
            Tip::Held(o) => fit.tip.frame.at + o,
            Tip::Free => near.tip,
        };
        let found = self.improve(Placement { tip: at, ..*near }, &fit, &self.way(), Climb::to_its_end(self.reach_mm(), FINE_MM));
        if found.clearance_mm >= 0.0 { Some(found) } else { self.best() }
    }

    /// Whether some pose fits, from a pose of a question that differs little, by the sections given.
    pub fn fits_from(&self, near: &Placement) -> Result<(), Option<Best>> {
        let fit = self.fitting();
        let at = match self.tip {
            Tip::Held(o) => fit.tip.frame.at + o,
            Tip::Free => near.tip,
        };
        let climb = Climb { reach_mm: self.reach_mm(), enough_mm: FINE_MM, goal_mm: 0.0 };
        let found = self.improve(Placement { tip: at, ..*near }, &fit, &self.way(), climb);
        if found.clearance_mm >= 0.0 { Ok(()) } else { self.fits_somewhere() }
    }

    /// Whether the best pose fits, by sections of this tolerance; where the answer lies near the tolerance, by
    /// closer sections.
    pub fn fits(&self, best: Best, tolerance_mm: f64) -> (bool, Best) {
        if best.bound || best.clearance_mm >= SURE * tolerance_mm || best.clearance_mm < -tolerance_mm {
            return (!best.bound && best.clearance_mm >= 0.0, best);
        }
        let closer = tolerance_mm / 20.0;
        let sections = self.tube.sections(self.tip_mm, self.body.curvature, closer);
        let way: Vec<&Section> = sections.iter().filter(|s| s.u_mm < self.tip_mm - 1e-6).collect();
        let found = self.improve(best.placement, &self.fitting(), &way, Climb::to_its_end(self.reach_mm(), 0.1 * closer));
        (found.clearance_mm >= closer, found)
    }

    /// Placements to start from: along the axis at the tip and along chords of the way; a curved body with its
    /// curve turned to eight sides.
    fn starts(&self, tip: &Section, way: &[&Section]) -> Vec<Placement> {
        let offset = match self.tip {
            Tip::Held(o) => o,
            Tip::Free => DVec3::ZERO,
        };
        let at = tip.frame.at + offset;
        let mut aways = vec![-tip.frame.along];
        for part in [0, way.len() / 2, way.len() * 3 / 4] {
            if let Some(s) = way.get(part) {
                aways.push((s.frame.at - at).normalize_or(-tip.frame.along));
            }
        }
        if self.tip_mm < 3.0 * tip.radius_mm {
            // Deep inside a wide short way a rod may lean far over: towards four sides of the mouth too.
            if let Some(s) = way.first() {
                aways.extend((0..4).map(|k| {
                    (s.frame.at + s.frame.clock(TAU * f64::from(k) / 4.0) * (0.6 * s.radius_mm) - at).normalize_or(-tip.frame.along)
                }));
            }
        }
        let mut all = Vec::new();
        if self.body.curvature > 0.0 {
            // Chords with the curve turned so that it bulges as the way does between their ends.
            for far in [0, way.len() / 4, way.len() / 2] {
                let (Some(end), Some(middle)) = (way.get(far), way.get((far + way.len()) / 2)) else { continue };
                let chord = end.frame.at - at;
                let away = chord.normalize_or(-tip.frame.along);
                let bulge = middle.frame.at - at;
                let bulge = bulge - away * bulge.dot(away);
                // A way that does not bulge bulges anywhere: its rounding errors have no direction.
                let side = if bulge.length() > 1e-6 { -bulge.normalize() } else { away.any_orthonormal_vector() };
                let half = (0.5 * self.body.curvature * chord.length()).min(1.0).asin();
                let turned = away * half.cos() - side * half.sin();
                let side = (side - turned * side.dot(turned)).normalize_or(side);
                all.push(Placement { tip: at, away: turned, side });
            }
        }
        for away in aways {
            let first = tip.frame.normal - away * tip.frame.normal.dot(away);
            let first = first.normalize_or(away.any_orthonormal_vector());
            if self.body.curvature == 0.0 {
                all.push(Placement { tip: at, away, side: first });
                continue;
            }
            let second = away.cross(first);
            for k in 0..8 {
                let (sin, cos) = (TAU * f64::from(k) / 8.0).sin_cos();
                let side = first * cos + second * sin;
                // The chord of an arc stands half its angle from its tangent.
                let half = 0.5 * self.body.curvature * self.tip_mm.min(self.body.length_mm);
                let chord = away != -tip.frame.along && half < 1.2;
                let turned = if chord { away * half.cos() - side * half.sin() } else { away };
                let side = (side - turned * side.dot(turned)).normalize_or(side);
                all.push(Placement { tip: at, away: turned, side });
            }
        }
        all
    }

    /// First the sections near the tip, then more and more of the way: for ways so bent that no start crosses
    /// all of it. The start is the one that lies best near the tip.
    fn lengthen(&self, starts: &[Placement], fit: &Fitting, way: &[&Section]) -> Best {
        let tip = &fit.tip;
        let whole = self.reach_mm();
        let near = way.partition_point(|s| s.u_mm < self.tip_mm - 0.15 * whole).min(way.len().saturating_sub(3));
        let start = most_clearance(starts, |p, floor| fit.least(p, &way[near..], floor)).map(|s| starts[s.0]);
        let mut placement = start.unwrap_or(Placement { tip: tip.frame.at, away: -tip.frame.along, side: tip.frame.normal });
        let mut best = Best { placement, clearance_mm: f64::NEG_INFINITY, tightest_mm: tip.u_mm, bound: false };
        for part in [0.15, 0.4, 1.0] {
            let reach = whole * part;
            let from = if part >= 1.0 { 0 } else { way.partition_point(|s| s.u_mm < self.tip_mm - reach) };
            if part < 1.0 && way.len() - from < 3 {
                continue;
            }
            best = self.improve(placement, fit, &way[from..], Climb::to_its_end(reach.max(1.0), ROUGH_MM));
            placement = best.placement;
            if part < 1.0 && best.clearance_mm < -0.02 - 0.02 * tip.radius_mm {
                return best;
            }
        }
        best
    }

    /// Climbs from a placement by linear programmes.
    fn improve(&self, start: Placement, fit: &Fitting, way: &[&Section], climb: Climb) -> Best {
        let Climb { reach_mm: reach, enough_mm, goal_mm } = climb;
        let tip = &fit.tip;
        let unknowns = match (self.tip, self.body.curvature > 0.0) {
            (Tip::Held(_), false) => 2,
            (Tip::Held(_), true) => 3,
            (Tip::Free, false) => 4,
            (Tip::Free, true) => 5,
        };
        let mut placement = start;
        let mut radius = (0.5 * tip.radius_mm).max(reach * 0.05);
        let step_of = |radius_mm: f64| Step { radius_mm, reach_mm: reach, shifts: self.tip == Tip::Free };
        let mut now = fit.measure(&placement, way, step_of(radius));
        for _ in 0..40 {
            if now.least >= goal_mm {
                break;
            }
            let axes = self.axes(&placement, tip, reach);
            let (predicted, step) = lp::maximin(&now.rows(&axes, unknowns, radius), unknowns, radius);
            let gain = predicted - now.least;
            // Clearances are nearly concave: what the programme promises free of the trust region bounds them.
            let inside = step.iter().all(|s| s.abs() < 0.99 * radius);
            if now.crossed && inside && predicted < -0.05 * tip.radius_mm - 0.1 {
                return Best { placement, clearance_mm: predicted, tightest_mm: now.at, bound: true };
            }
            // With clearance to spare the last twentieth of it does not matter.
            if gain < enough_mm.max(0.05 * now.least) {
                break;
            }
            let (by, rotation) = axes.iter().zip(&step).fold((DVec3::ZERO, DVec3::ZERO), |(v, w), (a, s)| (v + a.0 * *s, w + a.1 * *s));
            let moved = placement.moved(by, rotation);
            // The next step is at most twice as large.
            let next = fit.measure(&moved, way, step_of(2.0 * radius));
            let got = next.least - now.least;
            if got > 0.75 * gain {
                radius *= 2.0;
            } else if got < 0.25 * gain {
                radius *= 0.3;
            }
            if got > 1e-7 {
                placement = moved;
                now = next;
            }
            if radius < 1e-4 {
                break;
            }
        }
        Best { placement, clearance_mm: now.least, tightest_mm: now.at, bound: false }
    }

    /// The unit motions of the unknowns: rotations scaled so that one unit moves the far end 1 mm.
    fn axes(&self, placement: &Placement, tip: &Section, reach: f64) -> [Motion; MOST] {
        let side = placement.side;
        let other = placement.away.cross(side);
        let turns = [(DVec3::ZERO, side / reach), (DVec3::ZERO, other / reach), (DVec3::ZERO, placement.away / reach)];
        let shifts = [(tip.frame.normal, DVec3::ZERO), (tip.frame.binormal, DVec3::ZERO)];
        if self.body.curvature > 0.0 {
            [turns[0], turns[1], turns[2], shifts[0], shifts[1]]
        } else {
            [turns[0], turns[1], shifts[0], shifts[1], (DVec3::ZERO, DVec3::ZERO)]
        }
    }
}

/// How far a climb goes.
#[derive(Clone, Copy)]
struct Climb {
    /// Length of the body that lies in the tube, mm.
    reach_mm: f64,
    /// It ends when a step would gain less than this, mm.
    enough_mm: f64,
    /// It ends with this clearance, mm.
    goal_mm: f64,
}

impl Climb {
    fn to_its_end(reach_mm: f64, enough_mm: f64) -> Self {
        Self { reach_mm, enough_mm, goal_mm: f64::INFINITY }
    }
}

/// Which of some placements has the most clearance, and how much; `clearance` may stop under the floor that it is given.
fn most_clearance(all: &[Placement], clearance: impl Fn(&Placement, f64) -> f64) -> Option<(usize, f64)> {
    let mut most: Option<(usize, f64)> = None;
    for (i, p) in all.iter().enumerate() {
        let floor = most.map_or(f64::NEG_INFINITY, |m| m.1);
        let clearance = clearance(p, floor);
        if most.is_none() || clearance > floor {
            most = Some((i, clearance));
        }
    }
    most
}

/// Placements in the order of their clearance, the most last; the first of equals after the others.
fn rising(all: &[Placement], clearance: impl Fn(&Placement) -> f64) -> Vec<Placement> {
    let mut clearances: Vec<(f64, Placement)> = all.iter().rev().map(|p| (clearance(p), *p)).collect();
    clearances.sort_by(|a, b| a.0.total_cmp(&b.0));
    clearances.into_iter().map(|r| r.1).collect()
}

/// Whether two climbs ended at the same place, as good as: the same clearance, tip and direction.
fn same_place(a: &Best, b: &Best, radius_mm: f64) -> bool {
    let near = 0.005 * radius_mm;
    (a.clearance_mm - b.clearance_mm).abs() < near
        && a.placement.tip.distance(b.placement.tip) < 4.0 * near
        && a.placement.away.dot(b.placement.away) > 0.9999
        && (a.placement.side.dot(b.placement.side) > 0.999)
}

/// Placements that differ by more than a degree or so from those before them: chords and the axis often coincide.
fn distinct(all: Vec<Placement>) -> Vec<Placement> {
    let mut kept: Vec<Placement> = Vec::with_capacity(all.len());
    for p in all {
        if !kept.iter().any(|k| k.away.dot(p.away) > 0.9998 && k.side.dot(p.side) > 0.9998) {
            kept.push(p);
        }
    }
    kept
}

impl Question<'_> {
    /// The offset of the centre line from the axis at each section from the tip outwards, with its `s`.
    pub fn offsets(&self, placement: &Placement) -> Vec<(usize, f64, DVec3)> {
        let n = self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6);
        let mut found = Vec::with_capacity(n);
        let mut walk = Walk::new(placement, self.body.curvature, 0.0);
        let mut u = self.tip_mm;
        for (i, section) in self.sections[..n].iter().enumerate().rev() {
            walk.by(u - section.u_mm);
            u = section.u_mm;
            let Some(c) = cross(&mut walk, section) else { break };
            if c.s > self.body.length_mm {
                break;
            }
            found.push((i, c.s, c.p - section.frame.at));
        }
        found
    }
}
