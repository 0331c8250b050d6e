//! The fields of what lies over a run: ferrule, brace, guard, patch.

use super::{Choice, Field, Kind};

/// What it is.
pub const KIND: Field = Field::new("kind", Kind::Choice(Choice::OverlayKind), "kind", "What it is", "What kind it is.");
/// What holds it.
pub const FILLER: Field = Field::new(
    "filler",
    Kind::Choice(Choice::OverlayFiller),
    "filler",
    "Filler",
    "The solder that holds it, where somebody knows it; none where it is rolled on.",
);

/// All fields.
pub const FIELDS: &[&Field] = &[&KIND, &FILLER];
