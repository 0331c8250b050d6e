//! The fields of a joint.

use super::{Choice, Field, Kind};

/// How it holds.
pub const HELD_BY: Field = Field::new("held_by", Kind::Choice(Choice::HeldBy), "kind", "Held by", "What holds it.");
/// What solder or braze it is.
pub const FILLER: Field =
    Field::new("filler", Kind::Choice(Choice::Filler), "filler", "Filler", "The solder or braze, where somebody knows it.");

/// All fields.
pub const FIELDS: &[&Field] = &[&HELD_BY, &FILLER];
