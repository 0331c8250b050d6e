//! What strain the metal can bear, by the kind of the strain, and how likely it is that a crack starts.
//!
//! **Bending** is borne as the bend tables measure it ([`crate::bend_table`]): the outer fibre is far stretched while the middle of
//! the wall keeps its length and holds it. **Stretching** goes through the wall: it is borne as far as the tension test
//! stretches evenly; beyond that the wall thins at one place. A dent is mostly bending with a little stretching.
//!
//! Both tests start from metal of the temper and count the strain that is *added* to it; so are a dent's strain and that
//! of its way back added to the wall's temper. Neither counts the rolling.

use crate::bend_table::Way;
use crate::hardening::uniform_elongation;
use crate::{Alloy, Temper, Value};
use units::Source;
use units::figure::Z90;

/// Source of [`stretch`].
pub const STRETCH: Source = Source::closed_form("true strain of the even part of the tension test's elongation: ln(1 + A_u)");
/// Source of [`bend`].
pub const BEND: Source = Source::common_practice(
    "bend table's least radius taken as the one that 19 coils of 20 bear; scatter of the coils 10 % in strain and half the way to the next temper, half a step of the table's radius each way, and where the nearest alloy stands for one that was not bent the 18 % by which the held-out C24000 was missed; equivalent strain 2/√3 of the fibre's, the strip being 40 times as wide as thick",
);
/// Source of [`capacity`].
pub const CAPACITY: Source = Source::own_model(
    "1/c = (1 − m)/c_bend + m/c_stretch, m the part of the strain that goes through the wall; c_bend from a strip mill's bend tables (good way and bad way by their parts of the strain; from a plain bend to the dent's strain ratio by Cockcroft & Latham's tensile work), c_stretch the even part of the tension test",
);
/// Source of [`crack_likelihood`].
pub const CRACK: Source = Source::closed_form("overlap of two lognormal quantities, strain and capacity: Φ((ln a − ln c)/√(s_a² + s_c²))");

/// Scatter of the bearable strain from coil to coil within a temper: grain size, edge, surface. Common practice, no source.
const COIL: f64 = 0.10;
/// Scatter where the nearest alloy that was bent stands for one that was not: the root mean square by which C24000, predicted from
/// its neighbours in zinc, was missed (tests/published.rs).
pub const NEAREST: f64 = 0.18;

/// What kind of strain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kind {
    /// Part of it that stretches along the rolling or drawing direction, 0 to 1.
    pub lengthwise: f64,
    /// Part of it that goes through the wall (membrane), 0 to 1.
    pub through: f64,
    /// Smaller over larger of the two strains in the surface, by size −1 to 1: 0 a plain bend, 1 a dish, −½ a pull.
    pub ratio: f64,
}

impl Kind {
    /// A fold along the rolling direction: bending alone, the bad way.
    pub const FOLD_ALONG: Self = Self { lengthwise: 0.0, through: 0.0, ratio: 0.0 };
    /// A fold across the rolling direction: bending alone, the good way.
    pub const FOLD_ACROSS: Self = Self { lengthwise: 1.0, through: 0.0, ratio: 0.0 };
    /// The wall stretched evenly.
    pub const STRETCHED: Self = Self { lengthwise: 1.0, through: 1.0, ratio: 0.0 };
}

/// Equivalent strain that the wall bears where it is stretched through: ln(1 + even part of the elongation).
pub fn stretch(alloy: Alloy, temper: Temper) -> Value {
    let u = uniform_elongation(alloy.elongation(temper));
    Value::new(u.value.ln_1p(), u.sd / (1.0 + u.value))
}

/// Median of the equivalent strain that the surface bears in bending, and the standard deviation of its logarithm.
fn bend_log(alloy: Alloy, temper: Temper, way: Way) -> (f64, f64) {
    let limit = alloy.bend_limit(temper, way);
    // A coil sold as a temper lies within half the way to the next one.
    let n = temper.numbers();
    let half_way = if n > 4.0 { 1.0 } else { 0.5 };
    let (soft, hard) = (Temper((n - half_way).max(0.0)), Temper((n + half_way).min(8.0)));
    let slope = (alloy.bend_limit(soft, way) / alloy.bend_limit(hard, way)).ln() / (hard.0 - soft.0);
    let coil = COIL.hypot(slope * half_way / 3.0_f64.sqrt());
    // The sheets step by a quarter of a thickness, above two thicknesses by a half.
    let radius = crate::bend_table::radius_over_wall(limit);
    let half_step = if radius > 2.0 { 0.25 } else { 0.125 };
    let fibre = crate::bend_table::outer_fibre_strain;
    let step = (fibre(radius - half_step) / fibre(radius + half_step)).ln() / 2.0 / 3.0_f64.sqrt();
    let own = coil.hypot(step);
    let other = if alloy.bend_table().nearest { NEAREST } else { 0.0 };
    (2.0 / 3.0_f64.sqrt() * limit * (Z90 * own).exp(), own.hypot(other))
}

/// Greatest principal stress over equivalent stress of a surface that flows with the strains in the ratio β: (2 + β)/(√3 √(1 + β + β²)),
/// 2/√3 in a plain bend, 1 in a dish and in a pull (Lévy–Mises in plane stress, closed form).
pub fn tension_ratio(beta: f64) -> f64 {
    let b = beta.clamp(-1.0, 1.0);
    (2.0 + b) / (3.0 * (1.0 + b + b * b)).sqrt()
}

