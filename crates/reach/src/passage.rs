//! The tube between an opening and a dent.

use crate::opened::Opened;
use instrument::{DentId, End, RunEnd, RunId};
use serde::{Deserialize, Serialize};

/// Where a tool can enter.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Opening {
    /// The end of tube that lies open.
    pub at: RunEnd,
    /// What has to be opened or taken off so that it lies open; empty where it is open already or by hand.
    pub opens: Vec<Opened>,
    /// What the bench calls it ("bell rim", "first branch, mouthpiece end, its joint to the second bow open").
    pub name: String,
}

/// One stretch of the tube on the way in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PassagePart {
    /// The run.
    pub run: RunId,
    /// The end by which the tool enters this run.
    pub enters: End,
    /// Station at which the tool enters, mm.
    pub from_mm: f64,
    /// Station that the tool reaches, mm.
    pub to_mm: f64,
    /// Dents on the way, that a ball or rod must pass.
    pub dents: Vec<DentId>,
}

/// The way in from an opening to a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Passage {
    /// Where it begins.
    pub opening: Opening,
    /// The tube on the way, from the opening to the dent.
    pub parts: Vec<PassagePart>,
    /// Length, mm.
    pub length_mm: f64,
}
