//! The customer's own page behind a link that nobody can guess: plain words, three offers, a signature.

use super::quote::{offer_key, one_offer};
use crate::app::App;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, when};
use axum::extract::{ConnectInfo, Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use quote::Quote;
use serde::Deserialize;
use std::net::SocketAddr;
use store::By;
use store::offers::SavedQuote;
use units::money::show_money;

/// What the customer's form sends.
#[derive(Deserialize)]
pub struct Answer {
    #[serde(default)]
    chosen: String,
    name: String,
    #[serde(default)]
    signature: String,
    answer: String,
}

/// Longest signature that is kept, bytes of path data.
const SIGNATURE_BYTES: usize = 24_000;

/// The page.
///
/// # Errors
/// Where no quote is behind the link.
pub async fn page(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Extension(fmt): Extension<UnitFormat>,
    Path(token): Path<String>,
) -> Outcome<Markup> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| shown(app, fmt, &token, &Redisplay::default())).await
}

fn shown(app: &App, fmt: UnitFormat, token: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let action = format!("/q/{token}");
    let refill = redisplay.form(&action);
    let saved = app.store().quote_by_token(token)?;
    let quote = read(&saved)?;
    let line = app.store().board_line(saved.job)?;
    let job = app.job(saved.job)?;
    let shop = app.shop()?;
    let answered = saved.signed_at.is_some();
    Ok(layout::bare_wide(
        &shop.name,
        html! {
            h1 { (shop.name) }
            p.big { (line.instrument) }
            p { "This is what we found, and three ways to put it right. Nothing is done before you say yes." }
            (job.where_dents_are(fmt))
            @if let (true, Some(name)) = (answered, &saved.signed_by) {
                section.card {
                    @if let Some(chosen) = quote.offers.iter().find(|o| Some(offer_key(o)) == saved.chosen) {
                        p.big.good { "Thank you, " (name) "." }
                        p { "You took “" (chosen.name) "” for " (show_money(chosen.bill.total, &quote.currency)) ". We will tell you when it is ready." }
                    } @else { p.big { "Thank you, " (name) "." } p { "You took none of our offers; the instrument waits for you as it is." } }
                    @if let Some(strokes) = &saved.signature { @if !strokes.is_empty() { svg viewBox="0 0 600 160" width="300" height="80" role="img" aria-label="Your signature" style="background:#fff" { path d=(strokes) fill="none" stroke="#111" stroke-width="2.5" {} } } }
                }
            } @else {
                (refill.problems())
                form.stack method="post" action=(action) {
                    fieldset style="border:0;padding:0" {
                        legend.visually-hidden { "Offers" }
                        div.offers {
                            @for (i, offer) in quote.offers.iter().enumerate() {
                                div { (one_offer(fmt, &quote, offer, false)) label.take { input type="radio" name="chosen" value=(offer_key(offer)) checked[refill.has("chosen", &offer_key(offer), i == 1)]; "I take “" (offer.name) "”" } }
                            }
                        }
                    }
                    @if let Some(day) = &saved.valid_until { p.soft { "These prices hold until " (day) "." } }
                    label { span { "Your name" } input name="name" required maxlength="120" autocomplete="name" value=(refill.text("name", "")); }
                    p { strong { "Sign here" } span.soft { " with a finger or the mouse; your name alone will do too" } }
                    svg id="signature" viewBox="0 0 600 160" preserveAspectRatio="none" role="img" aria-label="Field for your signature" { path d=(strokes(refill.text("signature", ""))) {} }
                    input type="hidden" name="signature" value=(strokes(refill.text("signature", "")));
                    div.row {
                        button type="submit" name="answer" value="yes" { "Accept this offer" }
                        button.plain type="submit" name="answer" value="no" { "Take none of them" }
                        button.quiet type="button" id="wipe" { "Wipe the signature" }
                    }
                }
            }
            p { a.button.plain href={ "/q/" (token) "/quote.pdf" } { "This quote as PDF" } }
        },
    ))
}

/// The customer answers.
///
/// # Errors
/// Where no quote is behind the link, it was answered, or a field cannot be taken.
pub async fn answer(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Path(token): Path<String>,
    Extension(fmt): Extension<UnitFormat>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Answer>,
) -> Outcome<Response> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| sent.taken(|| answered(app, &token, &f), |redisplay| shown(app, fmt, &token, redisplay))).await
}

fn answered(app: &App, token: &str, f: &Answer) -> Outcome<Redirect> {
    let saved = app.store().quote_by_token(token)?;
    let quote = read(&saved)?;
    let name: String = f.name.trim().chars().take(120).collect();
    if name.is_empty() {
        return Err(Problem::Bad("please write your name".to_owned()));
    }
    let signature = strokes(&f.signature);
    let chosen = match f.answer.as_str() {
        "yes" => Some(
            quote
                .offers
                .iter()
                .map(offer_key)
                .find(|k| *k == f.chosen)
                .ok_or_else(|| Problem::Bad("please choose one of the offers".to_owned()))?,
        ),
        _ => None,
    };
    if chosen.is_some() && saved.valid_until.as_deref().is_some_and(when::is_past) {
        return Err(Problem::Bad("these prices no longer hold; please ask for a new quote".to_owned()));
    }
    app.store().answer_quote(By { who: "customer", at: when::now() }, token, chosen.as_deref(), &name, signature)?;
    Ok(Redirect::to(&format!("/q/{token}")))
}

/// A signature's strokes; nothing where it is no path of straight strokes, or too long.
fn strokes(sent: &str) -> &str {
    let fine = sent.len() <= SIGNATURE_BYTES && sent.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'M' | b'L' | b' ' | b'-' | b'.'));
    if fine { sent } else { "" }
}

/// The quote on paper, as it was given.
///
/// # Errors
/// Where no quote is behind the link, or the typesetting fails.
pub async fn pdf(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Extension(fmt): Extension<UnitFormat>,
    Path(token): Path<String>,
) -> Outcome<Response> {
    app.limits().public(from.ip())?;
    app.blocking(move |app| {
        let saved = app.store().quote_by_token(&token)?;
        let job = app.job(saved.job)?;
        let bytes = super::papers::quote(&job, &read(&saved)?, fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}

fn read(saved: &SavedQuote) -> Outcome<Quote> {
    serde_json::from_str(&saved.body).map_err(|e| Problem::Broken(format!("the quote cannot be read back: {e}")))
}
