//! The quote: three offers, and whether the instrument is worth it.

use crate::basis::RestsOn;
use crate::bill::{Bill, bill, decimal, parts, stretch};
use crate::learn;
use crate::shop::{Contact, Prices, Shop};
use crate::statements::{Statement, statements};
use crate::times::Times;
use crate::words;
use instrument::{DentId, Survey};
use plan::{Level, Plan, StepKind};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use units::duration::{show_minutes, show_minutes_between};
use units::money::show_price;

/// One offer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// How far the work goes.
    pub level: Level,
    /// Its name for the customer.
    pub name: String,
    /// What it means, in the customer's words.
    pub words: Vec<String>,
    /// What it adds to the offer before it, in the customer's words; nothing for the first.
    #[serde(default)]
    pub adds: Vec<String>,
    /// What the metal is like, what may go wrong and who pays then, what is new and when it is there.
    #[serde(default)]
    pub statements: Vec<Statement>,
    /// Time on the instrument; tools that are made for it stay in the shop and are not part of it.
    pub times: Times,
    /// What it costs.
    pub bill: Bill,
    /// The total if the work goes as well as one time in ten, and as badly.
    pub range: (Decimal, Decimal),
    /// Dents that come out.
    pub dents: Vec<DentId>,
    /// Dents that stay.
    pub left: Vec<DentId>,
    /// Whether it repays itself, in plain words.
    pub verdict: Verdict,
}

/// Repair against the instrument's value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// Price of the repair over the value in sound order; none where nobody said what it is worth.
    pub of_value: Option<f64>,
    /// Whether the shop advises it; none where the value is not known.
    pub worth_it: Option<bool>,
    /// In plain words.
    pub words: String,
}

/// A quote.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quote {
    /// The shop's name.
    #[serde(default)]
    pub shop: String,
    /// Where the shop is found.
    #[serde(default)]
    pub contact: Contact,
    /// What its prices promise.
    #[serde(default)]
    pub prices: Prices,
    /// Offers, the least work first.
    pub offers: Vec<Offer>,
    /// What the instrument is worth in good condition, where said.
    pub value: Option<Decimal>,
    /// Sign of the currency.
    pub currency: String,
    /// Why no tax is paid (the number of a certificate); empty: it is paid, where there is any.
    #[serde(default)]
    pub exempt: String,
    /// Days for which it holds.
    pub valid_days: u32,
    /// What was taken for granted, and what it would change.
    pub assumptions: Vec<(units::Text, units::Text)>,
    /// How the times were summed.
    pub method: String,
    /// What the times rest on.
    #[serde(default)]
    pub rests_on: RestsOn,
}

impl Quote {
    /// What is told of every offer, once, in the customer's words.
    pub fn told_of_all(&self) -> Vec<String> {
        let Some((first, others)) = self.offers.split_first() else { return vec![] };
        let others: Vec<Vec<String>> = others.iter().map(|o| o.told(&self.currency)).collect();
        first.told(&self.currency).into_iter().filter(|words| others.iter().all(|o| o.contains(words))).collect()
    }

    /// What is told of one offer and not of all.
    pub fn told_of(&self, offer: &Offer) -> Vec<String> {
        let shared = self.told_of_all();
        offer.told(&self.currency).into_iter().filter(|words| !shared.contains(words)).collect()
    }

    /// What is said of the tax beside a price; empty where there is nothing to say.
    pub fn tax_words(&self, offer: &Offer) -> String {
        if !self.exempt.is_empty() {
            format!("no sales tax ({})", self.exempt)
        } else if offer.bill.tax.is_zero() {
            String::new()
        } else {
            "tax included".to_owned()
        }
    }

    /// The offer before one and how much more this one costs, as both are shown; none for the first.
    pub fn more_than_before(&self, offer: &Offer) -> Option<(&Offer, Decimal)> {
        let at = self.offers.iter().position(|o| o.level == offer.level)?;
        let before = self.offers.get(at.checked_sub(1)?)?;
        Some((before, offer.bill.total - before.bill.total))
    }

    /// The offer of a level: its times and its price are those of that level's plan, wherever they are shown.
    pub fn of_level(&self, level: Level) -> Option<&Offer> {
        self.offers.iter().find(|o| o.level == level)
    }
}

impl Offer {
    /// What is told of the metal, of what may go wrong, of new parts and of the wait for them, in the customer's words.
    pub fn told(&self, currency: &str) -> Vec<String> {
        self.statements.iter().map(|s| words::said(s, currency)).collect()
    }

    /// Days that the instrument waits for others: for a part that is ordered, then for each shop that it is sent to; none where nothing is.
    pub fn delivery_days(&self) -> Option<u32> {
        let waits = self.statements.iter().filter_map(|s| match s {
            Statement::Ordered { days } | Statement::SentOut { days, .. } => Some(*days),
            _ => None,
        });
        waits.reduce(u32::saturating_add)
    }

