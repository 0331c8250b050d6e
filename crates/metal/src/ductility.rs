//! What strain the metal can bear, and how likely it is that a crack starts.

use crate::{Alloy, Temper, Value};
use units::Source;

/// Source of [`tension_bound`].
pub const TENSION: Source =
    Source::closed_form("true strain of the elongation in 51 mm: ln(1 + A); a lower bound, because the gauge averages over the neck");
/// Source of [`bend_bound`].
pub const BEND: Source = Source::from_memory(
    "least bend radius of low-leaded brass: soft 0, hard 2 wall thicknesses (Kalpakjian & Schmid, Manufacturing Engineering and Technology, table of minimum bend radii); outer fibre ln(1 + 1/(2R/T + 1))",
);
/// Source of [`capacity`].
pub const CAPACITY: Source = Source::common_practice(
    "bearable plastic strain between the tension test's ln(1 + A) and the bend test's outer fibre: their geometric mean, the two taken as its 5 % and 95 % points",
);
/// Source of [`crack_likelihood`].
pub const CRACK: Source = Source::closed_form("overlap of two lognormal quantities, strain and capacity: Φ((ln a − ln c)/√(s_a² + s_c²))");

/// Strain that the tension test shows: ln(1 + elongation).
pub fn tension_bound(alloy: Alloy, temper: Temper) -> f64 {
    alloy.elongation(temper).value.ln_1p()
}

/// Strain that the bend test shows on the outer fibre, straight in its logarithm between soft (0 T) and hard (2 T) and
/// beyond. All four alloys are taken as the brass of the table (common practice), as long as they stretch no worse.
pub fn bend_bound(temper: Temper) -> f64 {
    let soft = outer_fibre_strain(0.0);
    let hard = outer_fibre_strain(2.0);
    soft * (hard / soft).powf(temper.numbers() / 4.0)
}

/// True strain on the outer fibre of a bend of inside radius `radius_over_wall` wall thicknesses: ln(1 + 1/(2R/T + 1)) (closed form).
pub fn outer_fibre_strain(radius_over_wall: f64) -> f64 {
    (1.0 / (2.0 * radius_over_wall.max(0.0) + 1.0)).ln_1p()
}

/// Equivalent plastic strain that the metal can still bear at this temper, with its standard deviation.
pub fn capacity(alloy: Alloy, temper: Temper) -> Value {
    let low = tension_bound(alloy, temper);
    let high = bend_bound(temper).max(low);
    let elongation = alloy.elongation(temper);
    // The bounds as 5 % and 95 % points, and half of the elongation's own scatter (it enters under a square root).
    let log_sd = ((high / low).ln() / (2.0 * units::figure::Z90)).hypot(0.5 * elongation.sd / elongation.value);
    let median = (low * high).sqrt();
    from_log(median, log_sd)
}

/// Capacity after an anneal: that of annealed metal; what was borne before is wiped out where the metal recrystallised
/// (definition of recrystallisation).
pub fn capacity_annealed(alloy: Alloy) -> Value {
    capacity(alloy, Temper::ANNEALED)
}

/// Mean and standard deviation of a lognormal quantity from its median and the standard deviation of its logarithm (closed form).
fn from_log(median: f64, log_sd: f64) -> Value {
    let variance = (log_sd * log_sd).exp();
    let mean = median * variance.sqrt();
    Value::new(mean, mean * (variance - 1.0).sqrt())
}

/// Logarithm of the median, and variance of the logarithm, of a lognormal quantity from its mean and standard deviation (closed form).
fn to_log(mean: f64, sd: f64) -> (f64, f64) {
    let mean = mean.max(1e-12);
    let variance = (sd / mean).powi(2).ln_1p();
    (mean.ln() - variance / 2.0, variance)
}

