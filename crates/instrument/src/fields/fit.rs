//! The fields of a moving fit.

use super::{Choice, Field, Kind};
use units::measured::Gauge;

/// A clearance from two callipers: ± 0.015 mm. Common practice, no source.
pub const CLEARANCE_GAUGE: Gauge = Gauge { sd_mm: 0.015, pattern_part: 0.3, default: None };

/// How it moves.
pub const MOVES: Field = Field::new("moves", Kind::Choice(Choice::FitState), "state", "Moves", "How it moves as received.");
/// Its clearance.
pub const CLEARANCE: Field = Field::new(
    "clearance",
    Kind::Length(CLEARANCE_GAUGE),
    "clearance",
    "Clearance",
    "Clearance on the diameter, from two caliper readings.",
);

/// All fields.
pub const FIELDS: &[&Field] = &[&MOVES, &CLEARANCE];
