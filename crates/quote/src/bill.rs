//! What a job costs, line by line, in exact decimals: the total is the sum of its lines to the cent.

pub use crate::line::{Line, LineKind};
pub use crate::rounding::{in_whole, to_step};
use crate::shop::Shop;
use crate::terms::{Discount, Off, Terms};
use crate::times::Times;
use crate::work::work_done;
use plan::{Level, Mend, Plan, Step, StepKind};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use units::money::to_cents;

/// A bill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bill {
    /// Its lines.
    pub lines: Vec<Line>,
    /// Labour of all lines.
    pub labour: Decimal,
    /// Parts of all lines.
    pub parts: Decimal,
    /// Tax of all lines.
    pub tax: Decimal,
    /// What the customer pays.
    pub total: Decimal,
    /// What tools to make cost the shop and the customer does not pay, by this bill or by a contract.
    pub tools_borne: Decimal,
    /// What of the total is due when the customer says yes.
    #[serde(default)]
    pub deposit: Decimal,
}

/// The line that brings a total to the shop's step.
const ROUNDING: &str = "Rounding";

/// Lines as a quote shows them: in whole units of money where the total is whole, without those that then say nothing.
pub fn on_quote(lines: Vec<(String, Decimal)>) -> Vec<(String, Decimal)> {
    let amounts: Vec<Decimal> = lines.iter().map(|l| l.1).collect();
    let Some(whole) = in_whole(&amounts) else { return lines };
    lines.into_iter().zip(whole).map(|((what, _), amount)| (what, amount)).filter(|l| !l.1.is_zero()).collect()
}

impl Bill {
    /// Its lines and its tax as a quote shows them: they add up to the total.
    pub fn on_quote(&self) -> Vec<(String, Decimal)> {
        let lines = self.lines.iter().map(|l| (l.what.clone(), l.before_tax()));
        on_quote(lines.chain((!self.tax.is_zero()).then(|| ("Tax".to_owned(), self.tax))).collect())
    }

    /// What is left of the total when the deposit is paid.
    pub fn after_deposit(&self) -> Decimal {
        self.total - self.deposit
    }
}

/// The group of what hands do before and after, and its name where the cleaning stands by itself.
const HANDS: &str = "Cleaning, disassembly and assembly";
const HANDS_ALONE: &str = "Disassembly and assembly";

/// The groups of a bill, in its order.
const GROUPS: [(&str, &[StepKind]); 7] = [
    (HANDS, &[StepKind::Clean, StepKind::Free, StepKind::Strip, StepKind::Assemble]),
    ("Unsoldering and resoldering", &[StepKind::OpenJoint, StepKind::OverlayOff, StepKind::CloseJoint, StepKind::OverlayBack]),
    (
        "Dents, creases and cracks",
        &[
            StepKind::Dent,
            StepKind::Crease,
            StepKind::Anneal,
            StepKind::Fill,
            StepKind::OverFill,
            StepKind::MeltOut,
            StepKind::StabiliseCrack,
            StepKind::Patch,
        ],
    ),
    (
        "Braces repaired, tubes and joints aligned",
        &[
            StepKind::BrazeBrace,
            StepKind::NewBrace,
            StepKind::MakeBrace,
            StepKind::Align,
            StepKind::Straighten,
            StepKind::StraightenSlide,
            StepKind::RoundOut,
        ],
    ),
    ("Fitting new tubes", &[StepKind::ReplaceRun]),
    ("Valves, slides and final check", &[StepKind::TrueFit, StepKind::AcceptanceCheck]),
    ("Surface smoothed", &[StepKind::Finish]),
];

/// A plain number as an exact decimal with so many places; 0 where it is none.
pub fn decimal(x: f64, places: u32) -> Decimal {
    // More than any bill holds, and safely within an i64.
    const MOST: f64 = 1e12;
    let scaled = x * 10_f64.powi(places.min(6) as i32);
    if scaled.is_finite() { Decimal::new(scaled.clamp(-MOST, MOST).round() as i64, places.min(6)) } else { Decimal::ZERO }
}

