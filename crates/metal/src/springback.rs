//! How far a bent wall springs back, how far past true it must be pushed, and in how many passes.
//!
//! A strip of wall is bent by a curvature; each fibre at distance z from the middle is strained by z times the change of
//! curvature, yields and hardens by [`Curve`], and the moment is summed through the thickness numerically. Unloading is
//! elastic. A dent is a first bend and the unbending a second one the other way: fibres carry over their stress, their
//! accumulated plastic strain and, by the Bauschinger share, their back stress. Source: elastic-plastic beam theory (closed
//! form up to the quadrature); combined isotropic and kinematic hardening after Hodge (1957), from memory.

use crate::hardening::Curve;
use crate::limit_load::Width;
use roots::{SimpleConvergency, find_root_brent};
use units::Source;

/// Source of [`gardiner_ratio`].
pub const GARDINER: Source = Source::from_memory("Gardiner, Trans. ASME 79 (1957), as in Kalpakjian & Schmid");
/// Source of [`unbend`].
pub const UNBEND: Source = Source::closed_form(
    "elastic-plastic reverse bending with Swift hardening, through-thickness quadrature, elastic unloading (reduces to Gardiner 1957)",
);
/// Source of [`BAUSCHINGER`].
pub const BAUSCHINGER_SOURCE: Source =
    Source::common_practice("share of hardening that is kinematic: 0.4 for brasses, between 0 and 0.8 in doubt");
/// Default share of the hardening that is kinematic. See [`BAUSCHINGER_SOURCE`].
pub const BAUSCHINGER: f64 = 0.4;

/// Radius ratio R_i/R_f of a strip bent to inside radius R_i that springs back to R_f: 4x³ − 3x + 1, x = R_i Y/(E T).
/// From x = ½ the strip stays elastic and the ratio is 0 (it springs back flat).
pub fn gardiner_ratio(radius_mm: f64, wall_mm: f64, yield_mpa: f64, e_mpa: f64) -> f64 {
    if !(wall_mm > 0.0 && e_mpa > 0.0) {
        return 0.0;
    }
    let x = (radius_mm.abs() * yield_mpa / (e_mpa * wall_mm)).min(0.5);
    4.0 * x.powi(3) - 3.0 * x + 1.0
}

/// How the strip is bent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bending {
    /// Whether the strip is free or held across its width.
    pub width: Width,
    /// Share of the hardening that is kinematic, 0 (none, isotropic) to 1 (all): the Bauschinger effect.
    pub bauschinger: f64,
}

impl Default for Bending {
    fn default() -> Self {
        Self { width: Width::Held, bauschinger: BAUSCHINGER }
    }
}

/// The answer of [`unbend`]. Curvatures 1/mm, same sign convention as the arguments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Push {
    /// Curvature to push to so that it springs back to the wanted one.
    pub push_curvature: f64,
    /// Springback of that push: wanted curvature less pushed curvature.
    pub springback: f64,
    /// Over-push as a part of the wanted change: (pushed − wanted)/(wanted − present).
    pub overpush_part: f64,
    /// Equivalent plastic strain at the surface from the first bend (the dent).
    pub strain_dent: f64,
    /// Equivalent plastic strain at the surface after the push: dent and reversal together.
    pub strain_total: f64,
    /// Moment of the push per unit width, N mm/mm = N.
    pub moment_n: f64,
}

impl Push {
    /// How far past true the wall must be pushed, mm, for a dent of this depth: the depth in the proportion of the curvatures
    /// (the dent keeps its shape while it comes up; closed form).
    pub fn overpush_mm(&self, depth_mm: f64) -> f64 {
        self.overpush_part * depth_mm
    }
}

/// Moment per unit width (N) that bends a flat, unstressed strip by a curvature (1/mm).
pub fn moment_n(curve: &Curve, wall_mm: f64, curvature: f64, bending: Bending) -> f64 {
    Strip::new(curve, wall_mm, bending).at(&[curvature]).moment_n
}

/// Curvature that is left after a flat strip was bent to `curvature` and let go (1/mm).
pub fn curvature_left(curve: &Curve, wall_mm: f64, curvature: f64, bending: Bending) -> f64 {
    let strip = Strip::new(curve, wall_mm, bending);
    curvature - strip.at(&[curvature]).moment_n / strip.stiffness
}

