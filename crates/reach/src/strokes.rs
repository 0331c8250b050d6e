//! How a tool that moves brings a dent back: the lift that a pass leaves for good, and from it the force of a stroke and
//! the number of passes and strokes.
//!
//! A person chooses the lift: no more than the metal should take in a pass, and no more than hand, lean or press can give.
//! But what force is lacking is not made up for by more strokes: the wall springs back from each of them. With less force than
//! the walk to true asks a part of the dent stays, however many strokes ([`dent::stroke::left_within`]); a method that leaves most
//! of it is rejected, and what it would want is said.

use crate::bench::Case;
use crate::method::Strokes;
use dent::stroke::{self, Hold, Stroke};
use metal::{Curve, Temper};
use units::text::{Say, mm, newtons};
use units::{Figure, Known, Origin, Source, Text, Unit, text};

/// Fewest passes over a dent, however soft it is: from its rim inwards it is never pushed up at once. Common practice, no
/// source.
pub const FEWEST_PASSES: f64 = 4.0;
/// More passes than this nobody makes over one dent. Common practice, no source.
pub const MOST_PASSES: f64 = 40.0;

/// Share of a dent's depth that may stay where a tool gives no more force: the roughing out is done, and what is left is planished
/// or burnished. Common practice, no source (trade: rough out most of a dent before burnishing).
pub const MOST_LEFT: f64 = 0.35;

/// Source of the force of a stroke.
pub const SOURCE: Source = stroke::SOURCE;

/// How a stroke goes over the dent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Motion {
    /// From place to place: a hammer's blows.
    Places,
    /// Drawn through along the tube, line by line: a rod's head, a roller, a magnet's ball.
    Lines,
    /// Over the whole dent at once: a mandrel's nose.
    Whole,
}

/// The working end of a tool, and how the wall is held meanwhile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// Its diameter, mm.
    pub mm: f64,
    /// How the wall is held.
    pub hold: Hold,
    /// How it moves.
    pub motion: Motion,
}

impl Head {
    /// A head.
    pub fn new(mm: f64, hold: Hold, motion: Motion) -> Self {
        Self { mm, hold, motion }
    }
}

/// How a dent is worked with a head.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// Lift, passes, strokes.
    pub strokes: Strokes,
    /// Force of the head on the wall, N.
    pub force_n: f64,
    /// The stroke's part of the force that brings the whole dent back in one push, the head's own factor in it.
    part: Known,
}

/// What rules a head out: it does not get the force to the wall that brings the dent back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooWeak {
    /// The least force that leaves no more than [`MOST_LEFT`] of the dent, N.
    pub least_n: f64,
    stroke: Stroke,
    full_n: f64,
}

impl TooWeak {
    /// In words: who gives how much, in the head's own newtons.
    pub fn words(&self, case: &Case, who: impl Say, limit_n: f64) -> Text {
        let least = self.least_n;
        let left = stroke::left_within(&self.stroke, limit_n / self.full_n.max(1e-9));
        let short = if left >= 1.0 {
            "pushes below that spring back, however many".into()
        } else {
            format!("with that {:.0} % of the depth stays, however many", 100.0 * left)
        };
        let anneal = soft_least_n(case, &self.stroke)
            .filter(|soft| *soft <= limit_n && !case.site.role.must_stay_hard())
            .map_or_else(Text::default, |soft| text!("; annealed, {} would do", newtons(soft)));
        text!("needs at least {} in each stroke, {} {}: {}{}", newtons(least), who, newtons(limit_n), short, anneal)
    }
}

/// The same for the annealed dent, where it is not that already and the assessment says what the anneal leaves.
fn soft_least_n(case: &Case, cold: &Stroke) -> Option<f64> {
    let soft = case.assessment.after_anneal.as_ref().filter(|_| !case.annealed)?;
    let (yield_strain, hardening_n) =
        crate::case_stroke::laid_through(&Curve::fit(case.site.alloy, Temper(soft.temper.value.clamp(0.0, 8.0))));
    Some(stroke::part_to(&Stroke { yield_strain, hardening_n, ..*cold }, MOST_LEFT) * soft.force_inside_n.value)
}

/// What [`dent::stroke`] is asked.
pub fn stroke(case: &Case, head: Head) -> Stroke {
    crate::case_stroke::stroke(case, head.mm, head.hold)
}

/// What a head must get to the wall, N. The head's size is in the law ([`dent::stroke`]).
pub fn least(case: &Case, head: Head) -> TooWeak {
    let s = stroke(case, head);
    TooWeak { least_n: stroke::part_to(&s, MOST_LEFT) * case.force_n(), stroke: s, full_n: case.force_n() }
}

/// The lift that a person would leave in a pass, forces aside, mm: as many passes as the metal's strain asks, and never
/// all at once.
fn wanted_lift_mm(case: &Case) -> f64 {
    let asked = case.assessment.passes.value;
    case.depth_mm() / if asked.is_finite() { asked.clamp(FEWEST_PASSES, MOST_PASSES) } else { FEWEST_PASSES }
}

