//! The plan: what to open (exactly the cheapest), a way for each dent, and the order of the steps, with
//! heats and cautions.
//!
//! Takes a survey, the assessments and the ways; returns a [`Plan`] that can be thrown away and computed
//! again. Knows nothing of files, of money's printing, or of the screen.

pub mod caution;
pub mod choose;
pub mod outcome;
pub mod overrule;
pub mod shop;
pub mod step;

pub use caution::Caution;
pub use outcome::{Assumption, Choice, NotDone, Plan, Proof, Replacement, WorthMeasuring};
pub use overrule::{Decision, Overrule, Overrules};
pub use shop::{OpenClose, OpeningKind, Standards, WorthOfDent};
pub use step::{Heat, HeatNeighbour, Step, StepId, StepKind};
