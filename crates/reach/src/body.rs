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
