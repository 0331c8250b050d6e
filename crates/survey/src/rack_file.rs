//! The rack file's own types: what a person may write. CSV rows become the same entries.

use crate::located::Located;
use crate::quantity::Quantity;
use schemars::JsonSchema;
use serde::Deserialize;

/// The shop's tools.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "trueround rack")]
pub struct RackFile {
    /// Version of this format: 1.
    pub trueround_rack: u32,
    /// Unit of bare lengths, `mm` or `in`; without it every length carries its unit.
    pub units: Option<String>,
    /// What a person's hands do.
    #[serde(default)]
    pub hands: HandsEntry,
    /// The tools.
    #[serde(default)]
    pub tool: Vec<ToolEntry>,
}

/// What a person's hands do.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandsEntry {
    /// Steady push of one hand on a tool (`"150 N"`, `"35 lbf"`).
    pub push: Option<Located<String>>,
    /// Push that a person leans on a rod held in a vise.
    pub lean: Option<Located<String>>,
}

/// A tool. Which sizes it needs follows from its kind.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ToolEntry {
    /// Its name on the rack.
    pub id: Option<Located<String>>,
    /// What the shop calls it.
    #[serde(default)]
    pub name: String,
    /// Where it hangs.
    #[serde(default)]
    pub place: String,
    /// `"straight rod"`, `"curved rod"`, `"mandrel"`, `"ball set"`, `"ball"`, `"cable"`, `"flexible shaft"`, `"magnet"`,
    /// `"hammer"`, `"roller"`, `"stake"`, `"dolly"`, `"pull stud"`, `"press"`, `"torch"`, `"inside burnisher"`,
    /// `"expander"`, `"draw ring"`, `"draw bench"`, `"fill"`.
    pub kind: Option<Located<String>>,
    /// Lent out until the end of this day, `"2026-11-27"`; left out where it hangs in its place.
    pub away_until: Option<Located<String>>,
    /// Out of use since this day, `"2026-11-27"`: nothing is planned with it any more; it stays in the file and in the plans of before.
    pub retired: Option<Located<String>>,
    /// How much its working size has worn under its nominal; nothing where it is left out.
    pub wear: Option<Located<Quantity>>,
    /// What shape it is in, as the bench says it: `"a chip at the tip: polish first"`. Told beside the tool wherever a plan names it.
    #[serde(default)]
    pub condition: String,
    /// Diameter of a rod's shank, a stake's arm, a ball, a flexible shaft, a roller; a draw ring's
    /// bore.
    pub diameter: Option<Located<Quantity>>,
    /// Length of a rod or stake from hand or vise to tip, of a mandrel's working part, of a cable or shaft,
    /// of a draw bench's or press's travel; how far in an expander goes.
    pub length: Option<Located<Quantity>>,
    /// Diameter of a rod's head; the shank's where it has none. Breadth of a stake's or dolly's face.
    pub head: Option<Located<Quantity>>,
    /// Centre-line radius of a curved rod.
    pub radius: Option<Located<Quantity>>,
    /// Diameter of a mandrel's thin end.
    pub small: Option<Located<Quantity>>,
    /// Diameter of a mandrel's thick end; the thin end's where it is straight.
    pub large: Option<Located<Quantity>>,
    /// Smallest ball of a set; an expander shut.
    pub smallest: Option<Located<Quantity>>,
    /// Largest ball of a set; an expander wide open.
    pub largest: Option<Located<Quantity>>,
    /// Step of a set of balls.
    pub step: Option<Located<Quantity>>,
    /// Force that a cable, shaft, press, draw bench or expander's screw bears (`"900 N"`, `"2 kN"`, `"200 lbf"`).
    pub limit: Option<Located<String>>,
    /// Tightest radius that a flexible shaft goes round.
    pub least_radius: Option<Located<Quantity>>,
    /// Pull of a magnet at contact.
    pub pull: Option<Located<String>>,
    /// Distance at which a magnet's pull has halved.
    pub half_distance: Option<Located<Quantity>>,
    /// Crown radius of a hammer's, stake's or dolly's face.
    pub face_radius: Option<Located<Quantity>>,
    /// Diameter of a pull stud's foot.
    pub foot: Option<Located<Quantity>>,
    /// Length of an expander's jaws.
    pub jaws: Option<Located<Quantity>>,
    /// What a fill is: `"alloy 70"`, `"alloy 95"`, `"alloy 124"`, `"pitch"`.
    pub fill: Option<Located<String>>,
    /// Power of a torch's flame (`"2000 W"`, `"2 kW"`, `"7000 BTU/h"`). Left out, times and temperatures of a heat are wide.
    pub power: Option<Located<String>>,
}
