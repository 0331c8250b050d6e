//! How a tool that moves brings a dent back: the lift that a pass leaves for good, and from it the force of a stroke and
//! the number of passes and strokes.
//!
//! A person chooses the lift: no more than the metal should take in a pass, and no more than hand, lean or press can give.
//! The smaller the lift the smaller the force, but only down to the force at which the wall begins to give
//! ([`dent::stroke::least_part`]): below it every stroke springs back, however many. So a way whose tool cannot get that much
//! force to the wall is ruled out, and what it would want is said.

use crate::bench::Case;
use crate::way::Strokes;
use dent::stroke::{self, Hold, Stroke};
use instrument::Role;
use metal::{Curve, Temper};
use units::{Figure, Known, Origin, Source, Unit};

/// Fewest passes over a dent, however soft it is: from its rim inwards it is never pushed up at once. Common practice, no
/// source.
pub const FEWEST_PASSES: f64 = 4.0;
/// More passes than this nobody makes over one dent. Common practice, no source.
pub const MOST_PASSES: f64 = 40.0;

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

/// What rules a head out: it does not get the force to the wall that a pass wants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooWeak {
    /// The least force with which anything stays, N.
    pub springs_back_n: f64,
    /// The least force with which the dent is out after [`MOST_PASSES`], N.
    pub least_n: f64,
}

impl TooWeak {
    /// In words: who gives how much, in the head's own newtons.
    pub fn words(&self, case: &Case, who: &str, limit_n: f64) -> String {
        let least = self.least_n;
        let short = if limit_n < self.springs_back_n {
            "pushes below that spring back, however many".to_owned()
        } else {
            format!("with less it takes more than {MOST_PASSES:.0} passes")
        };
        let soft = least * annealed_over_now(case);
        let anneal =
            if soft <= limit_n && may_be_annealed(case.site.role) { format!("; annealed, {soft:.0} N would do") } else { String::new() };
        format!("needs at least {least:.0} N in each stroke, {who} {limit_n:.0} N: {short}{anneal}")
    }
}

/// Roles whose metal has to stay hard: what runs in a fit, and the bell that must keep its shape. Common practice, no source.
fn may_be_annealed(role: Role) -> bool {
    !matches!(
        role,
        Role::Casing
            | Role::Piston
            | Role::HandSlideInner
            | Role::HandSlideOuter
            | Role::TuningSlideInner
            | Role::TuningSlideOuter
            | Role::BellFlare
            | Role::Rim
    )
}

/// The stress–strain curve of the wall at the dent.
fn curve(case: &Case) -> Curve {
    Curve::fit(case.site.alloy, Temper(case.site.temper.value.clamp(0.0, 8.0)))
}

/// What an anneal leaves of the force: forces go with the flow stress (limit load, closed form), read after 5 % plastic strain,
/// the middle of a dent's way back.
fn annealed_over_now(case: &Case) -> f64 {
    const WORK: f64 = 0.05;
    (Curve::fit(case.site.alloy, Temper(0.0)).stress_mpa(WORK) / curve(case).stress_mpa(WORK)).clamp(0.05, 1.0)
}

/// Factor of a head of this size on the force of the one push, which holds for the largest that passes
/// ([`dent::force::BALL_PART`]), and its standard deviation as a part of it. The own model's balls of a quarter of the diameter
/// ask for a fifth less; no more is known of it yet, so the factor is one and its doubt covers that.
fn head_factor(_head_mm: f64, _diameter_mm: f64) -> (f64, f64) {
    (1.0, 0.15)
}

/// What [`dent::stroke`] is asked.
pub fn stroke(case: &Case, head: Head) -> Stroke {
    crate::rub::stroke(case, head.mm, head.hold)
}

/// Force of the head that would bring the whole dent back in one push, N.
pub fn full_n(case: &Case, head_mm: f64) -> f64 {
    case.force_n() * head_factor(head_mm, case.bore_mm() + case.site.wall_mm.value).0
}

/// The least force that a head must get to the wall.
pub fn least(case: &Case, head: Head) -> TooWeak {
    let s = stroke(case, head);
    let full = full_n(case, head.mm);
    let springs_back = stroke::least_part(&s);
    let slowest = stroke::force_part(&Stroke { lift_mm: s.depth_mm / MOST_PASSES, ..s }).force_part;
    TooWeak { springs_back_n: springs_back * full, least_n: springs_back.max(slowest) * full }
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
    let lift = stroke::lift_within(&s, limit_n / full_n(case, head.mm)).filter(|l| *l >= s.depth_mm / MOST_PASSES * (1.0 - 1e-9));
    // The law's inverse is found to its own rounding: no more than the limit is said to be given.
    lift.map(|l| with_lift(case, head, l.min(wanted.strokes.lift_mm)).at_most(limit_n)).ok_or_else(|| least(case, head))
}

/// Works a dent with a head in passes of this lift, whatever force that takes.
pub fn with_lift(case: &Case, head: Head, lift_mm: f64) -> Working {
    let s = Stroke { lift_mm, ..stroke(case, head) };
    let answer = stroke::force_part(&s);
    let (factor, head_sd) = head_factor(head.mm, s.mean_diameter_mm);
    let passes = stroke::passes(&s);
    let strokes = match head.motion {
        Motion::Places => stroke::strokes(&s),
        Motion::Lines => stroke::strokes(&Stroke { width_along_mm: 0.0, ..s }),
        Motion::Whole => passes,
    };
    let part = answer.force_part * factor;
    let sd = part * answer.log_sd.hypot(head_sd);
    Working {
        strokes: Strokes { lift_mm: lift_mm.min(s.depth_mm), passes, strokes, past_true_mm: past_true_mm(case, part) },
        force_n: part * case.force_n(),
        part: Known::new("part of the whole force that a stroke asks", part, sd, Unit::One, Origin::Computed),
    }
}

/// How far past true the head goes in the last pass, mm: the wall springs back in proportion to the force that it is let go
/// from (elastic unloading, closed form), and [`dent::Assessment::overpush_mm`] is what it does from the whole force.
fn past_true_mm(case: &Case, part: f64) -> f64 {
    case.assessment.overpush_mm.value.max(0.0) * part
}

impl Working {
    fn at_most(mut self, limit_n: f64) -> Self {
        if self.force_n > limit_n {
            let by = limit_n / self.force_n;
            self.part.value *= by;
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

    /// For a sentence: "6 passes, 36 strokes, 0.50 mm a pass".
    pub fn words(&self) -> String {
        let s = &self.strokes;
        format!("{:.0} passes of {:.2} mm, {:.0} strokes in all", s.passes, s.lift_mm, s.strokes)
    }
}
