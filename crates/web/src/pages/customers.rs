//! Customers.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::view::form::filled;
use crate::{layout, when};
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::counter::Customer;

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    find: String,
}

/// What the customer's form sends.
#[derive(Deserialize)]
pub struct Fields {
    name: String,
    #[serde(default)]
    phone: String,
    #[serde(default)]
    email: String,
    #[serde(default)]
    note: String,
    #[serde(default)]
    version: i64,
}

/// All customers, or those found.
///
/// # Errors
/// Where the record fails.
pub async fn list(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| all(app, &signed, &asked.find, &Redisplay::default())).await
}

fn all(app: &App, signed: &Signed, find: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let customers = app.store().customers(find, 100)?;
    Ok(layout::page(
        signed,
        "Customers",
        html! {
            h1 { "Customers" }
            form.row method="get" action="/customers" role="search" {
                label.grow { span { "Find by name, telephone or e-mail" } input type="search" name="find" value=(find); }
                button type="submit" { "Find" }
            }
            div.split {
                section {
                    h2 { "On record" }
                    @if customers.is_empty() { p.soft { "Nobody of that name." } }
                    ul.plain.lines { @for c in &customers { li { a href={ "/customers/" (c.id) } { (c.name) } " " span.soft { (c.phone) } } } }
                }
                section {
                    h2 { "New customer" }
                    form.stack.card method="post" action="/customers" { (fields(signed, None, redisplay.form("/customers"))) button type="submit" { "Add customer" } }
                }
            }
        },
    ))
}

/// Adds a customer.
///
/// # Errors
/// Where no name is given.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| added(app, &signed, &f), |redisplay| all(app, &signed, "", redisplay))).await
}

fn added(app: &App, signed: &Signed, f: &Fields) -> Outcome<Redirect> {
    let name = filled(&f.name).ok_or_else(|| Problem::Bad("a customer needs a name".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    let id = app.store().add_customer(by, name, f.phone.trim(), f.email.trim(), f.note.trim())?;
    Ok(Redirect::to(&format!("/customers/{id}")))
}

/// One customer, with instruments.
///
/// # Errors
/// Where there is none of that number.
pub async fn one(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

/// One customer's page, with a form that was refused as it was typed.
///
/// # Errors
/// Where there is none of that number.
pub fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let (own, new) = (format!("/customers/{id}"), format!("/customers/{id}/instruments"));
    let customer = app.store().customer(id)?;
    let instruments = app.store().instruments_of(id)?;
    let contracts: Vec<_> = app.store().contracts()?.into_iter().filter(|c| c.customer == id).collect();
    Ok(layout::page(
        signed,
        &customer.name,
        html! {
            h1 { (customer.name) }
            div.split {
                section {
                    h2 { "Instruments" }
                    @if instruments.is_empty() { p.soft { "None yet: take the first one in." } }
                    ul.plain.lines { @for i in &instruments { li { a href={ "/instruments/" (i.id) } { span.num { (i.tag) } " " (i.maker) " " (i.model) " " (i.kind) } " " span.soft { (i.serial) } } } }
                    h2 { "Take in an instrument" }
                    form.stack.card method="post" action=(new) {
                        (crate::view::instrument_fields::fields(signed, None, redisplay.form(&new)))
                        button type="submit" { "Take it in" }
                    }
                }
                section {
                    @if signed.may(Need::Quote) && !contracts.is_empty() {
                        h2 { "School contracts" }
                        ul.plain.lines { @for c in &contracts { li { a href={ "/contracts/" (c.id) } { "Contract of " (when::day_words(&when::day_of(c.made_at))) } } } }
                    }
                    h2 { "Details" }
                    form.stack.card method="post" action=(own) { (fields(signed, Some(&customer), redisplay.form(&own))) button type="submit" { "Save" } }
                    (super::terms::of_customer(app, signed, id, redisplay)?)
                    @if signed.may(Need::Owner) { (on_request(signed, &customer, redisplay)) }
                }
            }
        },
    ))
}

/// What a customer may ask for: all that is kept of them, and that it is erased.
fn on_request(signed: &Signed, customer: &Customer, redisplay: &Redisplay) -> Markup {
    let action = format!("/customers/{}/erase", customer.id);
    let refill = redisplay.form(&action);
    html! {
        details open[refill.refused()] {
            summary { "The customer asks for their data" }
            p { a href={ "/customers/" (customer.id) "/all.json" } { "All that is kept of this customer" } " (photos and signed papers too: " code { "trueround customer export " (customer.id) } ")." }
            form.stack method="post" action=(action) {
                (layout::csrf(signed))
                (refill.problems())
                p { "Erase: name, telephone, e-mail, notes, signatures and signed papers go for good, out of the journal too. School contracts go with their tables and plans. Amounts, dates and what was worked stay. Backups made before still hold them." }
                label { span { "Why" } input name="reason" required maxlength="300" value=(refill.text("reason", "")); }
                label { span { "The customer's name, to be sure it is the right one" } input name="name" required autocomplete="off" value=(refill.text("name", "")); }
                button.plain type="submit" { "Erase for good" }
            }
        }
    }
}

/// What the form that erases sends.
#[derive(Deserialize)]
pub struct Erase {
    reason: String,
    name: String,
}

/// All that is kept of one customer, as JSON.
///
/// # Errors
/// Where there is none of that number.
pub async fn all_of_one(State(app): State<App>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let json = serde_json::to_string_pretty(&app.store().all_of_customer(id)?).map_err(|e| Problem::Broken(e.to_string()))?;
        let named = format!("attachment; filename=\"customer-{id}.json\"");
        Ok(([(CONTENT_TYPE, "application/json".to_owned()), (CONTENT_DISPOSITION, named)], json).into_response())
    })
    .await
}