/// How far a wall that was bent from `curvature_true` to `curvature_now` (both as they are, at rest) must be pushed the
/// other way so that it comes to rest at `curvature_true` again. None where wall or curvatures are not usable numbers.
pub fn unbend(curve: &Curve, wall_mm: f64, curvature_now: f64, curvature_true: f64, bending: Bending) -> Option<Push> {
    if !(wall_mm > 0.0 && wall_mm.is_finite() && curvature_now.is_finite() && curvature_true.is_finite()) {
        return None;
    }
    let change = curvature_now - curvature_true;
    if change.abs() < 1e-12 {
        return Some(Push {
            push_curvature: curvature_true,
            springback: 0.0,
            overpush_part: 0.0,
            strain_dent: 0.0,
            strain_total: 0.0,
            moment_n: 0.0,
        });
    }
    // Work with a dent in the positive sense; the law has no preferred side.
    let sign = change.signum();
    let strip = Strip::new(curve, wall_mm, bending);
    let want = change.abs();

    // The blow bent it to `peak`, of which `want` was left.
    let rest = |peak: f64| peak - strip.at(&[peak]).moment_n / strip.stiffness - want;
    let peak = root_above(want, strip.elastic_curvature(), rest)?;
    let dent = strip.at(&[peak]);

    // Pushed back to `−push` beyond true; after release nothing of the dent is to be left.
    let left = |push: f64| -push - strip.at(&[peak, -push]).moment_n / strip.stiffness;
    let push = root_above(0.0, strip.elastic_curvature(), |p| -left(p))?;
    let end = strip.at(&[peak, -push]);
    Some(Push {
        push_curvature: curvature_true - sign * push,
        springback: sign * push,
        overpush_part: push / want,
        strain_dent: dent.surface_strain,
        strain_total: end.surface_strain,
        moment_n: end.moment_n.abs(),
    })
}

/// Number of passes (at least 1; not whole, so that it can carry an interval) to bring a dent back to a wanted residual.
///
/// Two things make passes: the wall is moved in steps of no more than `step_strain` of surface strain, so that it can be
/// watched; and the last step is felt for, because the over-push is known only to `relative_doubt` of itself, so each try
/// leaves that part of the error of the one before. Source: common practice, no source.
pub fn passes(reversal_strain: f64, step_strain: f64, overpush_mm: f64, wanted_mm: f64, relative_doubt: f64) -> f64 {
    let steps = if step_strain > 0.0 { (reversal_strain.max(0.0) / step_strain).max(1.0) } else { 1.0 };
    let doubt = relative_doubt.clamp(0.01, 0.9);
    let error = doubt * overpush_mm.max(0.0);
    let tries = if error > wanted_mm && wanted_mm > 0.0 { (wanted_mm / error).ln() / doubt.ln() } else { 0.0 };
    steps + tries
}

/// Source of [`passes`].
pub const PASSES: Source =
    Source::common_practice("passes: surface strain per step, then tries until the doubt in the over-push is below the wanted residual");

/// A root of a rising function, known to lie at or above `from`; `step` is the scale on which to look.
fn root_above(from: f64, step: f64, f: impl Fn(f64) -> f64 + Copy) -> Option<f64> {
    let mut high = from + step;
    let mut tries = 0;
    while f(high) < 0.0 {
        high = from + (high - from) * 1.6;
        tries += 1;
        if tries > 60 {
            return None;
        }
    }
    let mut convergency = SimpleConvergency { eps: 1e-9 * step.max(1e-9), max_iter: 60 };
    find_root_brent(from, high, f, &mut convergency).ok()
}

/// Gauss–Legendre points and weights on 0 to 1, 12 points (Abramowitz & Stegun, table 25.4, from memory; the test sums powers).
const GAUSS: [(f64, f64); 6] = [
    (0.125_233_408_511_468_9, 0.249_147_045_813_402_8),
    (0.367_831_498_998_180_2, 0.233_492_536_538_354_8),
    (0.587_317_954_286_617_4, 0.203_167_426_723_065_9),
    (0.769_902_674_194_304_7, 0.160_078_328_543_346_2),
    (0.904_117_256_370_474_9, 0.106_939_325_995_318_4),
    (0.981_560_634_246_719_3, 0.047_175_336_386_511_8),
];

