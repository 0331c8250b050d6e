//! The fields of a condition of the metal, in the order in which they are written.

use super::{Field, Held, HeldFields, Kind, Range, STATION, Said};
use crate::Condition;
use units::measured::Gauge;

/// Its name.
pub const ID: Field = Field::new("id", Kind::Id, "id", "Name", "Its name in this file; c1, c2 … by its place where it is left out.");
/// What it is.
pub const KIND: Field = Field::new("kind", Kind::Condition, "kind", "What it is", "What is wrong with the metal.").needed();
/// The run it is in.
pub const RUN: Field = Field::new("run", Kind::Run, "run", "Tube", "The run it is in, by id or name.").needed();
/// Where it begins.
pub const FROM: Field = Field::new("from", Kind::Length(STATION), "from", "From", "First station.").within(Range::OnTheRun);
/// Where it ends.
pub const TO: Field = Field::new("to", Kind::Length(STATION), "to", "To", "Last station.").within(Range::OnTheRun);
/// Where it lies round the tube.
pub const CLOCK: Field = Field::new(
    "clock",
    Kind::ClockRange,
    "clock",
    "Clock, from and to",
    "Clock range, going the way of the clock; without it all round or not said.",
);
/// Whether it goes through.
pub const THROUGH: Field =
    Field::new("through", Kind::Flag, "through", "Goes through", "Whether it goes through the wall; left out where nobody looked.");
/// The wall that is left. A wall of 10 mm and more is no tube's of a brass instrument (common practice, no source).
pub const WALL_LEFT: Field =
    Field::new("wall_left", Kind::Length(Gauge::WALL), "wall left", "Wall left", "Wall left there.").within(Range::Within(0.0, 10.0));
/// The surveyor's words.
pub const NOTE: Field = Field::new("note", Kind::Words, "note", "Note", "The surveyor's words.");

/// All fields.
pub const FIELDS: &[&Field] = &[&ID, &KIND, &RUN, &FROM, &TO, &CLOCK, &THROUGH, &WALL_LEFT, &NOTE];

impl Condition {
    /// What is said of it, field by field.
    pub fn said(&self) -> Vec<Said<'_>> {
        let mut held = HeldFields::default();
        held.say(&ID, Held::Text(&self.id.0));
        held.say(&KIND, Held::Condition(self.kind));
        held.say(&RUN, Held::Text(&self.run.0));
        for (field, mm) in [(&FROM, self.from_mm), (&TO, self.to_mm)] {
            if let Some(mm) = mm {
                held.say(field, Held::Mm(mm));
            }
        }
        if let Some(range) = self.clock_deg {
            held.say(&CLOCK, Held::ClockRange(range));
        }
        held.flag(&THROUGH, self.through);
        held.known(&WALL_LEFT, self.wall_left_mm.as_ref());
        held.words(&NOTE, &self.note);
        held.0
    }
}
