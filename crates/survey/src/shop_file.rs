//! The shop file's own types: what a person may write. Whatever is left out is common practice, and said to be.

use crate::located::Located;
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Three times: if all goes well, usually, if it fights back (`["15 min", "25 min", "45 min"]`).
pub type Times = Located<[String; 3]>;

/// A part of a whole: `"7.25 %"`, or a number from 0 to 1.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Part {
    /// In per cent.
    Text(String),
    /// From 0 to 1.
    Number(f64),
}

/// How a shop works and charges.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "trueround shop")]
pub struct ShopFile {
    /// Version of this format: 1.
    pub trueround_shop: u32,
    /// Name, as it stands on the quote.
    pub name: Option<String>,
    /// Address, a line each (`["12 Saltmarsh Lane", "Port Harrow"]`); it stands on papers and on the customer's page.
    pub address: Option<Located<Vec<String>>>,
    /// Telephone, as it stands there.
    pub telephone: Option<Located<String>>,
    /// E-mail address, as it stands there.
    pub email: Option<Located<String>>,
    /// What a price promises: `"fixed"` (it is what the customer pays) or `"estimate"` (what the work is expected to cost; more only after asking).
    pub prices: Option<Located<String>>,
    /// Address under which the shop's tablets reach the program (`"https://bench.example:8443"`), for the code of a label; left out: the code is the tag alone.
    pub label_address: Option<Located<String>>,
    /// Sign of the currency.
    pub currency: Option<Located<String>>,
    /// Price of an hour (`"$85"`).
    pub labour_per_hour: Option<Located<String>>,
    /// The least that a job costs before tax.
    pub minimum_charge: Option<Located<String>>,
    /// Taking in, handling and billing, for each job.
    pub overhead_per_job: Option<Located<String>>,
    /// Totals are rounded to a multiple of this, halves up.
    pub round_to: Option<Located<String>>,
    /// Shop supplies (solder, gas, flux, abrasives), as a part of the labor.
    pub supplies: Option<Located<Part>>,
    /// What a job costs more that goes before others, as a part of the labor.
    pub rush: Option<Located<Part>>,
    /// What of a total is due when the customer says yes.
    pub deposit: Option<Located<Part>>,
    /// Totals below this ask for no deposit.
    pub deposit_from: Option<Located<String>>,
    /// The chance that the work stays within the time that is charged.
    pub charged_at: Option<Located<Part>>,
    /// How strongly the times of one job's steps go together.
    pub correlation: Option<Located<Part>>,
    /// Above this part of the instrument's worth the shop advises against repair.
    pub advise_against_above: Option<Located<Part>>,
    /// Days for which a quote holds.
    pub valid_days: Option<u32>,
    /// Tax.
    #[serde(default)]
    pub tax: TaxEntry,
    /// Parts and tools.
    #[serde(default)]
    pub parts: PartsEntry,
    /// What damage costs.
    #[serde(default)]
    pub damage: DamageEntry,
    /// What a dent that stays is worth to the customer.
    #[serde(default)]
    pub worth: WorthEntry,
    /// Times for each kind of step, and `heat_setup` and `fixture`.
    #[serde(default)]
    pub minutes: BTreeMap<String, Times>,
    /// Times to open and to close, by what is opened (`soft_joint`, `ferrule`, …).
    #[serde(default)]
    pub opening: BTreeMap<String, OpeningEntry>,
    /// Price of a new run by its role (`leadpipe = "$95"`), and of a `brace`.
    #[serde(default)]
    pub replacement: BTreeMap<String, Located<String>>,
    /// Who works there.
    #[serde(default)]
    pub person: Vec<PersonEntry>,
    /// The shop's own standard jobs, over the usual list.
    #[serde(default)]
    pub standard_job: Vec<StandardJobEntry>,
}

/// Tax.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TaxEntry {
    /// On labour.
    pub labour: Option<Located<Part>>,
    /// On parts.
    pub parts: Option<Located<Part>>,
    /// On shop supplies; left out: as on parts.
    pub supplies: Option<Located<Part>>,
    /// On the rush surcharge; left out: as on labor.
    pub rush: Option<Located<Part>>,
    /// Where it is rounded to the cent: `"sum"` (once, on the sum) or `"line"` (on each line).
    pub rounding: Option<Located<String>>,
}

