//! The metal of brass instruments: alloys, tempers and solders; hardening, springback, limit loads,
//! heat in a wall, ductility. One file for each physical question.
//!
//! Plain numbers in (the unit is in the name), plain numbers out. Knows nothing of tubes' shapes,
//! dents, files or screens.

pub mod alloy;
pub mod anneal;
pub mod bend_table;
pub mod ductility;
pub mod fill;
pub mod hardening;
pub mod heat;
pub mod heat_net;
pub mod heat_sink;
pub mod heat_torch;
pub mod limit_load;
pub mod properties;
pub mod solder;
pub mod springback;
pub mod strength;
pub mod stress_corrosion;
pub mod temper;
pub mod two_sheets;
pub mod value;
pub mod vickers;

pub use alloy::Alloy;
pub use fill::Fill;
pub use hardening::Curve;
pub use properties::Properties;
pub use solder::Filler;
pub use temper::Temper;
pub use value::Value;
