//! Outlines of the tools that lie all round or fill the tube: an expanding plug's jaws, a draw ring, a bend's fill.

use crate::canvas::P;

/// How far the cone's bar is thinner than the jaws are wide, for the eye.
const BAR: f64 = 0.45;
/// Gap between the jaws for the eye, as a part of their size over all.
const GAP: f64 = 0.06;

/// A frame at the dent: its middle, the direction along the tube and the direction upwards in the drawing, and how a
/// place in it comes to the plane.
pub struct At<'f> {
    /// From (along, up), mm, to the plane.
    pub to: &'f dyn Fn(f64, f64) -> P,
}

impl At<'_> {
    fn outline(&self, points: &[P]) -> Vec<P> {
        points.iter().map(|p| (self.to)(p.0, p.1)).collect()
    }

    /// Both jaws of an expanding plug opened to a diameter, and the bar by which it is drawn, back to `tail_mm`.
    pub fn expander(&self, open_mm: f64, jaws_mm: f64, tail_mm: f64) -> Vec<Vec<P>> {
        let (r, half) = (0.5 * open_mm, 0.5 * jaws_mm);
        let bar = BAR * r;
        let gap = GAP * open_mm;
        let edge = (0.12 * jaws_mm).min(0.3 * r);
        // Inside they lie on the cone: wider apart at the far end.
        let jaw = |s: f64| {
            self.outline(&[
                (-half, s * (bar + gap * 0.5)),
                (half, s * (bar + gap * 1.5)),
                (half, s * (r - edge)),
                (half - edge, s * r),
                (edge - half, s * r),
                (-half, s * (r - edge)),
            ])
        };
        let cone = self.outline(&[
            (-tail_mm, -bar * 0.7),
            (-half, -bar * 0.7),
            (-half, -bar),
            (half + 2.0, -bar - gap),
            (half + 2.0, bar + gap),
            (-half, bar),
            (-half, bar * 0.7),
            (-tail_mm, bar * 0.7),
        ]);
        vec![cone, jaw(1.0), jaw(-1.0)]
    }

    /// A ring in section: above and below the tube, its mouth towards the tube that is still to come.
    pub fn ring(&self, bore_mm: f64, thick_mm: f64, mouth_deg: f64) -> Vec<Vec<P>> {
        let (r, out) = (0.5 * bore_mm, 0.5 * bore_mm + thick_mm);
        let length = thick_mm;
        let land = 0.35 * length;
        let rise = (length - land) * mouth_deg.to_radians().tan();
        let half = |s: f64| self.outline(&[(0.0, s * r), (land, s * r), (length, s * (r + rise)), (length, s * out), (0.0, s * out)]);
        vec![half(1.0), half(-1.0)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(parts: &[Vec<P>]) -> (f64, f64) {
        let y = parts.iter().flatten().map(|p| p.1);
        (y.clone().fold(f64::MAX, f64::min), y.fold(f64::MIN, f64::max))
    }

    #[test]
    fn jaws_are_as_wide_as_they_are_opened_and_a_ring_as_its_bore() {
        let at = At { to: &|x, y| (x, y) };
        let plug = at.expander(20.0, 12.0, 60.0);
        let (low, high) = spans(&plug);
        assert!((high - low - 20.0).abs() < 1e-9);
        assert!(plug[0].iter().any(|p| (p.0 + 60.0).abs() < 1e-9));
        let ring = at.ring(20.5, 8.0, 10.0);
        let (low, high) = spans(&ring);
        assert!((high - low - 36.5).abs() < 1e-9);
        assert!(ring[0].iter().map(|p| p.1).fold(f64::MAX, f64::min) >= 10.25 - 1e-9);
    }
}
