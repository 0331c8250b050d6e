//! Hammered from outside over a mandrel or a rod's head: from the dent's rim inwards, many light blows.

use crate::bench::Case;
use crate::rolling::from_outside;
use crate::way::{RuledOut, Way};
use crate::{Method, ToolBody};

/// Blows that share the lift. Common practice, no source.
const BLOWS: (f64, f64) = (30.0, 8.0);
/// Room for a swing, mm. Common practice, no source.
const SWING_ROOM_MM: f64 = 90.0;

/// All hammering.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    from_outside(
        case,
        Method::Hammering,
        BLOWS,
        "dent hammer",
        |b| if let ToolBody::Hammer { .. } = b { Some(SWING_ROOM_MM) } else { None },
    )
}
