//! What a person may say of damage and of the instrument under it: each field once, with its key, its words, its unit, the
//! spread of the gauge that it is usually taken with, and the range that is believed. The survey file, the tablet's form,
//! the record's JSON, the checks and the JSON Schema all read the tables of damage ([`dent`], [`condition`]); a new field is
//! a line in one of them and a value in [`crate::Dent`] or [`crate::Condition`]. The file's reader takes the gauges of the
//! instrument's own fields ([`run`], [`joint`], [`overlay`], [`fit`], [`whole`]) from here, and the tablet its forms.

pub mod condition;
pub mod dent;
pub mod fit;
pub mod joint;
pub mod overlay;
pub mod run;
pub mod whole;

use crate::{ConditionKind, Direction, ProfilePoint};
use units::Known;
use units::measured::Gauge;

/// A dent's station is marked by eye at its deepest place, with a tape or by a tap on the tablet's strip: ± 3 mm. Common
/// practice, no source.
pub const STATION: Gauge = Gauge { sd_mm: 3.0, pattern_part: 0.05, default: None };
/// A radius gauge's leaf at a dent's edge: ± 0.3 mm. Common practice, no source.
pub const EDGE: Gauge = Gauge { sd_mm: 0.3, pattern_part: 0.25, default: None };
/// A clock angle, judged along the tube or tapped: ± 10°. Common practice, no source.
pub const CLOCK_SD_DEG: f64 = 10.0;
/// An angle off a line, by a protractor or a sliding bevel: ± 1°. Common practice, no source.
pub const ANGLE_SD_DEG: f64 = 1.0;
/// A portable hardness tester on a thin wall: ± 7 %. Common practice, no source.
pub const HV_PART: f64 = 0.07;
/// Vickers hardness that is believed of an instrument's wall: soft annealed brass has about 50 HV, hard-drawn nickel silver
/// about 220 HV (from memory); what lies far outside is another scale (Rockwell B, Leeb) or a slip. Common practice, no source.
pub const HV_RANGE: (f64, f64) = (20.0, 400.0);

/// Wall that is believed of an instrument's tube, mm: drawn tubes and bells have 0.3 to 0.8, casings and turned receivers up to two or
/// three (from memory); what lies far outside is another unit or a slip. Common practice, no source.
pub const WALL_RANGE_MM: (f64, f64) = (0.05, 4.0);

/// What a field holds, and so how it is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// The name that it has in its file.
    Id,
    /// A run of tube, by id or by the bench's name.
    Run,
    /// An overlay, by id.
    Overlay,
    /// A joint, by id.
    Joint,
    /// A moving fit, by id.
    Fit,
    /// A length, with the gauge that it is usually taken with.
    Length(Gauge),
    /// A clock angle, degrees.
    Clock,
    /// A range of the clock, going its way.
    ClockRange,
    /// An angle off a line, degrees.
    Angle,
    /// Vickers hardness.
    Hardness,
    /// How something lies on the tube.
    Direction,
    /// What is wrong apart from dents.
    Condition,
    /// Yes or no; nothing where nobody looked.
    Flag,
    /// Points of a profile gauge: distance and depth.
    Points,
    /// Words of the surveyor.
    Words,
    /// Something that is there or not, with fields of its own (`crack.length`).
    Part,
    /// A length along a run: one value, or values at stations; with the gauge that it is usually taken with.
    Along(Gauge),
    /// A temper or a hardness along a run.
    TemperAlong,
    /// One of the words of a list.
    Choice(Choice),
    /// Names of joints.
    Joints,
    /// Names of overlays.
    Overlays,
    /// An axis: straights and bends, a line for each.
    Axis,
    /// What an overlay covers, a line for each run.
    Covers,
}

/// The lists from which a word is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// What a run is made of.
    Alloy,
    /// What lies on it.
    Finish,
    /// What a run does.
    Role,
    /// How a joint holds.
    HeldBy,
    /// The filler of a joint.
    Filler,
    /// The filler under an overlay, which may have none.
    OverlayFiller,
    /// What kind of overlay.
    OverlayKind,
    /// How a fit moves.
    FitState,
}

