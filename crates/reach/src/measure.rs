//! Clearances of a body at one placement: everywhere it could touch, how much clearance it has and how that changes
//! when the body moves.

use crate::body::{Body, Ends, Placement, Walk};
use crate::clearances::{Ignore, Measured, Step};
use crate::touch::{self, direction_or};
use crate::tube::{Section, Tube};
use glam::DVec3;
use std::cell::OnceCell;
use std::f64::consts::TAU;

mod ends;

/// Clearance that a section gets which the body does not cross at all (it would have to turn round), mm.
const NO_CROSSING_MM: f64 = -1e3;
/// A body is taken to cross a section while its direction makes at least this cosine with the axis.
const LEAST_COSINE: f64 = 0.15;

/// A way shorter than this many bore radii is one in which a rod may lie across.
const ACROSS: f64 = 1.5;

/// Sections with so many bore radii more clearance than the tightest are not looked at all round.
const NEAR: f64 = 0.5;

/// A body that lies across a short way may point inwards by this cosine with the axis at most.
const INWARDS: f64 = 0.2;

/// Tolerance of the few sections beyond the tip, mm.
const BEYOND_MM: f64 = 0.002;

/// Rooms larger than this at the edge of a shank need not be looked at point by point, mm.
const EDGE_MM: f64 = 1.0;

/// A body in a tube with its tip in one section.
pub struct Fitting<'a> {
    /// The tube.
    pub tube: &'a Tube,
    /// The body.
    pub body: &'a Body,
    /// Dents taken as true.
    pub ignore: Ignore,
    /// The tip's section.
    pub tip: Section,
    /// Whether the head is measured: where its place is given, it presses there.
    head: bool,
    /// The tip's section and those beyond it that a leaning shank may reach.
    beyond: Vec<Section>,
    /// Room from the axis round the tip that the edge of a leaning shank finds everywhere, mm.
    edge_mm: f64,
    /// Whether the way is so short that the body may lie across it, and that is to be looked at.
    pub across: bool,
    /// Close sections for a body that does.
    lying: OnceCell<Vec<Section>>,
}

/// A section that the body crosses, and what was measured there.
struct Near<'a> {
    section: &'a Section,
    crossing: Crossing,
    /// What the body's thickness and its curve take of the clearance beside its line at most, mm.
    taken_mm: f64,
    /// The body's points beside the wall lie no further from the crossing than this, mm.
    further: f64,
    /// The clearance there is no less than this.
    at_least: f64,
    /// The side on which the wall is nearest, and the clearance there; none where it does not matter.
    measured: Option<(DVec3, f64)>,
}

/// Where a body's centre line crosses a cross-section.
pub struct Crossing {
    /// Distance from the tip along the body, mm.
    pub s: f64,
    /// The point.
    pub p: DVec3,
    /// The direction there, away from the tip.
    pub d: DVec3,
}

/// Where the centre line crosses a section, by Newton's method from where the walk along it stands; none where it
/// runs along the section or away.
pub fn cross(walk: &mut Walk, section: &Section) -> Option<Crossing> {
    for _ in 0..12 {
        let (p, d) = walk.at();
        let slope = d.dot(section.frame.along);
        if slope > -LEAST_COSINE {
            return None;
        }
        let miss = (p - section.frame.at).dot(section.frame.along);
        walk.by(-miss / slope);
        if walk.is_straight() || miss.abs() < 1e-3 {
            break;
        }
    }
    let (p, d) = walk.at();
    Some(Crossing { s: walk.s(), p, d })
}

