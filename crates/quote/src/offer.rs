//! Three offers: make it play, make it good, make it beautiful; each from a plan of its own.

use crate::time::JobMinutes;
use crate::Shop;
use instrument::{DentId, Survey};
use plan::{Level, Plan, StepKind};
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Serialize};

/// What a line of an offer is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// Work.
    Labour,
    /// Parts and tools.
    Parts,
    /// Taking in, handling, billing; what brings a small job up to the least charge.
    Handling,
    /// Tax.
    Tax,
    /// Rounding of the total.
    Rounding,
}

/// A line of an offer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What for, in plain words.
    pub what: String,
    /// What kind.
    pub kind: LineKind,
    /// Amount, exact, to the cent.
    pub amount: Decimal,
}

/// An offer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// How far the work goes.
    pub level: Level,
    /// Its name on the paper.
    pub title: String,
    /// What the customer gets, in plain words.
    pub words: Vec<String>,
    /// Minutes of work.
    pub minutes: JobMinutes,
    /// The minutes that are charged.
    pub charged_minutes: f64,
    /// Dents that are brought back.
    pub mended: Vec<DentId>,
    /// Dents that stay.
    pub left: Vec<DentId>,
    /// Lines; their sum is the total.
    pub lines: Vec<Line>,
    /// Total, exact.
    pub total: Decimal,
    /// The total if the work goes as it does in the best tenth of such jobs, and in the worst tenth.
    pub total_range: (Decimal, Decimal),
}

/// A quote.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quote {
    /// The shop's name.
    pub shop: String,
    /// Currency sign.
    pub currency: String,
    /// The offers, from the least to the most work.
    pub offers: Vec<Offer>,
    /// What the instrument is worth in sound order, where said.
    pub value: Option<Decimal>,
    /// Repair against replacement, in plain words.
    pub verdict: String,
    /// Days for which it holds.
    pub valid_days: u32,
}

/// Makes the quote from the plans of the levels.
pub fn quote(survey: &Survey, shop: &Shop, plans: &[(Level, &Plan)]) -> Quote {
    let offers: Vec<Offer> = plans.iter().map(|(level, plan)| offer(survey, shop, *level, plan)).collect();
    let value = survey.instrument.value_money.and_then(Decimal::from_f64).map(units::money::to_cents);
    Quote { shop: shop.name.clone(), currency: shop.currency.clone(), verdict: verdict(shop, &offers, value), offers, value, valid_days: shop.valid_days }
}

fn offer(survey: &Survey, shop: &Shop, level: Level, plan: &Plan) -> Offer {
    let minutes = JobMinutes::of(plan, shop.correlation);
    let charged_minutes = minutes.within(shop.charged_at);
    let lines = lines(survey, shop, plan, charged_minutes);
    let total = lines.iter().map(|l| l.amount).sum();
    let at = |m: f64| self::lines(survey, shop, plan, m).iter().map(|l| l.amount).sum();
    let mended: Vec<DentId> = plan.choices.iter().map(|c| c.dent.clone()).collect();
    let left = survey.dents.iter().map(|d| d.id.clone()).filter(|d| !mended.contains(d)).collect::<Vec<_>>();
    Offer {
        level,
        title: title(level).to_owned(),
        words: words(survey, level, plan, mended.len(), left.len()),
        total_range: (at(minutes.p10), at(minutes.p90)),
        minutes,
        charged_minutes,
        mended,
        left,
        lines,
        total,
    }
}

/// What a level is called on the paper.
pub fn title(level: Level) -> &'static str {
    match level {
        Level::Play => "Make it play",
        Level::Good => "Make it good",
        Level::Beautiful => "Make it beautiful",
    }
}

fn cents(x: Decimal) -> Decimal {
    units::money::to_cents(x)
}

fn decimal(x: f64) -> Decimal {
    Decimal::from_f64(x).unwrap_or_default()
}

