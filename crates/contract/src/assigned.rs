//! What is done with an instrument.

use plan::Level;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What is done with an instrument, and where.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Assigned {
    /// The instrument's tag.
    pub tag: String,
    /// The offer.
    pub level: Level,
    /// The bench.
    pub bench: String,
    /// What it costs, tools to make apart.
    pub cost: Decimal,
    /// Points.
    pub value: f64,
    /// Mean time still to be worked, minutes.
    pub mean_min: f64,
    /// Its standard deviation, minutes.
    pub sd_min: f64,
    /// Whether it was begun before: it stays as it is.
    pub begun: bool,
}