/// What a customer would pay for so many minutes and a part of so much, markup and tax in it, money: to tell, not to bill.
pub fn priced(minutes: f64, part_money: f64, shop: &Shop) -> f64 {
    let number = |d: Decimal| f64::try_from(d.max(Decimal::ZERO)).unwrap_or(0.0);
    let labour = minutes.max(0.0) / 60.0 * shop.standards.labour_per_hour.max(0.0);
    let parts = part_money.max(0.0) * (1.0 + number(shop.markup_on_parts));
    let supplies = labour * number(shop.supplies);
    labour * (1.0 + number(shop.tax_on_labour))
        + parts * (1.0 + number(shop.tax_on_parts))
        + supplies * (1.0 + number(shop.tax_on_supplies))
}

/// The bill of a plan. `stretch` is the time charged over the steps' mean. A person's pace is no part of it: the customer pays the
/// shop's time ([`crate::learn::pace`]).
///
/// The order of what comes on top (common practice, no source): work, parts, tools, then supplies as a part of the labor so far, then
/// handling; what lacks to the minimum; the rush surcharge, a part of all labor; the discount off all of that; the tax; the rounding. So a
/// discount may go below the minimum: whoever gives it means it.
pub fn bill(plan: &Plan, shop: &Shop, stretch: f64, extra_parts: &[(String, f64)]) -> Bill {
    let rate = decimal(shop.standards.labour_per_hour, 4).max(Decimal::ZERO);
    let charged = |minutes: f64| decimal((minutes * stretch).max(0.0), 2);
    let labour = |minutes: Decimal| to_cents(minutes * rate / Decimal::from(60));
    let marked_up = |cost: Decimal| to_cents(cost * (Decimal::ONE + shop.markup_on_parts.max(Decimal::ZERO)));
    let minutes_of = |is: &dyn Fn(&Step) -> bool| plan.steps.iter().filter(|s| is(s)).map(|s| s.minutes.mean()).sum::<f64>();
    let mut lines = Vec::new();
    for (what, kinds) in GROUPS {
        let minutes = minutes_of(&|s| s.work.is_empty() && kinds.contains(&s.kind));
        // A cleaning that was asked for has a line of its own: it must not look billed twice.
        let cleans = |s: &Step| s.kind == StepKind::Clean && !s.work.is_empty();
        let what = if what == HANDS && plan.steps.iter().any(cleans) { HANDS_ALONE } else { what };
        if minutes > 0.0 {
            let minutes = charged(minutes);
            lines.push(Line { minutes, labour: labour(minutes), ..Line::new(LineKind::Work, what) });
        }
    }
    for w in &plan.work {
        // A step that does two pieces of work is charged with the first.
        let minutes = charged(minutes_of(&|s| s.work.first() == Some(&w.work)));
        let parts = marked_up(decimal(w.parts_money.max(0.0), 2));
        let line = Line { minutes, labour: labour(minutes), parts, ..Line::new(LineKind::Work, work_done(w)) };
        if !line.before_tax().is_zero() {
            lines.push(line);
        }
    }
    for (what, price) in extra_parts {
        lines.push(Line { parts: marked_up(decimal(price.max(0.0), 2)), ..Line::new(LineKind::Parts, what) });
    }
    // Tools stay in the shop; the customer pays the part that the shop says.
    let tool_minutes = minutes_of(&|s| s.kind == StepKind::MakeTool);
    let tool_material: Decimal = plan.tools_to_make.iter().map(|t| decimal(plan::tool_price(&shop.standards, &t.0.body), 2)).sum();
    let tools = Line {
        labour: labour(charged(tool_minutes)),
        parts: to_cents(tool_material),
        ..Line::new(LineKind::Tools, "Tools made for this job")
    };
    let by_contract = shop.terms.tools_by_contract;
    let part = if by_contract { Decimal::ZERO } else { shop.tools_charged.clamp(Decimal::ZERO, Decimal::ONE) };
    let paid = to_cents(tools.before_tax() * part);
    if paid > Decimal::ZERO {
        // Making it is labor, its material parts: each is taxed as such.
        let parts = to_cents(tools.parts * part);
        lines.push(Line { labour: paid - parts, parts, ..tools.clone() });
    }
    on_top(&mut lines, shop);
    Bill { tools_borne: if by_contract { Decimal::ZERO } else { tools.before_tax() - paid }, ..summed(lines, shop) }
}

