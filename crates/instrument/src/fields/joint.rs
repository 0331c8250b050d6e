//! The fields of a joint.

use super::{Choice, Field, Kind};
use units::measured::Gauge;

/// How it holds.
pub const HELD_BY: Field = Field::new("held_by", Kind::Choice(Choice::HeldBy), "kind", "Held by", "What holds it.");
/// What solder or braze it is.
pub const FILLER: Field =
    Field::new("filler", Kind::Choice(Choice::Filler), "filler", "Filler", "The solder or braze, where somebody knows it.");

/// How far one tube reaches over the other.
pub const OVERLAP: Field =
    Field::new("overlap", Kind::Length(Gauge::LENGTH), "overlap", "Overlap", "How far one tube reaches over the other.").rare();

/// All fields.
pub const FIELDS: &[&Field] = &[&HELD_BY, &FILLER, &OVERLAP];
