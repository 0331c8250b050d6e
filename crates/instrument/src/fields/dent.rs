//! The fields of a dent, in the order in which they are written.

use super::{EDGE, Field, HV_RANGE, Held, HeldFields, Kind, Range, STATION, Said, WALL_RANGE_MM};
use crate::Dent;
use units::measured::Gauge;

/// Its name.
pub const ID: Field = Field::new("id", Kind::Id, "id", "Name", "Its name in this file; d1, d2 … by its place where it is left out.");
/// The run it is in.
pub const RUN: Field = Field::new("run", Kind::Run, "run", "Tube", "The run it is in, by id or name.").needed();
/// Its station.
pub const AT: Field = Field::new(
    "at",
    Kind::Length(STATION),
    "distance from the mouthpiece end",
    "Distance from the mouthpiece end",
    "Distance of its middle from the run's mouthpiece end.",
)
.within(Range::OnTheRun);
/// Its clock angle.
pub const CLOCK: Field = Field::new(
    "clock",
    Kind::Clock,
    "clock",
    "Clock",
    "Clock angle of its middle (`\"3 o'clock\"`, `\"about 3 o'clock\"`, `\"90°\"`), seen looking toward the bell, 12 at the run's marked line.",
);
/// Its depth.
pub const DEPTH: Field =
    Field::new("depth", Kind::Length(Gauge::DEPTH), "depth", "Depth", "Deepest depth below the true surface.").within(Range::AboveZero);
/// Its width along the tube.
pub const ALONG: Field =
    Field::new("along", Kind::Length(Gauge::WIDTH), "width along", "Width along", "Width along the tube.").within(Range::AboveZero);
/// Its width round the tube.
pub const ACROSS: Field =
    Field::new("across", Kind::Length(Gauge::WIDTH), "width across", "Width across", "Width round the tube.").within(Range::AboveZero);
/// Its sharpest edge.
pub const EDGE_RADIUS: Field =
    Field::new("edge_radius", Kind::Length(EDGE), "edge radius", "Edge radius", "Inside radius of its sharpest edge.")
        .within(Range::AboveZero);
/// Its profile along.
pub const PROFILE_ALONG: Field = Field::new(
    "profile_along",
    Kind::Points,
    "profile along",
    "Profile along",
    "Profile along the tube: pairs of distance and depth, five points or more.",
);
/// Its profile round the tube.
pub const PROFILE_ACROSS: Field = Field::new(
    "profile_across",
    Kind::Points,
    "profile across",
    "Profile across",
    "Profile round the tube: pairs of distance and depth, five points or more.",
);
/// A fold line.
pub const CREASE: Field = Field::new("crease", Kind::Part, "crease", "Crease", "A fold line.");
/// How it lies. A fold is not a fold without it: the strain of the way back hangs on it.
pub const CREASE_LIES: Field = Field::new("crease.lies", Kind::Direction, "crease", "Crease lies", "How it lies.").needed();
/// Its length.
pub const CREASE_LENGTH: Field =
    Field::new("crease.length", Kind::Length(Gauge::WIDTH), "crease length", "Crease length", "Its length.").within(Range::AboveZero);
/// A crack or hole.
pub const CRACK: Field = Field::new("crack", Kind::Part, "crack", "Crack", "A crack or hole; `true` where nothing more is known of it.");
/// Whether it goes through.
pub const CRACK_THROUGH: Field = Field::new(
    "crack.through",
    Kind::Flag,
    "crack",
    "Crack goes through",
    "Whether it goes through the wall; left out where nobody looked.",
);
/// How it lies.
pub const CRACK_LIES: Field = Field::new("crack.lies", Kind::Direction, "crack", "Crack lies", "How it lies; left out where nobody said.");
/// Its length.
pub const CRACK_LENGTH: Field =
    Field::new("crack.length", Kind::Length(Gauge::WIDTH), "crack length", "Crack length", "Its length.").within(Range::AboveZero);
/// Earlier work.
pub const REPAIR: Field =
    Field::new("earlier_repair", Kind::Part, "earlier repair", "Earlier repair", "Earlier work here; `true` where nothing more is known.");