/// The bill of one tool that a contract pays by itself, once for all its instruments, and the shop keeps: what its making and its material
/// cost, with supplies, discount, tax and rounding as on every bill. What a job is charged for (handling, the minimum, rush, a deposit) is no
/// part of it, and a discount of an amount neither: that comes off each job. Each tool is a bill of its own, so that what a plan reckons with
/// for it is what the invoice has, to the cent, whichever others come with it.
pub fn of_tool(what: &str, making_min: f64, material_money: f64, shop: &Shop) -> Bill {
    let rate = decimal(shop.standards.labour_per_hour, 4).max(Decimal::ZERO);
    let minutes = decimal(making_min.max(0.0), 2);
    let labour = to_cents(minutes * rate / Decimal::from(60));
    let mut lines = vec![Line { minutes, labour, parts: decimal(material_money.max(0.0), 2), ..Line::new(LineKind::Tools, what) }];
    let part_off = |d: &Discount| matches!(d.off, Off::Part(_));
    let terms = Terms { rush: false, discount: shop.terms.discount.clone().filter(part_off), ..shop.terms.clone() };
    let (none, deposit) = (Decimal::ZERO, Decimal::ZERO);
    let shop = Shop { terms, deposit, overhead_per_job: none, minimum_charge: none, ..shop.clone() };
    on_top(&mut lines, &shop);
    summed(lines, &shop)
}

/// The lines with their tax, brought to the shop's step.
fn summed(mut lines: Vec<Line>, shop: &Shop) -> Bill {
    let tax = crate::tax::set(&mut lines, shop);
    let sum = lines.iter().map(Line::before_tax).sum::<Decimal>() + tax;
    let total = to_step(sum, shop.round_to);
    if total != sum {
        lines.push(Line { labour: total - sum, ..Line::new(LineKind::Rounding, ROUNDING) });
    }
    Bill {
        labour: lines.iter().map(|l| l.labour).sum(),
        parts: lines.iter().map(|l| l.parts).sum(),
        tax,
        total,
        lines,
        tools_borne: Decimal::ZERO,
        deposit: shop.deposit_of(total),
    }
}

/// Supplies, handling, minimum, rush, discount.
fn on_top(lines: &mut Vec<Line>, shop: &Shop) {
    let labour = |lines: &[Line]| lines.iter().map(|l| l.labour).sum::<Decimal>();
    let all = |lines: &[Line]| lines.iter().map(Line::before_tax).sum::<Decimal>();
    let of = |amount: Decimal, part: Decimal| to_cents(amount * part.max(Decimal::ZERO));
    let supplies = of(labour(lines), shop.supplies);
    if supplies > Decimal::ZERO {
        lines.push(Line { parts: supplies, ..Line::new(LineKind::Supplies, "Shop supplies") });
    }
    if shop.overhead_per_job > Decimal::ZERO {
        lines.push(Line { labour: to_cents(shop.overhead_per_job), ..Line::new(LineKind::Handling, "Shop handling") });
    }
    let lacks = to_cents(shop.minimum_charge) - all(lines);
    if lacks > Decimal::ZERO {
        lines.push(Line { labour: lacks, ..Line::new(LineKind::Minimum, "Minimum charge") });
    }
    let rush = of(labour(lines), shop.rush);
    if shop.terms.rush && rush > Decimal::ZERO {
        lines.push(Line { labour: rush, ..Line::new(LineKind::Rush, shop.terms.rush_words()) });
    }
    let (before, on_labour) = (all(lines), labour(lines));
    let off = shop.terms.discount.as_ref().map(|d| (d, d.off_of(before))).filter(|(_, off)| *off > Decimal::ZERO);
    if let Some((discount, off)) = off {
        // Off labor and parts alike, so that each is taxed on what is paid of it.
        let off_labour = to_cents(off * on_labour / before);
        lines.push(Line { labour: -off_labour, parts: off_labour - off, ..Line::new(LineKind::Discount, discount.words()) });
    }
}

