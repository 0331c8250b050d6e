//! The inside of a tube in space: a chain of straight lengths and circular bends with a bore that
//! changes along it and dents that narrow it. The ground on which poses are solved.
//!
//! Knows nothing of surveys: [`crate::path`] builds a tube from an instrument's runs. The way along the
//! tube is `u`, mm from its mouth inwards. A dent is taken as a flat across the tube: in the
//! cross-section it cuts the bore's circle by a chord at its depth (own model; a dent's bottom is flat or
//! bulges inwards, so this leaves a body no more clearance than it has beside the dent), and as a raised
//! cosine along the tube.

use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Place, direction of travel, and two directions across: `normal` is the run's marked line (clock 0),
/// `binormal` = along × normal (clock 90). Carried along without twist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Place on the axis, mm.
    pub at: DVec3,
    /// Direction inwards.
    pub along: DVec3,
    /// Direction of clock 0.
    pub normal: DVec3,
    /// Direction of clock 90°.
    pub binormal: DVec3,
}

impl Frame {
    /// The frame at a tube's mouth: x inwards, y the marked line.
    pub const MOUTH: Self = Self { at: DVec3::ZERO, along: DVec3::X, normal: DVec3::Y, binormal: DVec3::Z };

    /// The direction across at a clock angle in radians.
    pub fn clock(&self, rad: f64) -> DVec3 {
        let (s, c) = rad.sin_cos();
        self.normal * c + self.binormal * s
    }
}

/// A circular bend: radius of the centre line, and the clock towards which it turns.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Bend {
    radius_mm: f64,
    towards_rad: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    from_mm: f64,
    length_mm: f64,
    start: Frame,
    bend: Option<Bend>,
}

impl Piece {
    fn frame(&self, u: f64) -> Frame {
        let s = u - self.from_mm;
        let f = self.start;
        match self.bend {
            None => Frame { at: f.at + f.along * s, ..f },
            Some(b) => {
                let c = f.clock(b.towards_rad);
                let k = f.along.cross(c);
                let (sin, cos) = (s / b.radius_mm).sin_cos();
                let c2 = c * cos - f.along * sin;
                let (sg, cg) = b.towards_rad.sin_cos();
                Frame {
                    at: f.at + f.along * (b.radius_mm * sin) + c * (b.radius_mm * (1.0 - cos)),
                    along: f.along * cos + c * sin,
                    normal: c2 * cg - k * sg,
                    binormal: c2 * sg + k * cg,
                }
            }
        }
    }
}

/// A dent that narrows the tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Narrowing {
    /// Where its middle lies, mm from the mouth.
    pub at_mm: f64,
    /// Its clock in the tube's frame, radians.
    pub clock_rad: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Half its width along the tube, mm.
    pub half_width_mm: f64,
}

impl Narrowing {
    /// Depth at a place along the tube: a raised cosine of the dent's width. Own model.
    pub fn depth_at(&self, u_mm: f64) -> f64 {
        let x = (u_mm - self.at_mm) / self.half_width_mm;
        if x.abs() >= 1.0 { 0.0 } else { self.depth_mm * 0.5 * (1.0 + (PI * x).cos()) }
    }
}

/// A chord that a dent cuts off a cross-section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flat {
    /// Which of the tube's narrowings.
    pub dent: usize,
    /// Outward direction of the dent's side.
    pub side: DVec3,
    /// Distance of the chord from the axis on that side, mm.
    pub limit_mm: f64,
}

/// A cross-section of the tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Distance from the mouth, mm.
    pub u_mm: f64,
    /// Its frame.
    pub frame: Frame,
    /// Inside radius, mm.
    pub radius_mm: f64,
    /// Chords that dents cut off.
    pub flats: Vec<Flat>,
}

/// A tube.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Tube {
    pieces: Vec<Piece>,
    /// (distance from the mouth, inside radius), rising; straight between.
    bore: Vec<(f64, f64)>,
    /// Dents.
    pub dents: Vec<Narrowing>,
}

impl Tube {
    /// Length, mm.
    pub fn length_mm(&self) -> f64 {
        self.pieces.last().map_or(0.0, |p| p.from_mm + p.length_mm)
    }

    fn end(&self) -> Frame {
        self.pieces.last().map_or(Frame::MOUTH, |p| p.frame(p.from_mm + p.length_mm))
    }

