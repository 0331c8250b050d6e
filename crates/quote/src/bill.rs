//! What a job costs, line by line, in exact decimals: the total is the sum of its lines to the cent.

use crate::shop::Shop;
use crate::times::Times;
use plan::{Level, Mend, Plan, StepKind};
use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Serialize};
use units::money::to_cents;

/// A line of the bill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What it is for, in plain words.
    pub what: String,
    /// Bench minutes charged.
    pub minutes: Decimal,
    /// Labour, to the cent.
    pub labour: Decimal,
    /// Parts and material, to the cent.
    pub parts: Decimal,
    /// Tax on both, to the cent.
    pub tax: Decimal,
}

impl Line {
    /// All of it.
    pub fn total(&self) -> Decimal {
        self.labour + self.parts + self.tax
    }
}

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
    /// What tools to make cost the shop and the customer does not pay.
    pub tools_borne: Decimal,
}

/// The line that brings a total to the shop's step.
const ROUNDING: &str = "Rounding";

/// Amounts in whole units of money that add up to their sum all the same (each loses its cents, and those that lost most get a unit back, as
/// many as lack: the method of largest remainders, as seats are dealt out; from memory). None where the sum has cents itself.
pub fn in_whole(amounts: &[Decimal]) -> Option<Vec<Decimal>> {
    let sum: Decimal = amounts.iter().sum();
    if !sum.fract().is_zero() {
        return None;
    }
    let mut whole: Vec<Decimal> = amounts.iter().map(Decimal::floor).collect();
    let mut by_loss: Vec<usize> = (0..amounts.len()).collect();
    by_loss.sort_by_key(|i| std::cmp::Reverse(amounts[*i] - whole[*i]));
    let mut lack = sum - whole.iter().sum::<Decimal>();
    for i in by_loss {
        if lack < Decimal::ONE {
            break;
        }
        whole[i] += Decimal::ONE;
        lack -= Decimal::ONE;
    }
    Some(whole)
}

/// Lines as a quote shows them: in whole units of money where the total is whole, without those that then say nothing.
pub fn on_quote(lines: Vec<(String, Decimal)>) -> Vec<(String, Decimal)> {
    let amounts: Vec<Decimal> = lines.iter().map(|l| l.1).collect();
    let Some(whole) = in_whole(&amounts) else { return lines };
    lines.into_iter().zip(whole).map(|((what, _), amount)| (what, amount)).filter(|l| !l.1.is_zero()).collect()
}

impl Bill {
    /// Its lines and its tax as a quote shows them: they add up to the total.
    pub fn on_quote(&self) -> Vec<(String, Decimal)> {
        let lines = self.lines.iter().map(|l| (l.what.clone(), l.labour + l.parts));
        on_quote(lines.chain((!self.tax.is_zero()).then(|| ("Tax".to_owned(), self.tax))).collect())
    }
}

/// The groups of a bill, in its order.
const GROUPS: [(&str, &[StepKind]); 7] = [
    ("Cleaning, disassembly and assembly", &[StepKind::Clean, StepKind::Free, StepKind::Strip, StepKind::Assemble]),
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
    labour * (1.0 + number(shop.tax_on_labour)) + parts * (1.0 + number(shop.tax_on_parts))
}

/// The nearest multiple of a step, halves up; the amount itself where the step is not positive.
pub fn to_step(amount: Decimal, step: Decimal) -> Decimal {
    if step <= Decimal::ZERO {
        return to_cents(amount);
    }
    to_cents((amount / step).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero) * step)
}

/// The bill of a plan. `stretch` is the time charged over the steps' mean. A person's pace is no part of it: the customer pays the
/// shop's time ([`crate::learn::pace`]).
pub fn bill(plan: &Plan, shop: &Shop, stretch: f64, extra_parts: &[(String, f64)]) -> Bill {
    let rate = decimal(shop.standards.labour_per_hour, 4).max(Decimal::ZERO);
    let hour = Decimal::from(60);
    let charged = |minutes: f64| decimal((minutes * stretch).max(0.0), 2);
    let markup = Decimal::ONE + shop.markup_on_parts.max(Decimal::ZERO);
    let mut lines = Vec::new();
    let mut add = |what: String, minutes: Decimal, labour: Decimal, parts: Decimal| {
        let (labour, parts) = (to_cents(labour), to_cents(parts));
        let tax = to_cents(labour * shop.tax_on_labour.max(Decimal::ZERO)) + to_cents(parts * shop.tax_on_parts.max(Decimal::ZERO));
        lines.push(Line { what, minutes, labour, parts, tax });
    };
    for (what, kinds) in GROUPS {
        let minutes: f64 = plan.steps.iter().filter(|s| kinds.contains(&s.kind)).map(|s| s.minutes.mean()).sum();
        if minutes > 0.0 {
            let minutes = charged(minutes);
            add(what.to_owned(), minutes, minutes * rate / hour, Decimal::ZERO);
        }
    }
    for (what, price) in extra_parts {
        add(what.clone(), Decimal::ZERO, Decimal::ZERO, decimal(price.max(0.0), 2) * markup);
    }
    // Tools stay in the shop; the customer pays the part that the shop says.
    let tool_minutes: f64 = plan.steps.iter().filter(|s| s.kind == StepKind::MakeTool).map(|s| s.minutes.mean()).sum();
    let tool_material: Decimal = plan.tools_to_make.iter().map(|t| decimal(plan::tool_price(&shop.standards, &t.0.body), 2)).sum();
    let tools = to_cents(charged(tool_minutes) * rate / hour) + to_cents(tool_material);
    let paid = to_cents(tools * shop.tools_charged.clamp(Decimal::ZERO, Decimal::ONE));
    if paid > Decimal::ZERO {
        add("Tools made for this job".to_owned(), Decimal::ZERO, paid, Decimal::ZERO);
    }
    if shop.overhead_per_job > Decimal::ZERO {
        add("Shop handling".to_owned(), Decimal::ZERO, shop.overhead_per_job, Decimal::ZERO);
    }
    let before: Decimal = lines.iter().map(|l| l.labour + l.parts).sum();
    let minimum = to_cents(shop.minimum_charge);
    if before < minimum {
        let lacks = minimum - before;
        let tax = to_cents(lacks * shop.tax_on_labour.max(Decimal::ZERO));
        lines.push(Line { what: "Minimum charge".to_owned(), minutes: Decimal::ZERO, labour: lacks, parts: Decimal::ZERO, tax });
    }
    let sum: Decimal = lines.iter().map(Line::total).sum();
    let total = to_step(sum, shop.round_to);
    if total != sum {
        lines.push(Line {
            what: ROUNDING.to_owned(),
            minutes: Decimal::ZERO,
            labour: total - sum,
            parts: Decimal::ZERO,
            tax: Decimal::ZERO,
        });
    }
    Bill {
        labour: lines.iter().map(|l| l.labour).sum(),
        parts: lines.iter().map(|l| l.parts).sum(),
        tax: lines.iter().map(|l| l.tax).sum(),
        total: lines.iter().map(Line::total).sum(),
        lines,
        tools_borne: tools - paid,
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