/// What is seen of it.
pub const REPAIR_NOTE: Field =
    Field::new("earlier_repair.note", Kind::Words, "earlier repair", "Earlier repair here", "What is seen (`\"buffed flat\"`).");
/// The wall that it took.
pub const REPAIR_THINNED: Field =
    Field::new("earlier_repair.thinned", Kind::Length(Gauge::WALL), "wall lost", "Wall lost by it", "Wall that was lost.")
        .within(Range::AboveZero);
/// Its hardness.
pub const HARDNESS: Field = Field::new("hardness", Kind::Hardness, "hardness", "Hardness here", "Hardness measured here (`\"110 HV\"`).")
    .within(Range::Within(HV_RANGE.0, HV_RANGE.1));
/// Its wall.
pub const WALL: Field = Field::new("wall", Kind::Length(Gauge::WALL), "wall", "Wall here", "Wall measured here.")
    .within(Range::Within(WALL_RANGE_MM.0, WALL_RANGE_MM.1));
/// What pushed it in.
pub const PUSHED_IN_BY: Field =
    Field::new("pushed_in_by", Kind::Overlay, "pushed in by", "Pushed in by", "The brace, ferrule or guard whose foot pushed it in.");
/// The surveyor's words.
pub const NOTE: Field = Field::new("note", Kind::Words, "note", "Note", "The surveyor's words.");

/// All fields.
pub const FIELDS: &[&Field] = &[
    &ID,
    &RUN,
    &AT,
    &CLOCK,
    &DEPTH,
    &ALONG,
    &ACROSS,
    &EDGE_RADIUS,
    &PROFILE_ALONG,
    &PROFILE_ACROSS,
    &CREASE,
    &CREASE_LIES,
    &CREASE_LENGTH,
    &CRACK,
    &CRACK_LIES,
    &CRACK_LENGTH,
    &CRACK_THROUGH,
    &REPAIR,
    &REPAIR_NOTE,
    &REPAIR_THINNED,
    &HARDNESS,
    &WALL,
    &PUSHED_IN_BY,
    &NOTE,
];

impl Dent {
    /// What is said of it, field by field.
    pub fn said(&self) -> Vec<Said<'_>> {
        let mut held = HeldFields::default();
        held.say(&ID, Held::Text(&self.id.0));
        held.say(&RUN, Held::Text(&self.run.0));
        held.known(&AT, self.at_mm.as_ref());
        held.known(&CLOCK, self.clock_deg.as_ref());
        held.known(&DEPTH, self.depth_mm.as_ref());
        held.known(&ALONG, self.width_along_mm.as_ref());
        held.known(&ACROSS, self.width_across_mm.as_ref());
        held.known(&EDGE_RADIUS, self.edge_radius_mm.as_ref());
        held.points(&PROFILE_ALONG, &self.profile_along);
        held.points(&PROFILE_ACROSS, &self.profile_across);
        if let Some(c) = &self.crease {
            held.say(&CREASE, Held::Part);
            held.say(&CREASE_LIES, Held::Direction(c.direction));
            held.known(&CREASE_LENGTH, c.length_mm.as_ref());
        }
        if let Some(c) = &self.crack {
            held.say(&CRACK, Held::Part);
            if let Some(direction) = c.direction {
                held.say(&CRACK_LIES, Held::Direction(direction));
            }
            held.known(&CRACK_LENGTH, c.length_mm.as_ref());
            held.flag(&CRACK_THROUGH, c.through);
        }
        if let Some(r) = &self.earlier_repair {
            held.say(&REPAIR, Held::Part);
            held.words(&REPAIR_NOTE, &r.note);
            held.known(&REPAIR_THINNED, r.thinned_mm.as_ref());
        }
        held.known(&HARDNESS, self.hardness_hv.as_ref());
        held.known(&WALL, self.wall_mm.as_ref());
        if let Some(overlay) = &self.pushed_in_by {
            held.say(&PUSHED_IN_BY, Held::Text(&overlay.0));
        }
        held.words(&NOTE, &self.note);
        held.0
    }
}