/// The nearest wall point to a line that crosses a circle aslant at `o` (both in the circle's plane): seen
/// along the line the circle is an ellipse with half axes a and a·cos ψ. Returned as the direction from the
/// circle's centre. A point's nearest on an ellipse by the centre of curvature, a few rounds (from memory of
/// Chatfield 2017, "A simple method for distance to ellipse").
fn nearest_direction(o: DVec3, t: DVec3, d: DVec3, a: f64, cosine: f64) -> DVec3 {
    let long = direction_or(t.cross(d), DVec3::ZERO);
    let short = long.cross(t);
    let (x, y) = (o.dot(long), o.dot(short) * cosine);
    let (px, py, b) = (x.abs(), y.abs(), a * cosine);
    let length = |x: f64, y: f64| (x * x + y * y).sqrt().max(1e-12);
    let off = 1.0 / length(px, py);
    let (mut tx, mut ty) = (px * off, py * off);
    let (over_a, over_b) = (1.0 / a, 1.0 / b);
    let spread = a * a - b * b;
    let (ex_a, ey_b) = (spread * over_a, -spread * over_b);
    let rounds = if cosine > 0.98 {
        2
    } else if cosine > 0.85 {
        3
    } else {
        5
    };
    for _ in 0..rounds {
        let (ex, ey) = (ex_a * tx * tx * tx, ey_b * ty * ty * ty);
        let (rx, ry) = (a * tx - ex, b * ty - ey);
        let (qx, qy) = (px - ex, py - ey);
        let scale = ((rx * rx + ry * ry) / (qx * qx + qy * qy).max(1e-24)).sqrt();
        tx = ((qx * scale + ex) * over_a).clamp(0.0, 1.0);
        ty = ((qy * scale + ey) * over_b).clamp(0.0, 1.0);
        let n = 1.0 / length(tx, ty);
        tx *= n;
        ty *= n;
    }
    long * tx.copysign(x) + short * ty.copysign(y)
}

impl<'a> Fitting<'a> {
    /// A body with its tip at a place; `free`: its head may lie anywhere there.
    pub fn new(tube: &'a Tube, body: &'a Body, ignore: Ignore, tip_mm: f64, free: bool) -> Self {
        let tip = tube.section(tip_mm);
        let across = tip_mm < ACROSS * tip.radius_mm;
        let r = body.radius_mm(0.0);
        let end = (tip_mm + r).min(tube.length_mm());
        let (mut beyond, mut edge_mm) = (Vec::new(), f64::INFINITY);
        if body.ends == Ends::Head {
            beyond = tube.sections_between(tip_mm, end, body.curvature, BEYOND_MM);
            let (narrowest, _) = tube.narrowest_bore_mm((tip_mm - r).max(0.0), end);
            let dents = tube.dents.iter().enumerate().filter(|(i, d)| !ignore.has(*i) && (d.at_mm - tip_mm).abs() < d.half_width_mm + r);
            let deepest = dents.map(|(_, d)| d.depth_mm).fold(0.0, f64::max);
            // The offset of a point at height x along the tip's axis differs by the bend's sagitta.
            edge_mm = 0.5 * narrowest - deepest - 0.5 * r * r * tube.curvature(tip_mm);
        }
        Self { tube, body, ignore, tip, head: free && body.ends == Ends::Head, beyond, edge_mm, across, lying: OnceCell::new() }
    }

    /// The clearances at a placement that matter for a step from there, over some sections of the way (rising from the
    /// mouth).
    pub fn measure(&self, placement: &Placement, way: &[&Section], step: Step) -> Measured {
        let mut out = Measured::new(self.tip.u_mm);
        self.measure_down_to(f64::NEG_INFINITY, placement, way, Some(step), &mut out);
        out
    }

    /// The least clearance alone; one that lies under `floor` is not looked for to its end.
    pub fn least(&self, placement: &Placement, way: &[&Section], floor: f64) -> f64 {
        let mut out = Measured::new(self.tip.u_mm);
        self.measure_down_to(floor, placement, way, None, &mut out);
        out.least
    }

    fn measure_down_to(&self, floor: f64, placement: &Placement, way: &[&Section], step: Option<Step>, out: &mut Measured) {
        let upright = self.measure_along(floor, placement, way, step, out);
        if !upright && self.across {
            let within_mm = if out.within_mm > 0.0 { f64::INFINITY } else { 0.0 };
            *out = Measured { crossed: false, within_mm, ..Measured::new(self.tip.u_mm) };
            self.measure_lying(placement, out);
        }
        if out.least < floor {
            return;
        }
        self.measure_ends(placement, way, out);
        if out.least == f64::INFINITY {
            // In a wide flare no wall may lie beside the body at all: its clearance is that round its tip.
            let o = placement.tip - self.tip.frame.at;
            let clearance = self.tip.radius_mm - o.length() - self.body.radius_mm(0.0);
            out.add(clearance, self.tip.u_mm, direction_or(o, self.tip.frame.normal), DVec3::ZERO);
        }
    }

