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

use crate::body::{Body, Ends, Placement};
use crate::lp::{self, MOST, Row};
use crate::tube::{Section, Tube};
use glam::DVec3;
use std::f64::consts::TAU;

/// Clearance that a section gets which the body does not cross at all (it would have to turn round), mm.
const NO_CROSSING_MM: f64 = -1e3;
/// A body is taken to cross a section while its direction makes at least this cosine with the axis.
const LEAST_COSINE: f64 = 0.15;

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

/// Dents that are taken as true.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ignore {
    /// None: the tube as it is.
    None,
    /// One: the dent being worked, once it is true.
    One(usize),
    /// All.
    All,
}

impl Ignore {
    fn has(self, dent: usize) -> bool {
        match self {
            Ignore::None => false,
            Ignore::One(d) => d == dent,
            Ignore::All => true,
        }
    }
}

/// Where a body's centre line crosses a cross-section.
struct Crossing {
    s: f64,
    p: DVec3,
    d: DVec3,
}

/// Everything measured at one placement.
struct Measured {
    rows: Vec<Row>,
    least: f64,
    at: f64,
}

impl Question<'_> {
    /// The best pose found. Several starts are looked at and the most promising are climbed from, until one
    /// fits or none is left.
    pub fn best(&self) -> Option<Best> {
        let tip = self.tube.section(self.tip_mm);
        let way = &self.sections[..self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6)];
        let head = self.head_room(&tip);
        let mut starts = self.starts(&tip, way);
        let reach = self.tip_mm.min(self.body.length_mm).max(1.0);
        let mut looked: Vec<(f64, Placement)> = starts.drain(..).map(|p| (self.measure(&p, way, &tip, head, reach).least, p)).collect();
        looked.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<Best> = None;
        let mut keep = |found: Best| {
            if best.is_none_or(|b| found.clearance_mm > b.clearance_mm) {
                best = Some(found);
            }
            best.is_some_and(|b| b.clearance_mm >= 0.0)
        };
        let climbs = if self.body.curvature > 0.0 { 3 } else { 2 };
        for (_, placement) in looked.iter().take(climbs) {
            if keep(self.improve(*placement, way, &tip, head, reach)) || keep(self.lengthen(*placement, way, &tip, head)) {
                break;
            }
        }
        best
    }

    /// Placements to start from: along the axis at the tip and along chords of the way; a curved body with its
    /// curve turned to eight sides.
    fn starts(&self, tip: &Section, way: &[Section]) -> Vec<Placement> {
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
        let mut all = Vec::new();
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

    /// How far the head's centre may stand from the axis in the tip's section (bore, then each dent).
    fn head_room(&self, tip: &Section) -> f64 {
        match self.body.ends {
            Ends::Head => self.tube.room_for_sphere_mm(tip.u_mm, self.body.head_mm / 2.0),
            Ends::Square => f64::INFINITY,
        }
    }

    /// From one start: first the sections near the tip, then more and more of the way.
    fn lengthen(&self, start: Placement, way: &[Section], tip: &Section, head: f64) -> Best {
        let mut placement = start;
        let mut best = Best { placement, clearance_mm: f64::INFINITY, tightest_mm: tip.u_mm };
        for part in [0.15, 0.4, 1.0] {
            let reach = self.tip_mm.min(self.body.length_mm) * part;
            let from = if part >= 1.0 { 0 } else { way.partition_point(|s| s.u_mm < self.tip_mm - reach) };
            if part < 1.0 && way.len() - from < 3 {
                continue;
            }
            best = self.improve(placement, &way[from..], tip, head, reach.max(1.0));
            placement = best.placement;
            if part < 1.0 && best.clearance_mm < -0.02 - 0.02 * tip.radius_mm {
                return best;
            }
        }
        best
    }

    fn improve(&self, start: Placement, way: &[Section], tip: &Section, head: f64, reach: f64) -> Best {
        let unknowns = match (self.tip, self.body.curvature > 0.0) {
            (Tip::Held(_), false) => 2,
            (Tip::Held(_), true) => 3,
            (Tip::Free, false) => 4,
            (Tip::Free, true) => 5,
        };
        let mut placement = start;
        let mut now = self.measure(&placement, way, tip, head, reach);
        let mut radius = tip.radius_mm.max(reach * 0.1);
        for _ in 0..40 {
            let (predicted, step) = lp::maximin(&now.rows, unknowns, radius);
            let gain = predicted - now.least;
            if gain < 2e-4 {
                if radius > 1e-2 && gain > 1e-7 {
                    radius *= 0.25;
                    continue;
                }
                break;
            }
            let (by, rotation) = self.motion(&placement, tip, reach, &step);
            let moved = placement.moved(by, rotation);
            let next = self.measure(&moved, way, tip, head, reach);
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
        Best { placement, clearance_mm: now.least, tightest_mm: now.at }
    }

    /// The unit motions of the unknowns: rotations scaled so that one unit moves the far end 1 mm.
    fn axes(&self, placement: &Placement, tip: &Section, reach: f64) -> [(DVec3, DVec3); MOST] {
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

    fn motion(&self, placement: &Placement, tip: &Section, reach: f64, step: &[f64; MOST]) -> (DVec3, DVec3) {
        self.axes(placement, tip, reach).iter().zip(step).fold((DVec3::ZERO, DVec3::ZERO), |(v, w), (a, s)| (v + a.0 * *s, w + a.1 * *s))
    }

    fn measure(&self, placement: &Placement, way: &[Section], tip: &Section, head: f64, reach: f64) -> Measured {
        let axes = self.axes(placement, tip, reach);
        let mut out = Measured { rows: Vec::with_capacity(2 * way.len() + 8), least: f64::INFINITY, at: tip.u_mm };
        let mut add = |value: f64, at: f64, gradient: [f64; MOST]| {
            if value < out.least {
                out.least = value;
                out.at = at;
            }
            out.rows.push(Row { value, gradient });
        };
        self.measure_tip(placement, tip, head, &mut add);
        let curvature = self.body.curvature;
        let mut s = 0.0;
        let mut u = tip.u_mm;
        let mut ends_inside = false;
        for section in way.iter().rev() {
            let (t, x) = (section.frame.along, section.frame.at);
            s += u - section.u_mm;
            u = section.u_mm;
            let Some(crossing) = cross(placement, curvature, section, s) else {
                // The body has turned away from the axis: count how far its line there is from the axis.
                let (p, _) = placement.at(curvature, s);
                let o = p - x;
                let far = o - t * o.dot(t);
                let direction = far.normalize_or(DVec3::ZERO);
                let mut gradient = [0.0; MOST];
                for (g, (v, w)) in gradient.iter_mut().zip(&axes) {
                    *g = -direction.dot(*v + w.cross(p - placement.tip));
                }
                add(NO_CROSSING_MM.max(-far.length() - 2.0 * section.radius_mm), section.u_mm, gradient);
                break;
            };
            s = crossing.s;
            let Crossing { p, d, .. } = crossing;
            if s > self.body.length_mm {
                ends_inside = true;
                break;
            }
            let o = p - x;
            let r = self.body.radius_mm(s);
            let off = o.length();
            let slope = d.dot(t);
            let moves = |direction: DVec3, scale: f64| {
                let mut gradient = [0.0; MOST];
                for (g, (v, w)) in gradient.iter_mut().zip(&axes) {
                    let dp = *v + w.cross(p - placement.tip);
                    let do_ = dp - d * (dp.dot(t) / slope);
                    *g = -direction.dot(do_) * scale;
                }
                gradient
            };
            let direction = if off > 1e-9 { o / off } else { section.frame.normal };
            // ψ: the tilt in the direction of the offset; the wall's nearest point must lie beside the body.
            let lean = direction.dot(d);
            let cosine = (1.0 - lean * lean).max(0.0).sqrt();
            let gap = section.radius_mm - off;
            let beside = s + gap * lean;
            let within = beside >= 0.0 && beside <= self.body.length_mm;
            if within {
                let scale = if gap > 0.0 { cosine } else { 1.0 };
                add(gap * scale - r, section.u_mm, moves(direction, scale));
                if off < 0.2 * section.radius_mm {
                    // Near the axis the direction of the offset can turn about: the square directions too.
                    let square = t.cross(direction);
                    for q in [square, -square, -direction] {
                        add(section.radius_mm - o.dot(q) - r, section.u_mm, moves(q, 1.0));
                    }
                }
            }
            for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
                let lean = flat.side.dot(d);
                let cosine = (1.0 - lean * lean).max(0.0).sqrt();
                let gap = flat.limit_mm - o.dot(flat.side);
                let scale = if gap > 0.0 { cosine } else { 1.0 };
                add(gap * scale - r, section.u_mm, moves(flat.side, scale));
            }
        }
        if ends_inside && self.body.ends == Ends::Head {
            self.measure_butt(placement, &axes, &mut add);
        }
        if self.body.ends == Ends::Square {
            self.measure_rim(placement, self.body.length_mm, &axes, &mut add);
            self.measure_rim(placement, 0.0, &axes, &mut add);
        }
        out
    }

    /// The head in its section.
    fn measure_tip(&self, placement: &Placement, tip: &Section, head: f64, add: &mut impl FnMut(f64, f64, [f64; MOST])) {
        if self.body.ends == Ends::Square || self.tip != Tip::Free {
            return;
        }
        let o = placement.tip - tip.frame.at;
        let first_shift = if self.body.curvature > 0.0 { 3 } else { 2 };
        let along = |direction: DVec3| {
            let mut g = [0.0; MOST];
            g[first_shift] = -direction.dot(tip.frame.normal);
            g[first_shift + 1] = -direction.dot(tip.frame.binormal);
            g
        };
        let direction = o.normalize_or(tip.frame.normal);
        add(head - o.length(), tip.u_mm, along(direction));
        let square = tip.frame.along.cross(direction);
        for q in [square, -square, -direction] {
            add(head - o.dot(q), tip.u_mm, along(q));
        }
        for (i, dent) in self.tube.dents.iter().enumerate() {
            if self.ignore.has(i) || (dent.at_mm - tip.u_mm).abs() > dent.half_width_mm + self.body.head_mm / 2.0 {
                continue;
            }
            let side = tip.frame.clock(dent.clock_rad);
            let room = self.tube.room_beside_dent_mm(dent, tip.u_mm, self.body.head_mm / 2.0);
            add(room - o.dot(side), tip.u_mm, along(side));
        }
    }

    /// The other end of a rod that ends inside the tube: round, of its own thickness.
    fn measure_butt(&self, placement: &Placement, axes: &[(DVec3, DVec3); MOST], add: &mut impl FnMut(f64, f64, [f64; MOST])) {
        let (p, _) = placement.at(self.body.curvature, self.body.length_mm);
        let Some(u) = self.nearest_u(p) else { return };
        let section = self.tube.section(u);
        let o = p - section.frame.at;
        let r = self.body.radius_mm(self.body.length_mm);
        let direction = o.normalize_or(section.frame.normal);
        let moves = |direction: DVec3| {
            let mut gradient = [0.0; MOST];
            for (g, (v, w)) in gradient.iter_mut().zip(axes) {
                *g = -direction.dot(*v + w.cross(p - placement.tip));
            }
            gradient
        };
        add(section.radius_mm - o.length() - r, u, moves(direction));
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            add(flat.limit_mm - o.dot(flat.side) - r, u, moves(flat.side));
        }
    }

    /// The edge of a square end: points round it must lie inside the wall.
    fn measure_rim(&self, placement: &Placement, s: f64, axes: &[(DVec3, DVec3); MOST], add: &mut impl FnMut(f64, f64, [f64; MOST])) {
        const POINTS: usize = 24;
        let (centre, d) = placement.at(self.body.curvature, s);
        let Some(u) = self.nearest_u(centre) else { return };
        let (e1, e2) = (placement.side, d.cross(placement.side));
        let r = self.body.radius_mm(s);
        for i in 0..POINTS {
            let (sin, cos) = (TAU * i as f64 / POINTS as f64).sin_cos();
            let p = centre + (e1 * cos + e2 * sin) * r;
            let Some(u) = self.project(p, u) else { continue };
            let section = self.tube.section(u);
            let o = p - section.frame.at;
            let direction = o.normalize_or(section.frame.normal);
            let moves = |direction: DVec3| {
                let mut gradient = [0.0; MOST];
                for (g, (v, w)) in gradient.iter_mut().zip(axes) {
                    *g = -direction.dot(*v + w.cross(p - placement.tip));
                }
                gradient
            };
            add(section.radius_mm - o.length(), u, moves(direction));
            for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
                add(flat.limit_mm - o.dot(flat.side), u, moves(flat.side));
            }
        }
    }

    /// The section nearest to a point, mm from the mouth; none where the point lies out of the mouth.
    fn nearest_u(&self, p: DVec3) -> Option<f64> {
        let near = self.sections.iter().min_by(|a, b| a.frame.at.distance_squared(p).total_cmp(&b.frame.at.distance_squared(p)))?;
        self.project(p, near.u_mm)
    }

    fn project(&self, p: DVec3, from: f64) -> Option<f64> {
        let end = self.tube.length_mm();
        let mut u = from;
        for _ in 0..20 {
            let f = self.tube.frame(u.clamp(0.0, end));
            let along = (p - f.at).dot(f.along);
            // On the inside of a bend the foot moves faster than the point: 1/(1 − κ·o).
            let towards = self.tube.inside_of_bend(u).map_or(0.0, |c| (p - f.at).dot(c) * self.tube.curvature(u));
            let step = along / (1.0 - towards).max(0.2);
            u += step;
            if step.abs() < 1e-9 {
                break;
            }
            if u < -1e-6 || u > end + 1e-6 {
                return None;
            }
        }
        Some(u.clamp(0.0, end))
    }
}

