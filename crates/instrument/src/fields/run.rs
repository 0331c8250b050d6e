//! The fields of a run of tube that a person says or measures on the bench, in the order in which they are asked for.

use super::{Choice, Field, Kind};
use units::measured::Gauge;

/// What it is made of.
pub const ALLOY: Field =
    Field::new("alloy", Kind::Choice(Choice::Alloy), "alloy", "Alloy", "Yellow, gold or rose brass by its color, or nickel silver.");
/// What lies on it.
pub const FINISH: Field = Field::new("finish", Kind::Choice(Choice::Finish), "finish", "Finish", "What lies on its outside.");
/// Its wall.
pub const WALL: Field = Field::new(
    "wall",
    Kind::Along(Gauge::WALL),
    "wall",
    "Wall",
    "Wall thickness, with an ultrasonic gauge or a micrometer at an open end: one value, or values at distances from the mouthpiece end.",
);
/// Its temper, or the hardness that tells it.
pub const TEMPER: Field = Field::new(
    "temper",
    Kind::TemperAlong,
    "temper",
    "Temper or hardness",
    "A word like half hard, H04, or a hardness like 110 HV: one value, or values at distances from the mouthpiece end.",
);
/// Its bore.
pub const BORE: Field = Field::new(
    "bore",
    Kind::Along(Gauge::CALLIPER),
    "bore",
    "Bore",
    "Inside diameter, with a small-hole gauge and a caliper: one value, or values at distances from the mouthpiece end.",
);
/// What it does.
pub const ROLE: Field =
    Field::new("role", Kind::Choice(Choice::Role), "role", "What it is", "What it does, where the pattern is wrong.").rare();
/// Its axis.
pub const AXIS: Field = Field::new(
    "axis",
    Kind::Axis,
    "axis",
    "Length and bends",
    "Along the middle of the tube from the mouthpiece end, a line for each piece. A straight has its length. A bend has its radius, its angle and the side to which it turns.",
)
.rare();
/// Whether its bore curves.
pub const FLARE: Field = Field::new(
    "flare",
    Kind::Flag,
    "flare",
    "The bore flares between its points",
    "Whether the bore curves between the places at which it was measured, as a bell does, instead of running straight.",
)
.rare();

/// Whether it may be beryllium copper.
pub const BERYLLIUM: Field = Field::new(
    "may_be_beryllium",
    Kind::Flag,
    "may_be_beryllium",
    "May be beryllium copper",
    "Whether it may be beryllium copper, as some bells and leadpipes are. Then the steps that heat or file it say what not to do.",
)
.rare();

/// All fields.
pub const FIELDS: &[&Field] = &[&ALLOY, &FINISH, &WALL, &TEMPER, &BORE, &ROLE, &AXIS, &FLARE, &BERYLLIUM];
