//! What a shop says of its own work: minutes for each kind of step, the price of an hour, and what
//! damage costs. Plain data; the shop's file is read at the rim.

use crate::StepKind;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::ThreePoint;

/// A shop's standards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standards {
    /// Minutes for each kind of step (per step).
    pub minutes: BTreeMap<StepKind, ThreePoint>,
    /// Labour, money per hour.
    pub labour_per_hour: f64,
    /// Finish burnt, money per mm of run.
    pub finish_per_mm: f64,
    /// Money lost when a part cracks or is spoiled, where no replacement price is known.
    pub spoiled_part: f64,
    /// Price of a replacement run by role, money.
    pub replacement_run: BTreeMap<String, f64>,
}
