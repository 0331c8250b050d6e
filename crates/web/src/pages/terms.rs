//! The terms of a job (rush, discount) on its quote's page, and those of a customer (discount, tax certificate) on theirs.

use crate::agreeing::{Asked, owed};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill};
use crate::{layout, when};
use axum::response::Redirect;
use jiff::civil::Date;
use maud::{Markup, html};
use quote::{Off, Shop};
use rust_decimal::Decimal;
use serde::Deserialize;
use store::By;
use store::agreements::Agreement;
use store::board::BoardLine;
use store::offers::SavedQuote;
use store::terms::{CustomerTerms, JobTerms};

/// What the job's form sends.
#[derive(Deserialize)]
pub struct OfJob {
    #[serde(default)]
    rush: String,
    #[serde(default)]
    due: String,
    #[serde(default)]
    discount: String,
    #[serde(default)]
    reason: String,
    #[serde(default)]
    version: i64,
}

/// What the customer's form sends.
#[derive(Deserialize)]
pub struct OfCustomer {
    #[serde(default)]
    discount: String,
    #[serde(default)]
    reason: String,
    #[serde(default)]
    exempt: String,
    #[serde(default)]
    version: i64,
}

fn percent(part: Decimal) -> String {
    format!("{} %", (part * Decimal::ONE_HUNDRED).normalize())
}

/// A discount and its reason, as both forms ask for them.
fn discount<'a>(refill: Refill<'a>, off: &'a str, reason: &'a str) -> Markup {
    html! {
        label { span { "Discount" } input name="discount" value=(refill.text("discount", off)) autocomplete="off" placeholder="10 % or 25"; span.soft.small { "A part in %, or an amount before tax." } (refill.beside("discount", off)) }
        label { span { "Why" } input name="reason" maxlength="120" value=(refill.text("reason", reason)) autocomplete="off"; span.soft.small { "The customer reads it on the quote and the invoice." } (refill.beside("reason", reason)) }
    }
}

/// The terms of a job: what holds, and the form.
///
/// # Errors
/// Where the record fails.
pub(super) fn of_job(app: &App, signed: &Signed, line: &BoardLine, shop: &Shop, redisplay: &Redisplay) -> Outcome<Markup> {
    let id = line.job.id;
    let action = format!("/jobs/{id}/terms");
    let refill = redisplay.form(&action);
    let (own, customer) = app.store().terms_of(id)?;
    let due = line.job.due.as_deref().unwrap_or_default();
    let terms = &shop.terms;
    let mut holds: Vec<String> = Vec::new();
    if terms.rush {
        holds.push(format!("{}: {} of the labor.", terms.rush_words(), percent(shop.rush)));
    }
    if let Some(d) = &terms.discount {
        holds.push(format!("{}{}.", d.words(), if own.discount.is_empty() { ", from the customer’s terms" } else { "" }));
    }
    if !terms.exempt.is_empty() {
        holds.push(format!("No sales tax: {}.", terms.exempt));
    }
    let may = signed.may(Need::Quote) && !line.job.state.is_closed();
    Ok(html! {
        @if may || !holds.is_empty() {
            details.terms open[refill.refused()] id="terms" {
                summary { "Rush and discount: " @if holds.is_empty() { "none" } @else { (holds.join(" ")) } }
                @if may {
                    form.stack.card method="post" action=(action) {
                        (layout::csrf(signed)) (refill.problems()) (refill.version(own.version))
                        label.check { input type="checkbox" name="rush" value="yes" checked[refill.ticked("rush", "yes", own.rush)]; span { "Rush: it goes before other jobs, for " (percent(shop.rush)) " of the labor more" } }
                        label { span { "Wanted by" } input type="date" name="due" value=(refill.text("due", due)); (refill.beside("due", due)) }
                        (discount(refill, &own.discount, &own.reason))
                        @if !customer.discount.is_empty() { p.soft.small { "Left empty: the customer’s " (customer.discount) " (" (customer.reason) ")." } }
                        p.soft.small { "It holds for the next quote. What was given or agreed stays as it was." }
                        button type="submit" { "Save the terms" }
                    }
                }
            }
        }
    })
}

