//! Whether a rod gets there and works: its pose, or where it jams.

use crate::method::Pose;

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
    pub fn words(&self) -> String {
        let when = if self.on_the_way { "jams on its way in" } else { "jams" };
        format!("{when} {:.0} mm from the opening, {:.1} mm short of room", self.at_mm, self.lacks_mm.max(0.05))
    }
}
