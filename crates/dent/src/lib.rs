//! What a dent is and what it asks: geometry, strain, ductility, springback, force, and why it matters.
//!
//! Takes the dent as surveyed and its [`instrument::Site`]; returns an [`Assessment`] in which every
//! figure carries its reasons. Knows nothing of tools, plans or files.

pub mod assessment;

pub use assessment::{Advice, Assessment, Effect, Form, Missing};
