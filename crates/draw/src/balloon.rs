//! A dent's label in a ring; a hand on the ring shows the dent's clock as one looks from mouthpiece to bell.

use crate::canvas::{Canvas, INK, P, Pen, Type};

/// Radius of the ring, mm.
pub const RADIUS_MM: f64 = 2.8;
/// Distance that neighbouring balloons keep, mm.
pub const PITCH_MM: f64 = 6.8;

/// Draws a balloon. `clock_deg` none: the clock is not known and no hand is drawn. A dent that is not worked gets a
/// square.
pub fn balloon(canvas: &mut Canvas, centre: P, label: &str, clock_deg: Option<f64>, worked: bool) {
    if let Some(clock) = clock_deg {
        let (s, c) = clock.to_radians().sin_cos();
        let at = |r: f64, across: f64| (centre.0 + s * r + c * across, centre.1 - c * r + s * across);
        canvas.polygon(&[at(RADIUS_MM + 1.0, 0.0), at(RADIUS_MM - 0.2, 0.8), at(RADIUS_MM - 0.2, -0.8)], INK, None);
    }
    if worked {
        canvas.circle(centre, RADIUS_MM, "#ffffff", Pen::NARROW);
    } else {
        let r = RADIUS_MM * 0.92;
        canvas.rect((centre.0 - r, centre.1 - r), (2.0 * r, 2.0 * r), "#ffffff", Pen::NARROW);
    }
    canvas.text((centre.0, centre.1 + 1.05), label, Type { bold: true, ..Type::SMALL.middle() });
}
