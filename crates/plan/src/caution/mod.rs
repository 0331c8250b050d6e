//! Cautions that stand beside a step: what may hurt (`hazard`), what raises it (`facts`), and what to do (`words`). Each is the usual
//! one of the trade; local codes and licensed practice come first.

pub mod facts;
mod hazard;
mod words;

pub use facts::{Act, Facts};
pub use hazard::Caution;
pub use words::{DEFERS, Limit};