    /// Adds a straight length, mm.
    pub fn straight(&mut self, length_mm: f64) {
        if length_mm > 0.0 {
            self.pieces.push(Piece { from_mm: self.length_mm(), length_mm, start: self.end(), bend: None });
        }
    }

    /// Adds a bend: centre-line radius mm, angle degrees, the clock (degrees) towards which it turns.
    pub fn bend(&mut self, radius_mm: f64, angle_deg: f64, towards_deg: f64) {
        let length_mm = radius_mm * angle_deg.to_radians();
        if radius_mm > 0.0 && length_mm > 0.0 {
            let bend = Some(Bend { radius_mm, towards_rad: towards_deg.to_radians() });
            self.pieces.push(Piece { from_mm: self.length_mm(), length_mm, start: self.end(), bend });
        }
    }

    /// Adds a point of the bore: inside radius mm at a distance from the mouth; distances must not fall.
    pub fn bore_point(&mut self, u_mm: f64, radius_mm: f64) {
        self.bore.push((u_mm, radius_mm));
    }

    /// The points of the bore.
    pub fn bore_points(&self) -> &[(f64, f64)] {
        &self.bore
    }

    /// Inside radius without dents, mm. Where the bore steps, the smaller one.
    pub fn radius_mm(&self, u_mm: f64) -> f64 {
        let i = self.bore.partition_point(|p| p.0 < u_mm);
        match (i.checked_sub(1).and_then(|j| self.bore.get(j)), self.bore.get(i)) {
            (Some(a), Some(b)) => {
                let exact =
                    if b.0 == u_mm { self.bore[i..].iter().take_while(|p| p.0 == u_mm).map(|p| p.1).fold(b.1, f64::min) } else { f64::MAX };
                let w = if b.0 > a.0 { (u_mm - a.0) / (b.0 - a.0) } else { 1.0 };
                (a.1 + (b.1 - a.1) * w).min(exact)
            }
            (None, Some(b)) => b.1,
            (Some(a), None) => a.1,
            (None, None) => 0.0,
        }
    }

    fn piece_at(&self, u_mm: f64) -> Option<&Piece> {
        let i = self.pieces.partition_point(|p| p.from_mm <= u_mm);
        self.pieces.get(i.saturating_sub(1))
    }

    /// Frame at a distance from the mouth.
    pub fn frame(&self, u_mm: f64) -> Frame {
        self.piece_at(u_mm).map_or(Frame::MOUTH, |p| p.frame(u_mm))
    }

    /// Curvature of the centre line, 1/mm; zero where straight.
    pub fn curvature(&self, u_mm: f64) -> f64 {
        self.piece_at(u_mm).and_then(|p| p.bend).map_or(0.0, |b| 1.0 / b.radius_mm)
    }

    /// Where the straight length or bend that holds a place ends, mm from the mouth.
    pub fn piece_end(&self, u_mm: f64) -> f64 {
        self.piece_at(u_mm).map_or(u_mm, |p| p.from_mm + p.length_mm)
    }

    /// How far the tube runs on straight from a place, mm from the mouth; the place itself where it is bent there.
    pub fn straight_until_mm(&self, u_mm: f64) -> f64 {
        let from = self.pieces.partition_point(|p| p.from_mm + p.length_mm <= u_mm);
        self.pieces[from..].iter().take_while(|p| p.bend.is_none()).map(|p| p.from_mm + p.length_mm).last().unwrap_or(u_mm)
    }

    /// The next place past this one where the bore's slope or the axis' curvature changes, or the end, mm.
    pub fn next_kink(&self, u_mm: f64) -> f64 {
        let bore = self.bore.iter().map(|p| p.0).find(|u| *u > u_mm).unwrap_or(f64::INFINITY);
        bore.min(self.piece_end(u_mm)).min(self.length_mm())
    }

    /// The widest inside radius between two places, mm.
    pub fn widest_mm(&self, from_mm: f64, to_mm: f64) -> f64 {
        let inner = self.bore.iter().filter(|p| p.0 >= from_mm && p.0 <= to_mm).map(|p| p.1);
        inner.chain([self.radius_mm(from_mm), self.radius_mm(to_mm)]).fold(0.0, f64::max)
    }

