//! A contract: what a customer with many instruments wants done, with how much money, until when, and who does it.

use crate::tax_in::TaxIn;
use plan::Level;
use quote::Bill;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use units::{LengthUnit, Source, Text};

/// What a bench must know for a repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Skill {
    /// Dents, creases, cleaning, taking apart by hand.
    Dents,
    /// Joints and braces, patches, cracks, annealing: whatever needs a flame.
    Soldering,
    /// Valves, slides and other moving fits.
    Valves,
    /// Tool marks, buffing, the finish.
    Finish,
}

impl Skill {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Dents, Self::Soldering, Self::Valves, Self::Finish];

    /// Its word in files.
    pub fn key(self) -> &'static str {
        match self {
            Self::Dents => "dents",
            Self::Soldering => "soldering",
            Self::Valves => "valves",
            Self::Finish => "finish",
        }
    }

    /// The one of a word.
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.key() == word)
    }
}

/// A day on which a bench works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Day {
    /// The day (ISO 8601).
    pub date: String,
    /// Minutes worked on it.
    pub minutes: f64,
}

/// A bench and who works there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bench {
    /// Its name.
    pub id: String,
    /// Who works there.
    pub person: String,
    /// Time taken over the shop's standard: 1 as the standard, 1.6 for an apprentice.
    pub pace: f64,
    /// What the person knows.
    pub skills: BTreeSet<Skill>,
    /// Its days until the deadline, in their order: weekends, holidays and days off are none.
    pub days: Vec<Day>,
    /// Minutes after midnight at which its day begins.
    pub begins_min: u32,
}

impl Bench {
    /// Minutes that it has until the deadline.
    pub fn minutes(&self) -> f64 {
        self.days.iter().map(|d| d.minutes).sum()
    }
}

/// How far along an instrument is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "state")]
pub enum Standing {
    /// Nothing was begun.
    #[default]
    Open,
    /// The customer agreed to an offer of it by itself: the offer stands, the bench does not yet.
    Agreed {
        /// The offer.
        level: Level,
    },
    /// Work was begun: the offer and the bench stand.
    Begun {
        /// The offer.
        level: Level,
        /// The bench.
        bench: String,
        /// Minutes already spent on it.
        spent_min: f64,
    },
    /// It is done: offer and bench stand, and what it took.
    Done {
        /// The offer.
        level: Level,
        /// The bench.
        bench: String,
        /// Minutes that it took.
        took_min: f64,
    },
}

/// What can be done with an instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// How far the work goes.
    pub level: Level,
    /// What the customer reads that it is; empty: the level's name.
    #[serde(default)]
    pub name: String,
    /// Other work in it, in the customer's words.
    #[serde(default)]
    pub work: Vec<String>,
    /// What it costs, tools to make apart, tax included.
    pub cost: Decimal,
    /// Mean time at the shop's standard, minutes.
    pub mean_min: f64,
    /// Its standard deviation, the steps' correlation within the job in it, minutes.
    pub sd_min: f64,
    /// The tools to make that it needs.
    pub tools: Vec<String>,
    /// What the bench must know.
    pub skills: BTreeSet<Skill>,
    /// Dents that come out.
    pub dents: usize,
    /// Dents that stay.
    pub left: usize,
}

/// An instrument of the contract.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Horn {
    /// The tag on it.
    pub tag: String,
    /// What it is, in words.
    pub name: String,
    /// The school it belongs to.
    pub school: String,
    /// 1 low, 2 usual, 3 high.
    pub priority: u8,
    /// Whether it must meet the contract's minimum standard.
    pub must: bool,
    /// Whether it plays as it was found.
    pub plays: bool,
    /// What it is worth in good condition, where said.
    pub worth: Option<Decimal>,
    /// The day on which the school wants it back (ISO 8601), where said.
    pub wanted: Option<String>,
    /// What can be done, the least work first.
    pub offers: Vec<Offer>,
    /// How far it is.
    pub standing: Standing,
}

/// A tool that is made or bought for the contract, once for all instruments that need it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tool {
    /// Its name: what it is, with its sizes in millimeters.
    pub id: String,
    /// The same as words whose sizes are told in the reader's unit; empty where nobody wrote them.
    #[serde(default)]
    pub words: Text,
    /// What it costs, tax included, money: the total of its bill.
    pub cost: Decimal,
    /// Its bill, as the customer's terms and the shop's taxes make it; none where an earlier program worked the price out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bill: Option<Bill>,
    /// Mean time to make it at the shop's standard, minutes; 0 for what is bought.
    pub mean_min: f64,
    /// Whether it is there already.
    pub there: bool,
}

/// What a state of an instrument is worth to the customer, points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Points {
    /// It plays.
    pub play: u32,
    /// Its dents are out too.
    pub good: u32,
    /// It is restored.
    pub beautiful: u32,
}

impl Points {
    /// Where the start-up points come from.
    pub const SOURCE: Source = Source::common_practice(
        "60 points for an instrument that plays, 20 more with its dents out, 5 more restored, times 1 for low, 2 for usual, 3 for high priority: a pupil can play on it first, looks come after",
    );

    /// A start. Common practice, no source ([`Points::SOURCE`]).
    pub fn common_practice() -> Self {
        Self { play: 60, good: 80, beautiful: 85 }
    }

