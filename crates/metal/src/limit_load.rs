//! What force moves a tube's wall: limit loads of tubes and rods.
//!
//! Lengths mm, stresses N/mm², forces N. `diameter_mm` is the mean diameter of the tube.

use std::f64::consts::PI;
use units::Source;

/// How the bent strip is held across its width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Width {
    /// Free to shrink and swell (a narrow strip, plane stress).
    Free,
    /// Held by its neighbours (a long tube, plane strain).
    Held,
}

/// Source of [`wedge_dent_force_n`].
pub const WEDGE: Source = Source::from_memory("tube dented by a blunt wedge: Wierzbicki & Suh, Int. J. Mech. Sci. 30 (1988)");
/// Source of the cantilever formulas.
pub const CANTILEVER: Source = Source::closed_form("end-loaded cantilever of round section");

/// Fully plastic moment of a wall per unit width, N mm/mm = N: σ₀t²/4, times 2/√3 where the width is held.
pub fn plastic_moment_n(flow_mpa: f64, wall_mm: f64, width: Width) -> f64 {
    let m = flow_mpa * wall_mm * wall_mm / 4.0;
    match width {
        Width::Free => m,
        Width::Held => m * 2.0 / 3.0_f64.sqrt(),
    }
}

/// Force that dents a tube with a blunt wedge to `depth_mm`, N: 16 M₀ √[(2π/3)(D/t)(δ/D)(1 − ¼(1 − N/N_p)³)].
///
/// The diameter drops out: (D/t)(δ/D) = δ/t. `flow_mpa` flow stress; `axial_ratio` = N/N_p, the axial force over its plastic limit: 0 ends free to draw in,
/// 1 ends held.
pub fn wedge_dent_force_n(flow_mpa: f64, wall_mm: f64, depth_mm: f64, axial_ratio: f64) -> f64 {
    let m0 = plastic_moment_n(flow_mpa, wall_mm, Width::Free);
    let slack = 1.0 - axial_ratio.clamp(-1.0, 1.0);
    let held = (1.0 - 0.25 * slack.powi(3)).max(0.0);
    16.0 * m0 * (2.0 * PI / 3.0 * ratio(depth_mm, wall_mm) * held).sqrt()
}

/// Second moment of area of a round rod, mm⁴: π d⁴/64.
fn rod_second_moment_mm4(diameter_mm: f64) -> f64 {
    PI * diameter_mm.powi(4) / 64.0
}

/// Tip deflection of a cantilever rod, mm: F l³/(3 E I).
pub fn cantilever_deflection_mm(force_n: f64, length_mm: f64, e_mpa: f64, diameter_mm: f64) -> f64 {
    force_n * length_mm.powi(3) / (3.0 * e_mpa * rod_second_moment_mm4(diameter_mm.max(TINY_MM)))
}

/// Tip force that brings a cantilever rod to a stress, N: π d³ σ/(32 l).
pub fn cantilever_force_n(stress_mpa: f64, length_mm: f64, diameter_mm: f64) -> f64 {
    stress_mpa * PI * diameter_mm.powi(3) / (32.0 * length_mm.max(TINY_MM))
}

/// Below this a length is nothing, mm: it keeps a division finite where a caller hands over a zero.
const TINY_MM: f64 = 1e-6;

fn ratio(a_mm: f64, b_mm: f64) -> f64 {
    a_mm.max(0.0) / b_mm.max(TINY_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_divides_by_zero() {
        for f in [wedge_dent_force_n(400.0, 0.0, 1.0, 0.0), cantilever_deflection_mm(1.0, 1.0, 2e5, 0.0)] {
            assert!(f.is_finite());
        }
    }

    #[test]
    fn thicker_harder_deeper_needs_more() {
        let base = wedge_dent_force_n(400.0, 0.5, 2.0, 0.0);
        assert!(wedge_dent_force_n(500.0, 0.5, 2.0, 0.0) > base);
        assert!(wedge_dent_force_n(400.0, 0.6, 2.0, 0.0) > base);
        assert!(wedge_dent_force_n(400.0, 0.5, 3.0, 0.0) > base);
        assert!(wedge_dent_force_n(400.0, 0.5, 2.0, 1.0) > base);
    }
}