    /// The shank against the sections that its centre line crosses. False where it turns away from the axis.
    fn measure_along(&self, floor: f64, placement: &Placement, way: &[&Section], step: Option<Step>, out: &mut Measured) -> bool {
        let curvature = self.body.curvature;
        let mut near = Vec::with_capacity(self.beyond.len() + way.len());
        let mut turned_away = None;
        if self.leans(placement) {
            for section in &self.beyond {
                let mut walk = Walk::new(placement, curvature, self.tip.u_mm - section.u_mm);
                match cross(&mut walk, section) {
                    Some(crossing) => near.push(self.near(section, crossing)),
                    None => {
                        turned_away = Some((section, 0.0));
                        break;
                    }
                }
            }
        }
        let beyond = near.len();
        let mut walk = Walk::new(placement, curvature, 0.0);
        let mut u = self.tip.u_mm;
        let crossed = if turned_away.is_none() { way } else { &[] };
        for section in crossed.iter().rev() {
            walk.by(u - section.u_mm);
            u = section.u_mm;
            let s = walk.s();
            match cross(&mut walk, section) {
                Some(crossing) if crossing.s > self.body.length_mm => {
                    (out.crossed, out.ends_inside) = (false, true);
                    break;
                }
                Some(crossing) => near.push(self.near(section, crossing)),
                None => {
                    turned_away = Some((*section, s));
                    break;
                }
            }
        }
        let turned_at = turned_away.map_or(0.0, |t| t.1.abs());
        let furthest = near.iter().map(|n| n.crossing.s.abs() + n.further).fold(turned_at, f64::max);
        out.within_mm = step.map_or(0.0, |s| s.swing_mm(furthest, if curvature > 0.0 { 3.0 } else { 2.0 }));
        if let Some((section, s)) = turned_away {
            self.measure_turned_away(placement, section, s, out);
        }
        // First where it is likely to be the least: the others are then held against that.
        if let Some(first) = near.iter_mut().min_by(|a, b| a.at_least.total_cmp(&b.at_least)) {
            first.measured = Some(self.measure_section(placement, first.section, &first.crossing, out));
        }
        for n in &mut near {
            if out.least < floor {
                break;
            }
            if n.measured.is_none() && out.matters(n.at_least) {
                n.measured = Some(self.measure_section(placement, n.section, &n.crossing, out));
            }
        }
        if turned_away.is_none() && out.within_mm > 0.0 {
            let roof = out.least + (NEAR * self.tip.radius_mm).min(out.within_mm);
            for n in &near[beyond..] {
                if let Some((q, value)) = n.measured.filter(|m| m.1 < roof) {
                    self.measure_around(placement, n, q, value, out);
                }
            }
        }
        turned_away.is_none()
    }

