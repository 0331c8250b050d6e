//! The fields of the instrument as a whole, and of what the customer wishes.

use super::{Choice, Field, Kind};

/// Whether it was clean when it was surveyed.
pub const CLEANED: Field =
    Field::new("cleaned", Kind::Flag, "cleaned", "Flushed and degreased", "Whether it was flushed and degreased before the survey.");
/// What lies on it.
pub const FINISH: Field = Field::new(
    "finish",
    Kind::Choice(Choice::Finish),
    "finish",
    "Finish",
    "Finish of the whole instrument; pistons and the inner legs of slides keep their own.",
);
/// The finish must not burn.
pub const KEEP_FINISH: Field = Field::new(
    "keep_finish",
    Kind::Flag,
    "keep the finish",
    "The finish must not burn",
    "No flame where it burns the finish, wherever another way exists.",
);
/// Joints that stay shut.
pub const KEEP_SHUT: Field = Field::new("keep_shut", Kind::Joints, "keep shut", "Keep shut", "Joints that must stay shut.");
/// Overlays that stay on.
pub const KEEP_ON: Field = Field::new("keep_on", Kind::Overlays, "keep on", "Keep on", "Braces, guards and ferrules that must stay on.");

/// All fields.
pub const FIELDS: &[&Field] = &[&CLEANED, &FINISH, &KEEP_FINISH, &KEEP_SHUT, &KEEP_ON];
