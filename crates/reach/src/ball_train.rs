//! Balls of rising size driven or pulled through: from what passes under the dent to the true bore.
//!
//! A ball enters a taper from its wide end only, and no ball is larger than the smallest passage on its way.
//! Each step of the train is as large as the force of what drives it allows ([`crate::drive_force`]). The rack's balls
//! are used up to the last that passes; where a step is too hard for the drive the wall is eased with light blows from
//! outside while the ball is driven: the blows pay for the work that the drive does not. Balls to make are few, of whole sizes, and no larger than a bench turns.

use crate::access::Access;
use crate::ball_wall::{LIFTS, Wall};
use crate::balls::largest_step_mm;
use crate::bench::Case;
use crate::drive_force::{FRICTION, Lifted, axial_over_radial, contact_angle_rad, drive_n};
use crate::hammering::WORK_OF_A_BLOW_J;
use crate::method::{BallStep, Method, Rejected};
use crate::stands::LARGEST_TURNED_MM;
use crate::strokes::{self, Head, Motion, with_lift};
use crate::to_make::{ToolPiece, ToolToMake};
use crate::{MethodKind, ToolBody, ToolChoice, ToolId};
use dent::stroke::{Hold, LARGEST_LIFT, Stroke, force_part, part_to};
use drives::{Drive, RUN_ROOM_MM, drives};
use units::text::{mm, newtons};
use units::{Known, Origin, Text, Unit, text};

mod bought;
mod drives;
mod report;

/// Least part of the depth that a train must lift to be worth driving. Common practice, no source.
const LEAST_LIFT: f64 = 0.6;
/// Part of the depth from which a train of the rack's balls is good enough that no ball is made for the rest.
const GOOD_LIFT: f64 = 0.9;
/// Balls made for one dent at most. Common practice, no source: a repairer buys or turns one or two, not a set.
const MOST_MADE: usize = 2;
/// Least part of a step's force that the drive gives itself where the step is eased with blows: with less the ball only sits
/// there. Common practice, no source.
const EASED_PART: f64 = 0.5;
/// Most light blows that ease one step. Common practice, no source: more are hammering, not easing.
const MOST_EASING_BLOWS: f64 = 40.0;
/// Most light blows that planish what springs back over the last ball, and how many are struck in a minute. Common practice, no
/// source.
const MOST_PLANISHING_BLOWS: f64 = 100.0;
/// See [`MOST_PLANISHING_BLOWS`].
const PLANISHED_A_MINUTE: f64 = 30.0;
/// Room outside for the easing hammer, mm. Common practice, no source.
const EASING_ROOM_MM: f64 = 60.0;
/// Most balls of a train: beyond it the method is not practical.
const MOST_BALLS: usize = 40;

/// All ball trains.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    for access in &case.accesses {
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::BallTrain, Some(access), why)),
        }
    }
    out
}

/// Sizes in which balls are made, mm: whole halves, quarters where they are small. Common practice, no source.
fn grid_mm(ball_mm: f64) -> f64 {
    if ball_mm < 25.0 { 0.25 } else { 0.5 }
}

/// The largest size of the grid up to a size, mm.
fn on_grid(ball_mm: f64) -> f64 {
    let step = grid_mm(ball_mm);
    (ball_mm / step + 1e-9).floor() * step
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let bore = case.bore_mm();
    let narrow = access.clear_ball_mm;
    // In a taper the ball seats where the bore is B·cos φ; the bore at the dent itself is the largest there is.
    let slope = case.site.taper_half_angle_deg.to_radians().cos();
    let largest = (bore.min(narrow.0) - RUN_ROOM_MM) / slope.max(0.5);
    let passage = case.passage_mm();
    if passage < 0.3 * bore {
        return Err(text!("{} are left under the dent: no ball that starts there can be driven on", mm(passage, 1)));
    }
    let lifted = |ball: f64| ((ball - passage) / (bore - passage).max(1e-6)).clamp(0.0, 1.0);
    if lifted(largest) < LEAST_LIFT {
        return Err(text!(
            "the largest ball that gets there is {} (the bore is {} at {} in). Under the dent {} are open and {} are wanted: a ball enters a taper from its wide end",
            mm(largest, 1),
            mm(narrow.0, 1),
            mm(narrow.1, 0),
            mm(passage, 1),
            mm(bore, 1)
        ));
    }
    let drives = drives(case, access, passage)?;
    let mut methods = Vec::new();
    let mut why = Text::default();
    for drive in drives {
        let mut good = false;
        for make in [false, true] {
            if good {
                break;
            }
            match train(case, passage, largest, &drive, make) {
                Ok(train) if train.cannot_be_led(&drive).is_some() => why = train.cannot_be_led(&drive).unwrap_or_default(),
                Ok(train) => {
                    good = train.last_mm() >= passage + GOOD_LIFT * (bore - passage);
                    methods.extend(train.methods(case, access, &drive));
                }
                Err(e) => why = e,
            }
        }
    }
    if methods.is_empty() && case.worth_making(access) {
        methods = pressed(case, access, passage, largest).map_err(|e| if e.is_empty() { why.clone() } else { text!("{}; {}", why, e) })?;
    }
    if methods.is_empty() { Err(why) } else { Ok(methods) }
}

