//! The quotes that a customer was given: the link, how the answer came, and whether what stands in the record is what was answered.

use crate::agreeing::Asked;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::link::{self, Shows};
use crate::problem::{Outcome, Problem};
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::response::Redirect;
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::evidence::Same;
use store::offers::SavedQuote;
use units::money::show_price;

/// The form that closes or renews a link.
#[derive(Deserialize)]
pub struct OfQuote {
    quote: i64,
}

/// A quote as it was given.
///
/// # Errors
/// Where the record fails.
pub fn card(app: &App, signed: &Signed, host: &str, q: &SavedQuote) -> Outcome<Markup> {
    let scheme = if app.secure() { "https" } else { "http" };
    let answered = match (&q.chosen, &q.signed_by) {
        (Some(chosen), Some(name)) => {
            html! { p.good { "Accepted: " (offer_title(q, chosen)) ", by " (name) @if let Some(at) = q.signed_at { ", " (when::moment(at)) } "." } }
        }
        (None, Some(name)) => html! { p.bad { "Declined by " (name) @if let Some(at) = q.signed_at { ", " (when::moment(at)) } "." } },
        _ => html! { p.soft { "Not answered yet." } },
    };
    let act = |what: &str, words: &str| {
        html! {
            form method="post" action={ "/jobs/" (q.job) "/quote/link/" (what) } {
                (layout::csrf(signed)) input type="hidden" name="quote" value=(q.id);
                button.plain type="submit" { (words) }
            }
        }
    };
    Ok(html! {
        section.card {
            p { @if q.adds_to.is_some() { "A supplement, given " } @else { "Given " } (when::moment(q.made_at)) @if let Ok(asked) = Asked::of(q) { ", " (quote::words::price_name(asked.prices()).to_lowercase()) } @if let Some(day) = &q.valid_until { ", valid until " (when::day_words(day)) } "." }
            @match (&q.token, link::shows(app, q)) {
                (_, Err(Problem::Gone(why))) => p.warn { "The customer's page is closed: " (why) },
                (_, Err(other)) => p.bad role="alert" { (other.to_string()) },
                (None, Ok(_)) => p.warn { "The link cannot be shown: it was made on another machine, or before the record was restored. The customer's own link still works. To send one again, make a new one; the old one stops working." },
                (Some(token), Ok(Shows::Open)) if signed.may(Need::Quote) => (super::send_link::ways(app, signed, q, &format!("{scheme}://{host}/q/{token}"))?),
                (Some(token), Ok(shows)) => p { "The customer's page: " a href={ "/q/" (token) } { (format!("{scheme}://{host}/q/{token}")) } @if let Shows::Read(why) = shows { br; span.soft { "It takes no answer. " (why) } } },
            }
            (answered)
            (evidence(app, q)?)
            @if signed.may(Need::Quote) {
                div.row {
                    @if !q.revoked { (act("close", "Close the link")) }
                    @if q.revoked || q.token.is_none() { (act("renew", "Make a new link")) }
                }
            }
        }
    })
}

/// How the answer came, for whoever may give quotes; and, for all, that it is not what was answered.
fn evidence(app: &App, q: &SavedQuote) -> Outcome<Markup> {
    if q.signed_at.is_none() {
        return Ok(html! {});
    }
    let same = app.store().is_as_answered(q.id)?;
    Ok(html! {
        @if let Same::No(why) = &same { p.bad role="alert" { "What stands in the record is not what was answered: " (why) ". An older backup has the quote of then; the journal tells who changed it." } }
        details {
            summary { "How the answer came" }
            table { tbody {
                @for (what, text) in [("Network address", &q.answered_from), ("Browser", &q.answered_with), ("Signed in there, or taken by", &q.answered_under)] {
                    tr { th scope="row" { (what) } td.broken { @if text.is_empty() { "–" } @else { (text) } } }
                }
                @for (what, hash) in [("SHA-256 of text, dates, ground and amount", &q.answered_text), ("SHA-256 of the paper", &q.answered_paper)] {
                    tr { th scope="row" { (what) } td.broken.num { (hash.as_deref().unwrap_or("–")) } }
                }
            } }
            p.soft { @match same {
                Same::Yes => "Looked at just now: the quote that stands in the record is the one that was answered.",
                Same::NotKept => "It was answered before this was kept.",
                Same::Erased => "The customer was erased; what stands here cannot be compared any more.",
                Same::No(_) => "It is not what was answered: see above.",
            } }
        }
    })
}

fn offer_title(q: &SavedQuote, key: &str) -> String {
    let title = |asked: Asked| {
        let (_, total, name) = asked.taken(key).ok()?;
        Some(format!("{name} ({})", show_price(total, asked.currency())))
    };
    Asked::of(q).ok().and_then(title).unwrap_or_else(|| key.to_owned())
}

/// Closes a quote's link.
///
/// # Errors
/// Where there is no such quote of the job.
pub async fn close(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<OfQuote>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        app.store().revoke_link(By { who: &signed.person.login, at: when::now() }, id, f.quote)?;
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}

/// Makes a new link for a quote.
///
/// # Errors
/// Where there is no such quote of the job, or it was taken back.
pub async fn renew(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<OfQuote>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        app.store().renew_link(By { who: &signed.person.login, at: when::now() }, id, f.quote, &password::token()?)?;
        Ok(Redirect::to(&format!("/jobs/{id}/quote")))
    })
    .await
}
