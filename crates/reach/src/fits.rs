//! Whether a rod gets there and works: its pose, or where it jams.

use crate::method::Pose;
use units::text::mm;
use units::{Text, text};

/// A rod that works.
#[derive(Clone, Debug, PartialEq)]
pub struct Fits {
    /// Its pose at the end of the work.
    pub pose: Pose,
    /// Its centre line at the start of the work.
    pub start_line_mm: Vec<[f64; 3]>,
    /// Dents that must be true first.
    pub after: Vec<usize>,
    /// Clock of the side against which it stands, radians, in the tube's frame: the hardest of those in question.
    pub clock_rad: f64,
}

/// Where and by how much it does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jams {
    /// From the mouth, mm.
    pub at_mm: f64,
    /// What it lacks, mm.
    pub lacks_mm: f64,
    /// When.
    pub when: When,
}

/// When a rod jams.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// On its way in.
    OnTheWay,
    /// When it presses under the dent's middle.
    Pressing,
    /// When it presses at the dent's edge: it has to be worked over its whole length and width.
    AtTheEdge,
}

impl Jams {
    /// In words.
    pub fn words(&self) -> Text {
        let when = match self.when {
            When::OnTheWay => "jams on its way in",
            When::Pressing => "jams",
            When::AtTheEdge => "does not touch the whole dent: at its edge it jams",
        };
        text!("{} {} from the opening, {} short of room", when, mm(self.at_mm, 0), mm(self.lacks_mm.max(0.05), 1))
    }
}
