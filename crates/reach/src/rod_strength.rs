//! What a rod bears at its head, and what makes a small bore hard to push in: the rod's diameter is capped
//! by the bore and its length by the reach.
//!
//! The rod is held in the vise and the tube is leaned down on its head: a cantilever. Bending stress
//! 32·F·l/(π·d³), tip deflection F·l³/(3·E·I), I = π·d⁴/64 (C, check-values.md).

use std::f64::consts::PI;

/// Yield of the rods' steel, N/mm². From memory of EN 10083-3, 42CrMo4 +QT, 40 to 100 mm: Re min. 650.
pub const ROD_YIELD_MPA: f64 = 650.0;
/// Elastic modulus of steel, N/mm². From memory of EN 1993-1-1, 3.2.6.
pub const ROD_E_MPA: f64 = 210_000.0;
/// Largest deflection of the head over the free length. Common practice, no source: beyond it the rod
/// springs and the head walks off the dent.
pub const MOST_DEFLECTION: f64 = 1.0 / 30.0;
/// Free length between the vise and the mouth of the tube, mm. Common practice, no source.
pub const VISE_GAP_MM: f64 = 20.0;
/// Length of rod in the vise, mm. Common practice, no source.
pub const VISE_GRIP_MM: f64 = 60.0;

/// Force at the head at which the rod begins to bend for good, N.
pub fn bends_at_n(diameter_mm: f64, free_mm: f64) -> f64 {
    PI * diameter_mm.powi(3) * ROD_YIELD_MPA / (32.0 * free_mm.max(1e-6))
}

/// Force at the head at which it has sprung away by [`MOST_DEFLECTION`] of its length, N.
pub fn springs_at_n(diameter_mm: f64, free_mm: f64) -> f64 {
    let i = PI * diameter_mm.powi(4) / 64.0;
    3.0 * ROD_E_MPA * i * MOST_DEFLECTION / free_mm.max(1e-6).powi(2)
}

/// Tip deflection under a force, mm.
pub fn deflection_mm(force_n: f64, diameter_mm: f64, free_mm: f64) -> f64 {
    force_n * free_mm.powi(3) / (3.0 * ROD_E_MPA * PI * diameter_mm.powi(4) / 64.0)
}

/// The smaller of both limits, and in words which it is.
pub fn bears_n(diameter_mm: f64, free_mm: f64) -> (f64, &'static str) {
    let (bends, springs) = (bends_at_n(diameter_mm, free_mm), springs_at_n(diameter_mm, free_mm));
    if bends < springs { (bends, "would bend for good") } else { (springs, "would spring away") }
}

/// The thinnest rod that bears a force at a reach, mm.
pub fn thinnest_mm(force_n: f64, free_mm: f64) -> f64 {
    let bend = (32.0 * force_n * free_mm / (PI * ROD_YIELD_MPA)).cbrt();
    let spring = (64.0 * force_n * free_mm.powi(2) / (3.0 * ROD_E_MPA * PI * MOST_DEFLECTION)).powf(0.25);
    bend.max(spring)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_and_the_thinnest_rod_agree() {
        for (f, l) in [(50.0, 120.0), (300.0, 400.0), (800.0, 60.0)] {
            let d = thinnest_mm(f, l);
            assert!((bears_n(d, l).0 / f - 1.0).abs() < 1e-9);
            assert!((deflection_mm(springs_at_n(d, l), d, l) / (l * MOST_DEFLECTION) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn longer_and_thinner_bears_less() {
        assert!(bears_n(10.0, 200.0).0 > bears_n(10.0, 300.0).0);
        assert!(bears_n(10.0, 200.0).0 > bears_n(8.0, 200.0).0);
    }
}