    /// What is due when the customer says yes, and when the rest is; nothing where no deposit is asked for.
    pub fn deposit_words(&self, currency: &str) -> Option<String> {
        let money = |amount| show_price(amount, currency);
        let bill = &self.bill;
        (bill.deposit > Decimal::ZERO).then(|| {
            format!("A deposit of {} is due when you say yes, the other {} at pickup.", money(bill.deposit), money(bill.after_deposit()))
        })
    }

    /// Time at the bench, in words that say what each figure is.
    pub fn time_words(&self) -> String {
        format!("About {} at the bench. 8 of 10 jobs like this take {}.", self.time(), self.times_between())
    }

    /// Time on the instrument: one job in two is done by then.
    pub fn time(&self) -> String {
        show_minutes(self.times.p50_min)
    }

    /// The times between which eight of ten such jobs end.
    pub fn times_between(&self) -> String {
        show_minutes_between(self.times.p10_min, self.times.p90_min)
    }
}

/// The quote for a survey. Each offer is a plan of its own, so that what is opened for few dents is paid by few: `plan` is
/// the one that the assumptions are told of, `others` are for the other levels. Offers stand the least work first.
pub fn quote(survey: &Survey, plan: &Plan, others: &[Plan], shop: &Shop) -> Quote {
    let value = survey.instrument.value_money.filter(|v| v.is_finite() && *v > 0.0).map(|v| decimal(v, 2));
    let of = |level: Level| std::iter::once(plan).chain(others).find(move |p| p.level == level);
    // Where there is nothing to do there is nothing to offer: not even what handling it costs. Without damage there is one offer, and
    // another where some of the work is optional.
    let damaged = survey.has_damage();
    let optional = survey.work.iter().any(|w| w.optional);
    let offered = |level: &Level| match level {
        Level::Play => damaged,
        Level::Good => survey.has_work(),
        Level::Beautiful => damaged || optional,
    };
    let levels = Level::ALL.into_iter().filter(offered);
    let mut before: Option<&Plan> = None;
    let offers = levels
        .filter_map(of)
        .map(|p| {
            let adds = before.replace(p).map_or_else(Vec::new, |b| words::adds(survey, b, p));
            Offer { adds, ..offer(survey, p, shop, value) }
        })
        .collect();
    Quote {
        shop: shop.name.clone(),
        contact: shop.contact.clone(),
        prices: shop.prices,
        offers,
        value,
        currency: shop.currency.clone(),
        exempt: shop.terms.exempt.clone(),
        valid_days: shop.valid_days,
        assumptions: plan.assumptions.iter().map(|a| (a.what.clone(), a.would_change.clone())).collect(),
        method: crate::times::SUM.text.to_string(),
        rests_on: learn::apply::rests_on(shop),
    }
}

/// The offer of a plan.
pub fn offer(survey: &Survey, plan: &Plan, shop: &Shop, value: Option<Decimal>) -> Offer {
    let steps = || plan.steps.iter().filter(|s| s.kind != StepKind::MakeTool).map(|s| s.minutes);
    let (times, mean_min) = (learn::times_of(shop, steps()), steps().map(|m| m.mean()).sum());
    let extra = parts(plan, survey, shop);
    let charged = stretch(&times, mean_min, shop.charged_at);
    let at = |p: f64| bill(plan, shop, stretch(&times, mean_min, p), &extra);
    let bill = at(shop.charged_at);
    let verdict = verdict(bill.total, value, shop);
    Offer {
        level: plan.level,
        name: if survey.has_damage() { words::name(plan.level) } else { words::name_of_work(plan.level) }.to_owned(),
        words: words::sentences(survey, plan),
        adds: vec![],
        statements: statements(survey, plan, shop, charged),
        times,
        range: (at(0.1).total, at(0.9).total),
        dents: plan.seen_to(),
        left: plan.not_done.iter().filter_map(|n| n.dent.clone()).collect(),
        verdict,
        bill,
    }
}

/// Repair against value. Common practice, no source: the shop sets from which part of the value on it advises against.
pub fn verdict(price: Decimal, value: Option<Decimal>, shop: &Shop) -> Verdict {
    let Some(value) = value.filter(|v| *v > Decimal::ZERO) else {
        return Verdict {
            of_value: None,
            worth_it: None,
            words: "We do not know what the instrument is worth, so we cannot weigh the repair against it.".to_owned(),
        };
    };
    let part: f64 = (price / value).round_dp(4).try_into().unwrap_or(f64::MAX);
    let percent = part * 100.0;
    let limit = shop.advise_against_above;
    let words = if part <= 0.5 * limit {
        format!("The repair costs {percent:.0} % of the instrument’s value in good condition: it is worth repairing.")
    } else if part <= limit {
        format!(
            "The repair costs {percent:.0} % of the instrument’s value in good condition: it is worth repairing if you mean to keep it."
        )
    } else if part < 1.0 {
        format!(
            "The repair costs {percent:.0} % of the instrument’s value in good condition: we would look for another one, unless this one means a lot to you."
        )
    } else {
        "The repair costs more than the instrument’s value in good condition: we advise against it, unless this one means a lot to you."
            .to_owned()
    };
    Verdict { of_value: Some(part), worth_it: Some(part <= limit), words }
}
