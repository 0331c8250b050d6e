//! The valves' loops on the map of the instrument: each drawn as its tubes follow each other from the valve and back to it,
//! and laid flat beside its valve where it covers nothing. The choice of the place is a matter of drawing alone.

use super::parts::{P, Part, Pen, Place, tube};
use instrument::{End, Instrument, JointKind, Role, Run, RunEnd};
use std::collections::{HashMap, HashSet};
use std::f64::consts::TAU;

/// Side of a square of the map that a tube takes up or not, mm.
const SQUARE_MM: f64 = 10.0;
/// Directions that are tried.
const DIRECTIONS: i32 = 24;
/// Room about the way of the air in which loops are laid, mm.
const ROOM_MM: f64 = 900.0;
/// Distances from the valve that are tried, and their step, mm.
const DISTANCES: (i32, f64) = (14, 25.0);

/// What a place of a loop that lies over another tube costs, as mm of distance from its valve.
const COVERED: f64 = 1500.0;

/// The tubes of a loop in the order in which the air takes them, and the casings that it leaves and comes back to.
struct Loop<'a> {
    /// Each with the end by which it is entered, and by how much a slide is pushed in there, mm.
    tubes: Vec<(&'a Run, End, f64)>,
    leaves: &'a Run,
    comes_to: &'a Run,
}

/// The loops laid beside their valves, with a line from each of their ends to its valve.
pub(super) fn lay<'a>(instrument: &'a Instrument, method: &[Part<'a>]) -> (Vec<Part<'a>>, Vec<(P, P)>) {
    let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
    method.iter().flat_map(|p| &p.at).for_each(|p| grow(&mut low, &mut high, p.point));
    let mut taken = Taken::round(low, high);
    method.iter().for_each(|p| taken.take(&p.at));
    let (mut parts, mut leads) = (Vec::new(), Vec::new());
    for one in loops(instrument, method) {
        let centre = |run: &Run| method.iter().find(|p| p.run.id == run.id).map(|p| middle(p.at.first(), p.at.last()));
        let (Some(from), Some(to)) = (centre(one.leaves), centre(one.comes_to)) else { continue };
        let mut pen = Pen { point: (0.0, 0.0), heading: 0.0 };
        let mut drawn = |(run, enters, pushed_mm): &(&'a Run, End, f64)| {
            pen.forward(-pushed_mm);
            tube(run, *enters, &mut pen)
        };
        let flat: Vec<Part<'a>> = one.tubes.iter().map(&mut drawn).collect();
        let ends = ((0.0, 0.0), pen.point);
        let valve = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        let Some(put) = best(&flat, ends, valve, &taken, (low, high)) else { continue };
        for part in flat {
            let at: Vec<Place> = part.at.iter().map(|p| put.of(p)).collect();
            taken.take(&at);
            at.iter().for_each(|p| grow(&mut low, &mut high, p.point));
            parts.push(Part { run: part.run, at });
        }
        leads.push((put.point(ends.0), from));
        leads.push((put.point(ends.1), to));
    }
    (parts, leads)
}

/// The squares of the map that tubes take up.
struct Taken {
    low: P,
    columns: usize,
    squares: Vec<bool>,
}

impl Taken {
    /// Room about a map for as far as loops are laid away from it.
    fn round(low: P, high: P) -> Self {
        let count = |low: f64, high: f64| Self::index((high - low).clamp(0.0, 10_000.0) + 2.0 * ROOM_MM).unwrap_or(0) + 1;
        let (columns, rows) = (count(low.0, high.0), count(low.1, high.1));
        Self { low: (low.0 - ROOM_MM, low.1 - ROOM_MM), columns, squares: vec![false; columns * rows] }
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some metres in squares, not below zero")]
    fn index(mm: f64) -> Option<usize> {
        (mm >= 0.0).then_some((mm / SQUARE_MM) as usize)
    }

    fn at(&self, p: P) -> Option<usize> {
        let (column, row) = (Self::index(p.0 - self.low.0)?, Self::index(p.1 - self.low.1)?);
        (column < self.columns).then_some(row * self.columns + column)
    }

    fn has(&self, p: P) -> bool {
        self.at(p).and_then(|i| self.squares.get(i)).copied().unwrap_or(false)
    }

    /// Marks the squares of a tube, from one of its places to the next.
    fn take(&mut self, at: &[Place]) {
        for pair in at.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let steps = ((b.point.0 - a.point.0).hypot(b.point.1 - a.point.1) / (0.5 * SQUARE_MM)).ceil().clamp(1.0, 10_000.0);
            let mut k = 0.0;
            while k <= steps {
                let mix = |x: f64, y: f64| x + (y - x) * k / steps;
                let point = (mix(a.point.0, b.point.0), mix(a.point.1, b.point.1));
                for p in across(&Place { point, half_mm: mix(a.half_mm, b.half_mm), ..a }, 0.0) {
                    if let Some(square) = self.at(p).and_then(|i| self.squares.get_mut(i)) {
                        *square = true;
                    }
                }
                k += 1.0;
            }
        }
    }
}

/// A turn, then a shift.
#[derive(Clone, Copy)]
struct Put {
    turn: (f64, f64),
    shift: P,
}

impl Put {
    fn vector(self, v: P) -> P {
        let (sin, cos) = self.turn;
        (v.0 * cos - v.1 * sin, v.0 * sin + v.1 * cos)
    }

