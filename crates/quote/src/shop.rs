//! A shop's way of charging: rates, tax, rounding, markup, people. Plain data; the shop's file is read at the rim.

use crate::basis::{Correction, LearnedTimes};
use crate::rounding::to_step;
use crate::terms::Terms;
use plan::Standards;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Somebody who works at a bench.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Person {
    /// Name.
    pub name: String,
    /// Bench, as the shop names it; may be empty.
    #[serde(default)]
    pub bench: String,
    /// Time taken over the shop's standard: 1 as the standard, 1.6 for an apprentice.
    #[serde(default = "one")]
    pub pace: f64,
    /// Own price of an hour; none: the shop's.
    #[serde(default)]
    pub per_hour: Option<Decimal>,
    /// What this person knows to do of what not everybody may ("valves", "hand slides").
    #[serde(default)]
    pub skills: Vec<String>,
}

/// What a price promises.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Prices {
    /// It is what the customer pays, however long the work takes: what quotes of before this was said promised.
    #[default]
    Fixed,
    /// It is what the work is expected to cost; more only after the customer was asked.
    Estimate,
}

impl Prices {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Fixed, Self::Estimate];

    /// Its key in files, forms and the record.
    pub fn key(self) -> &'static str {
        match self {
            Self::Fixed => "fixed",
            Self::Estimate => "estimate",
        }
    }

    /// The one of a key.
    pub fn read(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.key() == key)
    }
}

/// Where the tax is rounded to the cent. The states' rules differ, and many leave it to the seller (common practice, no source): the shop
/// chooses, and screen, papers and data hold to it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TaxRounding {
    /// Once, on the sum; the lines share it so that they add up.
    #[default]
    Sum,
    /// On each line; their sum is the tax.
    Line,
}

impl TaxRounding {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Sum, Self::Line];

    /// Its key in files and forms.
    pub fn key(self) -> &'static str {
        match self {
            Self::Sum => "sum",
            Self::Line => "line",
        }
    }

    /// The one of a key.
    pub fn read(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.key() == key)
    }
}

/// Where a shop is found.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Contact {
    /// Its address, a line each; empty: not told.
    #[serde(default)]
    pub address: Vec<String>,
    /// Its telephone; empty: not told.
    #[serde(default)]
    pub telephone: String,
    /// Its e-mail address; empty: not told.
    #[serde(default)]
    pub email: String,
}

impl Contact {
    /// What is known of it, a line each.
    pub fn lines(&self) -> Vec<&str> {
        let known = self.address.iter().map(String::as_str).chain([self.telephone.as_str(), self.email.as_str()]);
        known.filter(|l| !l.is_empty()).collect()
    }
}