    /// The mean inside radius between two places, mm: the bore runs straight between its points (closed form).
    pub fn mean_radius_mm(&self, from_mm: f64, to_mm: f64) -> f64 {
        if to_mm - from_mm < 1e-9 {
            return self.radius_mm(from_mm);
        }
        let (mut area, mut last) = (0.0, (from_mm, self.radius_mm(from_mm)));
        let inner = self.bore.iter().copied().filter(|p| p.0 > from_mm && p.0 < to_mm);
        for p in inner.chain([(to_mm, self.radius_mm(to_mm))]) {
            area += 0.5 * (p.0 - last.0) * (p.1 + last.1);
            last = p;
        }
        area / (to_mm - from_mm)
    }

    /// How far in from the mouth the bore is nowhere under this diameter, mm.
    pub fn wide_until_mm(&self, diameter_mm: f64) -> f64 {
        let mut last = (0.0, self.radius_mm(0.0));
        if 2.0 * last.1 < diameter_mm {
            return 0.0;
        }
        for p in &self.bore {
            if 2.0 * p.1 < diameter_mm {
                let fall = last.1 - p.1;
                return if fall > 0.0 { last.0 + (p.0 - last.0) * (last.1 - 0.5 * diameter_mm) / fall } else { p.0 };
            }
            last = *p;
        }
        self.length_mm()
    }

    /// The tightest bend between two places, mm; none where all is straight.
    pub fn tightest_radius_mm(&self, from_mm: f64, to_mm: f64) -> Option<f64> {
        self.pieces
            .iter()
            .filter(|p| p.from_mm < to_mm && p.from_mm + p.length_mm > from_mm)
            .filter_map(|p| p.bend.map(|b| b.radius_mm))
            .min_by(f64::total_cmp)
    }

    /// The straight lengths and bends between two places, each from where to where (mm from the mouth) and its centre-line radius.
    pub fn pieces_between(&self, from_mm: f64, to_mm: f64) -> impl Iterator<Item = (f64, f64, Option<f64>)> {
        self.pieces
            .iter()
            .map(move |p| (p.from_mm.max(from_mm), (p.from_mm + p.length_mm).min(to_mm), p.bend.map(|b| b.radius_mm)))
            .filter(|p| p.1 > p.0)
    }

    /// Total angle turned between two places, degrees.
    pub fn turned_deg(&self, from_mm: f64, to_mm: f64) -> f64 {
        let turned = |p: &Piece| {
            let on = (p.from_mm + p.length_mm).min(to_mm) - p.from_mm.max(from_mm);
            p.bend.map_or(0.0, |b| on.max(0.0) / b.radius_mm)
        };
        self.pieces.iter().map(turned).sum::<f64>().to_degrees()
    }

    /// The direction across towards the inside of the bend at a place; none where straight.
    pub fn inside_of_bend(&self, u_mm: f64) -> Option<DVec3> {
        let p = self.piece_at(u_mm)?;
        let b = p.bend?;
        Some(p.frame(u_mm).clock(b.towards_rad))
    }

    /// The cross-section at a place.
    pub fn section(&self, u_mm: f64) -> Section {
        let frame = self.frame(u_mm);
        let radius_mm = self.radius_mm(u_mm);
        let mut flats = Vec::new();
        for (dent, d) in self.dents.iter().enumerate() {
            let depth = d.depth_at(u_mm);
            if depth > 0.0 {
                flats.push(Flat { dent, side: frame.clock(d.clock_rad), limit_mm: radius_mm - depth });
            }
        }
        Section { u_mm, frame, radius_mm, flats }
    }

    /// Cross-sections from the mouth to `to_mm`, so close that between two of them a body of curvature
    /// `body_curvature` (1/mm) comes no nearer to the wall by more than `tolerance_mm` than it does at them:
    /// spacing √(8·tolerance/curvature) from the sagitta (closed form), and every kink of the bore.
    pub fn sections(&self, to_mm: f64, body_curvature: f64, tolerance_mm: f64) -> Vec<Section> {
        self.sections_between(0.0, to_mm, body_curvature, tolerance_mm)
    }

