//! What follows where the work spoils something: minutes, parts, and what it costs besides.

use serde::{Deserialize, Serialize};

/// What follows from a crack or a spoiled part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Aftermath {
    /// Whether it is closed with a patch; else the run is replaced.
    pub patched: bool,
    /// Bench minutes, mean.
    pub minutes: f64,
    /// Price of a new part, money; nothing for a patch.
    pub part_money: f64,
    /// What it costs the shop besides: ordering the part and finishing it like its neighbors, what is burnt and risked where things are
    /// opened for it; of a patch, what stays to be seen. Money.
    pub other_money: f64,
}

impl Aftermath {
    /// All that it costs, money.
    pub fn money(&self, per_minute: f64) -> f64 {
        self.minutes * per_minute + self.part_money + self.other_money
    }
}

/// What follows on a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aftermaths {
    /// Where it cracks.
    pub crack: Aftermath,
    /// Where it is replaced.
    pub replaced: Aftermath,
}

/// What may go wrong in the work on a dent, and what follows then.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Odds {
    /// Likelihood that the metal cracks as the dent is worked in this plan.
    pub crack: f64,
    /// What follows then.
    pub if_cracks: Aftermath,
    /// Likelihood that the way spoils the part.
    pub spoiled: f64,
    /// What follows then.
    pub if_spoiled: Aftermath,
}