    fn point(self, p: P) -> P {
        let turned = self.vector(p);
        (turned.0 + self.shift.0, turned.1 + self.shift.1)
    }

    fn of(self, p: &Place) -> Place {
        Place { point: self.point(p.point), side: self.vector(p.side), ..*p }
    }
}

/// The place that covers least, lies near its valve and makes the map no larger than it must.
fn best(flat: &[Part<'_>], ends: (P, P), valve: P, taken: &Taken, (low, high): (P, P)) -> Option<Put> {
    let places: Vec<&Place> = flat.iter().flat_map(|p| p.at.iter().step_by(4)).collect();
    let mouth = ((ends.0.0 + ends.1.0) / 2.0, (ends.0.1 + ends.1.1) / 2.0);
    let mut found: Option<(f64, Put)> = None;
    for turn in 0..DIRECTIONS {
        let turn = (f64::from(turn) / f64::from(DIRECTIONS) * TAU).sin_cos();
        let turned = Put { turn, shift: (0.0, 0.0) };
        let mouth = turned.vector(mouth);
        let at: Vec<Place> = places.iter().map(|p| turned.of(p)).collect();
        let (mut least_at, mut most_at) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        at.iter().for_each(|p| grow(&mut least_at, &mut most_at, p.point));
        for place in 0..DISTANCES.0 * DIRECTIONS / 2 {
            let (sin, cos) = (f64::from(place % (DIRECTIONS / 2)) / f64::from(DIRECTIONS / 2) * TAU).sin_cos();
            let distance = f64::from(place / (DIRECTIONS / 2)) * DISTANCES.1;
            let shift = (valve.0 + distance * cos - mouth.0, valve.1 + distance * sin - mouth.1);
            let (mut l, mut h) = (low, high);
            for corner in [least_at, most_at] {
                grow(&mut l, &mut h, (corner.0 + shift.0, corner.1 + shift.1));
            }
            let larger = (h.0 - l.0) - (high.0 - low.0) + 2.0 * ((h.1 - l.1) - (high.1 - low.1));
            let mut cost = distance + 0.5 * larger;
            let least = found.as_ref().map_or(f64::MAX, |f| f.0);
            for p in &at {
                if cost >= least {
                    break;
                }
                let p = Place { point: (p.point.0 + shift.0, p.point.1 + shift.1), ..*p };
                if across(&p, 0.8 * SQUARE_MM).any(|p| taken.has(p)) {
                    cost += COVERED;
                }
            }
            if cost < least {
                found = Some((cost, Put { turn, shift }));
            }
        }
    }
    found.map(|(_, put)| put)
}

/// Points across a tube at a place, no further apart than a square, with some room beside it.
fn across(p: &Place, clearance_mm: f64) -> impl Iterator<Item = P> + use<> {
    let half = (p.half_mm + clearance_mm).clamp(0.0, 1000.0);
    let (point, side) = (p.point, p.side);
    #[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
    let steps = ((2.0 * half / SQUARE_MM).ceil() as i32).max(1);
    (0..=steps).map(move |i| {
        let off = -half + 2.0 * half * f64::from(i) / f64::from(steps);
        (point.0 + off * side.0, point.1 + off * side.1)
    })
}

fn grow(low: &mut P, high: &mut P, p: P) {
    *low = (low.0.min(p.0), low.1.min(p.1));
    *high = (high.0.max(p.0), high.1.max(p.1));
}

fn middle(a: Option<&Place>, b: Option<&Place>) -> P {
    match (a, b) {
        (Some(a), Some(b)) => ((a.point.0 + b.point.0) / 2.0, (a.point.1 + b.point.1) / 2.0),
        _ => (0.0, 0.0),
    }
}

/// The chains of tubes that leave a casing and come to one, and are not on the way of the air.
fn loops<'a>(instrument: &'a Instrument, method: &[Part<'a>]) -> Vec<Loop<'a>> {
    let by_id: HashMap<&str, &Run> = instrument.runs.iter().map(|r| (r.id.0.as_str(), r)).collect();
    let mut seen: HashSet<&str> = method.iter().map(|p| p.run.id.0.as_str()).collect();
    let mut found = Vec::new();
    for casing in method.iter().map(|p| p.run).filter(|r| r.role == Role::Casing) {
        for joint in &instrument.joints {
            let to = if joint.a.run == casing.id {
                &joint.b
            } else if joint.b.run == casing.id {
                &joint.a
            } else {
                continue;
            };
            let mut tubes = Vec::new();
            let (mut next, mut pushed_mm) = (to.clone(), 0.0);
            let comes_to = loop {
                let Some(run) = by_id.get(next.run.0.as_str()).copied() else { break None };
                if run.role == Role::Casing {
                    break Some(run);
                }
                if !seen.insert(run.id.0.as_str()) {
                    break None;
                }
                tubes.push((run, next.end, pushed_mm));
                let far = RunEnd { run: run.id.clone(), end: if next.end == End::Start { End::Finish } else { End::Start } };
                let Some(joint) = instrument.joints_at(&far).into_iter().next() else { break None };
                pushed_mm = if joint.kind == JointKind::SlidingFit { joint.overlap_mm } else { 0.0 };
                next = if joint.a == far { joint.b.clone() } else { joint.a.clone() };
            };
            if let Some(comes_to) = comes_to
                && !tubes.is_empty()
            {
                found.push(Loop { tubes, leaves: casing, comes_to });
            }
        }
    }
    found
}
