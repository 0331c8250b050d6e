//! What a tool that moves over a dent asks of the hand, against the one push that brings the whole dent out at once.
//!
//! **What is seen** (own model, crate `fem`, `walk.rs`; docs/validation.md, "A tool that moves"). The wall springs back from
//! every stroke and yields again only where the last one left off, so a smaller lift in more strokes asks for nearly the same
//! force: 0.88, 0.87 and 0.83 of the one push at lifts of a tenth, a quarter and half of the depth, as incremental forming
//! of sheet is nearly independent of its step. What less force costs is not strokes but what stays of the dent
//! ([`left_within`]): half comes out at 0.57, four fifths at 0.65, nine tenths at 0.70, all at 0.88 (middle of the range). Below
//! [`least_part`] nothing moves, however often.
//!
//! **To a tenth.** A dent is roughed out with the tool and finished by burnishing, rolling or the hammer, which squeeze the wall and
//! do not bend it against its spring (trade, common practice: rough out most of a dent before burnishing). So
//! [`force_part`] is until [`ROUGHED`] of the depth is left; [`part_to`] gives the force to any other share, [`TRUE`] by the tool
//! alone.
//!
//! **Form of the law.** A small head makes a plastic hinge field of the wall about it, which wants 4π M₀ whatever its size
//! (yield lines about a point load); the model's stroke that leaves half of the dent is that within a few per cent. What is left
//! undone raises it: near true the wall must be bent past true against the round of the tube. So forces are 4π M₀ times a
//! number that depends on the groups as a product of powers, fitted to the runs ([`COEFFICIENTS`]).
//!
//! The head is in it: [`Answer::force_part`] is against [`force_inside`] as it stands (a head of 0.62 D); the part must not be
//! multiplied with [`crate::force::head_factor`] as well.

use crate::force::{Inside, force_inside};
use metal::limit_load::{Width, plastic_moment_n};

mod fit;
pub use fit::{BESIDE_LINE, COEFFICIENTS, ERROR, HOLD_FACTOR, MIRRORED, RANGE, SOURCE};

/// How the wall is held while the tool moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hold {
    /// The tube in the hands, or lying on the line opposite: the round may give as a whole.
    Hand,
    /// Over a mandrel that carries the wall beside the dent.
    Mandrel,
    /// Over a stake under the dent.
    Stake,
}

/// A pass of the tool over the dent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Diameter at the middle of the wall, mm.
    pub mean_diameter_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// σ₀/E of the wall as it was before the dent.
    pub yield_strain: f64,
    /// Exponent n of σ₀(1 + α/0.02)ⁿ.
    pub hardening_n: f64,
    /// Depth of the dent as found, mm.
    pub depth_mm: f64,
    /// Width of the dent along the tube, mm.
    pub width_along_mm: f64,
    /// Width of the dent around the tube, mm.
    pub width_across_mm: f64,
    /// Diameter of the tool's head (ball, roller's crown), mm.
    pub head_mm: f64,
    /// Lift that a pass is to leave under the tool, mm; more than the depth counts as the depth.
    pub lift_mm: f64,
    /// How the wall is held.
    pub hold: Hold,
}

/// The force of the tool and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Answer {
    /// Greatest force of the tool in the passes until the dent is roughed out ([`ROUGHED`]) over the force of the one push to
    /// true ([`force_inside`]); the head's size is in it.
    pub force_part: f64,
    /// Standard deviation of ln `force_part` about fresh runs of the model.
    pub log_sd: f64,
    /// The case lies outside the range that was run.
    pub outside: bool,
}

/// Share of the depth below which the dent counts as true: what the model's walk ended within.
pub const TRUE: f64 = 0.03;
/// Share of the depth that a moving tool leaves for burnishing, rolling or the hammer. Common practice, no source.
pub const ROUGHED: f64 = 0.1;
/// Shares of the depth left for which there are numbers: a first lift of 1/25, half, a fifth, a tenth, true.
pub const LEFT: [f64; 5] = [0.96, 0.5, 0.2, ROUGHED, TRUE];
/// Share of the depth that must move to count at all: less cannot be told from nothing with a gauge on a dent of a millimetre or
/// two. Common practice, no source.
pub const LEAST_LIFT: f64 = 0.01;
/// Largest lift of a pass that was run, over the depth; from there to the whole depth in one push the force rises to that of the
/// one push, straight in the logarithms.
pub const LARGEST_LIFT: f64 = 0.5;
/// Tool's step from place to place over its head's diameter: the runs stepped 0.12 D, 0.16 to 0.55 of their heads.
const STEP: f64 = 0.25;