    /// As [`Tube::sections`], between two places.
    pub fn sections_between(&self, from_mm: f64, to_mm: f64, body_curvature: f64, tolerance_mm: f64) -> Vec<Section> {
        const WIDEST_SPACING_MM: f64 = 60.0;
        /// Of one straight length or bend.
        const MOST_SECTIONS: f64 = 2000.0;
        let mut at = vec![from_mm];
        for p in &self.pieces {
            let (start, end) = (p.from_mm.max(from_mm), (p.from_mm + p.length_mm).min(to_mm));
            if end <= start {
                continue;
            }
            let bend = p.bend.map_or(0.0, |b| 1.0 / b.radius_mm);
            let curvature = (bend + body_curvature).max(1e-9);
            let spacing = (8.0 * tolerance_mm / curvature).sqrt().min(WIDEST_SPACING_MM);
            let n = ((end - start) / spacing).ceil().clamp(1.0, MOST_SECTIONS);
            at.extend((1..=n as usize).map(|i| start + (end - start) * i as f64 / n));
        }
        at.extend(self.bore.iter().map(|p| p.0).filter(|u| *u > from_mm && *u < to_mm));
        for d in &self.dents {
            let n = dent_steps(d, tolerance_mm);
            at.extend((-n..=n).map(|i| d.at_mm + d.half_width_mm * f64::from(i) / f64::from(n)).filter(|u| *u > from_mm && *u < to_mm));
        }
        at.sort_by(f64::total_cmp);
        at.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        let mut sections: Vec<Section> = at.into_iter().map(|u| self.section(u)).collect();
        // What a dent may stand further in between two sections is taken off at both.
        let sag: Vec<f64> = self
            .dents
            .iter()
            .map(|d| dent_curvature(d) * (d.half_width_mm / f64::from(dent_steps(d, tolerance_mm))).powi(2) / 8.0)
            .collect();
        for flat in sections.iter_mut().flat_map(|s| &mut s.flats) {
            flat.limit_mm -= sag[flat.dent];
        }
        sections
    }

    /// How far the centre of a sphere of this radius may stand from the axis at a place, mm, by the bore
    /// alone; negative where it does not pass. In a straight part this is exact: the sphere's meridian circle
    /// must lie under the bore's profile, |o| ≤ a(u + x) − √(r² − x²) for every x; under a cone of slope m it is
    /// least at x = −m·r/√(1 + m²) (closed form). In a bend the wall's line on the inside is shorter than the axis,
    /// so the slope there is steeper by 1/(1 − κ·a): that is taken all round.
    pub fn sphere_clearance_mm(&self, u_mm: f64, radius_mm: f64) -> f64 {
        let (from, to) = ((u_mm - radius_mm).max(0.0), (u_mm + radius_mm).min(self.length_mm()));
        let under = |u: f64, a: f64| a - (radius_mm * radius_mm - (u - u_mm) * (u - u_mm)).max(0.0).sqrt();
        let mut least = f64::INFINITY;
        let shorter = (1.0 - self.curvature(u_mm) * self.radius_mm(u_mm)).clamp(0.2, 1.0);
        let mut cone = |a: (f64, f64), b: (f64, f64)| {
            let slope = if b.0 > a.0 { (b.1 - a.1) / (b.0 - a.0) } else { 0.0 };
            // Not `clamp`: a sphere that only touches the tube's end has, by rounding, its last place before its first.
            let touch = (u_mm - slope * radius_mm / (1.0 + slope * slope).sqrt()).max(a.0).min(b.0);
            let steeper = slope / shorter;
            let more = radius_mm * ((1.0 + steeper * steeper).sqrt() - (1.0 + slope * slope).sqrt());
            for u in [a.0, touch, b.0] {
                least = least.min(under(u, a.1 + slope * (u - a.0)) - more);
            }
        };
        let first = self.bore.partition_point(|p| p.0 <= from);
        let mut last = (from, self.radius_mm(from));
        for p in self.bore[first..].iter().take_while(|p| p.0 < to) {
            cone(last, *p);
            last = *p;
        }
        cone(last, (to, self.radius_mm(to)));
        least
    }

    /// The narrowest bore between two places, mm of diameter, and where, dents left out.
    pub fn narrowest_bore_mm(&self, from_mm: f64, to_mm: f64) -> (f64, f64) {
        let ends = [from_mm, to_mm].into_iter();
        let inner = self.bore.iter().map(|p| p.0).filter(|u| *u > from_mm && *u < to_mm);
        ends.chain(inner).map(|u| (2.0 * self.radius_mm(u), u)).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, from_mm))
    }
}

/// Curvature of a dent's profile along the tube at its bottom, 1/mm: π²d/(2w²) for a raised cosine of depth d and
/// half width w.
fn dent_curvature(d: &Narrowing) -> f64 {
    PI * PI * d.depth_mm / (2.0 * d.half_width_mm * d.half_width_mm)
}