/// What the customer chose, weighed: repair against the instrument's value at the price that was agreed, all that was found since in it;
/// and whether the deposit is paid.
///
/// # Errors
/// Where an amount cannot be read back.
pub(super) fn chosen(app: &App, id: i64, agreements: &[Agreement], given: &[SavedQuote], shop: &Shop) -> Outcome<Markup> {
    let Some(first) = agreements.first() else { return Ok(html! {}) };
    let Some(Asked::Offers(quote)) = given.iter().find(|q| q.id == first.quote).map(Asked::of).transpose()? else { return Ok(html! {}) };
    let verdict = quote::offer::verdict(owed(agreements)?, quote.value, shop);
    let deposit = crate::invoice::invoice(app, id)?.deposit_words();
    Ok(html! {
        p { (verdict.words) }
        @if !deposit.is_empty() { p { strong { (deposit) } } }
    })
}

/// What a discount says, as the record keeps it: read and shown again.
fn off(text: &str, refused: &mut Vec<(String, String)>) -> String {
    match text.trim() {
        "" => String::new(),
        text => Off::read(text).map_or_else(
            |e| {
                refused.push(("discount".to_owned(), e));
                String::new()
            },
            |off| off.typed(),
        ),
    }
}

/// Keeps the terms of a job.
///
/// # Errors
/// Where a discount is none or has no reason, a rush has no day, or somebody saved in between.
pub(super) fn kept(app: &App, signed: &Signed, id: i64, f: &OfJob) -> Outcome<Redirect> {
    let mut refused = Vec::new();
    let terms = JobTerms {
        rush: f.rush == "yes",
        discount: off(&f.discount, &mut refused),
        reason: f.reason.trim().to_owned(),
        version: f.version,
    };
    let day = Some(f.due.trim()).filter(|d| !d.is_empty());
    if day.is_some_and(|d| d.parse::<Date>().is_err()) {
        refused.push(("due".to_owned(), format!("“{}” is no day; write it like 2026-12-04", f.due.trim())));
    }
    if terms.rush && day.is_none() {
        refused.push(("due".to_owned(), "Say by which day a rush job is wanted.".to_owned()));
    }
    if !terms.discount.is_empty() && terms.reason.is_empty() {
        refused.push(("reason".to_owned(), "Say why it is cheaper.".to_owned()));
    }
    if !refused.is_empty() {
        return Err(Problem::Fields(refused));
    }
    app.store().set_job_terms(By { who: &signed.person.login, at: when::now() }, id, &terms, day)?;
    Ok(Redirect::to(&format!("/jobs/{id}/quote#terms")))
}

/// The terms of a customer: what holds for all their jobs.
///
/// # Errors
/// Where the record fails.
pub(super) fn of_customer(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let action = format!("/customers/{id}/terms");
    let refill = redisplay.form(&action);
    let now = app.store().customer_terms(id)?;
    if !signed.may(Need::Owner) {
        return Ok(
            html! { @if !now.discount.is_empty() { p { "Discount: " (now.discount) ", " (now.reason) "." } } @if !now.exempt.is_empty() { p { "No sales tax: " (now.exempt) "." } } },
        );
    }
    Ok(html! {
        h2 { "Terms" }
        form.stack.card method="post" action=(action) {
            (layout::csrf(signed)) (refill.problems()) (refill.version(now.version))
            (discount(refill, &now.discount, &now.reason))
            label { span { "No sales tax: certificate" } input name="exempt" maxlength="120" value=(refill.text("exempt", &now.exempt)) autocomplete="off"; span.soft.small { "Only where the customer pays none. It stands on the quote." } (refill.beside("exempt", &now.exempt)) }
            p.soft.small { "For all quotes to this customer from now on." }
            button type="submit" { "Save the terms" }
        }
    })
}

/// Keeps the terms of a customer.
///
/// # Errors
/// Where a discount is none or has no reason, or somebody saved in between.
pub(super) fn kept_of_customer(app: &App, signed: &Signed, id: i64, f: &OfCustomer) -> Outcome<Redirect> {
    let mut refused = Vec::new();
    let discount = off(&f.discount, &mut refused);
    let terms = CustomerTerms { discount, reason: f.reason.trim().to_owned(), exempt: f.exempt.trim().to_owned(), version: f.version };
    if !terms.discount.is_empty() && terms.reason.is_empty() {
        refused.push(("reason".to_owned(), "Say why it is cheaper.".to_owned()));
    }
    if !refused.is_empty() {
        return Err(Problem::Fields(refused));
    }
    app.store().set_customer_terms(By { who: &signed.person.login, at: when::now() }, id, &terms)?;
    Ok(Redirect::to(&format!("/customers/{id}")))
}
