//! What is opened or taken off.

use instrument::{JointId, OverlayId};
use serde::{Deserialize, Serialize};

/// Something that must be opened or taken off first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what", content = "id")]
pub enum Opened {
    /// A joint.
    Joint(JointId),
    /// An overlay.
    Overlay(OverlayId),
}
