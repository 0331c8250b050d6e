//! What stays on over a dent while it is worked from inside, as methods tell it.

use dent::Assessment;
use instrument::OverlayId;
use serde::{Deserialize, Serialize};
use units::{Figure, Known, Text};

/// As what the wall is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkedAs {
    /// As it lies, what lay over it off.
    Bare,
    /// Annealed.
    Annealed,
    /// With what lies over it.
    Covered,
}

/// What lies over a dent and stays on while it is worked from inside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LeftOn {
    /// They.
    pub overlays: Vec<OverlayId>,
    /// How thick it is, mm.
    pub thickness_mm: Known,
    /// Force that moves both sheets over that of the wall alone.
    pub force_times: Figure,
}

/// What stays on over a dent, and the dent's assessment with it on.
pub struct Covered {
    /// What stays.
    pub left_on: LeftOn,
    /// Force and over-push of both sheets.
    pub assessment: Assessment,
    /// For the reason of every method.
    pub note: Text,
}
