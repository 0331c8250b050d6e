//! The alloys that brass instruments are made of, and what is known of each.

use serde::{Deserialize, Serialize};

/// A wrought alloy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Alloy {
    /// Yellow (cartridge) brass, 70 Cu 30 Zn, C26000.
    YellowBrass,
    /// Gold brass, 85 Cu 15 Zn, C23000.
    GoldBrass,
    /// Rose brass, 90 Cu 10 Zn, C22000.
    RoseBrass,
    /// Nickel silver, 65 Cu 18 Ni 17 Zn, C75200.
    NickelSilver,
}