/// Steps over half a dent's width: by the tolerance, within reason.
fn dent_steps(d: &Narrowing, tolerance_mm: f64) -> i32 {
    let spacing = (8.0 * tolerance_mm / dent_curvature(d).max(1e-9)).sqrt();
    let most = if tolerance_mm < 0.005 { 60.0 } else { 8.0 };
    (d.half_width_mm / spacing).ceil().clamp(2.0, most) as i32
}

/// An angle in radians brought to 0 … 2π.
pub fn turn(rad: f64) -> f64 {
    rad.rem_euclid(TAU)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_half_bends_lead_back_and_the_frame_stays_square() {
        let mut t = Tube::default();
        t.straight(100.0);
        t.bend(50.0, 180.0, 30.0);
        t.straight(100.0);
        let end = t.frame(t.length_mm());
        let side = Frame::MOUTH.clock(30f64.to_radians());
        assert!((end.at - side * 100.0).length() < 1e-9);
        assert!((end.along + DVec3::X).length() < 1e-9);
        assert!((end.along.cross(end.normal) - end.binormal).length() < 1e-9);
        assert!((t.turned_deg(0.0, 1e3) - 180.0).abs() < 1e-9);
    }

    #[test]
    fn a_ball_that_only_touches_the_tubes_end_is_answered() {
        let mut t = Tube::default();
        t.straight(30.0);
        t.bore_point(0.0, 10.0);
        t.bore_point(30.0, 12.0);
        for beyond in [0.0, 1e-14, 7.2e-15, 1.0] {
            assert!(t.sphere_clearance_mm(30.0 + 6.921_492_829_218_54 + beyond, 6.921_492_829_218_54).is_finite());
        }
    }

    /// A ball of diameter B in a cone of half angle φ touches where the bore is B cos φ (closed form):
    /// centred, its clearance is nought where the bore at its centre is B / cos φ.
    #[test]
    fn a_ball_seats_in_a_taper_where_the_closed_form_says() {
        let (phi, ball) = (8f64.to_radians(), 14.0_f64);
        let mut cone = Tube::default();
        cone.straight(100.0);
        cone.bore_point(0.0, 5.0 + 100.0 * phi.tan());
        cone.bore_point(100.0, 5.0);
        let centre = (5.0 + 100.0 * phi.tan() - ball / 2.0 / phi.cos()) / phi.tan();
        assert!(cone.sphere_clearance_mm(centre, ball / 2.0).abs() < 1e-9);
        let ring = centre + ball / 2.0 * phi.sin();
        assert!((2.0 * cone.radius_mm(ring) - ball * phi.cos()).abs() < 1e-9);
    }

    /// By hand: a cone from 30 to 10 mm of radius over 100 mm has 20 on the mean, 25 over its first half, and is 40 mm wide until
    /// its middle.
    #[test]
    fn a_cone_s_mean_and_where_it_is_wide() {
        let mut t = Tube::default();
        t.straight(150.0);
        for (u, r) in [(0.0, 30.0), (100.0, 10.0), (150.0, 10.0)] {
            t.bore_point(u, r);
        }
        assert!((t.mean_radius_mm(0.0, 100.0) - 20.0).abs() < 1e-9 && (t.mean_radius_mm(0.0, 50.0) - 25.0).abs() < 1e-9);
        assert!((t.mean_radius_mm(50.0, 150.0) - 12.5).abs() < 1e-9 && t.mean_radius_mm(20.0, 20.0) == 26.0);
        assert!((t.wide_until_mm(40.0) - 50.0).abs() < 1e-9 && t.wide_until_mm(61.0) == 0.0 && t.wide_until_mm(15.0) == 150.0);
    }

    #[test]
    fn a_step_counts_as_its_narrow_side() {
        let mut t = Tube::default();
        t.straight(20.0);
        for (u, r) in [(0.0, 6.0), (10.0, 6.0), (10.0, 5.0), (20.0, 5.0)] {
            t.bore_point(u, r);
        }
        assert_eq!(t.radius_mm(10.0), 5.0);
        assert_eq!(t.radius_mm(9.999), 6.0);
        assert_eq!(t.narrowest_bore_mm(0.0, 20.0).0, 10.0);
    }
}
