//! What a dent is and what it asks: geometry, strain, ductility, springback, force, and why it matters.
//!
//! Takes the dent as surveyed and its [`instrument::Site`]; returns an [`Assessment`] in which every
//! figure carries its reasons. Knows nothing of tools, plans or files.

pub mod advice;
pub mod annealed;
mod assess;
pub mod assessment;
pub mod crack_stop;
pub mod effects;
pub mod force;
pub mod force_table;
pub mod form;
pub mod geometry;
mod inputs;
mod model;
pub mod profile;
mod spread;
mod spring;
pub mod strain;
pub mod stroke;
pub mod wall_strain;

pub use advice::{ACCEPTED, ACCEPTED_AT_LAST};
pub use assess::{FLAT_MM, assess, assess_all, assess_with, force_case};
pub use assessment::{Advice, AfterAnneal, Assessment, Effect, Form, Missing};
pub use inputs::FOLD_RADIUS_NOT_MEASURED;
