//! The axial force that drives a ball (or a mandrel's nose) past a dent.
//!
//! The ball meets the dent's flank at the contact angle α: where it overrides a step of height δ,
//! cos α = 1 − δ/(B/2), but never steeper than the flank itself. Pressed down by the radial force R that
//! moves the wall, it slides up the flank with friction μ, and on the opposite wall with friction μ:
//! F = R·[(tan α + μ)/(1 − μ·tan α) + μ] (C: equilibrium of a body on an incline with Coulomb friction).
//! R comes from what the step leaves ([`lifted`]): the wall goes past where it stays by what springs back, in proportion to R
//! (elastic unloading, closed form), and what stays asks its part of the whole force ([`dent::stroke`]).

/// Coefficient of friction, greased steel on brass: 0.15 ± 0.04. From memory of handbook tables (Marks'
/// Standard Handbook for Mechanical Engineers, boundary-lubricated metals 0.1 to 0.2); published tables of brass on steel, static: castor oil 0.11, greased 0.19
/// (dry 0.51: a way that is not greased asks far more).
pub const FRICTION: (f64, f64) = (0.15, 0.04);

/// Contact angle of a ball on a dent's flank, radians. `lift_mm` is how much it is larger than the passage.
pub fn contact_angle_rad(ball_mm: f64, lift_mm: f64, depth_mm: f64, half_width_mm: f64) -> f64 {
    let overriding = (1.0 - lift_mm / (0.5 * ball_mm).max(1e-9)).clamp(0.0, 1.0).acos();
    // Steepest slope of a raised cosine of this depth and half width: π·d/(2·w).
    let flank = (std::f64::consts::FRAC_PI_2 * depth_mm / half_width_mm.max(1e-9)).atan();
    overriding.min(flank)
}

/// What a ball's step does to the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lifted {
    /// Part of the whole force that it presses with.
    pub part: f64,
    /// What stays, mm; nothing where the wall springs back wholly.
    pub stays_mm: f64,
}

/// What a step of `step_mm` over the free passage does. `part_of` is the part of the whole force that a lift of so many mm asks
/// for, `over_push_mm` what springs back from the whole force. `most_mm` is what can stay at most: a ball that follows another
/// has the wall spring back from where that one let it go, and what stays more is no more than it is larger.
pub fn lifted(step_mm: f64, most_mm: f64, over_push_mm: f64, part_of: impl Fn(f64) -> f64) -> Lifted {
    let back = |stays: f64| over_push_mm * part_of(stays);
    let most = most_mm.clamp(0.0, step_mm.max(0.0));
    // Too small a step: all of it springs back.
    if step_mm <= back(0.0) {
        return Lifted { part: step_mm.max(0.0) / over_push_mm.max(1e-9), stays_mm: 0.0 };
    }
    if most + back(most) <= step_mm {
        // More springs back than from a fresh lift: the wall has been further out already.
        let part = if over_push_mm > 0.0 { (step_mm - most) / over_push_mm } else { 0.0 };
        return Lifted { part: part.max(part_of(most)), stays_mm: most };
    }
    // What stays and what springs back make the step together; both rise.
    let (mut lo, mut hi) = (0.0, most);
    for _ in 0..24 {
        let mid = 0.5 * (lo + hi);
        if mid + back(mid) <= step_mm { lo = mid } else { hi = mid }
    }
    Lifted { part: part_of(lo), stays_mm: lo }
}

/// Axial force over radial force at a contact angle. Infinite where the ball would lock.
pub fn axial_over_radial(angle_rad: f64, friction: f64) -> f64 {
    let t = angle_rad.tan();
    let below = 1.0 - friction * t;
    if below <= 0.0 { f64::INFINITY } else { (t + friction) / below + friction }
}

/// Axial force, N, that drives a ball past a dent: `radial_n` on the wall, a step of `lift_mm` over the free passage.
pub fn drive_n(radial_n: f64, ball_mm: f64, lift_mm: f64, depth_mm: f64, half_width_mm: f64, friction: f64) -> f64 {
    if lift_mm <= 0.0 {
        return 0.0;
    }
    radial_n * axial_over_radial(contact_angle_rad(ball_mm, lift_mm, depth_mm, half_width_mm), friction)
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

    /// Marks' Standard Handbook (from memory): boundary-lubricated metals, 0.1 to 0.2.
    #[test]
    fn friction_is_the_handbook_s() {
        assert!((0.13..=0.17).contains(&FRICTION.0) && (0.03..=0.05).contains(&FRICTION.1));
    }

    /// By hand: a ball of 20 mm over a step of 0.5 mm: cos α = 0.95, α = 0.3176; its dent 2 mm deep and 24 mm wide has a flank of
    /// atan(π·2/24) = 0.2561, which is less steep, so it counts: tan α = 0.2618, (0.2618 + 0.15)/(1 − 0.0393) + 0.15 = 0.5786.
    #[test]
    fn a_ball_on_a_flank_by_hand() {
        assert!((contact_angle_rad(20.0, 0.5, 2.0, 12.0) - 0.25606).abs() < 2e-5);
        assert!((contact_angle_rad(20.0, 0.2, 2.0, 12.0) - f64::acos(0.98)).abs() < 1e-12);
        assert!((drive_n(100.0, 20.0, 0.5, 2.0, 12.0, 0.15) - 57.86).abs() < 0.05);
        assert_eq!(drive_n(100.0, 20.0, 0.0, 2.0, 12.0, 0.15), 0.0);
    }

    /// C: what is pressed goes into what stays and what springs back, and the force is that of what stays; too small a step
    /// leaves nothing; a ball of the same size once more leaves nothing more.
    #[test]
    fn what_a_step_leaves() {
        let part = |lift: f64| 0.3 + 0.1 * lift;
        let op = 0.5;
        // x + 0.5·(0.3 + 0.1x) = 1 → x = 0.85/1.05.
        let first = lifted(1.0, f64::INFINITY, op, part);
        assert!((first.stays_mm - 0.85 / 1.05).abs() < 1e-6 && (first.part - part(first.stays_mm)).abs() < 1e-9);
        let small = lifted(0.1, 0.1, op, part);
        assert!(small.stays_mm == 0.0 && (small.part - 0.2).abs() < 1e-9);
        // The next ball is 0.2 larger; it meets what sprang back besides.
        let next = lifted(0.2 + (1.0 - first.stays_mm), 0.2, op, part);
        assert!((next.stays_mm - 0.2).abs() < 1e-6 && (next.part - first.part).abs() < 1e-6, "{next:?} {first:?}");
        assert!(lifted(1.0 - first.stays_mm, 0.0, op, part).stays_mm < 1e-6);
    }

    #[test]
    fn a_steeper_step_asks_more_for_the_same_force_on_the_wall() {
        let f = |lift: f64| drive_n(150.0, 20.0, lift, 3.0, 10.0, 0.15);
        assert!(f(0.05) < f(0.2) && f(0.2) < f(0.5) && f(0.0) == 0.0);
    }
}
