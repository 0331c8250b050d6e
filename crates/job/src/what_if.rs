//! What the decisions of a person change.

use crate::Job;
use plan::{Change, Plan, Respect, Side, what_changed};
use rust_decimal::Decimal;
use units::duration::show_minutes;
use units::money::show_price;

impl Job {
    /// What the overrules change against the plan without them, the customer's price last; nothing where there are none.
    pub fn changes(&self) -> Vec<Change> {
        let Some(free) = &self.not_overruled else { return vec![] };
        let mut all = what_changed(&Side { plan: free, ..self.side() }, &self.side());
        let (before, after) = (self.price(free), self.price(&self.plan));
        if before != after {
            let words = |amount: Decimal| show_price(amount, &self.shop.currency).into();
            let number = |amount: Decimal| f64::try_from(amount).unwrap_or_default();
            all.push(Change {
                about: format!(
                    "price for the customer (“{}”)",
                    self.quote.of_level(self.plan.level).map_or_else(|| quote::words::name(self.plan.level), |o| o.name.as_str())
                ),
                dent: None,
                respect: Respect::Price,
                figures: Some((number(before), number(after))),
                before: words(before),
                after: words(after),
            });
        }
        all
    }

    /// What the customer pays for a plan, as its offer says.
    fn price(&self, plan: &Plan) -> Decimal {
        quote::offer::offer(&self.survey, plan, &self.shop, None).bill.total
    }

    /// Its plan with what that was made from, to be held against another.
    pub fn side(&self) -> Side<'_> {
        Side { survey: &self.survey, assessments: &self.assessments, plan: &self.plan, currency: &self.shop.currency }
    }

    /// That a deadline is not kept, in a sentence; none where it is.
    pub fn deadline_missed(&self) -> Option<String> {
        let takes = self.plan.minutes.mean();
        let deadline = self.overrules.deadline_min().filter(|d| takes > *d)?;
        Some(format!(
            "The deadline of {} cannot be kept: the least that must be done takes {}.",
            show_minutes(deadline),
            show_minutes(takes)
        ))
    }
}
