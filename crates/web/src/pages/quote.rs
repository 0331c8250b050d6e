//! The quote: three offers, given to the customer behind a link that nobody can guess.

use super::jobs::head;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::unit_format::UnitFormat;
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use quote::{Offer, Quote};
use serde::Deserialize;
use store::By;
use store::counter::JobState;
use units::money::show_money;

/// The form that gives a quote.
#[derive(Deserialize)]
pub struct Give {
    /// Whether it takes the place of one that is out.
    #[serde(default)]
    replace: String,
}

/// The quote's page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Outcome<Markup> {
    let host = headers.get("host").and_then(|h| h.to_str().ok()).unwrap_or("localhost").to_owned();
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        let job = app.job(id)?;
        let given = app.store().quotes_of(id)?;
        let scheme = if app.secure() { "https" } else { "http" };
        Ok(layout::page(
            &signed,
            "Quote",
            html! {
                (head(&line, "quote"))
                @if !given.is_empty() { h2 { "Given to the customer" } }
                @for q in &given {
                    section.card {
                        p { "Given " (when::moment(q.made_at)) @if let Some(day) = &q.valid_until { ", holds until " (day) } ". The customer's page: "
                            a href={ "/q/" (q.token) } { (scheme) "://" (host) "/q/" (q.token) } }
                        @match (&q.chosen, &q.signed_by) {
                            (Some(chosen), Some(name)) => p.good { "Accepted: " (offer_title(&q.body, chosen)) ", signed by " (name) @if let Some(at) = q.signed_at { ", " (when::moment(at)) } "." },
                            (None, Some(name)) => p.bad { "Declined by " (name) "." },
                            _ => p.soft { "Not answered yet." },
                        }
                    }
                }
                @if !given.is_empty() { h2 { "As the plan stands now" } }
                div.offers { @for offer in &job.quote.offers { (one_offer(signed.fmt, &job.quote, offer, true)) } }
                div.row {
                    @if signed.may(Need::Quote) && matches!(line.job.state, JobState::Received | JobState::Surveyed | JobState::Quoted) {
                        @if given.first().is_some_and(|q| q.signed_at.is_none()) {
                            details {
                                summary { "Send a new quote" }
                                form method="post" action={ "/jobs/" (id) "/quote" } {
                                    (layout::csrf(&signed)) input type="hidden" name="replace" value="yes";
                                    p { "The customer has a quote that is not answered. Its link stops working. On the job's page the new one can be taken back." }
                                    button.plain type="submit" { "Yes, replace it" }
                                }
                            }
                        } @else { form method="post" action={ "/jobs/" (id) "/quote" } { (layout::csrf(&signed)) button type="submit" { "Give this quote" } } }
                    }
                    a.button.plain href={ "/jobs/" (id) "/quote.pdf" } { "Quote as PDF" }
                    a.button.plain href={ "/jobs/" (id) "/bench-card.pdf" } { "Bench card as PDF" }
                }
            },
        ))
    })
    .await
}

/// Gives the quote as it stands now.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn give(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Give>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let body = serde_json::to_string(&job.quote).map_err(|e| Problem::Broken(e.to_string()))?;
        let until = when::in_days(job.quote.valid_days);
        let (by, token) = (By { who: &signed.person.login, at: when::now() }, password::token()?);
        if f.replace == "yes" {
            app.store().replace_quote(by, id, &token, &body, Some(&until))?;
        } else {
            app.store().add_quote(by, id, &token, &body, Some(&until))?;
        }
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}

/// The quote on paper, as it stands now.
///
/// # Errors
/// Where there is no such job, no survey yet, or the typesetting fails.
pub async fn pdf(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let bytes = super::papers::quote(&job, &job.quote, fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}

/// An offer as a card. With `lines`, the lines that its total is made of.
pub fn one_offer(_fmt: UnitFormat, quote: &Quote, offer: &Offer, lines: bool) -> Markup {
    let money = |amount| show_money(amount, &quote.currency);
    html! {
        section.card.offer {
            h2 { (offer.name) }
            p.price.num { (money(offer.bill.total)) }
            @for words in &offer.words { p { (words) } }
            p.soft { (offer.verdict.words) }
            @if lines {
                p.soft.small.num { "Between " (money(offer.range.0)) " and " (money(offer.range.1)) " in eight of ten such jobs; "
                    (format!("{:.1} h of work, {:.1} to {:.1} h", offer.times.p50_min / 60.0, offer.times.p10_min / 60.0, offer.times.p90_min / 60.0)) }
                details { summary { "What the price is made of" }
                    table { tbody { @for l in &offer.bill.lines { tr { th scope="row" { (l.what) } td.n { (money(l.labour + l.parts)) } } } @if !offer.bill.tax.is_zero() { tr { th scope="row" { "Tax" } td.n { (money(offer.bill.tax)) } } } } }
                }
            } @else {
                @if !offer.bill.tax.is_zero() { p.soft.small { "with " (money(offer.bill.tax)) " tax" } }
            }
        }
    }
}

/// The key of an offer on the customer's form: its level's name.
pub fn offer_key(offer: &Offer) -> String {
    serde_json::to_value(offer.level).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

fn offer_title(body: &str, key: &str) -> String {
    let quote: Option<Quote> = serde_json::from_str(body).ok();
    quote
        .and_then(|q| {
            q.offers.iter().find(|o| offer_key(o) == key).map(|o| format!("{} ({})", o.name, show_money(o.bill.total, &q.currency)))
        })
        .unwrap_or_else(|| key.to_owned())
}
