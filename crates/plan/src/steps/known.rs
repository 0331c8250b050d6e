//! What a phase knows of a step that its kind does not tell, and its cautions hang on.

use crate::caution::{Act, Caution};
use instrument::{Finish, RunId};
use metal::Filler;

/// What a phase knows of a step that its kind does not tell.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// What is done besides what the kind and the method tell.
    pub acts: Vec<Act>,
    /// The runs that are worked on, where they are more than the step's own.
    pub on: Vec<RunId>,
    /// Finishes that are put on anew.
    pub renewed: Vec<Finish>,
    /// Filler that is melted to open or close.
    pub melts: Option<Filler>,
    /// What may hurt in it besides, as the shop's list says.
    pub hazards: Vec<Caution>,
    /// What a tube is filled with.
    pub fill: Option<metal::Fill>,
}
