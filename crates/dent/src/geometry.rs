//! The shape of a dent from its depth and two widths, and what it leaves of the bore.
//!
//! Shape model: u(x, y) = d · f(x) · g(y), x along the axis, y round the tube, u the depth below the true surface. Unless a
//! profile was measured, both sections are Gaussian, f = exp(−x²/2s²): rounded at the bottom, running out softly, one
//! length s. What the bench calls the width ends where a finger or a straightedge loses the dent: at a tenth of its
//! depth, so that width = 2 s √(2 ln 10) = 4.292 s.

use std::f64::consts::PI;
use units::Source;

/// Source of [`WIDTH_OVER_S`].
pub const WIDTH: Source = Source::common_practice(
    "Gaussian dent u = d·exp(−x²/2s²), its edge seen where a tenth of the depth is left: width = 2 s √(2 ln 10) = 4.292 s",
);
/// Source of [`curvature`].
pub const CURVATURE: Source = Source::closed_form("bottom of a Gaussian dent: |u''| = d/s²");
/// Source of [`wall_curvature`].
pub const WALL_CURVATURE: Source =
    Source::closed_form("circle of radius R₀ moved inwards by u: 1/R₁ = 1/R₀ + u/R₀² − |u''| (first order, linear ring theory)");
/// Source of [`passage_mm`].
pub const PASSAGE: Source = Source::closed_form("sphere resting on the wall opposite the dent: bore − depth (holds as long as s ≤ √2 R)");
/// Source of [`area_left`].
pub const AREA: Source = Source::closed_form(
    "area in polar form ½∮(R − u)²dθ: 1 − (d·w·i₁ − d²·w·i₂/(2R))/(πR²), i₁ and i₂ the means of f and f² over the width",
);

/// Part of the depth that is left where the edge is seen. See [`WIDTH`].
pub const EDGE_PART: f64 = 0.1;

/// Width over s of a Gaussian dent: 2√(2 ln 10). See [`WIDTH`].
pub const WIDTH_OVER_S: f64 = 4.291_932_052_5;

/// Mean of f and of f² over the width of a Gaussian dent: √(2π)/4.292 and √π/4.292 (closed form).
pub const GAUSSIAN_MEANS: (f64, f64) = (0.584_032_600, 0.412_973_412);

/// Widest that a dent can be round the tube, as a part of its circumference: beyond half the tube is squashed, not dented
/// (definition; it keeps [`passage_mm`] on its ground).
pub const WIDEST_PART: f64 = 0.5;

/// Curvature at the bottom of a Gaussian dent, 1/mm: d/s².
pub fn curvature(depth_mm: f64, width_mm: f64, width_over_s: f64) -> f64 {
    let s = width_mm / width_over_s;
    depth_mm / (s * s)
}

/// Chord of a dent that a flat body pressed into a round tube, mm: 2√(d(D − d)) (circular segment, closed form).
pub fn chord_mm(depth_mm: f64, diameter_mm: f64) -> f64 {
    let d = depth_mm.clamp(0.0, diameter_mm / 2.0);
    2.0 * (d * (diameter_mm - d)).max(0.0).sqrt()
}

/// Curvature of the wall round the tube at the bottom of the dent, 1/mm: positive as the sound tube's, 0 flat, negative
/// bent inwards past flat. `dent_curvature` is that of the profile below the true surface.
pub fn wall_curvature(radius_mm: f64, depth_mm: f64, dent_curvature: f64) -> f64 {
    1.0 / radius_mm + depth_mm / (radius_mm * radius_mm) - dent_curvature
}

/// Largest sphere that passes the dent, mm.
pub fn passage_mm(bore_mm: f64, depth_mm: f64) -> f64 {
    (bore_mm - depth_mm).max(0.0)
}

/// Part of the bore's area that is left, 0 to 1. `means` are those of f and f² over the width.
pub fn area_left(bore_mm: f64, depth_mm: f64, width_across_mm: f64, means: (f64, f64)) -> f64 {
    let r = bore_mm / 2.0;
    let lost = depth_mm * width_across_mm * (means.0 - depth_mm * means.1 / (2.0 * r));
    (1.0 - lost / (PI * r * r)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_are_what_they_say() {
        assert!((WIDTH_OVER_S - 2.0 * (2.0 * 10.0_f64.ln()).sqrt()).abs() < 1e-9);
        assert!((GAUSSIAN_MEANS.0 - (2.0 * PI).sqrt() / WIDTH_OVER_S).abs() < 1e-6);
        assert!((GAUSSIAN_MEANS.1 - PI.sqrt() / WIDTH_OVER_S).abs() < 1e-6);
    }

    /// The inner surface of a dented section, by brute force.
    fn section(r: f64, d: f64, width: f64) -> Vec<(f64, f64)> {
        let s = width / WIDTH_OVER_S;
        (0..7200)
            .map(|i| {
                let theta = PI * (f64::from(i) / 3600.0 - 1.0);
                let rho = r - d * (-(r * theta).powi(2) / (2.0 * s * s)).exp();
                (rho * theta.cos(), rho * theta.sin())
            })
            .collect()
    }

    #[test]
    fn no_larger_sphere_passes_and_this_one_does() {
        for (r, d, width) in [(6.0, 1.0, 8.0), (6.0, 4.0, 14.0), (30.0, 3.0, 90.0), (30.0, 12.0, 80.0)] {
            let wall = section(r, d, width);
            let mut best: f64 = 0.0;
            for i in -2000..2000 {
                let x = r * f64::from(i) / 2000.0;
                let free = wall.iter().map(|p| (p.0 - x).hypot(p.1)).fold(f64::INFINITY, f64::min);
                best = best.max(2.0 * free);
            }
            assert!((best - passage_mm(2.0 * r, d)).abs() < 0.005 * r, "{r} {d} {width}: {best}");
        }
    }

    #[test]
    fn the_area_is_that_of_the_polygon() {
        for (r, d, width) in [(6.0, 1.0, 8.0), (6.0, 3.0, 12.0), (30.0, 12.0, 70.0)] {
            let wall = section(r, d, width);
            let area: f64 =
                (0..wall.len()).map(|i| (wall[i], wall[(i + 1) % wall.len()])).map(|(a, b)| (a.0 * b.1 - a.1 * b.0) / 2.0).sum();
            let left = area_left(2.0 * r, d, width, GAUSSIAN_MEANS);
            assert!((left - area / (PI * r * r)).abs() < 2e-3, "{r} {d} {width}: {left} {}", area / (PI * r * r));
        }
    }

    #[test]
    fn the_chord_is_the_circle_s() {
        // Half the tube squashed flat: the chord is the diameter.
        assert!((chord_mm(10.0, 20.0) - 20.0).abs() < 1e-12);
        assert!((chord_mm(2.0, 20.0) - 12.0).abs() < 1e-12);
    }
}
