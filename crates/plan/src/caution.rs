//! Cautions that stand beside a step.

use serde::{Deserialize, Serialize};

/// A caution. It is the usual one of the trade; local codes and licensed practice come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Caution {
    /// Open flame.
    Flame,
    /// Lead in soft solder.
    Lead,
    /// Cadmium in old silver braze.
    Cadmium,
    /// Chromium plate: no grinding, no heat.
    Chromium,
    /// Burning lacquer.
    LacquerFume,
    /// Acid (pickle, flux).
    Acid,
    /// Solvent.
    Solvent,
    /// A tool under force that can slip or fly.
    FlyingTool,
    /// Metal dust and buffing.
    Dust,
    /// Brittle metal may split.
    Splinter,
}