/// Where the centre line crosses a section, by Newton's method from a first guess of s; none where it runs
/// along the section or away.
fn cross(placement: &Placement, curvature: f64, section: &Section, guess: f64) -> Option<Crossing> {
    let mut s = guess;
    let (mut p, mut d) = placement.at(curvature, s);
    for _ in 0..12 {
        let slope = d.dot(section.frame.along);
        if slope > -LEAST_COSINE {
            return None;
        }
        let miss = (p - section.frame.at).dot(section.frame.along);
        s -= miss / slope;
        (p, d) = placement.at(curvature, s);
        if curvature == 0.0 || miss.abs() < 1e-9 {
            break;
        }
    }
    Some(Crossing { s, p, d })
}

impl Question<'_> {
    /// The offset of the centre line from the axis at each section from the tip outwards, with its `s`.
    pub fn offsets(&self, placement: &Placement) -> Vec<(usize, f64, DVec3)> {
        let n = self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6);
        let mut found = Vec::with_capacity(n);
        let (mut s, mut u) = (0.0, self.tip_mm);
        for (i, section) in self.sections[..n].iter().enumerate().rev() {
            s += u - section.u_mm;
            u = section.u_mm;
            let Some(c) = cross(placement, self.body.curvature, section, s) else { break };
            s = c.s;
            if s > self.body.length_mm {
                break;
            }
            found.push((i, s, c.p - section.frame.at));
        }
        found
    }
}
