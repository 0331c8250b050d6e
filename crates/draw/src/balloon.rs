//! A dent's label in a ring; a hand on the ring shows the dent's clock as one looks from mouthpiece to bell.

use crate::canvas::{Canvas, INK, P, Pen, Type};

/// Radius of the ring, mm.
pub const RADIUS_MM: f64 = 2.6;
/// Distance that neighbouring balloons keep, mm.
pub const PITCH_MM: f64 = 6.6;

/// Draws a balloon. `clock_deg` none: the clock is not known and no hand is drawn. A dent that is not worked gets a
/// square.
pub fn balloon(canvas: &mut Canvas, centre: P, label: &str, clock_deg: Option<f64>, worked: bool) {
    if let Some(clock) = clock_deg {
        let (s, c) = clock.to_radians().sin_cos();
        let at = |r: f64, across: f64| (centre.0 + s * r + c * across, centre.1 - c * r + s * across);
        canvas.polygon(&[at(RADIUS_MM + 1.0, 0.0), at(RADIUS_MM - 0.2, 0.8), at(RADIUS_MM - 0.2, -0.8)], INK, None);
    }
    if worked {
        canvas.circle(centre, RADIUS_MM, "#ffffff", Pen::new(0.3, INK));
    } else {
        let r = RADIUS_MM * 0.92;
        canvas.rect((centre.0 - r, centre.1 - r), (2.0 * r, 2.0 * r), "#ffffff", Pen::new(0.3, INK));
    }
    let size = label_size(label, 2.0 * RADIUS_MM - 1.1);
    canvas.text((centre.0, centre.1 + size * 0.36), label, Type { size, bold: true, ..Type::TEXT.middle() });
}

/// The size of type with which a label fits into a width, mm: 3 at most.
pub fn label_size(label: &str, width_mm: f64) -> f64 {
    let wide = Type { bold: true, size: 1.0, ..Type::TEXT }.width_mm(label);
    (width_mm / wide.max(0.1)).clamp(0.8, 3.0)
}