/// Equivalent strain that the surface bears in bending.
pub fn bend(alloy: Alloy, temper: Temper, way: Way) -> Value {
    let (median, log_sd) = bend_log(alloy, temper, way);
    from_log(median, log_sd)
}

/// Equivalent plastic strain, added to metal of this temper, that it can bear, with its standard deviation.
pub fn capacity(alloy: Alloy, temper: Temper, kind: Kind) -> Value {
    let (good, good_sd) = bend_log(alloy, temper, Way::Good);
    let (bad, bad_sd) = bend_log(alloy, temper, Way::Bad);
    let (along, through) = (kind.lengthwise.clamp(0.0, 1.0), kind.through.clamp(0.0, 1.0));
    // The bend test is a plain bend. By Cockcroft & Latham (J. Inst. Metals 96 (1968), from memory) what counts is the greatest tensile
    // stress's work: where that stress is a smaller part of the flow stress, more strain is borne.
    let bent = good.powf(along) * bad.powf(1.0 - along) * tension_ratio(0.0) / tension_ratio(kind.ratio);
    let bent_sd = along * good_sd + (1.0 - along) * bad_sd;
    let even = stretch(alloy, temper);
    let (even_ln, even_var) = to_log(even.value, even.sd);
    // What stretches evenly so far bears at least as much when bent.
    let (even_value, even_sd) = (even_ln.exp().min(bent), even_var.sqrt());
    let (a, b) = ((1.0 - through) / bent, through / even_value);
    // First order: each kind's scatter by its part of the whole.
    let log_sd = (a * bent_sd).hypot(b * even_sd) / (a + b);
    from_log(1.0 / (a + b), log_sd)
}

/// Capacity after an anneal: that of annealed metal. What was borne before is wiped out where the metal recrystallised
/// (definition of recrystallisation).
pub fn capacity_annealed(alloy: Alloy, kind: Kind) -> Value {
    capacity(alloy, Temper::ANNEALED, kind)
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

    fn median(alloy: Alloy, n: f64, kind: Kind) -> f64 {
        let c = capacity(alloy, Temper(n), kind);
        to_log(c.value, c.sd).0.exp()
    }

    #[test]
    fn one_in_twenty_cracks_at_the_bend_table_s_limit() {
        // The limit is fibre strain; the capacity equivalent strain, 2/√3 of it. Own tables only: a nearest alloy's doubt comes on top.
        for alloy in [Alloy::YellowBrass, Alloy::RoseBrass] {
            for n in [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0] {
                for (way, kind) in [(Way::Good, Kind::FOLD_ACROSS), (Way::Bad, Kind::FOLD_ALONG)] {
                    let c = capacity(alloy, Temper(n), kind);
                    let p = crack_likelihood(2.0 / 3.0_f64.sqrt() * alloy.bend_limit(Temper(n), way), 0.0, c.value, c.sd);
                    assert!((p - 0.05).abs() < 1e-3, "{alloy:?} {n} {way:?}: {p}");
                }
            }
        }
    }

    #[test]
    fn harder_metal_bears_no_more_and_far_harder_less() {
        // Two rows of C22000 are equal in the table itself.
        for alloy in Alloy::ALL {
            for kind in [Kind::FOLD_ALONG, Kind::FOLD_ACROSS, Kind::STRETCHED, Kind { lengthwise: 0.3, through: 0.1, ratio: 0.5 }] {
                for i in 0..16 {
                    let n = f64::from(i) / 2.0;
                    assert!(median(alloy, n + 0.5, kind) < 1.08 * median(alloy, n, kind), "{alloy:?} {n} {kind:?}");
                    assert!(n > 5.0 || median(alloy, n + 3.0, kind) < median(alloy, n, kind), "{alloy:?} {n} {kind:?}");
                }
            }
        }
    }

    #[test]
    fn a_mixture_lies_between_and_a_hundredth_more_stretching_costs_a_hundredth_of_the_difference() {
        let (bent, even) = (Kind::FOLD_ALONG, Kind::STRETCHED);
        let (b, s) = (median(Alloy::YellowBrass, 4.0, bent), median(Alloy::YellowBrass, 4.0, even));
        assert!(s < b);
        let half = median(Alloy::YellowBrass, 4.0, Kind { lengthwise: 0.0, through: 0.5, ratio: 0.0 });
        assert!((1.0 / half - (1.0 / b + 1.0 / s) / 2.0).abs() < 1e-6, "{half} {b} {s}");
    }

    #[test]
    fn the_scatter_of_the_two_ways_is_shared_by_their_parts() {
        // First order: a strain of both ways is known as well as the two are in the mean, by their parts.
        let log_sd = |lengthwise: f64| {
            let c = capacity(Alloy::RoseBrass, Temper::HARD, Kind { lengthwise, ..Kind::FOLD_ALONG });
            to_log(c.value, c.sd).1.sqrt()
        };
        assert!((log_sd(0.3) - (0.3 * log_sd(1.0) + 0.7 * log_sd(0.0))).abs() < 1e-9);
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