/// Young's modulus to which the stresses are scaled back: it falls out of every part.
const E_MPA: f64 = 112_000.0;

/// Sizes within what can be asked at all, so that nothing below divides by nothing.
fn tame(s: &Stroke) -> Stroke {
    let within = |v: f64, lo: f64, hi: f64| if v.is_finite() { v.clamp(lo, hi) } else { hi };
    let d = within(s.mean_diameter_mm, 1.0, 1000.0);
    Stroke {
        mean_diameter_mm: d,
        wall_mm: within(s.wall_mm, d / 1000.0, d / 5.0),
        yield_strain: within(s.yield_strain, 1e-4, 0.02),
        hardening_n: within(s.hardening_n, 0.0, 1.0),
        depth_mm: within(s.depth_mm, 1e-3 * d, d),
        head_mm: within(s.head_mm, 0.01 * d, d),
        ..*s
    }
}

/// Force of the one push to true over 4π M₀, M₀ by the flow stress after 5 % strain.
fn full_over_collapse(s: &Stroke) -> f64 {
    let yield_mpa = E_MPA * s.yield_strain;
    let after = |strain: f64| yield_mpa * (1.0 + strain / 0.02).powf(s.hardening_n);
    let one = force_inside(&Inside {
        e_mpa: E_MPA,
        near_mpa: after(crate::force::NEAR),
        far_mpa: after(crate::force::FAR),
        diameter_mm: s.mean_diameter_mm,
        wall_mm: s.wall_mm,
        depth_mm: s.depth_mm,
        bend_factor: 1.0,
    });
    let collapse = 4.0 * std::f64::consts::PI * plastic_moment_n(after(0.05), s.wall_mm, Width::Free);
    one.n / collapse
}

/// The groups of the law, as they enter it.
fn groups(s: &Stroke) -> [f64; 5] {
    let d = s.mean_diameter_mm;
    let at = [d / s.wall_mm, s.yield_strain, s.hardening_n, s.depth_mm / d, s.head_mm / d];
    // No drawing on of powers beyond what was run: the range's edge answers, and the answer says so.
    let at: [f64; 5] = std::array::from_fn(|k| at[k].clamp(RANGE[k].0, RANGE[k].1));
    [(at[0] / 36.0).ln(), (at[1] / 0.0025).ln(), at[2] - 0.2, (at[3] / 0.1).ln(), (at[4] / 0.45).ln()]
}

/// Forces of the tool over 4π M₀ for [`LEFT`]: the law itself, before it is set against the one push.
pub fn over_collapse(s: &Stroke) -> [f64; 5] {
    let x = groups(&tame(s));
    // The first lift is small against any wall at a shallow dent and nears the hinge field's force at a deep one: not a power of
    // the depth but of depth/(depth + 0.1 D), one at 0.1 D.
    let depth = x[3].exp();
    let saturating = [x[0], x[1], x[2], (2.0 * depth / (depth + 1.0)).ln(), x[4]];
    let hold = if s.hold == Hold::Hand { 1.0 } else { HOLD_FACTOR };
    std::array::from_fn(|k| {
        let (c, at) = (&COEFFICIENTS[k], if k == 0 { saturating } else { x });
        let log = c[0] + c[1..].iter().zip(at).map(|(a, b)| a * b).sum::<f64>();
        // The first lift was read from a push at the middle.
        log.exp() * if k == 0 { 1.0 } else { hold }
    })
}

/// Parts of the full force for [`LEFT`], rising and at most one.
fn parts(s: &Stroke) -> [f64; 5] {
    let full = full_over_collapse(s);
    let mut most = 0.0_f64;
    over_collapse(s).map(|force| {
        most = most.max((force / full).min(1.0));
        most
    })
}

/// Straight between knots, `y` in its logarithm.
fn between(knots: &[(f64, f64)], x: f64) -> f64 {
    let i = knots[1..knots.len() - 1].iter().filter(|k| x <= k.0).count();
    let ((x0, y0), (x1, y1)) = (knots[i], knots[i + 1]);
    y0 * (y1 / y0).powf(((x0 - x) / (x0 - x1)).clamp(0.0, 1.0))
}

