//! The survey file's own types: what a person may write. The JSON Schema is generated from them.

use crate::damage::{Filled, Refusal, schema};
use crate::entries::Entry;
use crate::located::Located;
use crate::quantity::Quantity;
use instrument::fields::{self, Field};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Deserialize;
use std::borrow::Cow;

/// A survey of one instrument and its damage. Its lists are read entry by entry.
#[derive(Debug, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "trueround survey")]
pub struct SurveyFile {
    /// Version of this format: 1.
    pub trueround_survey: u32,
    /// A title for the job.
    #[serde(default)]
    pub title: String,
    /// The customer.
    #[serde(default)]
    pub customer: String,
    /// Who surveyed it.
    #[serde(default)]
    pub surveyor: String,
    /// Date of the survey, ISO 8601.
    #[serde(default)]
    pub date: String,
    /// Unit of bare numbers, `mm` or `in`; without it every length carries its unit.
    pub units: Option<String>,
    /// Whether the instrument was flushed and degreased before it was surveyed.
    pub cleaned: Option<bool>,
    /// The instrument.
    pub instrument: InstrumentEntry,
    /// Runs of tube: new ones, or measurements of the pattern's.
    #[serde(default)]
    pub run: Vec<RunEntry>,
    /// Joints.
    #[serde(default)]
    pub joint: Vec<JointEntry>,
    /// Ferrules, braces, guards, rim wires.
    #[serde(default)]
    pub overlay: Vec<OverlayEntry>,
    /// Moving fits.
    #[serde(default)]
    pub fit: Vec<FitEntry>,
    /// Dents.
    #[serde(default)]
    pub dent: Vec<DentEntry>,
    /// Unsound metal apart from dents.
    #[serde(default)]
    pub condition: Vec<ConditionEntry>,
    /// Work that is asked for by name, from the shop's own list of standard jobs.
    #[serde(default)]
    pub work: Vec<WorkEntry>,
    /// What the customer will not have.
    #[serde(default)]
    pub wishes: WishesEntry,
}

/// The instrument.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InstrumentEntry {
    /// Start from this pattern: trumpet, cornet, flugelhorn, trombone, horn, alto horn, baritone, euphonium, tuba, sousaphone, bugle.
    pub pattern: Option<Located<String>>,
    /// What kind, where no pattern is named.
    pub kind: Option<Located<String>>,
    /// Maker's name as engraved.
    #[serde(default)]
    pub maker: String,
    /// Model.
    #[serde(default)]
    pub model: String,
    /// Serial number.
    #[serde(default)]
    pub serial: String,
    /// What it is worth in sound order (`"$3,800"`).
    pub value: Option<Located<String>>,
    /// Finish of the whole instrument, where the runs do not say otherwise.
    pub finish: Option<Located<String>>,
}

/// A piece of an axis: a straight, or a bend with its angle and plane.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxisPiece {
    /// Length of a straight.
    pub straight: Option<Quantity>,
    /// Centre-line radius of a bend.
    pub bend: Option<Quantity>,
    /// Angle of a bend (`"180°"`).
    pub angle: Option<String>,
    /// Towards which clock angle it bends (`"12 o'clock"`); 12 o'clock where it is left out.
    pub plane: Option<String>,
}

/// A value at a station.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AtStation {
    /// Station from the mouthpiece end.
    pub at: Quantity,
    /// The value there.
    pub is: Quantity,
}

/// One value for the whole run, or values at stations.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Along {
    /// The same all along.
    One(Quantity),
    /// At stations, in rising order.
    Many(Vec<AtStation>),
}

/// A run of tube.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunEntry {
    /// Its name in this file.
    pub id: Located<String>,
    /// What the bench calls it.
    pub name: Option<String>,
    /// What it does (`"leadpipe"`, `"branch"`, `"bow"`, `"bell stem"`, …).
    pub role: Option<Located<String>>,
    /// Its axis from the mouthpiece end.
    pub axis: Option<Located<Vec<AxisPiece>>>,
    /// Length of a straight run, instead of `axis`.
    pub length: Option<Located<Quantity>>,
    /// Inside diameter.
    pub bore: Option<Located<Along>>,
    /// Whether the bore flares (curves between its points) instead of running straight.
    pub flare: Option<bool>,
    /// Whether the wall follows a curve between its points.
    pub wall_flare: Option<bool>,
    /// Whether the temper follows a curve between its points.
    pub temper_flare: Option<bool>,
    /// Wall thickness.
    pub wall: Option<Located<Along>>,
    /// `"yellow brass"`, `"gold brass"`, `"rose brass"`, `"nickel silver"`.
    pub alloy: Option<Located<String>>,
    /// `"annealed"`, `"half hard"`, `"H04"`, `"2.5 numbers"` or a hardness `"110 HV"`.
    pub temper: Option<Located<Along>>,
    /// `"raw"`, `"lacquer"`, `"silver plate"`, `"gold plate"`, `"nickel plate"`, `"chrome plate"`.
    pub finish: Option<Located<String>>,
    /// Whether it may be beryllium copper.
    pub may_be_beryllium: Option<bool>,
}

