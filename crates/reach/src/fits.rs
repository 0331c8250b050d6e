//! Whether a rod gets there and works: its pose, or where it jams.

use crate::method::Pose;
use units::text::mm;
use units::{Text, text};

/// A rod that works.
#[derive(Clone, Debug, PartialEq)]
pub struct Fits {
    /// Its pose at the start of the work.
    pub pose: Pose,
    /// Dents that must be true first.
    pub after: Vec<usize>,
}

/// Where and by how much it does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jams {
    /// From the mouth, mm.
    pub at_mm: f64,
    /// What it lacks, mm.
    pub lacks_mm: f64,
    /// Whether it jams on its way in rather than when it presses.
    pub on_the_way: bool,
}

impl Jams {
    /// In words.
    pub fn words(&self) -> Text {
        let when = if self.on_the_way { "jams on its way in" } else { "jams" };
        text!("{} {} from the opening, {} short of room", when, mm(self.at_mm, 0), mm(self.lacks_mm.max(0.05), 1))
    }
}
