//! What a rod bears at its head, and what makes a small bore hard to push in: the rod's diameter is capped
//! by the bore and its length by the reach.
//!
//! The rod is held in the vise and the tube is leaned down on its head: a cantilever. Bending stress
//! 32·F·l/(π·d³), tip deflection F·l³/(3·E·I), I = π·d⁴/64 (`metal::limit_load`; closed form).

use metal::limit_load::{cantilever_deflection_mm, cantilever_force_n};
use std::f64::consts::PI;

/// Yield of the rods' steel, N/mm². From memory of EN 10083-3, 42CrMo4 +QT: Re min. 650 from 40 to 100 mm; thinner bars of it
/// have 750 and 900, but nobody knows of an old rod what it was quenched to.
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

/// Widest round head that is turned on a rod, mm. Common practice, no source: a ball of 60 mm weighs 0.9 kg, one of 100 mm 4 kg at the
/// end of an arm that a person leads through a tube; a wider place is held by a stake with a crowned face.
pub const WIDEST_HEAD_MM: f64 = 60.0;

/// Arm of the bending moment at the vise, mm: the free length, and the friction that draws the tube along over the head, which takes
/// hold at the head's radius off the shank's axis (closed form: M = F·l + μ·F·d/2; the push itself goes through the head's middle).
pub fn lever_mm(free_mm: f64, head_mm: f64) -> f64 {
    free_mm + crate::drive_force::FRICTION.0 * 0.5 * head_mm.max(0.0)
}

/// Greatest distance of an end-loaded cantilever from the straight line between its root and its tip, over the tip's
/// deflection. Closed form: y/δ = (3ξ² − ξ³)/2 against ξ, greatest where ξ = 1 − 1/√3, that is 1/(3√3) = 0.1925.
pub const BOW: f64 = 0.192_450_09;

/// Force at the head at which the rod begins to bend for good, N.
pub fn bends_at_n(diameter_mm: f64, free_mm: f64) -> f64 {
    cantilever_force_n(ROD_YIELD_MPA, free_mm, diameter_mm)
}

/// Force at the head at which it has sprung away by [`MOST_DEFLECTION`] of its length, N.
pub fn springs_at_n(diameter_mm: f64, free_mm: f64) -> f64 {
    MOST_DEFLECTION * free_mm / deflection_mm(1.0, diameter_mm, free_mm).max(1e-12)
}

/// Tip deflection under a force, mm.
pub fn deflection_mm(force_n: f64, diameter_mm: f64, free_mm: f64) -> f64 {
    cantilever_deflection_mm(force_n, free_mm, ROD_E_MPA, diameter_mm)
}

/// How far the rod bows out of its straight line under a force, mm: the tube follows the tip, but for the bow there must be
/// room inside it.
pub fn bow_mm(force_n: f64, diameter_mm: f64, free_mm: f64) -> f64 {
    BOW * deflection_mm(force_n, diameter_mm, free_mm)
}

/// Force at which the bow has taken up this much clearance, N.
pub fn bows_out_at_n(clearance_mm: f64, diameter_mm: f64, free_mm: f64) -> f64 {
    clearance_mm.max(0.0) / bow_mm(1.0, diameter_mm, free_mm).max(1e-12)
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

    /// By hand: 10 mm rod, 300 mm free. W = π·1000/32 = 98.17 mm³, 650·98.17/300 = 212.7 N. I = 490.9 mm⁴,
    /// δ(100 N) = 100·2.7e7/(3·210000·490.9) = 8.731 mm; a thirtieth of 300 mm is 10 mm: 114.5 N. The bow is 1.680 mm.
    #[test]
    fn a_rod_of_ten_millimetres_by_hand() {
        let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-3, "{a} {b}");
        near(bends_at_n(10.0, 300.0), 212.7);
        near(springs_at_n(10.0, 300.0), 114.5);
        near(deflection_mm(100.0, 10.0, 300.0), 8.731);
        near(bow_mm(100.0, 10.0, 300.0), 1.680);
        near(bows_out_at_n(1.680, 10.0, 300.0), 100.0);
        assert_eq!(bears_n(10.0, 300.0).1, "would spring away");
        // Short and thick, it bends before it springs: 25 mm, 120 mm free: 650·1534/120 = 8309 N.
        near(bears_n(25.0, 120.0).0, 8309.0);
        assert_eq!(bears_n(25.0, 120.0).1, "would bend for good");
    }

    /// The bow against the cantilever's own line, looked at everywhere.
    #[test]
    fn the_bow_is_the_greatest_distance_from_the_chord() {
        let line = |x: f64| (3.0 * x * x - x.powi(3)) / 2.0;
        let bow = (0..=1000).map(|i| f64::from(i) / 1000.0).map(|x| x - line(x)).fold(0.0, f64::max);
        assert!((bow / BOW - 1.0).abs() < 1e-5, "{bow}");
    }

    /// EN 10083-3 (from memory): 42CrMo4+QT, Re at least 650 N/mm² from 40 to 100 mm, 900 up to 16 mm; EN 1993-1-1, 3.2.6:
    /// E = 210 000 N/mm².
    #[test]
    fn the_steel_is_the_standard_s() {
        assert!((650.0..=900.0).contains(&ROD_YIELD_MPA));
        assert!((ROD_E_MPA / 210_000.0 - 1.0).abs() < 1e-9);
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((VISE_GAP_MM, VISE_GRIP_MM, WIDEST_HEAD_MM) == (20.0, 60.0, 60.0) && (MOST_DEFLECTION * 30.0 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn longer_and_thinner_bears_less() {
        assert!(bears_n(10.0, 200.0).0 > bears_n(10.0, 300.0).0);
        assert!(bears_n(10.0, 200.0).0 > bears_n(8.0, 200.0).0);
    }
}
