//! What a tool that moves over a dent asks of the hand, against the one push that brings the whole dent out at once.
//!
//! A force that falls as 1/√strokes is wrong: the wall springs back from every stroke, and below a certain force it springs
//! back wholly, however often it is asked. So a way in many strokes is judged by the lift that a pass leaves for good.
//!
//! **Preliminary**: the few figures that the own model has given so far, interpolated; see [`SOURCE`]. The law fitted to runs of
//! a tool that walks (crate `fem`, `walk.rs`) takes its place, with the same names.

use units::Source;

/// Where the figures come from.
pub const SOURCE: Source = Source::own_model(
    "preliminary: own finite-element model, pushes at the middle of the dent in five tubes (figures of the project's audit): a first lift of 1/25 of the depth asks 0.26 to 0.42 of the force of the one push, from 20 to 80 % lifted 0.49 to 0.73, at a fifth eight pushes lift 0.9 % in all; interpolated",
);

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
    /// Greatest force of the tool in a pass over the force of the one push to true ([`crate::force::force_inside`]).
    pub force_part: f64,
    /// Standard deviation of ln `force_part` about fresh runs of the model.
    pub log_sd: f64,
    /// The case lies outside the range that was run.
    pub outside: bool,
}

/// Lift over depth and part of the full force: the middles of the ranges in [`SOURCE`].
const KNOTS: [(f64, f64); 4] = [(0.0087, 0.20), (0.04, 0.33), (0.6, 0.60), (1.0, 1.0)];

/// Lift over depth that a pass must leave to count at all: less cannot be told from nothing with a gauge on a dent of a
/// millimetre or two. Common practice, no source.
pub const LEAST_LIFT: f64 = 0.01;

/// Half the range of the five tubes, as a standard deviation of the logarithm, with the tool and its path unknown.
const LOG_SD: f64 = 0.35;

/// Tool's step from place to place over its head's diameter. Common practice, no source.
const STEP: f64 = 0.25;

/// Lift over depth, within (0, 1].
fn lift_part(s: &Stroke) -> f64 {
    let part = s.lift_mm / s.depth_mm;
    if part.is_finite() { part.clamp(LEAST_LIFT, 1.0) } else { 1.0 }
}

/// Part of the full force at a lift over depth of `x`: straight in the logarithms between the knots.
fn part_at(x: f64) -> f64 {
    let i = KNOTS[1..KNOTS.len() - 1].iter().filter(|k| x >= k.0).count();
    let ((x0, p0), (x1, p1)) = (KNOTS[i], KNOTS[i + 1]);
    p0 * (p1 / p0).powf((x / x0).ln() / (x1 / x0).ln())
}

/// Force of the tool for the lift asked.
pub fn force_part(s: &Stroke) -> Answer {
    let outside = !((20.0..=45.0).contains(&(s.mean_diameter_mm / s.wall_mm))
        && (0.0018..=0.0046).contains(&s.yield_strain)
        && (0.1..=0.3).contains(&(s.depth_mm / s.mean_diameter_mm))
        && s.hold == Hold::Hand);
    Answer { force_part: part_at(lift_part(s)).min(1.0), log_sd: if outside { 1.5 * LOG_SD } else { LOG_SD }, outside }
}

/// Part of the full force below which nothing stays, however many strokes.
pub fn least_part(_: &Stroke) -> f64 {
    part_at(LEAST_LIFT)
}

/// Largest lift, mm, that a pass leaves with at most `part` of the full force; None where the wall springs back from it each
/// time (it never comes true). [`Stroke::lift_mm`] is not read.
pub fn lift_within(s: &Stroke, part: f64) -> Option<f64> {
    if !(part >= least_part(s) && s.depth_mm > 0.0) {
        return None;
    }
    // The law rises all the way: halving finds its inverse.
    let (mut lo, mut hi) = (LEAST_LIFT, 1.0);
    if part >= part_at(hi) {
        return Some(s.depth_mm);
    }
    for _ in 0..60 {
        let mid = 0.5 * (lo + hi);
        if part_at(mid) <= part { lo = mid } else { hi = mid }
    }
    Some(lo * s.depth_mm)
}

/// Passes from the dent as found to true at that lift.
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
mod tests {
    use super::*;

    const S: Stroke = Stroke {
        mean_diameter_mm: 12.16,
        wall_mm: 0.5,
        yield_strain: 0.0037,
        hardening_n: 0.13,
        depth_mm: 3.0,
        width_along_mm: 16.0,
        width_across_mm: 9.0,
        head_mm: 6.0,
        lift_mm: 0.12,
        hold: Hold::Hand,
    };

    #[test]
    fn more_lift_asks_for_more_and_never_for_more_than_the_one_push() {
        let mut before = 0.0;
        for i in 1..=300 {
            let part = force_part(&Stroke { lift_mm: 0.03 * f64::from(i) / 2.0, ..S }).force_part;
            assert!(part > 0.0 && part <= 1.0 && part >= before, "{i} {part}");
            before = part;
        }
    }

    #[test]
    fn the_lift_within_a_force_asks_for_that_force() {
        for part in [0.25, 0.4, 0.55, 0.8, 0.99] {
            let lift_mm = lift_within(&S, part).map_or(f64::NAN, |l| l);
            assert!((force_part(&Stroke { lift_mm, ..S }).force_part - part).abs() < 1e-9, "{part} {lift_mm}");
        }
        assert_eq!(lift_within(&S, 1.0), Some(3.0));
    }

    #[test]
    fn below_the_least_part_nothing_stays() {
        let least = least_part(&S);
        assert_eq!(lift_within(&S, 0.999 * least), None);
        assert!(lift_within(&S, 1.001 * least).is_some());
        assert_eq!(lift_within(&S, f64::NAN), None);
    }

    #[test]
    fn the_audits_figures() {
        // Own model, issue 10: eight pushes at a fifth do not bring a dent back; first lift of d/25; from 20 to 80 %.
        assert_eq!(lift_within(&S, 0.2), None);
        let at = |lift: f64| force_part(&Stroke { lift_mm: lift * S.depth_mm, ..S }).force_part;
        assert!((0.26..=0.42).contains(&at(0.04)), "{}", at(0.04));
        assert!((0.49..=0.73).contains(&at(0.6)), "{}", at(0.6));
    }

    #[test]
    fn smaller_lifts_and_heads_take_more_strokes() {
        assert!(strokes(&Stroke { lift_mm: 0.06, ..S }) > strokes(&S));
        assert!(strokes(&Stroke { head_mm: 3.0, ..S }) > strokes(&S));
        assert!((passes(&S) - 25.0).abs() < 1.5);
    }

    #[test]
    fn senseless_sizes_give_figures_not_panics() {
        let odd = Stroke { depth_mm: 0.0, head_mm: 0.0, ..S };
        assert!(force_part(&odd).force_part.is_finite() && strokes(&odd).is_finite());
        assert_eq!(lift_within(&odd, 0.5), None);
    }
}
