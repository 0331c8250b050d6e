//! What was found later, on top of what was agreed: what it adds, line by line, to the cent.

use crate::bill::Bill;
use crate::bill::on_quote;
use crate::place::place;
use crate::shop::{Contact, Prices};
use instrument::{ConditionKind, DentId, Survey};
use plan::{Level, Plan, PlannedWork};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A supplement to what was agreed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Supplement {
    /// The shop's name.
    pub shop: String,
    /// Where the shop is found.
    #[serde(default)]
    pub contact: Contact,
    /// What the price promises: as agreed.
    #[serde(default)]
    pub prices: Prices,
    /// How far the work goes: as agreed.
    pub level: Level,
    /// What was found, in the customer's words.
    pub found: Vec<String>,
    /// What was agreed to be worked and then stays, in the customer's words.
    #[serde(default)]
    pub no_longer: Vec<String>,
    /// What it changes, line by line: each line's difference, tax last.
    pub lines: Vec<(String, Decimal)>,
    /// What was agreed so far.
    pub before: Decimal,
    /// What it comes to with this.
    pub after: Decimal,
    /// The difference: what this supplement is about.
    pub adds: Decimal,
    /// Minutes at the bench that come on top.
    pub minutes: f64,
    /// Sign of the currency.
    pub currency: String,
}

impl Supplement {
    /// Its lines as the customer is shown them: they add up to what it adds.
    pub fn lines_on_quote(&self) -> Vec<(String, Decimal)> {
        on_quote(self.lines.clone())
    }
}

/// The line of the tax.
pub const TAX: &str = "Tax";

/// The line of what is too small to tell.
pub const SMALL: &str = "Small differences";

/// Money that nobody wants a line for of its own.
const TOO_SMALL: Decimal = Decimal::ONE;

/// The differences of two bills, line by line, those of less than a dollar in one, tax last. Their sum is the difference of the totals.
pub fn differences(before: &Bill, after: &Bill) -> Vec<(String, Decimal)> {
    let of = |bill: &Bill, what: &str| bill.lines.iter().filter(|l| l.what == what).map(|l| l.labour + l.parts).sum::<Decimal>();
    let mut names: Vec<&str> = after.lines.iter().map(|l| l.what.as_str()).collect();
    names.extend(before.lines.iter().map(|l| l.what.as_str()).filter(|w| !after.lines.iter().any(|l| l.what == *w)));
    let mut seen = Vec::new();
    names.retain(|n| {
        let new = !seen.contains(n);
        seen.push(*n);
        new
    });
    let all = names.into_iter().map(|w| (w.to_owned(), of(after, w) - of(before, w)));
    let (small, mut lines): (Vec<_>, Vec<_>) = all.partition(|(_, d): &(String, Decimal)| d.abs() < TOO_SMALL);
    let small: Decimal = small.into_iter().map(|(_, d)| d).sum();
    if !small.is_zero() {
        lines.push((SMALL.to_owned(), small));
    }
    if after.tax != before.tax {
        lines.push((TAX.to_owned(), after.tax - before.tax));
    }
    lines
}

