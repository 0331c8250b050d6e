//! Charging less than was agreed, with a reason that the customer reads on the invoice: an estimate that turned out too high. More
//! than was agreed is never charged here; that is a supplement, which the customer agrees to.

use crate::agreeing::amount;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::Redisplay;
use crate::{layout, when};
use axum::response::Redirect;
use maud::{Markup, html};
use report::Invoice;
use rust_decimal::Decimal;
use serde::Deserialize;
use store::By;
use units::money::{parse_money, to_cents};

/// What the form sends.
#[derive(Deserialize)]
pub struct Charge {
    #[serde(default)]
    act: String,
    /// What is charged.
    #[serde(default)]
    charge: String,
    /// What was charged when the page was made.
    #[serde(default)]
    of: String,
    #[serde(default)]
    reason: String,
    #[serde(default)]
    which: i64,
}

fn action(id: i64) -> String {
    format!("/jobs/{id}/charge")
}

/// The form, folded away until it is wanted, and what was taken off.
pub(super) fn form(app: &App, signed: &Signed, id: i64, i: &Invoice, redisplay: &Redisplay) -> Outcome<Markup> {
    let action = action(id);
    let refill = redisplay.form(&action);
    if i.parts.is_empty() || !signed.may(Need::HandBack) {
        return Ok(refill.problems());
    }
    let all = app.store().reductions(id)?;
    let estimate = i.parts.iter().any(|p| p.prices == quote::Prices::Estimate);
    Ok(html! {
        details open[refill.refused()] {
            summary { @if estimate { "The work came to less than the estimate" } @else { "Charge less" } }
            form.stack.card method="post" action=(action) {
                (layout::csrf(signed)) (refill.problems())
                input type="hidden" name="of" value=(to_cents(i.total()));
                label { span { "Charge, tax included" } input name="charge" inputmode="decimal" value=(refill.text("charge", "")) placeholder=(to_cents(i.total()).to_string()); span.soft.small { "At most " (i.money(i.total())) ". More needs a supplement that the customer agrees to." } }
                label { span { "Reason" } input name="reason" maxlength="200" value=(refill.text("reason", "")); span.soft.small { "The customer reads it on the invoice." } }
                button.plain type="submit" name="act" value="less" { "Charge this" }
            }
            @for r in all.iter().filter(|r| !r.void) {
                form.row method="post" action=(action) {
                    (layout::csrf(signed)) input type="hidden" name="which" value=(r.id);
                    p { (i.money(amount(&r.amount)?)) " less: " (r.reason) span.soft { ", " (r.who) ", " (when::moment(r.at)) } }
                    button.plain type="submit" name="act" value="void" { "Take it back" }
                }
            }
        }
    })
}

/// What is taken off, where so much of what is owed is charged: at most all of it, at least a cent.
fn taken_off(agreed: &[String], before: &[String], seen: Decimal, charge: Decimal) -> Result<String, String> {
    let sum = |all: &[String]| all.iter().map(|a| amount(a)).sum::<Outcome<Decimal>>().map_err(|e| e.to_string());
    let owed = sum(agreed)? - sum(before)?;
    if owed != seen {
        return Err("the amount has changed since this page was made; look at it again".to_owned());
    }
    match owed - charge {
        less if charge < Decimal::ZERO => Err(format!("an amount of {charge} cannot be charged: {less} is more than is owed")),
        less if less < Decimal::ZERO => Err("that is more than was agreed: offer a supplement, which the customer agrees to".to_owned()),
        less if less.is_zero() => Err("that is what is charged already".to_owned()),
        less => Ok(to_cents(less).to_string()),
    }
}

/// Charges less, or takes that back.
///
/// # Errors
/// Where nothing was agreed, the amount is none or more than is owed, or no reason is given.
pub(super) fn kept(app: &App, signed: &Signed, id: i64, f: &Charge) -> Outcome<Redirect> {
    let by = By { who: &signed.person.login, at: when::now() };
    if f.act == "void" {
        app.store().void_reduction(by, id, f.which)?;
    } else {
        let charge = parse_money(&f.charge).map_err(|e| Problem::Bad(e.to_string()))?;
        if charge != to_cents(charge) {
            return Err(Problem::Bad("an amount is in whole cents".to_owned()));
        }
        let seen = f.of.trim().parse().map_err(|_| Problem::Bad("load the page again: it does not say what is owed".to_owned()))?;
        app.store().charge_less(by, id, &f.reason, |agreed, before| taken_off(agreed, before, seen, charge))?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/hand-back")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn less_is_charged_never_more_and_never_below_nothing() {
        let of = |agreed: &[&str], before: &[&str], seen: &str, charge: &str| {
            let owned = |all: &[&str]| all.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>();
            taken_off(&owned(agreed), &owned(before), seen.parse().unwrap(), charge.parse().unwrap())
        };
        assert_eq!(of(&["200.00", "50.00"], &[], "250.00", "210.50"), Ok("39.50".to_owned()));
        assert_eq!(of(&["250.00"], &["40.00"], "210", "200"), Ok("10.00".to_owned()));
        assert_eq!(of(&["250.00"], &[], "250", "0"), Ok("250.00".to_owned()));
        for (before, seen, charge, says) in [
            ("0.00", "250", "250.01", "more than was agreed"),
            ("0.00", "250", "-1", "cannot be charged"),
            ("0.00", "250", "250", "already"),
            ("40.00", "250", "200", "changed since"),
            // What was taken off is not charged again without the customer.
            ("40.00", "210", "230", "more than was agreed"),
        ] {
            let said = of(&["250.00"], &[before], seen, charge).unwrap_err();
            assert!(said.contains(says), "{charge}: {said}");
        }
    }
}