/// A joint. Ends are written `"run-id start"` (mouthpiece side) or `"run-id end"` (bell side).
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JointEntry {
    /// Its name in this file.
    pub id: Located<String>,
    /// What the bench calls it.
    pub name: Option<String>,
    /// The end on the mouthpiece side.
    pub from: Option<Located<String>>,
    /// The end on the bell side.
    pub to: Option<Located<String>>,
    /// `"soft solder"`, `"silver braze"`, `"slide"`, `"thread"`, `"pressed"`, `"fixed"`.
    pub held_by: Option<Located<String>>,
    /// The filler: `"Sn63Pb37"`, `"Sn60Pb40"`, `"Sn96Ag4"`, `"Sn95Sb5"`, `"BAg-1"`, `"BAg-5"`, `"BAg-7"`, `"unknown"`.
    pub filler: Option<Located<String>>,
    /// Length of the overlap.
    pub overlap: Option<Located<Quantity>>,
    /// Time to open it (if all goes well, usually, if it fights back), where the shop's own does not fit.
    pub open: Option<Located<[String; 3]>>,
    /// Time to close it.
    pub close: Option<Located<[String; 3]>>,
}

/// A stretch of wall that an overlay covers.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoverEntry {
    /// The run.
    pub run: String,
    /// First station.
    pub from: Quantity,
    /// Last station.
    pub to: Quantity,
    /// Clock range, going the way of the clock (`["10 o'clock", "2 o'clock"]`); without it all round.
    pub clock: Option<[String; 2]>,
}

/// An overlay.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OverlayEntry {
    /// Its name in this file.
    pub id: Located<String>,
    /// What the bench calls it.
    pub name: Option<String>,
    /// `"ferrule"`, `"brace"`, `"guard"`, `"rim wire"`, `"garland"`, `"patch"`.
    pub kind: Option<Located<String>>,
    /// What it covers: a brace one foot on each run.
    pub covers: Option<Located<Vec<CoverEntry>>>,
    /// The filler that holds it; `"none"` where it is rolled on.
    pub filler: Option<Located<String>>,
    /// The joint that must be open before it comes off.
    pub slides_off_at: Option<Located<String>>,
    /// Time to take it off (if all goes well, usually, if it fights back), where the shop's own does not fit.
    pub off: Option<Located<[String; 3]>>,
    /// Time to put it back.
    pub back: Option<Located<[String; 3]>>,
}

/// A moving fit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FitEntry {
    /// Its name in this file.
    pub id: Located<String>,
    /// What the bench calls it.
    pub name: Option<String>,
    /// `"piston"`, `"rotor"`, `"tuning slide"`, `"hand slide"`.
    pub kind: Option<Located<String>>,
    /// The run that moves.
    pub inner: Option<Located<String>>,
    /// The run in which it moves.
    pub outer: Option<Located<String>>,
    /// Clearance on the diameter.
    pub clearance: Option<Located<Quantity>>,
    /// `"free"`, `"stiff"`, `"binds"`, `"stuck"`.
    pub moves: Option<Located<String>>,
}

/// A dent or a condition as it was filled in.
#[derive(Debug)]
pub struct DamageEntry {
    /// Its name in the file, where it has one.
    pub(crate) id: Option<String>,
    /// Its fields.
    pub(crate) filled: Filled,
    /// What no field is called.
    pub(crate) refusals: Vec<Refusal>,
}

impl DamageEntry {
    pub(crate) fn of_toml(fields: &'static [&'static Field], entry: &Entry<'_>) -> Self {
        let (filled, refusals) = Filled::of_toml(fields, entry);
        let id = entry.get_ref().get("id").and_then(|v| v.get_ref().as_str()).map(str::to_owned);
        Self { id, filled, refusals }
    }
}

/// A dent: [`fields::dent`].
#[derive(Debug)]
pub struct DentEntry(pub(crate) DamageEntry);

/// A condition: [`fields::condition`].
#[derive(Debug)]
pub struct ConditionEntry(pub(crate) DamageEntry);

impl From<DamageEntry> for DentEntry {
    fn from(entry: DamageEntry) -> Self {
        Self(entry)
    }
}

impl From<DamageEntry> for ConditionEntry {
    fn from(entry: DamageEntry) -> Self {
        Self(entry)
    }
}

impl JsonSchema for DentEntry {
    fn schema_name() -> Cow<'static, str> {
        "DentEntry".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schema::of(fields::dent::FIELDS, "A dent. Only `run` must be there; leave out what was not measured.", generator)
    }
}

impl JsonSchema for ConditionEntry {
    fn schema_name() -> Cow<'static, str> {
        "ConditionEntry".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schema::of(
            fields::condition::FIELDS,
            "What is wrong apart from dents: unsound metal, a brace, a joint, a tube out of line or out of round.",
            generator,
        )
    }
}

/// A job of the shop's own list that is to be done on this instrument.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorkEntry {
    /// Its name in this file; left out, one is given.
    pub id: Option<Located<String>>,
    /// Key of the job in the shop's list (`"clean_inside"`, `"fit_valve"`, …).
    pub job: Located<String>,
    /// How often it is done; once where it is left out.
    pub count: Option<Located<u32>>,
    /// The tube it is on.
    pub run: Option<Located<String>>,
    /// The joint that has to be apart for it.
    pub joint: Option<Located<String>>,
    /// Whether only the fullest offer holds it.
    #[serde(default)]
    pub optional: bool,
    /// Words of whoever asked for it.
    #[serde(default)]
    pub note: String,
}

/// What the customer will not have.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WishesEntry {
    /// The finish must not burn.
    #[serde(default)]
    pub keep_finish: bool,
    /// Joints that must stay shut.
    #[serde(default)]
    pub keep_shut: Vec<String>,
    /// Overlays that must stay on.
    #[serde(default)]
    pub keep_on: Vec<String>,
}
