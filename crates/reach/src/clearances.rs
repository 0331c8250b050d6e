//! Clearances of a body at a placement: measured at the places where it could touch, and the step for which they are looked for.

use crate::lp::{MOST, Row};
use glam::DVec3;

/// Dents that are taken as true.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ignore {
    /// None: the tube as it is.
    None,
    /// One: the dent being worked, once it is true.
    One(usize),
    /// All.
    All,
}

impl Ignore {
    /// Whether it takes this dent as true.
    pub fn has(self, dent: usize) -> bool {
        match self {
            Ignore::None => false,
            Ignore::One(d) => d == dent,
            Ignore::All => true,
        }
    }
}

/// A motion of the body: a shift, and a turn about its tip.
pub type Motion = (DVec3, DVec3);

/// A place where the body could touch.
pub struct Clearance {
    /// The clearance there, mm.
    pub value: f64,
    /// Change of the value with a shift, and with a turn about the tip.
    pub slope: Motion,
}

/// Everything measured at one placement.
pub struct Measured {
    /// Places where it could touch, for the programme.
    pub clearances: Vec<Clearance>,
    /// Those this much above the least are not looked at, mm: the body cannot come nearer there in one step.
    pub within_mm: f64,
    /// Least clearance, mm.
    pub least: f64,
    /// Where, mm from the mouth.
    pub at: f64,
    /// Whether the centre line crosses every section, the body hanging out of the mouth.
    pub crossed: bool,
    /// Whether the body ends before the mouth.
    pub ends_inside: bool,
}

impl Measured {
    /// Nothing yet.
    pub fn new(at: f64) -> Self {
        Self { clearances: Vec::new(), within_mm: 0.0, least: f64::INFINITY, at, crossed: true, ends_inside: false }
    }

    /// Whether what has at least this much clearance matters.
    pub fn matters(&self, at_least: f64) -> bool {
        at_least <= self.least + self.within_mm
    }

    /// A contact whose value falls by `towards`·δ when the body's point at `lever` from the tip moves by δ.
    pub fn add(&mut self, value: f64, at: f64, towards: DVec3, lever: DVec3) {
        self.add_slope(value, at, (-towards, -lever.cross(towards)));
    }

    /// A contact with its slope.
    pub fn add_slope(&mut self, value: f64, at: f64, slope: Motion) {
        if value < self.least {
            self.least = value;
            self.at = at;
        }
        if self.within_mm > 0.0 && self.matters(value) {
            self.clearances.push(Clearance { value, slope });
        }
    }

    /// Rows of the linear programme for these motions, those that a step within `radius` could not make the
    /// least left out.
    pub fn rows(&self, axes: &[Motion; MOST], unknowns: usize, radius: f64) -> Vec<Row> {
        let row = |c: &Clearance| {
            let mut gradient = [0.0; MOST];
            for (g, a) in gradient.iter_mut().zip(&axes[..unknowns]) {
                *g = c.slope.0.dot(a.0) + c.slope.1.dot(a.1);
            }
            Row { value: c.value, gradient }
        };
        let swing = |r: &Row| radius * r.gradient.iter().map(|g| g.abs()).sum::<f64>();
        let mut rows: Vec<Row> = self.clearances.iter().map(row).collect();
        let roof = rows.iter().map(|r| r.value + swing(r)).fold(f64::INFINITY, f64::min);
        rows.retain(|r| r.value - swing(r) <= roof);
        rows
    }
}

/// The step for which clearances are measured: those that it cannot make the least do not matter.
#[derive(Clone, Copy)]
pub struct Step {
    /// The most that each unknown moves, mm.
    pub radius_mm: f64,
    /// The lever by which turns are scaled, mm ([`crate::pose`]).
    pub reach_mm: f64,
    /// Whether the tip moves too.
    pub shifts: bool,
}

impl Step {
    /// The most by which two clearances can come nearer to each other, mm, on a body that reaches this far from its tip:
    /// so many turns about axes at right angles and two shifts, each change no more than the motion (closed form).
    pub fn swing_mm(&self, furthest_mm: f64, turns: f64) -> f64 {
        let (turns, shifts) = (turns.sqrt() * furthest_mm / self.reach_mm, if self.shifts { 2.0_f64.sqrt() } else { 0.0 });
        2.0 * self.radius_mm * (turns + shifts)
    }
}