/// What a strip has come to after its bends.
struct Bent {
    moment_n: f64,
    /// Accumulated equivalent plastic strain at the surface.
    surface_strain: f64,
}

/// A strip of wall, ready to be bent.
struct Strip<'a> {
    curve: &'a Curve,
    half_mm: f64,
    kinematic: f64,
    /// Modulus along the strip, N/mm²: E, or E/(1 − ν²) where the width is held.
    modulus: f64,
    /// Factor from equivalent stress to stress along the strip, and from strain along the strip to equivalent strain.
    held: f64,
    /// Moment per curvature, N mm.
    stiffness: f64,
}

impl<'a> Strip<'a> {
    fn new(curve: &'a Curve, wall_mm: f64, bending: Bending) -> Self {
        let (modulus, held) = match bending.width {
            Width::Free => (curve.e_mpa, 1.0),
            Width::Held => (curve.e_mpa / (1.0 - curve.poisson * curve.poisson), 2.0 / 3.0_f64.sqrt()),
        };
        Self {
            curve,
            half_mm: wall_mm / 2.0,
            kinematic: bending.bauschinger.clamp(0.0, 1.0),
            modulus,
            held,
            stiffness: modulus * wall_mm.powi(3) / 12.0,
        }
    }

    /// Curvature at which the surface reaches the 0.2 % yield strength.
    fn elastic_curvature(&self) -> f64 {
        self.curve.yield_mpa() * self.held / (self.modulus * self.half_mm)
    }

    /// Bends through the given curvatures in turn (each measured from the start).
    fn at(&self, path: &[f64]) -> Bent {
        let mut sum = 0.0;
        for (x, w) in GAUSS {
            for z in [0.5 - 0.5 * x, 0.5 + 0.5 * x] {
                let z_mm = z * self.half_mm;
                sum += w * z_mm * self.fibre(z_mm, path).0;
            }
        }
        // Both halves carry the same: weights sum to 2 on −1..1, so half of them on 0..1, times two halves.
        Bent { moment_n: sum * self.half_mm, surface_strain: self.fibre(self.half_mm, path).1 }
    }

    /// Stress along the strip (N/mm²) and accumulated equivalent plastic strain of a fibre after the path.
    fn fibre(&self, z_mm: f64, path: &[f64]) -> (f64, f64) {
        // In equivalent terms: s = σ/held, e = ε·held; elastic slope modulus/held².
        let slope = self.modulus / (self.held * self.held);
        let first = self.curve.stress_mpa(0.0);
        let (mut stress, mut back, mut plastic, mut at) = (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64);
        for &curvature in path {
            let change = (curvature - at) * z_mm * self.held;
            at = curvature;
            let s = change.signum();
            let hardened = self.curve.stress_mpa(plastic) - first;
            // Flow stress in this direction after more plastic strain p: Y(p) + c (see the module's text).
            let c = s * back - self.kinematic * hardened;
            let trial = s * stress + slope * change.abs();
            let limit = first + hardened + c;
            if trial <= limit {
                stress = s * trial;
                continue;
            }
            let p = self.plastic_after(plastic, trial + slope * plastic, c, slope);
            let flow = self.curve.stress_mpa(p);
            stress = s * (flow + c);
            back += s * self.kinematic * (flow - first - hardened);
            plastic = p;
        }
        (stress * self.held, plastic)
    }

