//! Clearances of a body at one placement: everywhere it could touch, how much room it has and how that changes
//! when the body moves.

use crate::body::{Body, Ends, Placement};
use crate::lp::{MOST, Row};
use crate::pose::Ignore;
use crate::tube::{Section, Tube};
use glam::DVec3;
use std::f64::consts::TAU;

/// Clearance that a section gets which the body does not cross at all (it would have to turn round), mm.
const NO_CROSSING_MM: f64 = -1e3;
/// A body is taken to cross a section while its direction makes at least this cosine with the axis.
const LEAST_COSINE: f64 = 0.15;

/// A motion of the body: a shift, and a turn about its tip.
pub type Motion = (DVec3, DVec3);

/// A place where the body could touch.
struct Contact {
    value: f64,
    /// Change of the value with a shift, and with a turn about the tip.
    slope: Motion,
}

/// Everything measured at one placement.
pub struct Measured {
    contacts: Vec<Contact>,
    /// Least clearance, mm.
    pub least: f64,
    /// Where, mm from the mouth.
    pub at: f64,
    /// Whether the centre line crosses every section, the body hanging out of the mouth.
    pub crossed: bool,
}

impl Measured {
    /// A contact whose value falls by `towards`·δ when the body's point at `lever` from the tip moves by δ.
    fn add(&mut self, value: f64, at: f64, towards: DVec3, lever: DVec3) {
        if value < self.least {
            self.least = value;
            self.at = at;
        }
        self.contacts.push(Contact { value, slope: (-towards, -lever.cross(towards)) });
    }

    /// Rows of the linear programme for these motions, those that a step within `radius` could not make the
    /// least left out.
    pub fn rows(&self, axes: &[Motion; MOST], unknowns: usize, radius: f64) -> Vec<Row> {
        let row = |c: &Contact| {
            let mut gradient = [0.0; MOST];
            for (g, a) in gradient.iter_mut().zip(&axes[..unknowns]) {
                *g = c.slope.0.dot(a.0) + c.slope.1.dot(a.1);
            }
            Row { value: c.value, gradient }
        };
        let swing = |r: &Row| radius * r.gradient.iter().map(|g| g.abs()).sum::<f64>();
        let mut rows: Vec<Row> = self.contacts.iter().map(row).collect();
        let roof = rows.iter().map(|r| r.value + swing(r)).fold(f64::INFINITY, f64::min);
        rows.retain(|r| r.value - swing(r) <= roof);
        rows
    }
}

/// What limits the head in the tip's section.
pub struct HeadRoom {
    /// How far its centre may stand from the axis, mm.
    bore_mm: f64,
    /// Beside each dent: its side and the limit, mm.
    dents: Vec<(DVec3, f64)>,
}

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
    /// The head's limits; none where the tip is held or has no head.
    pub head: Option<HeadRoom>,
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

