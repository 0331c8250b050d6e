//! The fields of a condition, in the order in which they are written, and which of them each kind has.

use super::{Field, Held, HeldFields, Kind, Range, STATION, Said};
use crate::{Concerns, Condition, ConditionKind};
use units::measured::Gauge;

/// How far something stands out of line, by a straight edge and a feeler or a rule: ± 0.3 mm. Common practice, no source.
const LINE: Gauge = Gauge { sd_mm: 0.3, pattern_part: 0.25, default: None };
/// Most that is believed to stand out of line, mm: more is a tube that is folded. Common practice, no source.
const MOST_OUT_MM: f64 = 200.0;
/// Longest length over which a line is taken, mm: a straight edge of two meters. Common practice, no source.
const LONGEST_MM: f64 = 2000.0;
/// Outside diameters that are believed, mm: from a small leadpipe's to a bell's (as the bores that are believed).
const DIAMETERS_MM: (f64, f64) = (2.0, 800.0);

/// Its name.
pub const ID: Field = Field::new("id", Kind::Id, "id", "Name", "Its name in this file; c1, c2 … by its place where it is left out.");
/// What it is.
pub const KIND: Field = Field::new("kind", Kind::Condition, "kind", "What it is", "What is wrong.").needed();
/// The run it is in.
pub const RUN: Field =
    Field::new("run", Kind::Run, "run", "Tube", "The run it is in, by id or name; not of a brace, a joint or a hand slide.");
/// The brace.
pub const OVERLAY: Field = Field::new("overlay", Kind::Overlay, "brace", "Brace", "The brace that is loose, broken or missing, by id.");
/// The joint.
pub const JOINT: Field = Field::new("joint", Kind::Joint, "joint", "Joint", "The joint that is pulled, by id.");
/// The hand slide.
pub const FIT: Field = Field::new("fit", Kind::Fit, "hand slide", "Hand slide", "The hand slide's leg that is bent, by the id of its fit.");
/// Where it begins.
pub const FROM: Field =
    Field::new("from", Kind::Length(STATION), "from", "From", "Where it begins: distance from the mouthpiece end.").within(Range::OnTheRun);
/// Where it ends.
pub const TO: Field =
    Field::new("to", Kind::Length(STATION), "to", "To", "Where it ends: distance from the mouthpiece end.").within(Range::OnTheRun);
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
/// How far it stands out of line.
pub const OUT_OF_LINE: Field =
    Field::new("out_of_line", Kind::Length(LINE), "out of line", "Out of line by", "How far it stands out of line, at the worst place.")
        .within(Range::Within(0.0, MOST_OUT_MM));
/// Over what length.
pub const OVER: Field =
    Field::new("over", Kind::Length(Gauge::LENGTH), "over", "Over a length of", "Over what length it was measured, the straight edge's.")
        .within(Range::Within(1.0, LONGEST_MM));
/// By what angle.
pub const ANGLE: Field = Field::new("angle", Kind::Angle, "angle", "Off by an angle of", "By what angle it stands off, in degrees.")
    .within(Range::Within(0.0, 90.0));
/// The least diameter.
pub const LEAST: Field =
    Field::new("least", Kind::Length(Gauge::CALLIPER), "least diameter", "Least diameter", "Least outside diameter there.")
        .within(Range::Within(DIAMETERS_MM.0, DIAMETERS_MM.1));
/// The largest diameter.
pub const MOST: Field = Field::new(
    "most",
    Kind::Length(Gauge::CALLIPER),
    "largest diameter",
    "Largest diameter",
    "Largest outside diameter at the same place.",
)
.within(Range::Within(DIAMETERS_MM.0, DIAMETERS_MM.1));
/// The surveyor's words.
pub const NOTE: Field = Field::new("note", Kind::Words, "note", "Note", "The surveyor's words.");

/// All fields.
pub const FIELDS: &[&Field] = &[
    &ID,
    &KIND,
    &RUN,
    &OVERLAY,
    &JOINT,
    &FIT,
    &FROM,
    &TO,
    &CLOCK,
    &THROUGH,
    &WALL_LEFT,
    &OUT_OF_LINE,
    &OVER,
    &ANGLE,
    &LEAST,
    &MOST,
    &NOTE,
];

impl ConditionKind {
    /// The field that names what it concerns: it must be said.
    pub fn named_by(self) -> &'static Field {
        match self.concerns() {
            Concerns::Metal | Concerns::Run => &RUN,
            Concerns::Brace => &OVERLAY,
            Concerns::Joint => &JOINT,
            Concerns::HandSlide => &FIT,
        }
    }

    /// The fields that can be said of it, besides its name, its kind and the surveyor's words.
    pub fn fields(self) -> &'static [&'static Field] {
        match self {
            Self::RedRot | Self::SeasonCracking | Self::Crack | Self::Hole | Self::Thin => {
                &[&RUN, &FROM, &TO, &CLOCK, &THROUGH, &WALL_LEFT]
            }
            Self::LooseBrace | Self::BrokenBrace | Self::MissingBrace => &[&OVERLAY],
            Self::PulledJoint => &[&JOINT, &OUT_OF_LINE, &OVER, &ANGLE],
            Self::OutOfLine | Self::BentBell => &[&RUN, &FROM, &TO, &OUT_OF_LINE, &OVER, &ANGLE],
            Self::BentHandSlide => &[&FIT, &FROM, &TO, &OUT_OF_LINE, &OVER],
            Self::Oval => &[&RUN, &FROM, &TO, &LEAST, &MOST],
        }
    }

    /// Whether a field can be said of it.
    pub fn takes(self, field: &Field) -> bool {
        [&ID, &KIND, &NOTE].into_iter().chain(self.fields().iter().copied()).any(|f| f.key == field.key)
    }
}

impl Condition {
    /// What is said of it, field by field.
    pub fn said(&self) -> Vec<Said<'_>> {
        let mut held = HeldFields::default();
        held.say(&ID, Held::Text(&self.id.0));
        held.say(&KIND, Held::Condition(self.kind));
        let named = [
            (&RUN, self.run.as_ref().map(|id| &id.0)),
            (&OVERLAY, self.overlay.as_ref().map(|id| &id.0)),
            (&JOINT, self.joint.as_ref().map(|id| &id.0)),
            (&FIT, self.fit.as_ref().map(|id| &id.0)),
        ];
        for (field, id) in named {
            if let Some(id) = id {
                held.say(field, Held::Text(id));
            }
        }
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
        held.known(&OUT_OF_LINE, self.out_of_line_mm.as_ref());
        held.known(&OVER, self.over_mm.as_ref());
        held.known(&ANGLE, self.angle_deg.as_ref());
        held.known(&LEAST, self.least_mm.as_ref());
        held.known(&MOST, self.most_mm.as_ref());
        held.words(&NOTE, &self.note);
        held.0
    }
}