/// What a survey holds that an earlier one did not, in the customer's words; `work`: what the later plan does of the work asked for.
pub fn found(before: &Survey, after: &Survey, work: &[PlannedWork]) -> Vec<String> {
    let on =
        |run: &instrument::RunId| after.instrument.run(run).map_or_else(|| run.0.clone(), |r| format!("{} ({})", r.name, place(r.role)));
    let mut all = Vec::new();
    for d in &after.dents {
        match before.dent(&d.id) {
            None if d.crack.is_some() => all.push(format!("A cracked dent on the {}", on(&d.run))),
            None => all.push(format!("A dent on the {}", on(&d.run))),
            Some(then) if then != d => all.push(format!("The dent {} on the {} is not as it looked", d.id, on(&d.run))),
            Some(_) => {}
        }
    }
    for d in before.dents.iter().filter(|d| after.dent(&d.id).is_none()) {
        all.push(format!("The dent {} is no dent", d.id));
    }
    for c in after.conditions.iter().filter(|c| !before.conditions.contains(c)) {
        let what = match c.kind {
            ConditionKind::RedRot => "Red rot in",
            ConditionKind::Crack => "A crack in",
            ConditionKind::Hole => "A hole in",
            ConditionKind::SeasonCracking => "Cracks of age in",
            ConditionKind::Thin => "A thin place in",
            ConditionKind::LooseBrace => "A loose brace:",
            ConditionKind::BrokenBrace => "A broken brace:",
            ConditionKind::MissingBrace => "A missing brace:",
            ConditionKind::PulledJoint => "A pulled joint:",
            ConditionKind::OutOfLine => "A bent tube:",
            ConditionKind::BentBell => "A bent bell:",
            ConditionKind::BentHandSlide => "A bent slide:",
            ConditionKind::Oval => "A tube that is no longer round:",
        };
        let of = c.run.as_ref().map_or_else(|| c.of_what(&after.instrument), &on);
        all.push(format!("{what} the {of}"));
    }
    let asked = after.work.iter().filter(|w| !before.work.contains(w)).filter_map(|w| work.iter().find(|p| p.work == w.id));
    all.extend(asked.map(|w| format!("Asked for: {}", crate::work::work_done(w))));
    all.extend(before.work.iter().filter(|w| after.work(&w.id).is_none()).map(|_| "Work that is not wanted any more".to_owned()).next());
    if all.is_empty() && before != after {
        all.push("Something about the instrument itself was not as it was written down".to_owned());
    }
    all
}

/// Dents that the agreed plan works and the other does not, in the customer's words.
pub fn no_longer(survey: &Survey, agreed: &Plan, with: &Plan) -> Vec<String> {
    let worked = |plan: &Plan, d: &DentId| plan.choices.iter().any(|c| c.dent == *d);
    let gone = agreed.choices.iter().map(|c| &c.dent).filter(|d| !worked(with, d));
    gone.map(|d| {
        let run = survey.dent(d).and_then(|dent| survey.instrument.run(&dent.run));
        run.map_or_else(|| format!("Dent {d}"), |r| format!("Dent {d} on the {} ({})", r.name, place(r.role)))
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::{Line, LineKind};

    fn bill(lines: &[(&str, i64)], tax: i64) -> Bill {
        let cents = |c: i64| Decimal::new(c, 2);
        let lines: Vec<Line> = lines.iter().map(|(what, c)| Line { labour: cents(*c), ..Line::new(LineKind::Work, *what) }).collect();
        let labour: Decimal = lines.iter().map(|l| l.labour).sum();
        Bill {
            labour,
            parts: Decimal::ZERO,
            tax: cents(tax),
            total: labour + cents(tax),
            lines,
            tools_borne: Decimal::ZERO,
            deposit: Decimal::ZERO,
        }
    }

    #[test]
    fn the_lines_add_up_to_the_difference() {
        let before = bill(&[("Dents", 10010), ("Patches", 500)], 841);
        let after = bill(&[("Dents", 13333), ("New leadpipe", 6001)], 1547);
        let lines = differences(&before, &after);
        assert_eq!(lines.iter().map(|l| l.1).sum::<Decimal>(), after.total - before.total);
        // By hand: 133.33 - 100.10, 60.01, -5.00, 15.47 - 8.41.
        let by_hand = [("Dents", 3323), ("New leadpipe", 6001), ("Patches", -500), ("Tax", 706)];
        assert_eq!(lines, by_hand.map(|(w, c)| (w.to_owned(), Decimal::new(c, 2))));
    }
    #[test]
    fn cents_are_told_in_one_line_and_their_sum_stays() {
        let before = bill(&[("Dents", 10010), ("Cleaning", 2500), ("Finish", 900), ("Rounding", -1)], 100);
        let after = bill(&[("Dents", 10011), ("Cleaning", 2462), ("Finish", 1000), ("Rounding", 2)], 100);
        let lines = differences(&before, &after);
        // By hand: 0.01 - 0.38 + 0.03; a whole dollar stands by itself.
        assert_eq!(lines, [("Finish", 100), (SMALL, -34)].map(|(w, c)| (w.to_owned(), Decimal::new(c, 2))));
        assert_eq!(lines.iter().map(|l| l.1).sum::<Decimal>(), after.total - before.total);
        let even = bill(&[("Dents", 10010), ("Cleaning", 2510), ("Finish", 890), ("Rounding", -1)], 100);
        assert_eq!(differences(&before, &even), vec![]);
    }
}
