//! What the wall of a dent asks of the balls that are driven through it.

use crate::drive_force::{Lifted, lifted};

/// Lifts at which the force of a step is reckoned; straight between.
pub const LIFTS: usize = 24;

/// What the wall asks of a ball, reckoned once for a train: the balls of a train are nearly of one size.
///
/// Each ball asks the force that the share it leaves asks (`dent::stroke`): the first ones of a train lift the wall off its depth with a third
/// or half of what the last ones ask. A ball that lifts more than half of the depth at once asks more, as any stroke (`dent::stroke`).
#[derive(Debug)]
pub struct Wall {
    /// Part of the whole force by what has been lifted in all, at even steps up to the whole depth.
    pub to_there: [f64; LIFTS + 1],
    /// How much more one lift asks than small ones, at the same steps.
    pub at_once: [f64; LIFTS + 1],
    /// Depth of the dent, mm.
    pub depth_mm: f64,
    /// How far past true it must go to come true, mm.
    pub over_push_mm: f64,
    /// Free passage under the dent as found, mm.
    pub found_mm: f64,
}

impl Wall {
    fn read(&self, table: &[f64; LIFTS + 1], lift_mm: f64) -> f64 {
        let x = (lift_mm / self.depth_mm).clamp(0.0, 1.0) * LIFTS as f64;
        let i = (x as usize).min(LIFTS - 1);
        table[i] + (table[i + 1] - table[i]) * (x - i as f64)
    }

    /// Part of the whole force that a lift for good asks where the free passage is `open_mm` before it.
    pub fn part(&self, open_mm: f64, lift_mm: f64) -> f64 {
        let in_all = (open_mm - self.found_mm).max(0.0) + lift_mm;
        (self.read(&self.to_there, in_all) * self.read(&self.at_once, lift_mm)).min(1.0)
    }

    /// What a ball does after `previous_mm` (0: none before it), the free passage being `open_mm`.
    pub fn lifted(&self, ball_mm: f64, open_mm: f64, previous_mm: f64) -> Lifted {
        let most = if previous_mm > 0.0 { ball_mm - previous_mm } else { f64::INFINITY };
        lifted(ball_mm - open_mm, most, self.over_push_mm, |l| self.part(open_mm, l))
    }
}
