//! The metal of brass instruments: alloys, tempers and solders; hardening, springback, limit loads,
//! heat in a wall, ductility. One file for each physical question.
//!
//! Plain numbers in (the unit is in the name), plain numbers out. Knows nothing of tubes' shapes,
//! dents, files or screens.

pub mod alloy;
pub mod temper;
pub mod solder;

pub use alloy::Alloy;
pub use solder::Filler;
pub use temper::Temper;