/// Share left, falling, and part of the full force.
fn knots(s: &Stroke) -> [(f64, f64); 6] {
    let p = parts(s);
    // The first hundredth: eight pushes of the model at a fifth lifted 0.9 % of the depth, a first lift of 4 % asked a third; the same power.
    let least = p[0] * (LEAST_LIFT / (1.0 - LEFT[0])).powf(FIRST_POWER);
    [(1.0 - LEAST_LIFT, least), (LEFT[0], p[0]), (LEFT[1], p[1]), (LEFT[2], p[2]), (LEFT[3], p[3]), (LEFT[4], p[4])]
}

/// ln(0.33/0.20)/ln(0.04/0.0087): own model, pushes at the middle in five tubes (figures of the project's audit).
const FIRST_POWER: f64 = 0.33;

/// Greatest part of the full force on the way from the dent as found to the share `left` of its depth.
pub fn part_to(s: &Stroke, left: f64) -> f64 {
    between(&knots(&tame(s)), if left.is_nan() { 0.0 } else { left })
}

/// Share of the depth that stays when no stroke may take more than `part` of the full force, however many there are: 1 where
/// nothing moves, [`TRUE`] where the dent comes true.
pub fn left_within(s: &Stroke, part: f64) -> f64 {
    let k = knots(&tame(s));
    if part.is_nan() || part < k[0].1 {
        return 1.0;
    }
    if part >= k[5].1 {
        return TRUE;
    }
    // The last knot that the part reaches; there is one, and one after it, by the two lines above.
    let i = k.iter().filter(|p| p.1 <= part).count().clamp(1, 5) - 1;
    let ((x0, y0), (x1, y1)) = (k[i], k[i + 1]);
    if y1 > y0 { x0 - (x0 - x1) * (part / y0).ln() / (y1 / y0).ln() } else { x1 }
}

/// Lift over depth, within (0, 1].
fn lift_part(s: &Stroke) -> f64 {
    let part = s.lift_mm / s.depth_mm;
    if part.is_finite() { part.clamp(LEAST_LIFT, 1.0) } else { 1.0 }
}

/// Part of the full force at a lift over depth of `lift`, where small lifts ask for `walk`.
fn at_lift(walk: f64, lift: f64) -> f64 {
    if lift <= LARGEST_LIFT { walk } else { walk * (1.0 / walk).powf((lift / LARGEST_LIFT).ln() / (1.0 / LARGEST_LIFT).ln()) }
}

/// Greatest force of the tool in passes that leave the lift asked, until the dent is roughed out.
pub fn force_part(s: &Stroke) -> Answer {
    let t = tame(s);
    let d = t.mean_diameter_mm;
    let at = [d / t.wall_mm, t.yield_strain, t.hardening_n, t.depth_mm / d, t.head_mm / d];
    let outside = at.iter().zip(RANGE).any(|(v, (lo, hi))| !(lo..=hi).contains(v)) || s.hold != Hold::Hand;
    // Between a fifth and true: the wider of their errors.
    let log_sd = ERROR.log_rms[2].max(ERROR.log_rms[3]).hypot(MIRRORED).hypot(BESIDE_LINE);
    Answer { force_part: at_lift(parts(&t)[3], lift_part(s)), log_sd: if outside { 2.0 * log_sd } else { log_sd }, outside }
}

/// Part of the full force below which nothing stays, however many strokes.
pub fn least_part(s: &Stroke) -> f64 {
    knots(&tame(s))[0].1
}

/// Largest lift, mm, that a pass may leave with at most `part` of the full force; None where the dent is not roughed out with
/// that part, however many strokes ([`left_within`] says how far it comes). [`Stroke::lift_mm`] is not read.
pub fn lift_within(s: &Stroke, part: f64) -> Option<f64> {
    let walk = parts(&tame(s))[3];
    if !(part >= walk && s.depth_mm > 0.0) {
        return None;
    }
    let lift =
        if part >= 1.0 || walk >= 1.0 { 1.0 } else { LARGEST_LIFT * (1.0 / LARGEST_LIFT).powf((part / walk).ln() / (1.0 / walk).ln()) };
    Some(lift.min(1.0) * s.depth_mm)
}

/// Passes over the dent at that lift.
pub fn passes(s: &Stroke) -> f64 {
    (1.0 / lift_part(s)).ceil()
}

/// Strokes in all: passes times the places of a pass, the tool stepped by a part of its head both ways.
pub fn strokes(s: &Stroke) -> f64 {
    let places = |width_mm: f64| {
        let n = (width_mm / (STEP * s.head_mm)).ceil();
        if n.is_finite() { n.max(1.0) } else { 1.0 }
    };
    passes(s) * places(s.width_along_mm) * places(s.width_across_mm)
}

#[cfg(test)]
mod tests;
