//! Instruments: their card, their tag with its label, their jobs.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::hosts::CheckedHost;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::view::instrument_fields::{KINDS, fields, kind_name};
use crate::view::job_lines::lines_table;
use crate::view::qr::qr;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use qrcode::QrCode;
use serde::Deserialize;
use store::By;
use store::counter::NewInstrument;

/// What the form sends.
#[derive(Deserialize)]
pub struct Fields {
    kind: String,
    #[serde(default)]
    maker: String,
    #[serde(default)]
    model: String,
    #[serde(default)]
    serial: String,
    #[serde(default)]
    value: String,
    #[serde(default)]
    asset: String,
    #[serde(default)]
    version: i64,
}

/// Adds an instrument to a customer.
///
/// # Errors
/// Where the kind is unknown or the value is no amount.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(customer): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(|| added(app, &signed, customer, &f), |redisplay| super::customers::shown(app, &signed, customer, redisplay))
    })
    .await
}

fn added(app: &App, signed: &Signed, customer: i64, f: &Fields) -> Outcome<Redirect> {
    let value = amount(&f.value)?;
    let new = NewInstrument {
        customer,
        kind: known_kind(&f.kind)?,
        maker: f.maker.trim(),
        model: f.model.trim(),
        serial: f.serial.trim(),
        value: value.as_deref(),
        asset: f.asset.trim(),
    };
    let id = app.store().add_instrument(By { who: &signed.person.login, at: when::now() }, &new)?;
    Ok(Redirect::to(&format!("/instruments/{id}")))
}

/// One instrument with its jobs.
///
/// # Errors
/// Where there is none of that number.
pub async fn one(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

/// One instrument's page, with a form that was refused as it was typed.
///
/// # Errors
/// Where there is none of that number.
pub fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let (own, new) = (format!("/instruments/{id}"), format!("/instruments/{id}/jobs"));
    let job = redisplay.form(&new);
    let card = app.store().instrument(id)?;
    let customer = app.store().customer(card.customer)?;
    let jobs = app.store().jobs_of_instrument(id)?;
    Ok(layout::page(
        signed,
        &card.tag,
        html! {
            h1 { span.num { (card.tag) } " " (card.maker) " " (card.model) }
            p { (kind_name(&card.kind)) @if !card.serial.is_empty() { ", serial " (card.serial) } @if !card.asset.is_empty() { ", owner's number " (card.asset) } ". Belongs to " @if signed.may(Need::Counter) { a href={ "/customers/" (customer.id) } { (customer.name) } } @else { (customer.name) } "." }
            p { a.button.plain href={ "/instruments/" (id) "/history" } { "History: maps, walls, tools" } " " a.button.plain href={ "/instruments/" (id) "/label" } { "Label to print" } }
            div.split {
                section {
                    h2 { "Jobs" }
                    (lines_table(&jobs))
                }
                @if signed.may(Need::Counter) {
                    section {
                        h2 { "New job" }
                        form.stack.card method="post" action=(new) {
                            (layout::csrf(signed))
                            (job.problems())
                            label { span { "What happened" } input name="title" required placeholder="Fell down the band-room stair" value=(job.text("title", "")); }
                            label { span { "In the customer's words" } textarea name="words" { "\n" (job.text("words", "")) } }
                            label { span { "Due" } input name="due" type="date" value=(job.text("due", "")); }
                            button type="submit" { "Open a job" }
                        }
                        h2 { "Details" }
                        form.stack.card method="post" action=(own) { (fields(signed, Some(&card), redisplay.form(&own))) button type="submit" { "Save" } }
                    }
                }
            }
        },
    ))
}

/// Changes an instrument's card.
///
/// # Errors
/// Where there is none of that number, the kind is unknown or the value is no amount.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn changed(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let mut card = app.store().instrument(id)?;
    card.version = f.version;
    card.kind = known_kind(&f.kind)?.to_owned();
    card.maker = f.maker.trim().to_owned();
    card.model = f.model.trim().to_owned();
    card.serial = f.serial.trim().to_owned();
    card.value = amount(&f.value)?;
    card.asset = f.asset.trim().to_owned();
    app.store().change_instrument(By { who: &signed.person.login, at: when::now() }, &card)?;
    Ok(Redirect::to(&format!("/instruments/{id}")))
}

/// A label with the tag and a QR code that opens the instrument's page on this shop's network.
///
/// # Errors
/// Where there is none of that number.
pub async fn label(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(CheckedHost(host)): Extension<CheckedHost>,
    Path(id): Path<i64>,
) -> Outcome<Markup> {
    app.blocking(move |app| {
        let card = app.store().instrument(id)?;
        let scheme = if app.secure() { "https" } else { "http" };
        let address = format!("{scheme}://{host}/tags/{}", card.tag);
        let code = QrCode::new(address.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?;
        Ok(layout::page(
            &signed,
            "Label",
            html! {
                div.card.label {
                    p.big.num { (card.tag) }
                    div { (qr(&code, &format!("QR code of tag {}", card.tag))) }
                    p { (card.maker) " " (card.model) br; @if !card.serial.is_empty() { "serial " (card.serial) } }
                    p.small.soft { (address) }
                }
                p.soft { "Print this page and tie it to the case." }
                button type="button" data-print { "Print" }
            },
        ))
    })
    .await
}

/// Where a label's code leads.
///
/// # Errors
/// Where no instrument wears that tag.
pub async fn by_tag(State(app): State<App>, Path(tag): Path<String>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let card = app.store().instrument_by_tag(&tag)?;
        let open = app.store().jobs_of_instrument(card.id)?.into_iter().find(|l| !l.job.state.is_closed());
        Ok(Redirect::to(&match open {
            Some(line) => format!("/jobs/{}", line.job.id),
            None => format!("/instruments/{}/history", card.id),
        }))
    })
    .await
}

fn known_kind(kind: &str) -> Outcome<&'static str> {
    KINDS
        .iter()
        .find(|(key, _)| *key == kind)
        .map(|(key, _)| *key)
        .ok_or_else(|| Problem::Bad(format!("there is no kind {kind}; choose one from the list")))
}

fn amount(text: &str) -> Outcome<Option<String>> {
    let Some(text) = filled(text) else { return Ok(None) };
    let plain: String = text.chars().filter(|c| !matches!(c, '$' | ',' | ' ')).collect();
    let fine = plain.parse::<f64>().is_ok_and(|x| x.is_finite() && x >= 0.0) && plain.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if fine { Ok(Some(plain)) } else { Err(Problem::Bad(format!("“{text}” is no amount; write it like 3800 or 3,800.00"))) }
}
