//! The contract file's own types: what a person may write.

use crate::located::Located;
use crate::shop_file::Part;
use schemars::JsonSchema;
use serde::Deserialize;

/// A contract.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "trueround contract")]
pub struct ContractFile {
    /// Version of this format: 1.
    pub trueround_contract: u32,
    /// The customer.
    pub customer: Option<Located<String>>,
    /// What all of it may cost, tax included (`"$24,000"`).
    pub budget: Option<Located<String>>,
    /// The first day of work (`"2026-06-08"`).
    pub starts: Option<Located<String>>,
    /// The first day that is planned now; left out: `starts`. What was done before stands in `done`.
    pub today: Option<Located<String>>,
    /// The last day of work.
    pub deadline: Option<Located<String>>,
    /// How likely all benches are to be done by the deadline; left out: 80 %.
    pub likelihood: Option<Located<Part>>,
    /// What an instrument with a must has to reach: `"play"`, `"good"` or `"beautiful"`; left out: `"play"`.
    pub minimum: Option<Located<String>>,
    /// Days on which nobody works; a day or `"2026-07-20 to 2026-07-24"`.
    #[serde(default)]
    pub holidays: Vec<Located<String>>,
    /// The table of instruments (CSV), seen from this file.
    pub instruments: Option<Located<String>>,
    /// The table of dents (CSV).
    pub dents: Option<Located<String>>,
    /// The table of what is done or begun (CSV); left out: nothing is.
    pub done: Option<Located<String>>,
    /// The shop's tools (TOML or CSV); left out: as the command says.
    pub rack: Option<Located<String>>,
    /// The shop's prices and times (TOML); left out: as the command says.
    pub shop: Option<Located<String>>,
    /// What states of an instrument are worth to the customer; left out: common practice.
    pub points: Option<PointsEntry>,
    /// How far all of the work may be off together; left out: common practice.
    pub spread: Option<SpreadEntry>,
    /// The benches.
    #[serde(default)]
    pub bench: Vec<BenchEntry>,
}

/// Points.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointsEntry {
    /// It plays.
    pub play: Located<u32>,
    /// Its dents are out too.
    pub good: Located<u32>,
    /// It is restored.
    pub beautiful: Located<u32>,
}

/// Spread.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpreadEntry {
    /// A person's pace over the whole contract (one standard deviation).
    pub person: Located<Part>,
    /// What the surveys say, all together (one standard deviation).
    pub contract: Located<Part>,
}

/// A bench.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BenchEntry {
    /// Its name.
    pub id: Option<Located<String>>,
    /// Who works there.
    pub person: Option<Located<String>>,
    /// Time a day for this contract (`"6 h"`).
    pub hours: Option<Located<String>>,
    /// When its day begins (`"8:00"`); left out: 8:00.
    pub begins: Option<Located<String>>,
    /// Days of the week (`["mon", "tue"]`); left out: Monday to Friday.
    pub days: Option<Located<Vec<String>>>,
    /// Days off; a day or `"2026-07-20 to 2026-07-24"`.
    #[serde(default)]
    pub off: Vec<Located<String>>,
    /// Time taken over the shop's standard: 1 as the standard, 1.6 for an apprentice; left out: 1.
    pub pace: Option<Located<f64>>,
    /// What the person knows: `"dents"`, `"soldering"`, `"valves"`, `"finish"`; left out: all.
    pub skills: Option<Located<Vec<String>>>,
}