/// Erases who a customer is.
///
/// # Errors
/// Where a job is open, no reason is given, or the name is another's.
pub async fn erase(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Erase>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| erased(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn erased(app: &App, signed: &Signed, id: i64, f: &Erase) -> Outcome<Redirect> {
    if app.store().customer(id)?.name.trim() != f.name.trim() {
        return Err(Problem::Bad("that is not this customer's name; nothing was erased".to_owned()));
    }
    app.store().erase_customer(By { who: &signed.person.login, at: when::now() }, id, &f.reason)?;
    Ok(Redirect::to(&format!("/customers/{id}")))
}

/// Keeps the terms of a customer.
///
/// # Errors
/// Where they cannot be taken, or somebody saved in between.
pub async fn keep_terms(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<super::terms::OfCustomer>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(|| super::terms::kept_of_customer(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// Changes a customer.
///
/// # Errors
/// Where no name is given or there is none of that number.
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
    let name = filled(&f.name).ok_or_else(|| Problem::Bad("a customer needs a name".to_owned()))?.to_owned();
    let to = Customer {
        id,
        name,
        phone: f.phone.trim().to_owned(),
        email: f.email.trim().to_owned(),
        note: f.note.trim().to_owned(),
        version: f.version,
    };
    app.store().change_customer(By { who: &signed.person.login, at: when::now() }, &to)?;
    Ok(Redirect::to(&format!("/customers/{id}")))
}

fn fields<'a>(signed: &Signed, of: Option<&'a Customer>, refill: Refill<'a>) -> Markup {
    let beside = |name: &str, saved: fn(&Customer) -> &String| of.map(|c| refill.beside(name, saved(c))).unwrap_or_default();
    let text = |name: &str, saved: fn(&Customer) -> &String| refill.text(name, of.map_or("", |c| saved(c).as_str()));
    html! {
        (layout::csrf(signed))
        (refill.problems())
        @if let Some(c) = of { (refill.version(c.version)) }
        label { span { "Name" } input name="name" required value=(text("name", |c| &c.name)); (beside("name", |c| &c.name)) }
        label { span { "Telephone" } input name="phone" type="tel" value=(text("phone", |c| &c.phone)); (beside("phone", |c| &c.phone)) }
        label { span { "E-mail" } input name="email" type="email" value=(text("email", |c| &c.email)); (beside("email", |c| &c.email)) }
        label { span { "Note" } textarea name="note" { "\n" (text("note", |c| &c.note)) } (beside("note", |c| &c.note)) }
    }
}
