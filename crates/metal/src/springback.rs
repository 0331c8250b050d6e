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

/// Source of [`unbend`].
pub const UNBEND: Source = Source::closed_form(
    "elastic-plastic reverse bending with Swift hardening, through-thickness quadrature, elastic unloading (reduces to Gardiner 1957)",
);
/// Source of [`BAUSCHINGER`].
pub const BAUSCHINGER_SOURCE: Source = Source::common_practice("share of hardening that is kinematic: 0.3 ± 0.14 (anything from 0 to 0.5)");
/// Default share of the hardening that is kinematic. See [`BAUSCHINGER_SOURCE`].
pub const BAUSCHINGER: f64 = 0.3;
/// Its standard deviation: that of an even spread from 0 to 0.5.
pub const BAUSCHINGER_SD: f64 = 0.14;

/// How the strip is bent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bending {
    /// Whether the strip is free or held across its width.
    pub width: Width,
    /// Share of the hardening that is kinematic, 0 (none, isotropic) to 0.5: the Bauschinger effect. At 0.5 the metal yields
    /// backwards at its first elastic limit, however hard it was worked. A larger share would have it yield backwards
    /// while it is still being let go, which elastic unloading cannot show; it is held at 0.5.
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

    // The blow bent it to `want` and some more, which sprang back.
    let flat = strip.flat();
    let more = strip.springback(|x| strip.moment_n(&strip.bent(&flat, want + x)) / strip.stiffness)?;
    let dented = strip.bent(&flat, want + more);

    // Pushed back to `push` beyond true, of which nothing is to be left: x = −M/S at −x.
    let push = strip.springback(|x| -strip.moment_n(&strip.bent(&dented, -want - more - x)) / strip.stiffness)?;
    let pushed = strip.bent(&dented, -want - more - push);
    Some(Push {
        push_curvature: curvature_true - sign * push,
        springback: sign * push,
        overpush_part: push / want,
        strain_dent: strip.surface(&[want + more]),
        strain_total: strip.surface(&[want + more, -want - more - push]),
        moment_n: strip.moment_n(&pushed).abs(),
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

/// Gauss–Legendre points and weights on 0 to 1, 12 points (Abramowitz & Stegun, table 25.4, from memory; the test sums powers).
const GAUSS: [(f64, f64); 6] = [
    (0.125_233_408_511_468_9, 0.249_147_045_813_402_8),
    (0.367_831_498_998_180_2, 0.233_492_536_538_354_8),
    (0.587_317_954_286_617_4, 0.203_167_426_723_065_9),
    (0.769_902_674_194_304_7, 0.160_078_328_543_346_2),
    (0.904_117_256_370_474_9, 0.106_939_325_995_318_4),
    (0.981_560_634_246_719_3, 0.047_175_336_386_511_8),
];

/// What a fibre has come to, in equivalent terms (stress along the strip over `held`, strain along it times `held`).
#[derive(Clone, Copy, Default)]
struct Fibre {
    /// Stress, N/mm².
    stress: f64,
    /// Back stress, N/mm².
    back: f64,
    /// Accumulated plastic strain.
    plastic: f64,
    /// Hardening at that plastic strain: Y(p) − Y(0), N/mm².
    hardened: f64,
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
    /// Y(0), N/mm².
    first: f64,
}

/// Fibres of one half of the strip: the other half mirrors them.
type Fibres = [Fibre; 12];

impl<'a> Strip<'a> {
    fn new(curve: &'a Curve, wall_mm: f64, bending: Bending) -> Self {
        let (modulus, held) = match bending.width {
            Width::Free => (curve.e_mpa, 1.0),
            Width::Held => (curve.e_mpa / (1.0 - curve.poisson * curve.poisson), 2.0 / 3.0_f64.sqrt()),
        };
        Self {
            curve,
            half_mm: wall_mm / 2.0,
            kinematic: bending.bauschinger.clamp(0.0, 0.5),
            modulus,
            held,
            stiffness: modulus * wall_mm.powi(3) / 12.0,
            first: curve.stress_mpa(0.0),
        }
    }

    /// An unstressed strip.
    fn flat(&self) -> Fibres {
        Fibres::default()
    }

    /// Distance of a fibre from the middle over the half thickness, with its weight on 0 to 1.
    fn points() -> impl Iterator<Item = (f64, f64)> {
        GAUSS.into_iter().flat_map(|(x, w)| [(0.5 - 0.5 * x, 0.5 * w), (0.5 + 0.5 * x, 0.5 * w)])
    }

    /// The strip bent by a further curvature.
    fn bent(&self, fibres: &Fibres, curvature: f64) -> Fibres {
        let mut next = *fibres;
        for (f, (z, _)) in next.iter_mut().zip(Self::points()) {
            *f = self.strained(*f, curvature * z * self.half_mm);
        }
        next
    }

    /// Its moment per unit width, N.
    fn moment_n(&self, fibres: &Fibres) -> f64 {
        let sum: f64 = fibres.iter().zip(Self::points()).map(|(f, (z, w))| w * z * f.stress).sum();
        2.0 * sum * self.held * self.half_mm * self.half_mm
    }

    /// Accumulated equivalent plastic strain at the surface after further curvatures in turn.
    fn surface(&self, path: &[f64]) -> f64 {
        path.iter().fold(Fibre::default(), |f, k| self.strained(f, k * self.half_mm)).plastic
    }

    /// A fibre strained further along the strip.
    fn strained(&self, f: Fibre, strain: f64) -> Fibre {
        let slope = self.modulus / (self.held * self.held);
        let change = strain * self.held;
        let s = change.signum();
        // Flow stress in this direction after more plastic strain p: Y(p) + c. The kinematic share moved the middle of the
        // elastic range to `back` and takes its part of all further hardening.
        let c = s * f.back - self.kinematic * f.hardened;
        let trial = s * f.stress + slope * change.abs();
        if trial <= self.first + f.hardened + c {
            return Fibre { stress: s * trial, ..f };
        }
        let (plastic, flow) = self.plastic_after(f.plastic, trial + slope * f.plastic - c, slope);
        let hardened = flow - self.first;
        Fibre { stress: s * (flow + c), back: f.back + s * self.kinematic * (hardened - f.hardened), plastic, hardened }
    }

    /// Accumulated plastic strain p at which `reach − slope·p = Y(p)`, and Y there. The left side less the right is falling
    /// and convex, so Newton's steps from a point left of the root never overshoot.
    fn plastic_after(&self, from: f64, reach: f64, slope: f64) -> (f64, f64) {
        let farthest = reach / slope;
        let mut p = (farthest - self.curve.stress_mpa(farthest.max(from)) / slope).max(from);
        let mut y = self.curve.stress_mpa(p);
        for _ in 0..50 {
            let tangent = self.curve.n * y / (self.curve.offset + p);
            let step = (reach - slope * p - y) / (slope + tangent);
            p += step;
            // Newton doubles its digits: after a step this small the rest is beyond what matters, and Y follows along the tangent.
            if step.abs() < 1e-4 * (p + self.curve.offset) {
                return (p, y + tangent * step);
            }
            y = self.curve.stress_mpa(p);
        }
        (p, y)
    }

    /// The springback x that the moment at x itself asks for: x = g(x), g = M/S rising, ever more slowly. Where the wall is
    /// plastic through and through g hardly rises, and two secant steps from g(0) are there; else Brent's method takes over.
    fn springback(&self, g: impl Fn(f64) -> f64) -> Option<f64> {
        let scale = 1.5 * self.curve.yield_mpa() * self.held / (self.modulus * self.half_mm);
        let small = 1e-6 * scale;
        let mut x = g(0.0);
        let (mut before, mut error_before) = (0.0, -x);
        for _ in 0..6 {
            let error = x - g(x);
            if error.abs() < small {
                return Some(x);
            }
            let next = x - error * (x - before) / (error - error_before);
            if !(next > 0.0 && next < 20.0 * scale) {
                break;
            }
            (before, error_before, x) = (x, error, next);
        }
        let f = |x: f64| x - g(x);
        let mut high = scale;
        while f(high) < 0.0 {
            high *= 1.5;
            if high > 1e6 * scale {
                return None;
            }
        }
        let mut convergency = SimpleConvergency { eps: small, max_iter: 60 };
        find_root_brent(0.0, high, f, &mut convergency).ok()
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
            for path in [vec![0.02], vec![0.1, -0.11], vec![0.5, -0.52]] {
                let slices = 20_000;
                let fine: f64 = (0..slices)
                    .map(|i| {
                        let z = strip.half_mm * (f64::from(i) + 0.5) / f64::from(slices);
                        let fibre = path.iter().fold(Fibre::default(), |f, k| strip.strained(f, k * z));
                        2.0 * z * fibre.stress * strip.held * strip.half_mm / f64::from(slices)
                    })
                    .sum();
                let coarse = strip.moment_n(&path.iter().fold(strip.flat(), |f, k| strip.bent(&f, *k)));
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
        // Played forward: bent until 0.2 is left, then pushed by what it said.
        let strip = Strip::new(&curve, 0.5, bending);
        let rest = |fibres: &Fibres, at: f64| at - strip.moment_n(fibres) / strip.stiffness;
        let (mut low, mut high) = (0.2, 0.5);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if rest(&strip.bent(&strip.flat(), middle), middle) < 0.2 { low = middle } else { high = middle }
        }
        let past = push.push_curvature - 0.1;
        let left = rest(&strip.bent(&strip.bent(&strip.flat(), low), -low - past), -past);
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
        assert!(moment(0.5) < moment(0.3) && moment(0.3) < moment(0.0));
    }

    /// Closed form of a fibre with straight-line hardening of slope H, strained forward by plastic p₁ and then back by p₂: the
    /// stress is −(σ₀ + H (p₁ + p₂) − 2βH p₁).
    #[test]
    fn a_fibre_turned_back_is_as_its_closed_form() {
        // Swift with n = 1 is the straight line: σ₀ = 5000 · 0.04 = 200, H = 5000 N/mm².
        let curve = Curve::given(100_000.0, 0.3, 5000.0, 0.04, 1.0);
        for share in [0.0, 0.2, 0.5] {
            let strip = Strip::new(&curve, 1.0, Bending { width: Width::Free, bauschinger: share });
            let (p1, p2, h, e) = (0.03, 0.01, 5000.0, 100_000.0);
            let peak = 200.0 + h * p1;
            let forward = strip.strained(strip.flat()[0], p1 + peak / e);
            assert!((forward.stress - peak).abs() < 1e-6);
            let want = -(200.0 + h * (p1 + p2) - 2.0 * share * h * p1);
            let back = strip.strained(forward, -p2 - (peak - want) / e);
            assert!((back.stress - want).abs() < 1e-6 && (back.plastic - p1 - p2).abs() < 1e-9, "{share}: {} {want}", back.stress);
        }
    }

    #[test]
    fn shallow_and_sharp_dents_both_come_to_rest() {
        // From a dent that is hardly more than elastic to a fold; played forward each comes to rest where it should.
        for temper in [0.0, 2.0, 4.0, 8.0] {
            let curve = Curve::fit(Alloy::NickelSilver, Temper(temper));
            let strip = Strip::new(&curve, 0.5, Bending::default());
            for i in 0..60 {
                let want = 1e-4 * 1.2_f64.powi(i);
                let push = unbend(&curve, 0.5, want, 0.0, Bending::default()).unwrap();
                assert!(push.overpush_part > 0.0 && push.strain_total >= push.strain_dent, "{temper} {want} {push:?}");
                let more = strip.springback(|x| strip.moment_n(&strip.bent(&strip.flat(), want + x)) / strip.stiffness).unwrap();
                let dented = strip.bent(&strip.flat(), want + more);
                assert!((more - strip.moment_n(&dented) / strip.stiffness).abs() < 1e-4 * more);
                let end = strip.bent(&dented, -want - more - push.springback);
                assert!((push.springback + strip.moment_n(&end) / strip.stiffness).abs() < 1e-4 * push.springback);
            }
        }
    }

    #[test]
    fn passes_are_steps_and_then_tries() {
        // Steps alone: 0.1 of strain in steps of 0.025, over-push known well enough.
        assert!((passes(0.1, 0.025, 0.2, 0.1, 0.3) - 4.0).abs() < 1e-12);
        // Never fewer than one.
        assert_eq!(passes(0.001, 0.025, 0.0, 0.1, 0.3), 1.0);
        // One step, 1 mm of over-push known to a half: errors 0.5, 0.25, 0.125 after the first, second, third go: two more.
        assert!((passes(0.01, 0.025, 1.0, 0.125, 0.5) - 3.0).abs() < 1e-12);
        assert!(passes(f64::NAN, 0.0, 1.0, 0.0, 0.5).is_finite());
    }

    #[test]
    fn odd_input_is_refused() {
        let curve = Curve::fit(Alloy::YellowBrass, Temper::HARD);
        assert!(unbend(&curve, 0.0, 0.1, 0.0, Bending::default()).is_none());
        assert!(unbend(&curve, 0.5, f64::NAN, 0.0, Bending::default()).is_none());
        assert_eq!(unbend(&curve, 0.5, 0.1, 0.1, Bending::default()).unwrap().overpush_part, 0.0);
    }
}
