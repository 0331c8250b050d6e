//! What force moves a tube's wall: limit loads of rings, tubes and rods.
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

/// Source of [`ring_line_load_n_per_mm`] and [`ring_line_load_grown_n_per_mm`].
pub const RING: Source = Source::closed_form("ring under two opposed line loads: DeRuntz & Hodge, J. Appl. Mech. 30 (1963)");
/// Source of [`wedge_dent_force_n`].
pub const WEDGE: Source = Source::from_memory("tube dented by a blunt wedge: Wierzbicki & Suh, Int. J. Mech. Sci. 30 (1988)");
/// Source of [`norsok_dent_force_n`].
pub const FLAT_CONTACT: Source = Source::from_memory("tube dented by a flat contact: DNV-RP-C204");
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

/// Line load at which a ring begins to flatten between two opposed lines, N per mm of tube: 8 M₀/D.
pub fn ring_line_load_n_per_mm(plastic_moment_n: f64, diameter_mm: f64) -> f64 {
    8.0 * plastic_moment_n / diameter_mm.max(TINY_MM)
}

/// The same after it has been flattened by `closed_mm`: P₀/√(1 − (δ/D)²). Held at δ/D = 0.95, where the two sides are
/// about to touch and the formula leaves its ground.
pub fn ring_line_load_grown_n_per_mm(plastic_moment_n: f64, diameter_mm: f64, closed_mm: f64) -> f64 {
    let x = ratio(closed_mm, diameter_mm).min(0.95);
    ring_line_load_n_per_mm(plastic_moment_n, diameter_mm) / (1.0 - x * x).sqrt()
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

/// Force that dents a tube by a flat contact of breadth B along the tube to `depth_mm`, N:
/// R_c (22 + 1.2 B/D)(w/D)^(1.925/(3.5 + B/D)) √(4/3 (1 − ¼(1 − N/N_p)³)), R_c = f_y t²/4 √(D/t).
pub fn norsok_dent_force_n(yield_mpa: f64, diameter_mm: f64, wall_mm: f64, depth_mm: f64, breadth_mm: f64, axial_ratio: f64) -> f64 {
    let b = ratio(breadth_mm, diameter_mm);
    let slack = 1.0 - axial_ratio.clamp(-1.0, 1.0);
    let held = (4.0 / 3.0 * (1.0 - 0.25 * slack.powi(3))).max(0.0).sqrt();
    let r_c = yield_mpa * wall_mm * wall_mm / 4.0 * ratio(diameter_mm, wall_mm).sqrt();
    r_c * (22.0 + 1.2 * b) * ratio(depth_mm, diameter_mm).powf(1.925 / (3.5 + b)) * held
}

/// Second moment of area of a round rod, mm⁴: π d⁴/64.
pub fn rod_second_moment_mm4(diameter_mm: f64) -> f64 {
    PI * diameter_mm.powi(4) / 64.0
}

/// Tip deflection of a cantilever rod, mm: F l³/(3 E I).
pub fn cantilever_deflection_mm(force_n: f64, length_mm: f64, e_mpa: f64, diameter_mm: f64) -> f64 {
    force_n * length_mm.powi(3) / (3.0 * e_mpa * rod_second_moment_mm4(diameter_mm.max(TINY_MM)))
}

/// Bending stress at the root of a cantilever rod, N/mm²: 32 F l/(π d³).
pub fn cantilever_stress_mpa(force_n: f64, length_mm: f64, diameter_mm: f64) -> f64 {
    32.0 * force_n * length_mm / (PI * diameter_mm.max(TINY_MM).powi(3))
}

/// Tip force that brings a cantilever rod to a stress, N: the last formula turned round.
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
        for f in [
            wedge_dent_force_n(400.0, 0.0, 1.0, 0.0),
            norsok_dent_force_n(400.0, 0.0, 0.0, 1.0, 1.0, 0.0),
            ring_line_load_grown_n_per_mm(10.0, 20.0, 25.0),
            cantilever_deflection_mm(1.0, 1.0, 2e5, 0.0),
        ] {
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

    #[test]
    fn a_rod_at_its_stress_gives_its_force() {
        let f = cantilever_force_n(600.0, 300.0, 8.0);
        assert!((cantilever_stress_mpa(f, 300.0, 8.0) - 600.0).abs() < 1e-9);
    }
}