/// Parts that a plan asks for besides labour: new tubes, and finish made good where the work goes so far.
pub fn parts(plan: &Plan, survey: &instrument::Survey, shop: &Shop) -> Vec<(String, f64)> {
    let mut all = Vec::new();
    for r in plan.replacements.iter().filter(|r| r.replace) {
        let Some(run) = survey.instrument.run(&r.run) else { continue };
        all.push((format!("New {}", run.name), shop.standards.part_price(run.role)));
    }
    for m in plan.mended.iter().filter(|m| m.parts_money > 0.0) {
        let name = survey.condition(&m.condition).map_or_else(|| m.condition.0.clone(), |c| c.of_what(&survey.instrument));
        let what = if m.mend == Mend::MakeBrace { format!("Material for the {name}") } else { format!("New {name}") };
        all.push((what, m.parts_money));
    }
    if plan.level == Level::Beautiful {
        let mut burnt: std::collections::BTreeMap<&str, f64> = std::collections::BTreeMap::new();
        for h in plan.steps.iter().filter_map(|s| s.heat.as_ref()) {
            for (run, length) in h.burnt_mm() {
                let mm = burnt.entry(run.0.as_str()).or_insert(0.0);
                *mm = mm.max(length);
            }
        }
        let mm: f64 = burnt.values().sum();
        if mm > 0.0 {
            all.push(("Finish repaired where heat marked it".to_owned(), mm * shop.standards.finish_per_mm));
        }
    }
    all
}

/// The time charged over the steps' mean, by the chance that the shop sets.
pub fn stretch(times: &Times, steps_mean_min: f64, charged_at: f64) -> f64 {
    if steps_mean_min > 0.0 { times.quantile_min(charged_at) / steps_mean_min } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn whole_amounts_by_hand() {
        let cents = |all: &[i64]| all.iter().map(|c| Decimal::new(*c, 2)).collect::<Vec<_>>();
        // 10.50 + 20.30 + 5.60 - 0.40 = 36: the floors 10, 20, 5, -1 lack 2, and .60 twice has lost most.
        assert_eq!(in_whole(&cents(&[1050, 2030, 560, -40])), Some([10, 20, 6, 0].map(Decimal::from).to_vec()));
        assert_eq!(in_whole(&cents(&[1050, 2030])), None);
        let lines = vec![("Dents".to_owned(), Decimal::new(1040, 2)), ("Rounding".to_owned(), Decimal::new(-40, 2))];
        assert_eq!(on_quote(lines), [("Dents".to_owned(), Decimal::TEN)]);
    }

    proptest! {
        #[test]
        fn whole_amounts_add_up_and_each_is_the_amount_within_one(cents in prop::collection::vec(-20_000_i64..90_000, 0..9)) {
            let mut all: Vec<Decimal> = cents.iter().map(|c| Decimal::new(*c, 2)).collect();
            let sum: Decimal = all.iter().sum();
            all.push(sum.ceil() - sum);
            let whole = in_whole(&all).unwrap();
            prop_assert_eq!(whole.iter().sum::<Decimal>(), sum.ceil());
            prop_assert!(all.iter().zip(&whole).all(|(a, w)| (a - w).abs() < Decimal::ONE && w.fract().is_zero()));
        }
    }
}