/// The same by the weakest press to buy that does it, for each end that its cable leads out at.
fn pressed(case: &Case, access: &Access, passage: f64, largest: f64) -> Result<Vec<Method>, Text> {
    let mut methods = Vec::new();
    let mut why = Text::default();
    for drives in bought::pressed(case, access) {
        for drive in drives {
            let trains = [false, true].map(|make| train(case, passage, largest, &drive, make));
            let Some(train) = trains.into_iter().find_map(Result::ok) else { continue };
            let hardest = train.steps.iter().map(|s| s.0.drive_n).fold(0.0, f64::max);
            match train.cannot_be_led(&drive).or_else(|| bought::presses_in(case, &drive, hardest)) {
                None => methods.extend(train.methods(case, access, &drive)),
                Some(no) => why = text!("with a press to buy {}", no),
            }
            break;
        }
    }
    if methods.is_empty() { Err(why) } else { Ok(methods) }
}

/// One ball of a train, the tool of the rack that it is from, and what it does to the wall.
type Step = (BallStep, Option<ToolId>, Lifted);

/// The balls in order, and the sizes that the rack does not have.
struct Train {
    steps: Vec<Step>,
    missing_mm: Vec<f64>,
    /// Steps that are eased from outside.
    eased: usize,
    /// Light blows for that.
    blows: f64,
}

impl Train {
    fn last_mm(&self) -> f64 {
        self.steps.last().map_or(0.0, |s| s.0.ball_mm)
    }
}

/// Whether the wall can be tapped from outside while a ball is driven.
fn can_ease(case: &Case) -> bool {
    // Under what stays on there is no wall to tap.
    case.left_on.is_none()
        && case.outside_closed(EASING_ROOM_MM).is_none()
        && !case.tools_where(|_, b| matches!(b, ToolBody::Hammer { .. }).then_some(())).is_empty()
}

