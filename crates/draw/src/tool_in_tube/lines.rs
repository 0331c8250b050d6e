//! Lines that are cut short, and text that is broken.

use crate::canvas::{Canvas, P, Pen};
use glam::DVec3;

/// The first `length_mm` of a line, and whether it was cut.
pub(super) fn shown(line: &[DVec3], length_mm: f64) -> (Vec<DVec3>, bool) {
    let mut left = length_mm;
    let mut out: Vec<DVec3> = line.first().copied().into_iter().collect();
    for w in line.windows(2) {
        let d = w[0].distance(w[1]);
        if d >= left {
            out.push(w[0].lerp(w[1], (left / d.max(1e-9)).clamp(0.0, 1.0)));
            return (out, true);
        }
        out.push(w[1]);
        left -= d;
    }
    (out, false)
}

/// A break in a long thing: a zigzag over a white gap.
pub(super) fn break_line(canvas: &mut Canvas, a: P, b: P) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let size = dx.hypot(dy).max(1e-9);
    let (tx, ty) = (dx / size, dy / size);
    let at = |part: f64, off: f64| (a.0 + dx * part - ty * off, a.1 + dy * part + tx * off);
    let (a2, b2) = ((a.0 - tx, a.1 - ty), (b.0 + tx, b.1 + ty));
    canvas.line(a, b, Pen::new(0.9, "#ffffff"));
    canvas.polyline(&[a2, at(0.35, 0.0), at(0.45, 1.2), at(0.55, -1.2), at(0.65, 0.0), b2], Pen::NARROW);
}
