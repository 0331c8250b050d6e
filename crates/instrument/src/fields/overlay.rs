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

/// What it covers.
pub const COVERS: Field = Field::new(
    "covers",
    Kind::Covers,
    "covers",
    "What it covers",
    "A line for each tube, of a brace one for each foot: from where to where, and which part of the clock. Without a clock it goes all round.",
)
.rare();

/// All fields.
pub const FIELDS: &[&Field] = &[&KIND, &FILLER, &COVERS];