/// The train: the largest balls that the force allows that gets to the dent, one after another. `make`: sizes that the rack
/// lacks may be made.
fn train(case: &Case, passage: f64, largest: f64, by: &Drive, make: bool) -> Result<Train, Text> {
    let limit_n = by.dent_n;
    let all = case.balls();
    let rack = &all[..all.partition_point(|b| b.0 <= largest + 1e-9)];
    let bore = case.bore_mm();
    let (f0, depth, half) = (case.force_n(), case.depth_mm(), case.half_width_mm());
    let wall = case.notes.wall(case.worked_as(), [largest, passage], || wall(case, largest, passage));
    let largest_step = largest_step_mm(bore);
    // A step that is too large counts as one that no force does; so does one from which the wall springs back wholly.
    let drive = |ball: f64, open: f64, previous: f64| {
        let step = ball - open;
        let l = wall.lifted(ball, open, previous);
        if l.stays_mm > largest_step + 1e-9 || l.stays_mm <= 0.0 {
            return (f64::INFINITY, l);
        }
        (drive_n(f0 * l.part, ball, step, depth, half, FRICTION.0), l)
    };
    let may_ease = can_ease(case);
    // The drive gives its part, the blows the rest of the work.
    let eased_n = |(n, l): (f64, Lifted)| {
        let blows = (1.0 - limit_n / n) * f0 * l.part * l.stays_mm / 1000.0 / WORK_OF_A_BLOW_J;
        (may_ease && n.is_finite() && limit_n >= EASED_PART * n && blows <= MOST_EASING_BLOWS).then_some((limit_n, blows.max(1.0)))
    };
    let on_rack = rack.last().map_or(0.0, |b| b.0);
    let goal = if make { on_grid(largest.min(LARGEST_TURNED_MM)).max(on_rack) } else { on_rack };
    let least = passage + LEAST_LIFT * (bore - passage);
    if goal < least {
        let what = if make { "the largest ball that a bench turns is" } else { "the rack's largest that gets there is" };
        return Err(text!("{} {}, {} are wanted to lift most of the dent", what, mm(goal, 1), mm(least, 1)));
    }
    let mut train = Train { steps: Vec::new(), missing_mm: Vec::new(), eased: 0, blows: 0.0 };
    let mut open = passage;
    while train.steps.len() < MOST_BALLS && train.last_mm() < goal - 1e-9 {
        let previous = train.last_mm();
        let ahead = |b: &&(f64, ToolId)| b.0 > previous + 1e-9 && b.0 > open;
        let direct = rack.iter().rev().filter(ahead).find(|b| drive(b.0, open, previous).0 <= limit_n);
        let eased = || rack.iter().rev().filter(ahead).find(|b| eased_n(drive(b.0, open, previous)).is_some());
        let (step, from) = if let Some(b) = direct.or_else(eased) {
            (b.0, Some(b.1.clone()))
        } else if make && train.missing_mm.len() < MOST_MADE {
            // The largest size of the grid that the force allows.
            let does = |ball: f64| {
                let d = drive(ball, open, previous);
                d.0 <= limit_n || eased_n(d).is_some()
            };
            let mut ball = goal;
            while ball > open && !does(ball) {
                ball = on_grid(ball - 0.5 * grid_mm(ball));
            }
            if ball <= open.max(previous) + 1e-9 {
                break;
            }
            train.missing_mm.push(ball);
            (ball, None)
        } else {
            break;
        };
        let (n, l) = drive(step, open, previous);
        let (drive_n, blows) = if n <= limit_n { (n, 0.0) } else { eased_n((n, l)).unwrap_or((n, 0.0)) };
        train.eased += usize::from(blows > 0.0);
        train.blows += blows;
        train.steps.push((BallStep { ball_mm: step, drive_n }, from, l));
        open += l.stays_mm;
    }
    if train.last_mm() >= least {
        return Ok(train);
    }
    let next = rack.iter().map(|b| b.0).find(|b| *b > open.max(train.last_mm())).unwrap_or(goal);
    let (n, l) = drive(next, open, train.last_mm());
    Err(if l.stays_mm > largest_step {
        text!("from {} the next ball of {} is too large a step: over {} it ripples the wall", mm(open, 1), mm(next, 2), mm(largest_step, 1))
    } else if l.stays_mm <= 0.0 {
        text!("from {} the ball of {} leaves nothing: the wall springs back from it", mm(open, 1), mm(next, 2))
    } else {
        text!("the ball of {} needs {} past {}, {}", mm(next, 2), newtons(n), mm(open, 1), by.gives(n))
    })
}

/// What the wall asks of a ball of a train.
fn wall(case: &Case, ball_mm: f64, found_mm: f64) -> Wall {
    let s = strokes::stroke(case, head(ball_mm));
    let small = force_part(&Stroke { lift_mm: LARGEST_LIFT * s.depth_mm, ..s }).force_part;
    let share = |i: usize| i as f64 / LIFTS as f64;
    let at_once = |i: usize| force_part(&Stroke { lift_mm: share(i) * s.depth_mm, ..s }).force_part / small.max(1e-9);
    let over_push_mm = case.assessment.overpush_mm.value.clamp(0.0, 0.6 * s.depth_mm);
    Wall {
        to_there: std::array::from_fn(|i| part_to(&s, 1.0 - share(i))),
        at_once: std::array::from_fn(at_once),
        depth_mm: s.depth_mm,
        over_push_mm,
        found_mm,
    }
}

/// A ball in the bore lies against the wall opposite and is drawn through over the whole dent.
fn head(ball_mm: f64) -> Head {
    Head::new(ball_mm, Hold::Hand, Motion::Whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Euler by hand: 10 mm of steel over 600 mm, I = 490.9 mm⁴: π²·210000·490.9/360000 = 2826 N.
    #[test]
    fn a_push_rod_buckles_as_euler_says() {
        assert!((drives::buckles_at_n(10.0, 600.0) / 2826.0 - 1.0).abs() < 1e-3);
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((EASED_PART, MOST_EASING_BLOWS, MOST_PLANISHING_BLOWS, PLANISHED_A_MINUTE) == (0.5, 40.0, 100.0, 30.0));
        assert!((LEAST_LIFT, GOOD_LIFT, crate::practice::MAY_STAY_MM, LARGEST_TURNED_MM, RUN_ROOM_MM) == (0.6, 0.9, 0.15, 120.0, 0.05));
        assert!((MOST_MADE, crate::balls::LARGEST_STEP, EASING_ROOM_MM) == (2, (0.04, 1.0), 60.0));
    }
}