    /// What the clearance at a section is at least: beside a line at the distance a − |o| it is that times the cosine of the
    /// tilt (module text of [`crate::pose`]), a curved body's less by its sagitta over the length that it takes.
    fn near<'s>(&self, section: &'s Section, crossing: Crossing) -> Near<'s> {
        let o = crossing.p - section.frame.at;
        let off = o.length();
        let cosine = crossing.d.dot(section.frame.along).abs();
        let mut limit = section.radius_mm - off;
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            limit = limit.min(flat.limit_mm - o.dot(flat.side));
        }
        let further = (section.radius_mm + off) * (1.0 - cosine * cosine).max(0.0).sqrt() / cosine;
        let sagitta = 0.5 * self.body.curvature * further * further;
        let taken_mm = sagitta + 0.5 * self.body.tip_mm.max(self.body.butt_mm);
        let at_least = if limit > 0.0 { limit * cosine } else { limit } - taken_mm;
        Near { section, crossing, taken_mm, further, at_least, measured: None }
    }

    /// A body that has turned away from the axis: how far its line there is from the axis.
    fn measure_turned_away(&self, placement: &Placement, section: &Section, s: f64, out: &mut Measured) {
        let (p, _) = placement.at(self.body.curvature, s);
        let o = p - section.frame.at;
        let far = o - section.frame.along * o.dot(section.frame.along);
        let value = NO_CROSSING_MM.max(-far.length() - 2.0 * section.radius_mm);
        out.add(value, section.u_mm, far.normalize_or(DVec3::ZERO), p - placement.tip);
        out.crossed = false;
    }

    /// The body's ends: the head, the edge of the shank, a butt within the tube.
    fn measure_ends(&self, placement: &Placement, way: &[&Section], out: &mut Measured) {
        let (length, curvature) = (self.body.length_mm, self.body.curvature);
        if self.head {
            self.measure_sphere(placement, placement.tip, self.tip.u_mm, self.body.head_mm / 2.0, out);
        }
        // A free head covers the shank's edge.
        let edge_has = self.edge_mm - (placement.tip - self.tip.frame.at).length() - self.body.radius_mm(0.0);
        let stands_out = self.body.ends == Ends::Square || (!self.head && self.leans(placement) && edge_has < EDGE_MM);
        if stands_out && (self.body.ends == Ends::Square || out.matters(edge_has)) {
            self.measure_rim(placement, 0.0, self.tip.u_mm, out);
        }
        // The butt may lie much further from the tip than the sections for which the step was reckoned.
        if out.within_mm > 0.0 {
            out.within_mm = f64::INFINITY;
        }
        let (end, d) = placement.at(curvature, length);
        let r = self.body.radius_mm(length);
        if out.ends_inside && !self.across && self.body.ends == Ends::Head {
            if let Some(u) = self.nearest_u(end, way) {
                self.measure_sphere(placement, end, u, r, out);
            }
            return;
        }
        // Elsewhere than near the axis the end is outside the tube, whatever section it projects to.
        let near = |u: f64| end.distance_squared(self.tube.frame(u).at) < (self.tube.radius_mm(u) + r).powi(2);
        let inside = if self.body.ends == Ends::Square || self.across { self.nearest_u(end, way) } else { None };
        // Out of the mouth, unless the edge dips into it.
        let mouth = self.tube.frame(0.0);
        let dips = || (mouth.at - end).dot(mouth.along) < r * mouth.along.reject_from_normalized(d).length();
        if let Some(u) = inside.or_else(|| dips().then_some(0.0)).filter(|u| near(*u)) {
            self.measure_rim(placement, length, u, out);
        }
    }

    /// Whether the tip stands so far aslant that the shank's edge matters.
    fn leans(&self, placement: &Placement) -> bool {
        let along = placement.away.dot(self.tip.frame.along);
        along * along < 1.0 - 1e-4 || along > 0.0
    }

    /// A body that crosses a section: its cut with the section's plane must stay on the inner side of every line
    /// o·q = limit that touches the bore's circle, and of every dent's chord. Its clearance beside such a line is
    /// (limit − o·q)/|q − t (q·d)/(t·d)| (closed form, t the axis' direction and d the body's); the least over all q
    /// is the distance to the wall. Returns that q and its clearance.
    fn measure_section(&self, placement: &Placement, section: &Section, c: &Crossing, out: &mut Measured) -> (DVec3, f64) {
        let (t, a) = (section.frame.along, section.radius_mm);
        let o = c.p - section.frame.at;
        let off = o.length();
        let cosine = c.d.dot(t).abs();
        let tilt = 1.0 - cosine * cosine;
        let mut q = if off > 1e-9 { o / off } else { section.frame.normal };
        if a * tilt > 1e-3 && off < a {
            q = nearest_direction(o, t, c.d, a, cosine);
        }
        let mut value = self.measure_line(placement, section, c, q, a, out);
        if value.is_infinite() {
            // The nearest wall lies beyond the body's end: what lies beside the body is on the other sides.
            let square = t.cross(q);
            for q in [-q, square, -square] {
                value = value.min(self.measure_line(placement, section, c, q, a, out));
            }
        }
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            self.measure_line(placement, section, c, flat.side, flat.limit_mm, out);
        }
        (q, value)
    }

    /// Lines beside the nearest one, for the programme: it must know where the body runs into the wall when it gives
    /// way sideways. They change no clearance.
    fn measure_around(&self, placement: &Placement, near: &Near, q: DVec3, value: f64, out: &mut Measured) {
        let Near { section, crossing: c, .. } = near;
        let (t, a) = (section.frame.along, section.radius_mm);
        let o = c.p - section.frame.at;
        // As for the whole section: a line whose clearance cannot matter is not looked at.
        let cosine = c.d.dot(t).abs();
        let mut line = |q: DVec3| {
            let limit = a - o.dot(q);
            if out.matters(if limit > 0.0 { limit * cosine } else { limit } - near.taken_mm) {
                self.measure_line(placement, section, c, q, a, out);
            }
        };
        let square = t.cross(q);
        if o.length() < 0.2 * a {
            // Near the axis the direction of the offset can turn about.
            [square, -square, -q].into_iter().for_each(&mut line);
        } else if value < 0.25 * a {
            // The offset's circle curves away.
            [q * 0.9 + square * 0.435, q * 0.9 - square * 0.435].into_iter().for_each(&mut line);
        }
        let cosine = c.d.dot(t);
        if 1.0 - cosine * cosine > 0.03 {
            // Aslant the wall is near on both sides of the lean.
            let long = direction_or(t.cross(c.d), section.frame.normal);
            let mirrored = q - long * (2.0 * q.dot(long));
            let short = long.cross(t);
            [mirrored, -mirrored, short, -short].into_iter().for_each(&mut line);
        }
    }

    /// A line o·q = limit of a section's plane against the body that crosses the section. Returns the clearance.
    fn measure_line(&self, placement: &Placement, section: &Section, c: &Crossing, q: DVec3, limit: f64, out: &mut Measured) -> f64 {
        let t = section.frame.along;
        let along = t.dot(c.d);
        let across = q - t * (q.dot(c.d) / along);
        let norm = across.length();
        let n = across / norm;
        let clearance = (limit - (c.p - section.frame.at).dot(q)) / norm;
        // The body's point beside the wall; past its ends their edges count.
        let further = -clearance * n.dot(t) / along;
        let s = c.s + further;
        if s < 0.0 || s > self.body.length_mm {
            return f64::INFINITY;
        }
        let x = c.p + c.d * further;
        let r = self.body.radius_mm(s);
        if self.body.curvature > 0.0 && clearance > 0.0 && further.abs() > 1e-3 / self.body.curvature {
            let wall = x + n * clearance;
            let (foot, towards) = placement.beside(self.body.curvature, wall);
            let clearance = (wall - foot).dot(towards);
            out.add(clearance - r, section.u_mm, towards, foot - placement.tip);
            return clearance - r;
        }
        out.add(clearance - r, section.u_mm, n, x - placement.tip);
        clearance - r
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pose::{Question, Tip};

    /// A rod that leans away from the wall on which it presses, in a flare so wide that no wall lies beside it.
    #[test]
    fn a_rod_beside_which_there_is_no_wall_has_a_finite_room() {
        let mut bell = Tube::default();
        bell.straight(400.0);
        for (u, a) in [(0.0, 219.0), (32.0, 172.5), (85.0, 139.0), (400.0, 60.0)] {
            bell.bore_point(u, a);
        }
        let sections = bell.sections(400.0, 0.0, 0.01);
        let body = Body::straight_rod(25.0, 800.0, 45.0);
        for offset in [0.0, 60.0, 114.0] {
            let tip = Tip::Held(DVec3::new(0.0, 0.0, -offset));
            let q = Question { tube: &bell, sections: &sections, tip_mm: 85.0, body, tip, ignore: Ignore::None };
            let best = q.best().map(|b| b.clearance_mm);
            assert!(best.is_some_and(|c| c.is_finite() && c > 0.0), "{best:?} at {offset}");
        }
    }
}
