//! The tool as a solid: a straight or evenly curved body of revolution with a head or square ends.

use glam::DVec3;

/// What the body's ends are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// A round head at the tip; the other end hangs out of the tube or is round too.
    Head,
    /// Cut square at both ends (a mandrel, a plain bar).
    Square,
}

/// A body. `s` runs from its tip (0) to its other end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Diameter at the tip, mm.
    pub tip_mm: f64,
    /// Diameter at the other end, mm.
    pub butt_mm: f64,
    /// Length, mm.
    pub length_mm: f64,
    /// Diameter of the round head at the tip, mm; the shank's own where it has none.
    pub head_mm: f64,
    /// Curvature of the centre line, 1/mm; zero for a straight body.
    pub curvature: f64,
    /// Its ends.
    pub ends: Ends,
}

impl Body {
    /// A straight rod with a round head.
    pub fn straight_rod(shank_mm: f64, length_mm: f64, head_mm: f64) -> Self {
        Self { tip_mm: shank_mm, butt_mm: shank_mm, length_mm, head_mm: head_mm.max(shank_mm), curvature: 0.0, ends: Ends::Head }
    }
    /// A rod bent to one radius, with a round head.
    pub fn curved_rod(shank_mm: f64, length_mm: f64, radius_mm: f64, head_mm: f64) -> Self {
        Self { curvature: 1.0 / radius_mm, ..Self::straight_rod(shank_mm, length_mm, head_mm) }
    }
    /// A straight or tapered bar, cut square, thin end at the tip.
    pub fn mandrel(small_mm: f64, large_mm: f64, length_mm: f64) -> Self {
        Self { tip_mm: small_mm, butt_mm: large_mm, length_mm, head_mm: small_mm, curvature: 0.0, ends: Ends::Square }
    }
    /// Radius of the shank at `s`, mm.
    pub fn radius_mm(&self, s: f64) -> f64 {
        0.5 * (self.tip_mm + (self.butt_mm - self.tip_mm) * (s / self.length_mm).clamp(0.0, 1.0))
    }
}

/// Where a body lies: its tip, the direction of its centre line away from the tip, and the side towards
/// which it is curved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Centre of the tip, mm.
    pub tip: DVec3,
    /// Direction of the centre line at the tip, away from the tip.
    pub away: DVec3,
    /// Direction at right angles towards which the centre line curves.
    pub side: DVec3,
}

impl Placement {
    /// Point of the centre line and its direction at `s`.
    pub fn at(&self, curvature: f64, s: f64) -> (DVec3, DVec3) {
        if curvature == 0.0 {
            return (self.tip + self.away * s, self.away);
        }
        let (sin, cos) = (curvature * s).sin_cos();
        let p = self.tip + self.away * (sin / curvature) + self.side * ((1.0 - cos) / curvature);
        (p, self.away * cos + self.side * sin)
    }

    /// The centre line's point nearest to a point, and its `s` (closed form; an arc up to half a turn either way).
    pub fn nearest(&self, curvature: f64, to: DVec3) -> (f64, DVec3) {
        let from_tip = to - self.tip;
        if curvature == 0.0 {
            let s = from_tip.dot(self.away);
            return (s, self.tip + self.away * s);
        }
        let (x, y) = (from_tip.dot(self.away) * curvature, 1.0 - from_tip.dot(self.side) * curvature);
        let s = x.atan2(y) / curvature;
        (s, self.at(curvature, s).0)
    }

    /// The point of a curved centre line nearest to a point beside it, and the direction from there to the point
    /// (closed form, without the angle: for points nearer to the line than its centre of curvature is).
    pub fn beside(&self, curvature: f64, to: DVec3) -> (DVec3, DVec3) {
        let centre = self.tip + self.side / curvature;
        let across = self.away.cross(self.side);
        let from = to - centre;
        let radial = crate::touch::direction_or(from - across * from.dot(across), -self.side);
        let foot = centre + radial / curvature;
        (foot, crate::touch::direction_or(to - foot, radial))
    }

    /// Turned about the tip by a small rotation vector and moved.
    pub fn moved(&self, by: DVec3, rotation: DVec3) -> Self {
        let angle = rotation.length();
        let (mut away, mut side) = (self.away, self.side);
        if angle > 1e-15 {
            let q = glam::DQuat::from_axis_angle(rotation / angle, angle);
            away = q * away;
            side = q * side;
        }
        let away = away.normalize_or(self.away);
        let side = (side - away * side.dot(away)).normalize_or(away.any_orthonormal_vector());
        Self { tip: self.tip + by, away, side }
    }
}

/// A walk along a centre line: small steps turn the direction by a series instead of an angle's sine and cosine.
#[derive(Clone, Copy, Debug)]
pub struct Walk<'a> {
    placement: &'a Placement,
    curvature: f64,
    s: f64,
    sin: f64,
    cos: f64,
}

impl<'a> Walk<'a> {
    /// A walk that stands at `s`.
    pub fn new(placement: &'a Placement, curvature: f64, s: f64) -> Self {
        let (sin, cos) = if curvature == 0.0 { (0.0, 1.0) } else { (curvature * s).sin_cos() };
        Self { placement, curvature, s, sin, cos }
    }

    /// Where it stands.
    pub fn s(&self) -> f64 {
        self.s
    }

    /// Whether the line is straight.
    pub fn is_straight(&self) -> bool {
        self.curvature == 0.0
    }

    /// On by a step.
    pub fn by(&mut self, step: f64) {
        self.s += step;
        if self.curvature == 0.0 {
            return;
        }
        let x = self.curvature * step;
        if x.abs() > 0.1 {
            (self.sin, self.cos) = (self.curvature * self.s).sin_cos();
            return;
        }
        // Taylor's series: the next terms are under 1e-10 for these steps.
        let x2 = x * x;
        let sin = x * (1.0 - x2 * (1.0 / 6.0 - x2 * (1.0 / 120.0 - x2 / 5040.0)));
        let cos = 1.0 - x2 * (0.5 - x2 * (1.0 / 24.0 - x2 / 720.0));
        (self.sin, self.cos) = (self.sin * cos + self.cos * sin, self.cos * cos - self.sin * sin);
    }

    /// The point and the direction there.
    pub fn at(&self) -> (DVec3, DVec3) {
        let Placement { tip, away, side } = *self.placement;
        if self.curvature == 0.0 {
            return (tip + away * self.s, away);
        }
        (tip + (away * self.sin + side * (1.0 - self.cos)) / self.curvature, away * self.cos + side * self.sin)
    }
}
