//! The axial force that drives a ball (or a mandrel's nose) past a dent.
//!
//! The ball meets the dent's flank at the contact angle α: where it overrides a step of height δ,
//! cos α = 1 − δ/(B/2), but never steeper than the flank itself. Pressed down by the radial force R that
//! moves the wall, it slides up the flank with friction μ, and on the opposite wall with friction μ:
//! F = R·[(tan α + μ)/(1 − μ·tan α) + μ] (C: equilibrium of a body on an incline with Coulomb friction).
//! R rises with the lift δ as the dent's own force with its depth, R = F₀·√(δ/d) (from memory of
//! Wierzbicki & Suh, Int. J. Mech. Sci. 30 (1988): P ∝ √δ), F₀ the force that moves the whole dent.

/// Coefficient of friction, greased steel on brass: 0.15 ± 0.04. From memory of handbook tables (Marks'
/// Standard Handbook for Mechanical Engineers, boundary-lubricated metals 0.1 to 0.2).
pub const FRICTION: (f64, f64) = (0.15, 0.04);

/// Contact angle of a ball on a dent's flank, radians. `lift_mm` is how much it is larger than the passage.
pub fn contact_angle_rad(ball_mm: f64, lift_mm: f64, depth_mm: f64, half_width_mm: f64) -> f64 {
    let overriding = (1.0 - lift_mm / (0.5 * ball_mm).max(1e-9)).clamp(0.0, 1.0).acos();
    // Steepest slope of a raised cosine of this depth and half width: π·d/(2·w).
    let flank = (std::f64::consts::FRAC_PI_2 * depth_mm / half_width_mm.max(1e-9)).atan();
    overriding.min(flank)
}

/// Part of the dent's whole force that a lift asks for.
pub fn radial_part(lift_mm: f64, depth_mm: f64) -> f64 {
    (lift_mm / depth_mm.max(1e-9)).clamp(0.0, 1.0).sqrt()
}

/// Axial force over radial force at a contact angle. Infinite where the ball would lock.
pub fn axial_over_radial(angle_rad: f64, friction: f64) -> f64 {
    let t = angle_rad.tan();
    let below = 1.0 - friction * t;
    if below <= 0.0 { f64::INFINITY } else { (t + friction) / below + friction }
}

/// Axial force, N, that drives a ball past a dent.
pub fn drive_n(force_inside_n: f64, ball_mm: f64, lift_mm: f64, depth_mm: f64, half_width_mm: f64, friction: f64) -> f64 {
    if lift_mm <= 0.0 {
        return 0.0;
    }
    let angle = contact_angle_rad(ball_mm, lift_mm, depth_mm, half_width_mm);
    force_inside_n * radial_part(lift_mm, depth_mm) * axial_over_radial(angle, friction)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// C: an incline without friction is F = R·tan α; on the flat with friction above and below, 2μR.
    #[test]
    fn incline_and_flat() {
        assert!((axial_over_radial(0.3, 0.0) - 0.3f64.tan()).abs() < 1e-12);
        assert!((axial_over_radial(0.0, 0.15) - 0.30).abs() < 1e-12);
        assert!(axial_over_radial(1.5, 0.15).is_infinite());
    }

    /// C: the axial force times the way up the flank is at least the plastic work put into the wall.
    #[test]
    fn the_drive_pays_for_the_plastic_work() {
        let (f0, depth, half_width, ball) = (200.0, 2.0, 12.0, 18.0);
        for lift in [0.3, 0.8, 1.5] {
            // Work: ∫ F₀√(δ/d) dδ from 0 to lift; the ball climbs its flank over lift/tan α.
            let work = f0 * 2.0 / 3.0 * lift * f64::sqrt(lift / depth);
            let angle = contact_angle_rad(ball, lift, depth, half_width);
            assert!(drive_n(f0, ball, lift, depth, half_width, FRICTION.0) * lift / angle.tan() > work);
        }
    }

    #[test]
    fn a_bigger_step_asks_more() {
        let f = |lift: f64| drive_n(150.0, 20.0, lift, 3.0, 10.0, 0.15);
        assert!(f(0.2) < f(0.5) && f(0.5) < f(1.5) && f(0.0) == 0.0);
    }
}
