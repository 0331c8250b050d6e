//! Soft solders and brazing fillers, and where they melt.

use serde::{Deserialize, Serialize};

/// A filler metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Filler {
    /// Sn63Pb37, contains lead.
    Sn63Pb37,
    /// Sn60Pb40, contains lead.
    Sn60Pb40,
    /// Sn96Ag4.
    Sn96Ag4,
    /// Sn95Sb5.
    Sn95Sb5,
    /// BAg-1, contains cadmium.
    Bag1,
    /// BAg-5.
    Bag5,
    /// BAg-7.
    Bag7,
    /// A soft solder of unknown kind: taken as leaded until shown otherwise.
    UnknownSoft,
    /// A silver braze of unknown kind: taken as cadmium-bearing until shown otherwise.
    UnknownSilver,
}