/// Which numbers are believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Range {
    /// Any.
    Any,
    /// Above zero.
    AboveZero,
    /// Between two values, both believed.
    Within(f64, f64),
    /// On the run: from its mouthpiece end to its bell end.
    OnTheRun,
}

/// A field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Its key in file, form and record; a part's fields have the part's key before a dot (`crack.length`).
    pub key: &'static str,
    /// What it is called among the reasons of a figure (`crack length`).
    pub name: &'static str,
    /// What the tablet calls it.
    pub label: &'static str,
    /// What to say, for the schema.
    pub about: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Which numbers are believed.
    pub range: Range,
    /// Whether it must be said. Of a part's field: where there is the part.
    pub needed: bool,
    /// Whether few surveys say it: the tablet folds it away.
    pub rare: bool,
}

impl Field {
    const fn new(key: &'static str, kind: Kind, name: &'static str, label: &'static str, about: &'static str) -> Self {
        Self { key, name, label, about, kind, range: Range::Any, needed: false, rare: false }
    }

    const fn within(self, range: Range) -> Self {
        Self { range, ..self }
    }

    const fn needed(self) -> Self {
        Self { needed: true, ..self }
    }

    const fn rare(self) -> Self {
        Self { rare: true, ..self }
    }

    /// The gauge that it is usually taken with; that of a rule where it is no length.
    pub const fn gauge(&self) -> Gauge {
        match self.kind {
            Kind::Length(gauge) | Kind::Along(gauge) => gauge,
            _ => Gauge::LENGTH,
        }
    }

    /// The part to which it belongs, and its key there; none where it stands by itself.
    pub fn in_part(&self) -> Option<(&'static str, &'static str)> {
        self.key.split_once('.')
    }
}

/// What is held in a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held<'a> {
    /// A length, an angle, a hardness.
    Known(&'a Known),
    /// A length that is kept without its spread, mm.
    Mm(f64),
    /// A range of the clock, degrees.
    ClockRange((f64, f64)),
    /// A direction.
    Direction(Direction),
    /// A kind of condition.
    Condition(ConditionKind),
    /// Yes or no.
    Flag(bool),
    /// Points of a profile.
    Points(&'a [ProfilePoint]),
    /// An id, or the surveyor's words.
    Text(&'a str),
    /// The part is there.
    Part,
}

/// A field with what is held in it.
pub type Said<'a> = (&'static Field, Held<'a>);

/// The list that grows by what was said.
#[derive(Default)]
struct HeldFields<'a>(Vec<Said<'a>>);

impl<'a> HeldFields<'a> {
    fn say(&mut self, field: &'static Field, held: Held<'a>) {
        self.0.push((field, held));
    }

    fn known(&mut self, field: &'static Field, known: Option<&'a Known>) {
        self.0.extend(known.map(|k| (field, Held::Known(k))));
    }

    fn points(&mut self, field: &'static Field, points: &'a [ProfilePoint]) {
        if !points.is_empty() {
            self.say(field, Held::Points(points));
        }
    }

    fn flag(&mut self, field: &'static Field, flag: Option<bool>) {
        self.0.extend(flag.map(|f| (field, Held::Flag(f))));
    }

    /// Words; nothing where nothing was written.
    fn words(&mut self, field: &'static Field, words: &'a str) {
        if !words.is_empty() {
            self.say(field, Held::Text(words));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_key_stands_once_and_every_part_has_its_own_field() {
        for table in [dent::FIELDS, condition::FIELDS, run::FIELDS, joint::FIELDS, overlay::FIELDS, fit::FIELDS, whole::FIELDS] {
            let keys: BTreeSet<&str> = table.iter().map(|f| f.key).collect();
            assert_eq!(keys.len(), table.len());
            for field in table {
                if let Some((part, _)) = field.in_part() {
                    assert!(table.iter().any(|f| f.key == part && f.kind == Kind::Part), "{}", field.key);
                }
                assert!(!field.label.is_empty() && field.about.ends_with('.'), "{}", field.key);
            }
        }
    }
}