/// Likelihood (0 to 1) that accumulated plastic strain goes beyond the capacity, both lognormal, given by mean and
/// standard deviation. Nothing accumulated gives 0.
pub fn crack_likelihood(accumulated: f64, accumulated_sd: f64, capacity: f64, capacity_sd: f64) -> f64 {
    if accumulated <= 0.0 {
        return 0.0;
    }
    let (a, var_a) = to_log(accumulated, accumulated_sd);
    let (c, var_c) = to_log(capacity, capacity_sd);
    let sd = (var_a + var_c).sqrt();
    if sd < 1e-12 {
        return if a > c { 1.0 } else { 0.0 };
    }
    normal_below((a - c) / sd)
}

/// Standard normal distribution function.
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A fixed-seed generator (xorshift64*, Marsaglia 2003 / Vigna 2016, from memory) and Box–Muller normals: enough to check
    /// a closed form against counting.
    struct Dice(u64);
    impl Dice {
        fn uniform(&mut self) -> f64 {
            self.0 ^= self.0 >> 12;
            self.0 ^= self.0 << 25;
            self.0 ^= self.0 >> 27;
            ((self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 + 0.5) / (1u64 << 53) as f64
        }
        fn normal(&mut self) -> f64 {
            (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
        }
    }

    #[test]
    fn the_closed_form_is_what_counting_gives() {
        let mut dice = Dice(20_260_101);
        for (a, sa, c, sc) in [(0.10, 0.03, 0.13, 0.04), (0.05, 0.02, 0.13, 0.03), (0.30, 0.05, 0.26, 0.08)] {
            let ((la, va), (lc, vc)) = (to_log(a, sa), to_log(c, sc));
            let trials = 200_000;
            let cracked = (0..trials).filter(|_| la + va.sqrt() * dice.normal() > lc + vc.sqrt() * dice.normal()).count();
            let counted = cracked as f64 / f64::from(trials);
            let closed = crack_likelihood(a, sa, c, sc);
            // Four standard errors of the count.
            let margin = 4.0 * (closed * (1.0 - closed) / f64::from(trials)).sqrt();
            assert!((counted - closed).abs() < margin, "{counted} {closed}");
        }
    }

    #[test]
    fn mean_and_deviation_survive_the_logarithm() {
        let v = from_log(0.2, 0.3);
        let (m, var) = to_log(v.value, v.sd);
        assert!((m.exp() - 0.2).abs() < 1e-12 && (var.sqrt() - 0.3).abs() < 1e-12);
    }

    #[test]
    fn one_in_twenty_bears_less_than_the_tension_test_shows() {
        // Where the elongation's own scatter is small beside the distance of the bounds they are nearly the 5 % and 95 % points.
        let (low, high) = (tension_bound(Alloy::RoseBrass, Temper::HARD), bend_bound(Temper::HARD));
        let c = capacity(Alloy::RoseBrass, Temper::HARD);
        let below = crack_likelihood(low, 0.0, c.value, c.sd);
        let above = 1.0 - crack_likelihood(high, 0.0, c.value, c.sd);
        assert!((0.05..0.07).contains(&below) && (below - above).abs() < 1e-9, "{below} {above}");
    }

    #[test]
    fn harder_metal_bears_less() {
        for alloy in Alloy::ALL {
            for i in 0..16 {
                let (a, b) = (Temper(f64::from(i) / 2.0), Temper(f64::from(i + 1) / 2.0));
                let median = |t| {
                    let c = capacity(alloy, t);
                    to_log(c.value, c.sd).0
                };
                assert!(median(b) < median(a), "{alloy:?} {i}");
            }
        }
    }

    #[test]
    fn more_strain_more_likely_and_the_ends_hold() {
        let p: Vec<f64> = [0.02, 0.05, 0.1, 0.2].iter().map(|a| crack_likelihood(*a, 0.3 * a, 0.13, 0.03)).collect();
        assert!(p.windows(2).all(|w| w[0] < w[1]), "{p:?}");
        assert_eq!(crack_likelihood(0.0, 0.0, 0.1, 0.0), 0.0);
        assert_eq!(crack_likelihood(0.2, 0.0, 0.1, 0.0), 1.0);
        assert_eq!(crack_likelihood(0.05, 0.0, 0.1, 0.0), 0.0);
    }
}