/// Where the centre line crosses a section, by Newton's method from a first guess of s; none where it runs
/// along the section or away.
pub fn cross(placement: &Placement, curvature: f64, section: &Section, guess: f64) -> Option<Crossing> {
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

impl<'a> Fitting<'a> {
    /// A body with its tip at a place; `free`: its head may lie anywhere there.
    pub fn new(tube: &'a Tube, body: &'a Body, ignore: Ignore, tip_mm: f64, free: bool) -> Self {
        let tip = tube.section(tip_mm);
        let radius = body.head_mm / 2.0;
        let head = (free && body.ends == Ends::Head).then(|| HeadRoom {
            bore_mm: tube.room_for_sphere_mm(tip_mm, radius),
            dents: tube
                .dents
                .iter()
                .enumerate()
                .filter(|(i, d)| !ignore.has(*i) && (d.at_mm - tip_mm).abs() <= d.half_width_mm + radius)
                .map(|(_, d)| (tip.frame.clock(d.clock_rad), tube.room_beside_dent_mm(d, tip_mm, radius)))
                .collect(),
        });
        Self { tube, body, ignore, tip, head }
    }

    /// All clearances at a placement, over some sections of the way (rising from the mouth).
    pub fn measure(&self, placement: &Placement, way: &[&Section]) -> Measured {
        let mut out = Measured { contacts: Vec::with_capacity(2 * way.len() + 8), least: f64::INFINITY, at: self.tip.u_mm, crossed: true };
        self.measure_head(placement, &mut out);
        let curvature = self.body.curvature;
        let mut s = 0.0;
        let mut u = self.tip.u_mm;
        let mut ends_inside = false;
        for section in way.iter().rev() {
            s += u - section.u_mm;
            u = section.u_mm;
            let Some(crossing) = cross(placement, curvature, section, s) else {
                // The body has turned away from the axis: count how far its line there is from the axis.
                let (p, _) = placement.at(curvature, s);
                let o = p - section.frame.at;
                let far = o - section.frame.along * o.dot(section.frame.along);
                let value = NO_CROSSING_MM.max(-far.length() - 2.0 * section.radius_mm);
                out.add(value, section.u_mm, far.normalize_or(DVec3::ZERO), p - placement.tip);
                out.crossed = false;
                break;
            };
            s = crossing.s;
            if s > self.body.length_mm {
                ends_inside = true;
                break;
            }
            self.measure_section(placement, section, &crossing, &mut out);
        }
        if ends_inside && self.body.ends == Ends::Head {
            self.measure_butt(placement, way, &mut out);
        }
        if self.body.ends == Ends::Square {
            self.measure_rim(placement, self.body.length_mm, way, &mut out);
            self.measure_rim(placement, 0.0, way, &mut out);
        }
        out.crossed &= !ends_inside;
        out
    }

    fn measure_section(&self, placement: &Placement, section: &Section, c: &Crossing, out: &mut Measured) {
        let Crossing { s, p, d } = *c;
        let (t, a) = (section.frame.along, section.radius_mm);
        let o = p - section.frame.at;
        let r = self.body.radius_mm(s);
        let off = o.length();
        let slope = d.dot(t);
        let lever = p - placement.tip;
        // The crossing stays in the section: of a motion δ only δ − d·(δ·t)/(d·t) counts across.
        let across = |direction: DVec3| direction - t * (direction.dot(d) / slope);
        let direction = if off > 1e-9 { o / off } else { section.frame.normal };
        // The tilt in the direction of the offset; the wall's nearest point must lie beside the body.
        let lean = direction.dot(d);
        let cosine = (1.0 - lean * lean).max(0.0).sqrt();
        let gap = a - off;
        let beside = s + gap * lean;
        if beside >= 0.0 && beside <= self.body.length_mm {
            let scale = if gap > 0.0 { cosine } else { 1.0 };
            let value = gap * scale - r;
            out.add(value, section.u_mm, across(direction) * scale, lever);
            let mut also = |q: DVec3| out.add(a - o.dot(q) - r, section.u_mm, across(q), lever);
            if off < 0.2 * a {
                // Near the axis the direction of the offset can turn about: the square directions too.
                let square = t.cross(direction);
                [square, -square, -direction].into_iter().for_each(&mut also);
            } else if value < 0.25 * a {
                // The offset's circle curves away: neighbouring directions keep the programme honest.
                let square = t.cross(direction) * 0.435;
                [direction * 0.9 + square, direction * 0.9 - square].into_iter().for_each(&mut also);
            }
            if slope * slope < 0.97 {
                self.measure_tilted(placement, section, c, r, out);
            }
        }
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            let lean = flat.side.dot(d);
            let gap = flat.limit_mm - o.dot(flat.side);
            let scale = if gap > 0.0 { (1.0 - lean * lean).max(0.0).sqrt() } else { 1.0 };
            out.add(gap * scale - r, section.u_mm, across(flat.side) * scale, lever);
        }
    }

    /// A body that crosses a section aslant: wall points all round, each at its distance from the body's line.
    fn measure_tilted(&self, placement: &Placement, section: &Section, c: &Crossing, r: f64, out: &mut Measured) {
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
            if distance > 1e-9 {
                out.add(distance - r, section.u_mm, away / distance, q - placement.tip);
            }
        }
    }

    fn measure_head(&self, placement: &Placement, out: &mut Measured) {
        let Some(head) = &self.head else { return };
        let o = placement.tip - self.tip.frame.at;
        let direction = o.normalize_or(self.tip.frame.normal);
        let u = self.tip.u_mm;
        out.add(head.bore_mm - o.length(), u, direction, DVec3::ZERO);
        let square = self.tip.frame.along.cross(direction);
        for q in [square, -square, -direction] {
            out.add(head.bore_mm - o.dot(q), u, q, DVec3::ZERO);
        }
        for (side, limit) in &head.dents {
            out.add(limit - o.dot(*side), u, *side, DVec3::ZERO);
        }
    }

    /// The other end of a rod that ends inside the tube: round, of its own thickness.
    fn measure_butt(&self, placement: &Placement, way: &[&Section], out: &mut Measured) {
        let (p, _) = placement.at(self.body.curvature, self.body.length_mm);
        let Some(u) = self.nearest_u(p, way) else { return };
        self.measure_point(placement, p, u, self.body.radius_mm(self.body.length_mm), out);
    }

    /// The edge of a square end: points round it must lie inside the wall.
    fn measure_rim(&self, placement: &Placement, s: f64, way: &[&Section], out: &mut Measured) {
        const POINTS: usize = 24;
        let (centre, d) = placement.at(self.body.curvature, s);
        let Some(u) = self.nearest_u(centre, way) else { return };
        let (e1, e2) = (placement.side, d.cross(placement.side));
        let r = self.body.radius_mm(s);
        for i in 0..POINTS {
            let (sin, cos) = (TAU * i as f64 / POINTS as f64).sin_cos();
            let p = centre + (e1 * cos + e2 * sin) * r;
            if let Some(u) = self.project(p, u) {
                self.measure_point(placement, p, u, 0.0, out);
            }
        }
    }

    fn measure_point(&self, placement: &Placement, p: DVec3, u: f64, r: f64, out: &mut Measured) {
        let section = self.tube.section(u);
        let o = p - section.frame.at;
        let lever = p - placement.tip;
        out.add(section.radius_mm - o.length() - r, u, o.normalize_or(section.frame.normal), lever);
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            out.add(flat.limit_mm - o.dot(flat.side) - r, u, flat.side, lever);
        }
    }

    /// The place nearest to a point, mm from the mouth; none where the point lies out of the mouth.
    fn nearest_u(&self, p: DVec3, way: &[&Section]) -> Option<f64> {
        let sections = way.iter().copied().chain(std::iter::once(&self.tip));
        let near = sections.min_by(|a, b| a.frame.at.distance_squared(p).total_cmp(&b.frame.at.distance_squared(p)))?;
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
