//! Instruments: their card, their tag with its label, their jobs.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::view::instrument_fields::{KINDS, fields, kind_name};
use crate::view::job_lines::state_name;
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
            div.row { a.button.plain href={ "/instruments/" (id) "/history" } { "History: maps, walls, tools" } a.button.plain href={ "/instruments/" (id) "/label" } { "Label to print" } }
            div.split {
                section {
                    h2 { "Jobs" }
                    @if jobs.is_empty() { p.soft { "No jobs yet." } }
                    ul.plain.lines { @for line in &jobs {
                        li { a href={ "/jobs/" (line.job.id) } { (line.job.title) } " " span.state { (state_name(line.job.state)) } @if let Some(day) = &line.job.due { " " span.soft { "due " (when::day_words(day)) } } }
                    } }
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
                            (super::intake::boxes(app, job)?)
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

/// What a label's code holds. With an address set in the shop's settings it opens the instrument's page on any telephone of the shop's
/// network, for as long as that address stands; without one it is the tag alone, which no change of the machine's name or address makes
/// wrong: the field that finds jobs understands both.
fn code_of(label_address: &str, tag: &str) -> String {
    if label_address.is_empty() { tag.to_owned() } else { format!("{label_address}/tags/{tag}") }
}

/// The tag in what a scanner typed or a person wrote: what stands behind the last `/tags/` of an address, or the text itself.
pub fn tag_in(text: &str) -> String {
    let text = text.trim();
    text.rsplit_once("/tags/").map_or(text, |(_, tag)| tag.trim_end_matches('/')).to_uppercase()
}

/// A label for the case: the tag, a code, whose it is, when it is due and what is in the case.
///
/// # Errors
/// Where there is none of that number.
pub async fn label(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let card = app.store().instrument(id)?;
        let customer = app.store().customer(card.customer)?;
        let open = app.store().jobs_of_instrument(id)?.into_iter().find(|l| !l.job.state.is_closed());
        let inside = open.as_ref().map(|l| app.store().accessories(l.job.id)).transpose()?.unwrap_or_default();
        let shop = app.shop()?;
        let holds = code_of(&shop.label_address, &card.tag);
        let code = QrCode::new(holds.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?;
        let what = [kind_name(&card.kind), card.maker.as_str(), card.model.as_str()].join(" ");
        Ok(layout::page(
            &signed,
            "Label",
            html! {
                h1.screen-only { "Label for " (card.tag) }
                div.label {
                    div.label-code { (qr(&code, &format!("QR code of tag {}", card.tag))) }
                    div.label-words {
                        p.label-tag.num { (card.tag) }
                        p { strong { (customer.name) } }
                        @if let Some(day) = open.as_ref().and_then(|l| l.job.due.as_deref()) { p.label-due { "Due " strong { (when::day_words(day)) } } }
                        p.small { (what.trim_end()) @if !card.serial.is_empty() { ", serial " (card.serial) } }
                        @if !inside.is_empty() { p.small { "In the case: " (inside.iter().map(|a| a.name.as_str()).collect::<Vec<_>>().join(", ")) } }
                        @if !shop.name.is_empty() { p.small { (shop.name) @if !shop.contact.telephone.is_empty() { ", " (shop.contact.telephone) } } }
                    }
                }
                div.screen-only {
                    p.soft { "Print it at full size (" (signed.fmt.tenths(100.0)) " × " (signed.fmt.tenths(62.0)) ") and tie it to the case. " @if shop.label_address.is_empty() { "The code holds the tag alone, so it stays right when this machine’s address changes. Scan it into the field that finds jobs." } @else { "The code opens " (holds) ". Scanned into the field that finds jobs, it works after that address changes too." } }
                    button type="button" data-print { "Print" }
                }
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
        let card = app.store().instrument_by_tag(&tag_in(&tag))?;
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

#[cfg(test)]
mod tests {
    use super::{code_of, tag_in};

    #[test]
    fn a_code_leads_to_its_tag_whatever_the_address_is() {
        for address in ["", "https://bench.example:8443", "http://192.0.2.7"] {
            assert_eq!(tag_in(&code_of(address, "T00001")), "T00001", "{address}");
        }
        assert_eq!(code_of("", "T00001"), "T00001");
        assert_eq!(tag_in(" t00001 "), "T00001");
    }
}