fn lines(survey: &Survey, shop: &Shop, plan: &Plan, charged_minutes: f64) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut put = |what: String, kind, amount: Decimal| {
        let amount = cents(amount);
        if !amount.is_zero() {
            lines.push(Line { what, kind, amount });
        }
        amount
    };
    // Time is charged in whole minutes; the rate is exact from there.
    let minutes = Decimal::from(charged_minutes.ceil().to_i64().unwrap_or(0));
    let rate = decimal(shop.standards.labour_per_hour);
    let labour = put(format!("Work, {minutes} minutes"), LineKind::Labour, minutes * rate / Decimal::from(60));
    let mut parts = Decimal::ZERO;
    for r in plan.replacements.iter().filter(|r| r.replace) {
        let Some(run) = survey.instrument.run(&r.run) else { continue };
        let role = serde_plain(&run.role);
        let price = decimal(shop.standards.replacement_run.get(&role).copied().unwrap_or(shop.standards.spoiled_part));
        parts += put(format!("New {}", run.name), LineKind::Parts, price * (Decimal::ONE + shop.markup_on_parts));
    }
    let tools = Decimal::from(plan.tools_to_make.len()) * decimal(shop.standards.tool_material) * shop.tools_charged;
    parts += put("Material for tools made for this job".to_owned(), LineKind::Parts, tools);
    let handling = put("Taking in, handling, billing".to_owned(), LineKind::Handling, shop.overhead_per_job);
    let net = labour + parts + handling;
    let topped = if net > Decimal::ZERO && net < shop.minimum_charge { put("Up to the least charge of a job".to_owned(), LineKind::Handling, shop.minimum_charge - net) } else { Decimal::ZERO };
    put(format!("Tax on work, {} %", percent(shop.tax_on_labour)), LineKind::Tax, (labour + handling + topped) * shop.tax_on_labour);
    put(format!("Tax on parts, {} %", percent(shop.tax_on_parts)), LineKind::Tax, parts * shop.tax_on_parts);
    let sum: Decimal = lines.iter().map(|l| l.amount).sum();
    if shop.round_to > Decimal::ZERO {
        let steps = (sum / shop.round_to).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
        let rounding = cents(steps * shop.round_to - sum);
        if !rounding.is_zero() {
            lines.push(Line { what: "Rounding".to_owned(), kind: LineKind::Rounding, amount: rounding });
        }
    }
    lines
}

fn percent(part: Decimal) -> String {
    (part * Decimal::from(100)).normalize().to_string()
}

/// The name of a role as the shop's file writes it.
fn serde_plain(role: &instrument::Role) -> String {
    let mut key = String::new();
    for (i, c) in format!("{role:?}").char_indices() {
        if c.is_uppercase() && i > 0 {
            key.push('_');
        }
        key.extend(c.to_lowercase());
    }
    key
}

fn words(survey: &Survey, level: Level, plan: &Plan, mended: usize, left: usize) -> Vec<String> {
    let mut out = Vec::new();
    let many = |n: usize, one: &str, more: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {more}") };
    out.push(match level {
        Level::Play => "Everything that keeps it from playing or from holding together is put right. What can only be seen stays.".to_owned(),
        Level::Good => "Put right, and brought back round and smooth to the hand. At arm's length it looks as it should.".to_owned(),
        Level::Beautiful => "Brought back as far as metal allows, and the surface made good where it was worked.".to_owned(),
    });
    if mended > 0 {
        let stay = if left > 0 { format!("; {} left as they are", many(left, "is", "are").replace("1 is", "one is")) } else { String::new() };
        out.push(format!("{} taken out{stay}.", many(mended, "dent is", "dents are")));
    }
    for r in plan.replacements.iter().filter(|r| r.replace) {
        if let Some(run) = survey.instrument.run(&r.run) {
            out.push(format!("The {} is replaced: its metal is no longer sound.", run.name));
        }
    }
    let fits = plan.steps.iter().filter(|s| s.kind == StepKind::TrueFit).count();
    if fits > 0 {
        out.push(format!("{} made to move freely and tested.", many(fits, "valve or slide is", "valves and slides are")));
    }
    let flames = plan.steps.iter().filter(|s| s.heat.is_some()).count();
    if flames > 0 && survey.instrument.runs.iter().any(|r| r.finish == instrument::Finish::Lacquer) && level != Level::Beautiful {
        out.push("Where parts must be unsoldered, the lacquer will show a mark.".to_owned());
    }
    out
}

fn verdict(shop: &Shop, offers: &[Offer], value: Option<Decimal>) -> String {
    let Some(good) = offers.iter().find(|o| o.level == Level::Good).or_else(|| offers.first()) else { return String::new() };
    let Some(value) = value.filter(|v| *v > Decimal::ZERO) else {
        return "What the instrument is worth in sound order was not said, so repair cannot be weighed against replacement.".to_owned();
    };
    let part = (good.total / value).to_f64().unwrap_or(0.0);
    let share = format!("“{}” costs {:.0} % of the {} that the instrument is worth in sound order", good.title, part * 100.0, units::money::show_money(value, &shop.currency));
    if part > shop.advise_against_above {
        format!("{share}. We would not advise it, unless the instrument is dear to you for other reasons.")
    } else {
        format!("{share}: it is worth repairing.")
    }
}