    /// Accumulated plastic strain p at which `reach − slope·p = Y(p) + c`. The left side less the right is falling and
    /// convex, so Newton's steps from a point left of the root never overshoot.
    fn plastic_after(&self, from: f64, reach: f64, c: f64, slope: f64) -> f64 {
        let farthest = (reach - c) / slope;
        let mut p = (farthest - self.curve.stress_mpa(farthest.max(from)) / slope).max(from);
        for _ in 0..50 {
            let y = self.curve.stress_mpa(p);
            let f = reach - slope * p - y - c;
            let step = f / (slope + self.curve.n * y / (self.curve.offset + p));
            p += step;
            if step.abs() < 1e-9 * (p + 1e-6) {
                break;
            }
        }
        p.max(from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Alloy, Temper};

    #[test]
    fn gauss_points_sum_powers() {
        for power in 0..20_i32 {
            let sum: f64 = GAUSS.iter().map(|(x, w)| w * ((0.5 - 0.5 * x).powi(power) + (0.5 + 0.5 * x).powi(power)) / 2.0).sum();
            assert!((sum - 1.0 / f64::from(power + 1)).abs() < 1e-13, "power {power}: {sum}");
        }
    }

    #[test]
    fn twelve_points_are_enough() {
        // Against a sum over 20 000 slices, on a path that bends, unbends and passes true.
        for temper in [Temper::ANNEALED, Temper::HALF_HARD, Temper::SPRING] {
            let curve = Curve::fit(Alloy::YellowBrass, temper);
            let strip = Strip::new(&curve, 0.5, Bending::default());
            for path in [vec![0.02], vec![0.1, -0.01], vec![0.5, -0.02]] {
                let slices = 20_000;
                let fine: f64 = (0..slices)
                    .map(|i| {
                        let z = strip.half_mm * (f64::from(i) + 0.5) / f64::from(slices);
                        2.0 * z * strip.fibre(z, &path).0 * strip.half_mm / f64::from(slices)
                    })
                    .sum();
                let coarse = strip.at(&path).moment_n;
                assert!((coarse / fine - 1.0).abs() < 0.01, "{temper:?} {path:?}: {coarse} {fine}");
            }
        }
    }

    #[test]
    fn what_was_pushed_comes_to_rest_true() {
        let curve = Curve::fit(Alloy::YellowBrass, Temper::HALF_HARD);
        let bending = Bending::default();
        let push = unbend(&curve, 0.5, -0.1, 0.1, bending).unwrap();
        // A dent goes inwards (curvature falls), so the push goes outwards past true (curvature above 0.1).
        assert!(push.push_curvature > 0.1 && push.overpush_part > 0.0 && push.overpush_part < 1.0);
        let strip = Strip::new(&curve, 0.5, bending);
        let peak = root_above(0.2, 0.01, |k| k - strip.at(&[k]).moment_n / strip.stiffness - 0.2).unwrap();
        let past = push.push_curvature - 0.1;
        let left = -past - strip.at(&[peak, -past]).moment_n / strip.stiffness;
        assert!(left.abs() < 1e-6, "{left}");
        // Mirrored, the answer is mirrored.
        let other = unbend(&curve, 0.5, 0.1, -0.1, bending).unwrap();
        assert!((other.push_curvature + push.push_curvature).abs() < 1e-9);
    }

    #[test]
    fn harder_and_thinner_spring_more() {
        let part =
            |temper, wall| unbend(&Curve::fit(Alloy::YellowBrass, temper), wall, -0.05, 0.1, Bending::default()).unwrap().overpush_part;
        assert!(part(Temper::HARD, 0.5) > part(Temper::HALF_HARD, 0.5));
        assert!(part(Temper::HALF_HARD, 0.5) > part(Temper::ANNEALED, 0.5));
        assert!(part(Temper::HARD, 0.4) > part(Temper::HARD, 0.6));
    }

    #[test]
    fn the_bauschinger_share_makes_the_way_back_easier() {
        let curve = Curve::fit(Alloy::YellowBrass, Temper::ANNEALED);
        let moment = |bauschinger| unbend(&curve, 0.5, -0.1, 0.1, Bending { width: Width::Held, bauschinger }).unwrap().moment_n;
        assert!(moment(0.8) < moment(0.4) && moment(0.4) < moment(0.0));
    }

    #[test]
    fn odd_input_is_refused() {
        let curve = Curve::fit(Alloy::YellowBrass, Temper::HARD);
        assert!(unbend(&curve, 0.0, 0.1, 0.0, Bending::default()).is_none());
        assert!(unbend(&curve, 0.5, f64::NAN, 0.0, Bending::default()).is_none());
        assert_eq!(unbend(&curve, 0.5, 0.1, 0.1, Bending::default()).unwrap().overpush_part, 0.0);
        assert_eq!(gardiner_ratio(10.0, 0.0, 400.0, 1e5), 0.0);
    }
}