/// Works a dent with a head that gets at most `limit_n` to the wall.
pub fn within(case: &Case, head: Head, limit_n: f64) -> Result<Working, TooWeak> {
    let wanted = with_lift(case, head, wanted_lift_mm(case));
    if wanted.force_n <= limit_n {
        return Ok(wanted);
    }
    let s = stroke(case, head);
    let part = limit_n / case.force_n().max(1e-9);
    let lift = stroke::lift_within(&s, part).filter(|l| *l >= s.depth_mm / MOST_PASSES * (1.0 - 1e-9));
    if let Some(l) = lift {
        // The law's inverse is found to its own rounding: no more than the limit is said to be given.
        return Ok(with_lift(case, head, l.min(wanted.strokes.lift_mm)).at_most(limit_n));
    }
    let left = stroke::left_within(&s, part);
    let weak = least(case, head);
    if limit_n < weak.least_n || left > MOST_LEFT + 1e-9 {
        return Err(weak);
    }
    let mut rough = wanted.at_most(limit_n);
    rough.strokes.left_mm = left * s.depth_mm;
    Ok(rough)
}

/// Works a dent with a head in passes of this lift, whatever force that takes.
pub fn with_lift(case: &Case, head: Head, lift_mm: f64) -> Working {
    let s = Stroke { lift_mm, ..stroke(case, head) };
    let answer = stroke::force_part(&s);
    let passes = stroke::passes(&s);
    let strokes = match head.motion {
        Motion::Places => stroke::strokes(&s),
        Motion::Lines => stroke::strokes(&Stroke { width_along_mm: 0.0, ..s }),
        Motion::Whole => passes,
    };
    let part = answer.force_part;
    let sd = part * answer.log_sd;
    let past_true_mm = past_true_mm(case, head, part);
    Working {
        strokes: Strokes { lift_mm: lift_mm.min(s.depth_mm), passes, strokes, past_true_mm, left_mm: 0.0 },
        force_n: part * case.force_n(),
        part: Known::new("part of the whole force that a stroke needs", part, sd, Unit::One, Origin::Computed),
    }
}

/// How far past true the head goes in the last pass, mm: the wall springs back in proportion to the force that it is let go
/// from (elastic unloading, closed form), and from this head's one push to true by the assessment's over-push times the head's
/// factor ([`dent::force::head_factor`]).
fn past_true_mm(case: &Case, head: Head, part: f64) -> f64 {
    let whole = dent::force::head_factor(case.force_case(), head.mm);
    case.assessment.overpush_mm.value.max(0.0) * past_part(whole.force, whole.over_push, part)
}

/// Past true over the usual head's over-push, for a head whose one push asks `force` and springs `over_push` times as much, and
/// whose strokes ask `part` of the usual head's force.
fn past_part(force: f64, over_push: f64, part: f64) -> f64 {
    over_push * (part / force.max(1e-9)).min(1.0)
}

impl Working {
    fn at_most(mut self, limit_n: f64) -> Self {
        if self.force_n > limit_n {
            let by = limit_n / self.force_n;
            self.part.value *= by;
            self.part.sd *= by;
            self.strokes.past_true_mm *= by;
            self.force_n = limit_n;
        }
        self
    }

    /// The force at the hand, which is the head's times `per_head_n`; friction or what else decides that factor comes as
    /// further inputs.
    pub fn at_hand(&self, case: &Case, formula: &'static str, more: &[Known], per_head_n: impl Fn(&[f64]) -> f64) -> Figure {
        let factors: Vec<Known> = std::iter::once(&self.part).chain(more).cloned().collect();
        case.force_with(formula, SOURCE, &factors, |x| x[0] * x[1] * per_head_n(&x[2..]))
    }

    /// The same where the force at the hand is not in proportion to the head's: `f` gets that in newtons and the further inputs.
    pub fn led(&self, case: &Case, formula: &'static str, more: &[Known], f: impl Fn(f64, &[f64]) -> f64) -> Figure {
        let factors: Vec<Known> = std::iter::once(&self.part).chain(more).cloned().collect();
        case.force_with(formula, SOURCE, &factors, |x| f(x[0] * x[1], &x[2..]))
    }

    /// For a sentence: "6 passes of 0.50 mm, 36 strokes in all".
    pub fn words(&self) -> Text {
        let s = &self.strokes;
        let left = if s.left_mm > 0.0 {
            text!("; {} of the dent stay, which no more strokes of this force remove", mm(s.left_mm, 2))
        } else {
            Text::default()
        };
        text!("{} passes of {}, {} strokes in all{}", format!("{:.0}", s.passes), mm(s.lift_mm, 2), format!("{:.0}", s.strokes), left)
    }
}

#[cfg(test)]
mod tests {
    use super::past_part;

    /// By hand: a head whose one push asks 0.8 and springs 1.2 times as much, worked with 0.4 of the usual force: half of its
    /// own force, so half of its own 1.2. No more than its own from more than its own force.
    #[test]
    fn the_wall_springs_back_in_proportion_to_the_force() {
        assert!((past_part(0.8, 1.2, 0.4) - 0.6).abs() < 1e-12);
        assert!((past_part(0.8, 1.2, 0.9) - 1.2).abs() < 1e-12);
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((super::FEWEST_PASSES, super::MOST_PASSES, super::MOST_LEFT) == (4.0, 40.0, 0.35));
    }
}