    /// Of a level.
    pub fn of(self, level: Level) -> u32 {
        match level {
            Level::Play => self.play,
            Level::Good => self.good,
            Level::Beautiful => self.beautiful,
        }
    }
}

/// How far the work as a whole may be off, beside each job's own spread: factors that all jobs of a person, and all of the
/// contract, share.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Coefficient of variation of a person's pace over the whole contract.
    pub person: f64,
    /// The same of what the surveys say: one person made them.
    pub contract: f64,
}

impl Spread {
    /// Where the start-up spread comes from.
    pub const SOURCE: Source = Source::common_practice(
        "a person's pace over a summer is off by 10 %, what the surveys of one contract say by 8 % (one standard deviation each)",
    );

    /// A start. Common practice, no source ([`Spread::SOURCE`]).
    pub fn common_practice() -> Self {
        Self { person: 0.10, contract: 0.08 }
    }
}

/// A contract.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Contract {
    /// The customer.
    pub customer: String,
    /// The shop.
    pub shop: String,
    /// Sign of the currency.
    pub currency: String,
    /// Whether sales tax is in its amounts.
    #[serde(default)]
    pub tax: TaxIn,
    /// What all of it may cost.
    pub budget: Decimal,
    /// The first day that is planned (ISO 8601).
    pub from: String,
    /// The last day of work (ISO 8601).
    pub deadline: String,
    /// How likely all benches are to be done by then, 0 to 1.
    pub likelihood: f64,
    /// What a must has to reach at the least.
    pub minimum: Level,
    /// Above this part of an instrument's value a repair is not offered, but for musts.
    pub advise_against_above: f64,
    /// What states are worth.
    pub points: Points,
    /// How far all of it may be off.
    pub spread: Spread,
    /// The benches.
    pub benches: Vec<Bench>,
    /// The tools to make.
    pub tools: Vec<Tool>,
    /// What tools cost that were made for it before, whoever pays what is still open of it, money.
    #[serde(default)]
    pub tools_paid: Decimal,
    /// The instruments.
    pub horns: Vec<Horn>,
}

impl Horn {
    /// What it gets at a level, other work in it: "Dents out, also cleaned inside".
    pub fn gets(&self, level: Level) -> String {
        let offer = self.offer(level);
        let name = offer.map(|o| o.name.as_str()).filter(|n| !n.is_empty()).unwrap_or(quote::words::name(level));
        let lowered = |w: &String| {
            let mut letters = w.chars();
            letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
        };
        match offer.map(|o| o.work.iter().map(lowered).collect::<Vec<_>>()) {
            Some(work) if !work.is_empty() => format!("{name}, also {}", work.join(", ")),
            _ => name.to_owned(),
        }
    }

    /// What an offer is worth, points: what it adds to the instrument as it was found, times the priority.
    pub fn value(&self, offer: &Offer, points: Points) -> f64 {
        let found = if self.plays { points.play } else { 0 };
        f64::from(points.of(offer.level).saturating_sub(found)) * f64::from(self.priority)
    }

    /// Whether the minimum standard is still owed.
    pub fn owed(&self, minimum: Level) -> bool {
        self.must && !(self.plays && minimum == Level::Play)
    }

    /// The offer of a level.
    pub fn offer(&self, level: Level) -> Option<&Offer> {
        self.offers.iter().find(|o| o.level == level)
    }

    /// The offers that the contract chooses among.
    pub fn open_offers(&self, contract: &Contract) -> Vec<&Offer> {
        if let Standing::Agreed { level } = &self.standing {
            return self.offer(*level).into_iter().collect();
        }
        let owed = self.owed(contract.minimum);
        let dear = |o: &Offer| {
            let limit = self.worth.and_then(|w| f64::try_from(w).ok()).map(|w| w * contract.advise_against_above);
            limit.is_some_and(|l| f64::try_from(o.cost).unwrap_or(f64::MAX) > l)
        };
        let fits = |o: &&Offer| if owed { o.level >= contract.minimum } else { !dear(o) };
        self.offers.iter().filter(fits).filter(|o| self.value(o, contract.points) > 0.0 || owed).collect()
    }
}

impl Contract {
    /// A bench by its name.
    pub fn bench(&self, id: &str) -> Option<&Bench> {
        self.benches.iter().find(|b| b.id == id)
    }

    /// What a tool is called, its sizes in the reader's unit.
    pub fn tool_name(&self, id: &str, unit: LengthUnit) -> String {
        let tool = self.tools.iter().find(|t| t.id == id).filter(|t| !t.words.is_empty());
        tool.map_or_else(|| id.to_owned(), |t| t.words.show(unit))
    }

    /// An instrument by its tag.
    pub fn horn(&self, tag: &str) -> Option<&Horn> {
        self.horns.iter().find(|h| h.tag == tag)
    }

    /// What was spent on what is done, with the tools that were made for it ([`Contract::tools_paid`]), money.
    pub fn spent(&self) -> Decimal {
        let done = |h: &Horn| match &h.standing {
            Standing::Done { level, .. } => h.offer(*level).map(|o| o.cost),
            _ => None,
        };
        self.horns.iter().filter_map(done).sum::<Decimal>() + self.tools_paid
    }
}
