//! Where a sphere that lies in a tube comes nearest to the wall.
//!
//! In the section at `u` a wall point W(u) of bore radius a stands a from the axis; from the sphere's centre c the
//! nearest one of that section lies on the side where c's offset points. The least of |W(u) − c| over u is the
//! clearance, in straight parts as in bends and whatever the bore does there (derivative of ½|W − c|² along the wall's
//! line by hand; Newton's method).

use crate::tube::{Narrowing, Tube};
use glam::DVec3;

/// The wall's point nearest to a sphere's centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Its section, mm from the mouth.
    pub u_mm: f64,
    /// Its distance from the centre, mm.
    pub distance_mm: f64,
    /// The direction to it.
    pub towards: DVec3,
}

impl Touch {
    fn new(u_mm: f64, to: DVec3) -> Option<Self> {
        let distance_mm = to.length();
        (distance_mm > 1e-9).then(|| Self { u_mm, distance_mm, towards: to / distance_mm })
    }
}

/// The direction of a vector across the axis; of one that is nothing but rounding, the other.
pub fn direction_or(v: DVec3, other: DVec3) -> DVec3 {
    let length = v.length();
    if length > 1e-9 { v / length } else { other }
}

/// How far along the axis a sphere reaches on the inside of a bend at most.
fn span(tube: &Tube, u_mm: f64, radius_mm: f64) -> (f64, f64) {
    let span = radius_mm / (1.0 - tube.curvature(u_mm) * tube.radius_mm(u_mm)).clamp(0.3, 1.0);
    ((u_mm - span).max(0.0), (u_mm + span).min(tube.length_mm()))
}

/// The nearest point of the bore's wall to a centre that lies inside it, in the section at `u_mm`.
pub fn nearest_wall(tube: &Tube, centre: DVec3, u_mm: f64, radius_mm: f64) -> Option<Touch> {
    let (from, to) = span(tube, u_mm, radius_mm);
    let mut nearest: Option<Touch> = None;
    let mut start = from;
    while start < to {
        let end = tube.next_kink(start).clamp(start, to);
        if end <= start {
            break;
        }
        let bore = |u: f64| tube.radius_mm(u.clamp(start + 1e-9, (end - 1e-9).max(start + 1e-9)));
        let slope = (bore(end) - bore(start)) / (end - start);
        let bend = tube.curvature(0.5 * (start + end));
        let mut u = (u_mm - slope * radius_mm).clamp(start, end);
        let mut least = (f64::INFINITY, u, DVec3::ZERO);
        for _ in 0..8 {
            let frame = tube.frame(u);
            let a = bore(start) + slope * (u - start);
            let o = centre - frame.at;
            let side = direction_or(o - frame.along * o.dot(frame.along), frame.normal);
            let to_wall = side * a - o;
            let square = to_wall.length_squared();
            if square < least.0 {
                least = (square, u, to_wall);
            }
            let inwards = bend * tube.inside_of_bend(u).map_or(0.0, |c| c.dot(side));
            let line = frame.along * (1.0 - inwards * a) + side * slope;
            let second = line.length_squared() + to_wall.dot(side) * inwards * (1.0 - inwards * a);
            let next = (u - to_wall.dot(line) / second.max(0.05)).clamp(start, end);
            let moved = (next - u).abs();
            u = next;
            // Half a thousandth from the foot of the nearest point changes its distance by less than 1e-6.
            if moved < 1e-3 {
                break;
            }
        }
        nearest = Touch::new(least.1, least.2).into_iter().chain(nearest).min_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm));
        start = end;
    }
    nearest
}

/// The nearest point of a dent's flat to a centre that lies on its inner side, in the section at `u_mm`.
pub fn nearest_on_dent(tube: &Tube, dent: &Narrowing, centre: DVec3, u_mm: f64, radius_mm: f64) -> Option<Touch> {
    const STEPS: usize = 16;
    /// (√5 − 1)/2.
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let reach = span(tube, u_mm, radius_mm);
    let (from, to) = (reach.0.max(dent.at_mm - dent.half_width_mm), reach.1.min(dent.at_mm + dent.half_width_mm));
    if from >= to {
        return None;
    }
    let to_flat = |u: f64| {
        let frame = tube.frame(u);
        let side = frame.clock(dent.clock_rad);
        let o = centre - frame.at;
        let along = frame.along * o.dot(frame.along);
        side * (tube.radius_mm(u) - dent.depth_at(u) - o.dot(side)) - along
    };
    let step = (to - from) / STEPS as f64;
    let away = |u: f64| to_flat(u).length_squared();
    let (mut lo, mut hi) = (0..=STEPS)
        .map(|i| from + step * i as f64)
        .map(|u| (u, away(u)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(u, _)| ((u - step).max(from), (u + step).min(to)))?;
    // Golden section: of its two places one is the next pair's too.
    let part = |from: f64, to: f64| from + GOLDEN * (to - from);
    let (mut a, mut b) = (part(hi, lo), part(lo, hi));
    let (mut at_a, mut at_b) = (away(a), away(b));
    for _ in 0..14 {
        if at_a < at_b {
            (hi, b, at_b) = (b, a, at_a);
            a = part(hi, lo);
            at_a = away(a);
        } else {
            (lo, a, at_a) = (a, b, at_b);
            b = part(lo, hi);
            at_b = away(b);
        }
    }
    let u = 0.5 * (lo + hi);
    Touch::new(u, to_flat(u))
}