/// A shop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shop {
    /// Name, as it stands on the quote.
    pub name: String,
    /// Where it is found, as it stands on papers and on the customer's page.
    #[serde(default)]
    pub contact: Contact,
    /// What its prices promise, where nobody says otherwise when a quote is given.
    #[serde(default)]
    pub prices: Prices,
    /// The address under which the shop's tablets reach the program, as it stands in the code of a label; empty: a label's code is the tag alone.
    #[serde(default)]
    pub label_address: String,
    /// Sign of the currency ("$").
    pub currency: String,
    /// Minutes, price of labour, what damage costs.
    pub standards: Standards,
    /// Tax on labour, as a part of the amount (0.0725 is 7.25 %).
    pub tax_on_labour: Decimal,
    /// Tax on parts, as a part of the amount.
    pub tax_on_parts: Decimal,
    /// What is added to the price of parts, as a part of it.
    pub markup_on_parts: Decimal,
    /// Overhead of taking in, handling and billing a job, money per job.
    pub overhead_per_job: Decimal,
    /// The least that a job costs before tax.
    pub minimum_charge: Decimal,
    /// Totals are rounded to a multiple of this, halves up (0.01: to the cent).
    pub round_to: Decimal,
    /// Shop supplies (solder, gas, flux, abrasives), as a part of the labor.
    #[serde(default)]
    pub supplies: Decimal,
    /// Tax on supplies.
    #[serde(default)]
    pub tax_on_supplies: Decimal,
    /// What a job costs more that goes before others, as a part of the labor.
    #[serde(default)]
    pub rush: Decimal,
    /// Tax on that.
    #[serde(default)]
    pub tax_on_rush: Decimal,
    /// Where the tax is rounded.
    #[serde(default)]
    pub tax_rounding: TaxRounding,
    /// What of a total is due when the customer says yes, as a part of it.
    #[serde(default)]
    pub deposit: Decimal,
    /// Totals below this ask for no deposit.
    #[serde(default)]
    pub deposit_from: Decimal,
    /// What holds for this one job; nothing in a shop's file.
    #[serde(default)]
    pub terms: Terms,
    /// The part of the cost of a tool to make that the customer pays (0: the shop keeps the tool and bears it).
    pub tools_charged: Decimal,
    /// The chance that the work stays within the time that is charged: 0.5 charges the middle, 0.8 is on the safe side.
    pub charged_at: f64,
    /// How strongly the times of a job's steps go together, 0 to 1: an instrument that fights back does so everywhere.
    pub correlation: f64,
    /// Above this part of the instrument's value the shop advises against repair.
    pub advise_against_above: f64,
    /// Days for which a quote holds.
    pub valid_days: u32,
    /// The part of what a crack costs that the customer pays, where the work starts one in metal that was sound (1: all, and the shop asks
    /// first; 0: the shop bears it).
    pub crack_charged: Decimal,
    /// The same where the shop's way of working spoils a part.
    pub spoiled_charged: Decimal,
    /// Days from ordering a part until it is there; 0: the shop has what it needs.
    pub delivery_days: u32,
    /// Who works there.
    pub people: Vec<Person>,
    /// What its finished steps say of a job as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub learned: Option<LearnedTimes>,
    /// What the owner corrected after past quotes were looked at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub correction: Option<Correction>,
}

fn one() -> f64 {
    1.0
}

impl Shop {
    /// What of a total is due when the customer says yes: to the shop's step, and never more than all.
    pub fn deposit_of(&self, total: Decimal) -> Decimal {
        if total < self.deposit_from || total <= Decimal::ZERO {
            return Decimal::ZERO;
        }
        to_step(total * self.deposit.clamp(Decimal::ZERO, Decimal::ONE), self.round_to).clamp(Decimal::ZERO, total)
    }

    /// A start for a shop that has set nothing yet. Common practice, no source.
    pub fn common_practice() -> Self {
        Self {
            name: String::new(),
            contact: Contact::default(),
            prices: Prices::Fixed,
            label_address: String::new(),
            currency: "$".to_owned(),
            standards: Standards::common_practice(),
            tax_on_labour: Decimal::ZERO,
            tax_on_parts: Decimal::ZERO,
            markup_on_parts: Decimal::new(20, 2),
            overhead_per_job: Decimal::ZERO,
            minimum_charge: Decimal::from(35),
            round_to: Decimal::new(1, 2),
            supplies: Decimal::ZERO,
            tax_on_supplies: Decimal::ZERO,
            rush: Decimal::new(25, 2),
            tax_on_rush: Decimal::ZERO,
            tax_rounding: TaxRounding::Sum,
            deposit: Decimal::ZERO,
            deposit_from: Decimal::ZERO,
            terms: Terms::default(),
            tools_charged: Decimal::ZERO,
            charged_at: 0.5,
            correlation: 0.3,
            advise_against_above: 0.6,
            valid_days: 30,
            // The customer's metal cracks because it is used up; a slip at the bench is the shop's.
            crack_charged: Decimal::ONE,
            spoiled_charged: Decimal::ZERO,
            delivery_days: 10,
            people: Vec::new(),
            learned: None,
            correction: None,
        }
    }
}
