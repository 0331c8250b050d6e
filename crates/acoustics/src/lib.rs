//! Does it play: the input impedance of a bore, its resonances, and what a dent does to them.

pub mod air;
pub mod bore;
pub mod change;
pub mod hearing;
pub mod losses;
pub mod mouthpiece;
mod near;
pub mod notes;
pub mod passage;
pub mod radiation;
mod radiation_table;
pub mod resonance;
pub mod segments;
pub mod sensitivity;
pub mod sound;
mod sweep;
pub mod tube;
mod ways;

pub use num_complex::Complex64;

pub use air::{Air, Gas};
pub use bore::{Bend, Bore, BoreError, Point};
pub use change::Change;
pub use losses::Losses;
pub use mouthpiece::Mouthpiece;
pub use passage::{Apart, NoPassage, Passage};
pub use radiation::Radiation;
pub use resonance::{Resonance, cents};
pub use segments::{Cut, Segment, Waves};
pub use sensitivity::Sensitivity;
pub use sound::{Ask, Sound, Valves, sound};
pub use tube::{Model, Tube};