/// Parts and tools.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartsEntry {
    /// What is added to the price of parts.
    pub markup: Option<Located<Part>>,
    /// The part of a tool's cost that the customer pays.
    pub tools_charged: Option<Located<Part>>,
    /// Material for a tool to make.
    pub tool_material: Option<Located<String>>,
    /// Jobs over which the cost of a tool that is made is spread.
    pub tool_serves_jobs: Option<Located<f64>>,
    /// Days from ordering a part until it is there.
    pub delivery_days: Option<Located<u32>>,
}

/// What damage costs.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DamageEntry {
    /// Finish burnt, per mm of run.
    pub finish_per_mm: Option<Located<String>>,
    /// A part cracked or spoiled, where no replacement price is known.
    pub spoiled_part: Option<Located<String>>,
    /// A place where the result is seen all over.
    pub untrue_place: Option<Located<String>>,
    /// What the wait for an ordered part costs; it weighs in the choice and is not billed.
    pub wait_for_part: Option<Located<String>>,
    /// Likelihood that a heat spoils something beyond what is reckoned.
    pub heat_risk: Option<Located<Part>>,
    /// The part of a crack's cost that the customer pays, where the work starts it.
    pub crack_charged: Option<Located<Part>>,
    /// The part of a spoiled part's cost that the customer pays.
    pub spoiled_charged: Option<Located<Part>>,
}

/// What a dent that stays is worth.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorthEntry {
    /// In the way of a moving fit, the bore or a joint.
    pub function: Option<Located<String>>,
    /// A crack, a hole, a weak place.
    pub structural: Option<Located<String>>,
    /// Only seen.
    pub cosmetic: Option<Located<String>>,
}

/// Times to open and to close.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OpeningEntry {
    /// To open it or take it off.
    pub open: Times,
    /// To close it or put it back.
    pub close: Times,
}

/// Somebody who works at a bench.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PersonEntry {
    /// Name.
    pub name: String,
    /// Bench.
    #[serde(default)]
    pub bench: String,
    /// Time taken over the shop's standard: 1 as the standard, 1.6 for an apprentice.
    pub pace: Option<Located<f64>>,
    /// Own price of an hour.
    pub per_hour: Option<Located<String>>,
    /// What this person knows to do of what not everybody may (`["valves", "hand slides"]`).
    #[serde(default)]
    pub skills: Vec<String>,
}

/// A standard job: over the usual list by its key, or a new one.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StandardJobEntry {
    /// Its key: small letters, digits and `_`. It stays: what was learned of it hangs on it.
    pub key: Located<String>,
    /// What the bench calls it.
    pub name: Option<Located<String>>,
    /// What the customer reads that was done.
    pub customer: Option<Located<String>>,
    /// Times for one.
    pub minutes: Option<Times>,
    /// What each further one of the same takes, as a part of those times.
    pub further: Option<Located<Part>>,
    /// What parts cost the shop for one; of work that is sent out what the other shop charges.
    pub parts: Option<Located<String>>,
    /// What may hurt, by the keys of the cautions (`["eyes", "solvent"]`).
    pub hazards: Option<Located<Vec<String>>>,
    /// The skill that somebody must have for it.
    pub skill: Option<Located<String>>,
    /// What it needs: `"cleaned"`, `"slides_out"`, `"valves_out"`, `"joint_open"`.
    pub needs: Option<Located<Vec<String>>>,
    /// When it is done: `"first"`, `"metal"`, `"fits"`, `"finish"`, `"assembly"`.
    pub when: Option<Located<String>>,
    /// The plan's own step that does the same (`"clean"`, `"free_slide"`, …), so that it is done and billed once; `"none"` for no one.
    pub same_as: Option<Located<String>>,
    /// Days away, where it is sent out; 0: it is done here.
    pub sent_out_days: Option<Located<u32>>,
    /// Whether it is off the list.
    pub retired: Option<bool>,
}
