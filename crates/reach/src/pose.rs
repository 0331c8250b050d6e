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
    /// Whether the centre line crosses every section, the body hanging out of the mouth.
    crossed: bool,
}

impl Measured {
    fn add(&mut self, value: f64, at: f64, gradient: [f64; MOST]) {
        if value < self.least {
            self.least = value;
            self.at = at;
        }
        self.rows.push(Row { value, gradient });
    }
}

/// A climb on few sections ends when a step would gain less than this, mm.
const ROUGH_MM: f64 = 0.02;
/// A climb on all sections ends when a step would gain less than this, mm.
const FINE_MM: f64 = 1e-3;
/// A clearance with which no other start is tried, mm.
const ENOUGH_MM: f64 = 0.02;

impl Question<'_> {
    /// The best pose found. Several starts are looked at and the most promising are climbed from, on every
    /// fourth section first (fewer sections can only flatter: a 'no' there is a 'no'), until one fits or none
    /// is left; what fits is climbed to its end on all sections.
    pub fn best(&self) -> Option<Best> {
        let tip = self.tube.section(self.tip_mm);
        let fine: Vec<&Section> = self.sections[..self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6)].iter().collect();
        let coarse: Vec<&Section> = if fine.len() < 24 {
            fine.clone()
        } else {
            fine.iter().enumerate().filter(|(i, _)| i % 4 == 0 || i + 1 == fine.len()).map(|(_, s)| *s).collect()
        };
        let same = coarse.len() == fine.len();
        let head = self.head_room(&tip);
        let reach = self.tip_mm.min(self.body.length_mm).max(1.0);
        let mut looked: Vec<(f64, Placement)> =
            self.starts(&tip, &fine).into_iter().map(|p| (self.measure(&p, &coarse, &tip, head, reach).least, p)).collect();
        looked.sort_by(|a, b| b.0.total_cmp(&a.0));
        let short = self.tip_mm < 3.0 * tip.radius_mm;
        let climbs = if short {
            6
        } else if self.body.curvature > 0.0 {
            3
        } else {
            2
        };
        let mut best: Option<Best> = None;
        for (i, (_, placement)) in looked.iter().take(climbs).enumerate() {
            let mut found = self.improve(*placement, &coarse, &tip, head, reach, if same { FINE_MM } else { ROUGH_MM });
            if found.bound && self.body.curvature == 0.0 && !short {
                return Some(found);
            }
            if found.clearance_mm < 0.0 && i == 0 && (self.body.curvature > 0.0 || looked[0].0 < -2.0 * tip.radius_mm) {
                let longer = self.lengthen(&looked, &coarse, &tip, head);
                if longer.clearance_mm > found.clearance_mm {
                    found = longer;
                }
            }
            if found.clearance_mm >= 0.0 && !same {
                found = self.improve(found.placement, &fine, &tip, head, reach, FINE_MM);
            }
            if best.is_none_or(|b| found.clearance_mm > b.clearance_mm) {
                best = Some(found);
            }
            if best.is_some_and(|b| b.clearance_mm >= ENOUGH_MM) {
                break;
            }
        }
        best
    }

    /// As [`Question::best`], from a pose of a question that differs little.
    pub fn best_from(&self, near: &Placement) -> Option<Best> {
        let tip = self.tube.section(self.tip_mm);
        let way: Vec<&Section> = self.sections[..self.sections.partition_point(|s| s.u_mm < self.tip_mm - 1e-6)].iter().collect();
        let at = match self.tip {
            Tip::Held(o) => tip.frame.at + o,
            Tip::Free => near.tip,
        };
        let start = Placement { tip: at, ..*near };
        let found = self.improve(start, &way, &tip, self.head_room(&tip), self.tip_mm.min(self.body.length_mm).max(1.0), FINE_MM);
        if found.clearance_mm >= 0.0 { Some(found) } else { self.best() }
    }

    /// Whether the best pose fits, by sections of this tolerance; where the answer lies within the tolerance,
    /// by closer sections.
    pub fn fits(&self, best: Best, tolerance_mm: f64) -> (bool, Best) {
        if best.bound || best.clearance_mm >= tolerance_mm || best.clearance_mm < -tolerance_mm {
            return (best.clearance_mm >= tolerance_mm, best);
        }
        let closer = tolerance_mm / 20.0;
        let sections = self.tube.sections(self.tip_mm, self.body.curvature, closer);
        let tip = self.tube.section(self.tip_mm);
        let way: Vec<&Section> = sections.iter().filter(|s| s.u_mm < self.tip_mm - 1e-6).collect();
        let found =
            self.improve(best.placement, &way, &tip, self.head_room(&tip), self.tip_mm.min(self.body.length_mm).max(1.0), 0.1 * closer);
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

    /// First the sections near the tip, then more and more of the way: for ways so bent that no start crosses
    /// all of it. The start is the one that lies best near the tip.
    fn lengthen(&self, starts: &[(f64, Placement)], way: &[&Section], tip: &Section, head: f64) -> Best {
        let whole = self.tip_mm.min(self.body.length_mm);
        let near = way.partition_point(|s| s.u_mm < self.tip_mm - 0.15 * whole).min(way.len().saturating_sub(3));
        let lies = |p: &Placement| self.measure(p, &way[near..], tip, head, whole).least;
        let start = starts.iter().map(|s| (lies(&s.1), s.1)).max_by(|a, b| a.0.total_cmp(&b.0));
        let mut placement = start.map_or(Placement { tip: tip.frame.at, away: -tip.frame.along, side: tip.frame.normal }, |s| s.1);
        let mut best = Best { placement, clearance_mm: f64::NEG_INFINITY, tightest_mm: tip.u_mm, bound: false };
        for part in [0.15, 0.4, 1.0] {
            let reach = whole * part;
            let from = if part >= 1.0 { 0 } else { way.partition_point(|s| s.u_mm < self.tip_mm - reach) };
            if part < 1.0 && way.len() - from < 3 {
                continue;
            }
            best = self.improve(placement, &way[from..], tip, head, reach.max(1.0), ROUGH_MM);
            placement = best.placement;
            if part < 1.0 && best.clearance_mm < -0.02 - 0.02 * tip.radius_mm {
                return best;
            }
        }
        best
    }

    /// Climbs from a placement by linear programmes until the gain is under `enough_mm`.
    fn improve(&self, start: Placement, way: &[&Section], tip: &Section, head: f64, reach: f64, enough_mm: f64) -> Best {
        let unknowns = match (self.tip, self.body.curvature > 0.0) {
            (Tip::Held(_), false) => 2,
            (Tip::Held(_), true) => 3,
            (Tip::Free, false) => 4,
            (Tip::Free, true) => 5,
        };
        let mut placement = start;
        let mut now = self.measure(&placement, way, tip, head, reach);
        let mut radius = (0.5 * tip.radius_mm).max(reach * 0.05);
        for _ in 0..40 {
            let (predicted, step) = lp::maximin(&now.rows, unknowns, radius);
            let gain = predicted - now.least;
            // Clearances are nearly concave: what the programme promises free of the trust region bounds them.
            let inside = step.iter().all(|s| s.abs() < 0.99 * radius);
            if now.crossed && inside && predicted < -0.05 * tip.radius_mm - 0.1 {
                return Best { placement, clearance_mm: predicted, tightest_mm: now.at, bound: true };
            }
            if gain < enough_mm {
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
        Best { placement, clearance_mm: now.least, tightest_mm: now.at, bound: false }
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

    fn measure(&self, placement: &Placement, way: &[&Section], tip: &Section, head: f64, reach: f64) -> Measured {
        let axes = self.axes(placement, tip, reach);
        let mut out = Measured { rows: Vec::with_capacity(2 * way.len() + 8), least: f64::INFINITY, at: tip.u_mm, crossed: true };
        self.measure_tip(placement, tip, head, &mut out);
        let curvature = self.body.curvature;
        let mut s = 0.0;
        let mut u = tip.u_mm;
        let mut ends_inside = false;
        let mut crossed = true;
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
                out.add(NO_CROSSING_MM.max(-far.length() - 2.0 * section.radius_mm), section.u_mm, gradient);
                crossed = false;
                break;
            };
            s = crossing.s;
            let Crossing { p, d, .. } = crossing;
            let crossing = Crossing { s, p, d };
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
                out.add(gap * scale - r, section.u_mm, moves(direction, scale));
                if gap * scale - r < out.least + 0.1 * section.radius_mm && off >= 0.2 * section.radius_mm {
                    // The offset's circle curves away: neighbouring directions keep the programme honest.
                    for turn in [-0.45f64, 0.45] {
                        let q = direction * turn.cos() + t.cross(direction) * turn.sin();
                        out.add(section.radius_mm - o.dot(q) - r, section.u_mm, moves(q, 1.0));
                    }
                }
                if slope * slope < 0.97 {
                    self.measure_tilted(placement, section, &crossing, r, &axes, &mut out);
                }
                if off < 0.2 * section.radius_mm {
                    // Near the axis the direction of the offset can turn about: the square directions too.
                    let square = t.cross(direction);
                    for q in [square, -square, -direction] {
                        out.add(section.radius_mm - o.dot(q) - r, section.u_mm, moves(q, 1.0));
                    }
                }
            }
            for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
                let lean = flat.side.dot(d);
                let cosine = (1.0 - lean * lean).max(0.0).sqrt();
                let gap = flat.limit_mm - o.dot(flat.side);
                let scale = if gap > 0.0 { cosine } else { 1.0 };
                out.add(gap * scale - r, section.u_mm, moves(flat.side, scale));
            }
        }
        if ends_inside && self.body.ends == Ends::Head {
            self.measure_butt(placement, &axes, &mut out);
        }
        if self.body.ends == Ends::Square {
            self.measure_rim(placement, self.body.length_mm, &axes, &mut out);
            self.measure_rim(placement, 0.0, &axes, &mut out);
        }
        out.crossed = crossed && !ends_inside;
        out
    }

    /// A body that crosses a section aslant: wall points all round, each at its distance from the body's line.
    fn measure_tilted(
        &self,
        placement: &Placement,
        section: &Section,
        c: &Crossing,
        r: f64,
        axes: &[(DVec3, DVec3); MOST],
        out: &mut Measured,
    ) {
        const POINTS: usize = 16;
        for k in 0..POINTS {
            let w = section.frame.at + section.frame.clock(TAU * k as f64 / POINTS as f64) * section.radius_mm;
            let beside = c.s + (w - c.p).dot(c.d);
            if beside < 0.0 || beside > self.body.length_mm {
                continue;
            }
            let (q, d) = placement.at(self.body.curvature, beside);
            let away = w - q;
            let away = away - d * away.dot(d);
            let distance = away.length();
            if distance < 1e-9 {
                continue;
            }
            let n = away / distance;
            let mut gradient = [0.0; MOST];
            for (g, (v, rotation)) in gradient.iter_mut().zip(axes) {
                *g = -n.dot(*v + rotation.cross(q - placement.tip));
            }
            out.add(distance - r, section.u_mm, gradient);
        }
    }

    /// The head in its section.
    fn measure_tip(&self, placement: &Placement, tip: &Section, head: f64, out: &mut Measured) {
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
        out.add(head - o.length(), tip.u_mm, along(direction));
        let square = tip.frame.along.cross(direction);
        for q in [square, -square, -direction] {
            out.add(head - o.dot(q), tip.u_mm, along(q));
        }
        for (i, dent) in self.tube.dents.iter().enumerate() {
            if self.ignore.has(i) || (dent.at_mm - tip.u_mm).abs() > dent.half_width_mm + self.body.head_mm / 2.0 {
                continue;
            }
            let side = tip.frame.clock(dent.clock_rad);
            let room = self.tube.room_beside_dent_mm(dent, tip.u_mm, self.body.head_mm / 2.0);
            out.add(room - o.dot(side), tip.u_mm, along(side));
        }
    }

    /// The other end of a rod that ends inside the tube: round, of its own thickness.
    fn measure_butt(&self, placement: &Placement, axes: &[(DVec3, DVec3); MOST], out: &mut Measured) {
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
        out.add(section.radius_mm - o.length() - r, u, moves(direction));
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            out.add(flat.limit_mm - o.dot(flat.side) - r, u, moves(flat.side));
        }
    }

    /// The edge of a square end: points round it must lie inside the wall.
    fn measure_rim(&self, placement: &Placement, s: f64, axes: &[(DVec3, DVec3); MOST], out: &mut Measured) {
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
            out.add(section.radius_mm - o.length(), u, moves(direction));
            for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
                out.add(flat.limit_mm - o.dot(flat.side), u, moves(flat.side));
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
        if curvature == 0.0 || miss.abs() < 1e-3 {
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
