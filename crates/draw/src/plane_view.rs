//! The tube in its bending plane: where it is bent, the plane is the bend's own; where it is straight, the plane that
//! shows the dent in profile. The working place lies in the middle, the dent's side up, the opening to the left.

use crate::canvas::P;
use glam::DVec3;
use reach::tube::Tube;

/// A plane of view.
#[derive(Clone, Copy, Debug)]
pub struct Plane {
    origin: DVec3,
    right: DVec3,
    up: DVec3,
    /// Out of the paper.
    out: DVec3,
}

impl Plane {
    /// The plane for a stretch of tube with a working place at `at_mm` and a dent on the side `dent`.
    pub fn of(tube: &Tube, from_mm: f64, to_mm: f64, at_mm: f64, dent: DVec3) -> Self {
        const SAMPLES: i32 = 64;
        let here = tube.frame(at_mm);
        let mut out = DVec3::ZERO;
        for i in 0..=SAMPLES {
            let u = from_mm + (to_mm - from_mm) * f64::from(i) / f64::from(SAMPLES);
            if let Some(inside) = tube.inside_of_bend(u) {
                let normal = tube.frame(u).along.cross(inside) * tube.curvature(u);
                // Bends back in the same plane count with their sign turned.
                out += if normal.dot(out) < 0.0 { -normal } else { normal };
            }
        }
        let bent = out.length() > 1e-9;
        let out = if bent { out.normalize() } else { here.along.cross(dent).normalize_or(here.binormal) };
        let right = (here.along - out * here.along.dot(out)).normalize_or(out.any_orthonormal_vector());
        let up = out.cross(right);
        let (out, up) = if up.dot(dent) < 0.0 { (-out, -up) } else { (out, up) };
        Self { origin: here.at, right, up, out }
    }

    /// A point on the plane, mm, y upwards.
    pub fn point(&self, p: DVec3) -> P {
        let d = p - self.origin;
        (d.dot(self.right), d.dot(self.up))
    }

    /// A direction on the plane, y upwards.
    pub fn direction(&self, v: DVec3) -> P {
        (v.dot(self.right), v.dot(self.up))
    }

    /// How far a point lies out of the plane, mm.
    pub fn off(&self, p: DVec3) -> f64 {
        (p - self.origin).dot(self.out).abs()
    }

    /// How much of a side's direction lies in the plane upwards, −1 to 1.
    pub fn upness(&self, side: DVec3) -> f64 {
        side.dot(self.up)
    }

    /// The direction in space, across the tube at `u_mm`, that is the silhouette's upper edge there.
    pub fn edge(&self, tube: &Tube, u_mm: f64) -> DVec3 {
        self.out.cross(tube.frame(u_mm).along).normalize_or(self.up)
    }
}

/// How far the wall stands from the axis on a side, mm: the silhouette of a circle from which dents cut chords.
/// `ignore` is left out.
pub fn extent_mm(tube: &Tube, u_mm: f64, side: DVec3, ignore: Option<usize>) -> f64 {
    let section = tube.section(u_mm);
    let r = section.radius_mm;
    section.flats.iter().filter(|f| Some(f.dent) != ignore).fold(r, |extent, flat| {
        let cos = flat.side.dot(side).clamp(-1.0, 1.0);
        if r * cos <= flat.limit_mm {
            return extent;
        }
        let sin = (1.0 - cos * cos).max(0.0).sqrt();
        let half_chord = (r * r - flat.limit_mm * flat.limit_mm).max(0.0).sqrt();
        extent.min((flat.limit_mm * cos + half_chord * sin).min(r))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use reach::tube::Narrowing;

    #[test]
    fn the_plane_of_a_bend_shows_its_true_radius_and_the_dent_on_top() {
        let mut tube = Tube::default();
        tube.straight(50.0);
        tube.bend(80.0, 90.0, 30.0);
        tube.bore_point(0.0, 10.0);
        tube.bore_point(200.0, 10.0);
        let at = 50.0 + 40.0;
        let dent = tube.frame(at).clock(200_f64.to_radians());
        let plane = Plane::of(&tube, 0.0, tube.length_mm(), at, dent);
        assert!(plane.upness(dent) > 0.0);
        for u in [0.0, 25.0, 50.0, 100.0, 170.0] {
            assert!(plane.off(tube.frame(u).at) < 1e-9);
        }
        // Distance between the bend's ends: the chord 2R sin(45°), closed form.
        let (a, b) = (plane.point(tube.frame(50.0).at), plane.point(tube.frame(tube.length_mm()).at));
        assert!(((a.0 - b.0).hypot(a.1 - b.1) - 2.0 * 80.0 * 45_f64.to_radians().sin()).abs() < 1e-9);
    }

    #[test]
    fn the_silhouette_of_a_dent_is_its_chord() {
        let mut tube = Tube::default();
        tube.straight(100.0);
        tube.bore_point(0.0, 10.0);
        tube.bore_point(100.0, 10.0);
        tube.dents.push(Narrowing { at_mm: 50.0, clock_rad: 0.0, depth_mm: 4.0, half_width_mm: 10.0 });
        let up = tube.frame(50.0).normal;
        assert!((extent_mm(&tube, 50.0, up, None) - 6.0).abs() < 1e-9);
        assert!((extent_mm(&tube, 50.0, -up, None) - 10.0).abs() < 1e-9);
        assert!((extent_mm(&tube, 50.0, up, Some(0)) - 10.0).abs() < 1e-9);
        // At right angles to the dent the circle is whole.
        assert!((extent_mm(&tube, 50.0, tube.frame(50.0).binormal, None) - 10.0).abs() < 1e-9);
    }
}
