//! The rounded and flat ends of a body, and a body that lies across a short way.

use super::*;

impl Fitting<'_> {
    /// A body that lies across a short way, so that its line does not cross the sections: wall points all round, of
    /// close sections as far as it reaches. What the body may stand further out between the points is taken off.
    pub(super) fn measure_lying(&self, placement: &Placement, out: &mut Measured) {
        // It has come in by the mouth: it may not point inwards.
        let inwards = placement.away.dot(self.tip.frame.along);
        if inwards > INWARDS {
            let slope = placement.away.cross(self.tip.frame.along);
            out.add_slope(self.tip.radius_mm * (INWARDS - inwards), self.tip.u_mm, (DVec3::ZERO, -slope * self.tip.radius_mm));
        }
        let points = 96;
        let sections = self.lying.get_or_init(|| {
            let to = (self.tip.u_mm + self.body.length_mm).min(self.tube.length_mm());
            let n = (40.0 * to / self.tip.radius_mm).ceil().clamp(2.0, 400.0);
            (0..=n as usize).map(|i| self.tube.section(to * i as f64 / n)).collect()
        });
        let apart = sections.get(1).map_or(0.0, |s| s.u_mm - sections[0].u_mm);
        for section in sections {
            let turn = TAU / f64::from(points);
            let aside = turn * section.radius_mm;
            for k in 0..points {
                let o = section.frame.clock(turn * f64::from(k));
                let limit = section
                    .flats
                    .iter()
                    .filter(|f| !self.ignore.has(f.dent) && f.side.dot(o) > 1e-9)
                    .map(|f| f.limit_mm / f.side.dot(o))
                    .fold(section.radius_mm, f64::min);
                let wall = section.frame.at + o * limit.max(0.0);
                let (s, x) = placement.nearest(self.body.curvature, wall);
                if s < 0.0 || s > self.body.length_mm {
                    continue;
                }
                let (away, r) = (wall - x, self.body.radius_mm(s));
                let distance = away.length();
                let between = (apart * apart + aside * aside) / (8.0 * r);
                out.add(distance - r - between, section.u_mm, direction_or(away, o), x - placement.tip);
            }
        }
    }

    /// A sphere whose centre lies in the section at `u`: its distance to the wall, exact also where the bore changes
    /// within a bend.
    pub(super) fn measure_sphere(&self, placement: &Placement, centre: DVec3, u: f64, r: f64, out: &mut Measured) {
        let frame = self.tube.frame(u);
        let lever = centre - placement.tip;
        let o = centre - frame.at;
        let off = o.length();
        let side = direction_or(o, frame.normal);
        let here = self.tube.radius_mm(u);
        if off >= here {
            out.add(here - off - r, u, side, lever);
        } else if let Some(touch) = touch::nearest_wall(self.tube, centre, u, r) {
            out.add(touch.distance_mm - r, touch.u_mm, touch.towards, lever);
            // The other sides, for the programme: as much clearance from the axis as on this one.
            let clearance = touch.distance_mm - r + off;
            let square = frame.along.cross(side);
            for q in [square, -square, -side] {
                out.add(clearance - o.dot(q), u, q, lever);
            }
        }
        for (i, dent) in self.tube.dents.iter().enumerate() {
            if self.ignore.has(i) || (dent.at_mm - u).abs() > dent.half_width_mm + 3.0 * r {
                continue;
            }
            let q = frame.clock(dent.clock_rad);
            let limit = here - dent.depth_at(u) - o.dot(q);
            if limit <= 0.0 {
                out.add(limit - r, u, q, lever);
            } else if let Some(touch) = touch::nearest_on_dent(self.tube, dent, centre, u, r) {
                out.add(touch.distance_mm - r, touch.u_mm, touch.towards, lever);
            }
        }
    }

    /// The edge of a square end whose middle lies near the section at `u`: points round it must lie inside the wall.
    pub(super) fn measure_rim(&self, placement: &Placement, s: f64, u: f64, out: &mut Measured) {
        const POINTS: i32 = 24;
        let (centre, d) = placement.at(self.body.curvature, s);
        let frame = self.tube.frame(u);
        // Counted from the side that stands furthest out.
        let o = centre - frame.at;
        let e1 = direction_or(o - d * o.dot(d), d.any_orthonormal_vector());
        let e2 = d.cross(e1);
        let r = self.body.radius_mm(s);
        let mut edge = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            let p = centre + (e1 * cos + e2 * sin) * r;
            self.project(p, u + (p - centre).dot(frame.along)).map_or(f64::INFINITY, |u| self.measure_edge(placement, p, u, out))
        };
        let turn = TAU / f64::from(POINTS);
        let clearances: Vec<f64> = (0..POINTS).map(|i| edge(turn * f64::from(i))).collect();
        // Between the points: where a parabola through the least and its neighbours has its bottom.
        let n = clearances.len();
        if let Some(i) = (0..n).min_by(|a, b| clearances[*a].total_cmp(&clearances[*b])) {
            let (before, after) = (clearances[(i + n - 1) % n], clearances[(i + 1) % n]);
            let bend = before - 2.0 * clearances[i] + after;
            if bend.is_finite() && bend > 1e-12 {
                edge(turn * (i as f64 + 0.5 * (before - after) / bend));
            }
        }
        self.measure_rim_at_kinks(placement, centre, d, u, r, out);
    }

    /// Where the edge crosses the mouth and the places where the bore's slope changes.
    pub(super) fn measure_rim_at_kinks(&self, placement: &Placement, centre: DVec3, d: DVec3, u: f64, r: f64, out: &mut Measured) {
        let kinks = self.tube.bore_points().iter().map(|p| p.0).filter(|k| (k - u).abs() <= 2.0 * r);
        for k in std::iter::once(0.0).filter(|_| u <= 2.0 * r).chain(kinks) {
            let frame = self.tube.frame(k);
            let across = frame.along.reject_from_normalized(d);
            let height = (frame.at - centre).dot(frame.along);
            let reach = r * across.length();
            if reach > 1e-9 && height.abs() < reach {
                let cos = height / reach;
                let (e1, sin) = (across.normalize(), (1.0 - cos * cos).sqrt());
                for sin in [sin, -sin] {
                    self.measure_edge(placement, centre + (e1 * cos + d.cross(e1) * sin) * r, k, out);
                }
            }
        }
    }

    /// A point of the body inside the wall. Returns its clearance.
    pub(super) fn measure_edge(&self, placement: &Placement, p: DVec3, u: f64, out: &mut Measured) -> f64 {
        let section = self.tube.section(u);
        let o = p - section.frame.at;
        let lever = p - placement.tip;
        let mut least = section.radius_mm - o.length();
        out.add(least, u, direction_or(o, section.frame.normal), lever);
        for flat in section.flats.iter().filter(|f| !self.ignore.has(f.dent)) {
            let clearance = flat.limit_mm - o.dot(flat.side);
            out.add(clearance, u, flat.side, lever);
            least = least.min(clearance);
        }
        least
    }

    /// The place nearest to a point, mm from the mouth; none where the point lies out of the mouth.
    pub(super) fn nearest_u(&self, p: DVec3, way: &[&Section]) -> Option<f64> {
        let sections = way.iter().copied().chain(std::iter::once(&self.tip));
        let near = sections.min_by(|a, b| a.frame.at.distance_squared(p).total_cmp(&b.frame.at.distance_squared(p)))?;
        self.project(p, near.u_mm)
    }

    pub(super) fn project(&self, p: DVec3, from: f64) -> Option<f64> {
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
