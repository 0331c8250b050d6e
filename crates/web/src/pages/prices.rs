//! Rates, taxes, parts, what damage costs: a form each, every field with its unit.

use crate::app::{App, SHOP};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::view::shop_frame::{example_in_use, group_form, tabs};
use crate::{layout, shop_file};
use ::survey::shop_form::prices::{Holds, PriceField, prices, with_prices};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use units::money::parse_money;

/// Where the tax may be rounded.
const ROUNDINGS: [(&str, &str); 2] = [("sum", "once, on the sum"), ("line", "on each line")];

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn mm_per_inch() -> Decimal {
    Decimal::new(254, 1)
}

/// What a field shows on this tablet: money for a length in its unit of length.
fn value(fmt: UnitFormat, f: &PriceField) -> String {
    match (f.holds, f.value.parse::<Decimal>()) {
        (Holds::MoneyPerMm, Ok(per_mm)) if fmt.inches() => (per_mm * mm_per_inch()).round_dp(2).normalize().to_string(),
        _ => f.value.clone(),
    }
}

/// What was typed, as the file has it.
fn for_file(fmt: UnitFormat, f: &PriceField, typed: &str) -> String {
    match (f.holds, parse_money(typed)) {
        (Holds::MoneyPerMm, Ok(per_inch)) if fmt.inches() => (per_inch / mm_per_inch()).round_dp(6).normalize().to_string(),
        _ => typed.to_owned(),
    }
}

fn unit(fmt: UnitFormat, holds: Holds, currency: &str) -> String {
    match holds {
        Holds::Words | Holds::Lines | Holds::Rounding => String::new(),
        Holds::Money => currency.to_owned(),
        Holds::MoneyPerHour => format!("{currency} an hour"),
        Holds::MoneyPerMm => format!("{currency} per {}", if fmt.inches() { "inch" } else { "mm" }),
        Holds::Percent => "%".to_owned(),
        Holds::Days => "days".to_owned(),
        Holds::Jobs => "jobs".to_owned(),
    }
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let file = shop_file::read(app, SHOP)?;
    let groups = prices(&file.text).map_err(shop_file::unreadable)?;
    let currency = ::survey::read_shop(&file.text).0.currency;
    Ok(layout::page(
        signed,
        "Prices and taxes",
        html! {
            h1 { "Your shop, prices and taxes" }
            (tabs("/shop/prices"))
            (example_in_use(signed, SHOP, &file))
            p { "New plans and quotes follow at once. Quotes already given and jobs already agreed keep their prices." }
            @for group in &groups {
                @let refill = redisplay.form_with("/shop/prices", "group", group.key);
                @let fields = html! { div.fields { @for f in &group.fields {
                    @let saved = value(signed.fmt, f);
                    @let unit = unit(signed.fmt, f.holds, &currency);
                    label {
                        span { (f.label) @if !unit.is_empty() { " " span.soft.small { "(" (unit) ")" } } }
                        @if f.holds == Holds::Rounding {
                            select name=(f.path) { @for (key, words) in ROUNDINGS { option value=(key) selected[refill.has(&f.path, key, saved == key)] { (words) } } }
                        } @else {
                            input name=(f.path) value=(refill.text(&f.path, &saved)) autocomplete="off" inputmode=[(!matches!(f.holds, Holds::Words | Holds::Lines)).then_some("decimal")];
                        }
                        span.soft.small { (f.about) @if !f.said { " Common practice, not set here." } }
                        (refill.beside(&f.path, &saved))
                    }
                } } };
                (group_form(signed, "/shop/prices", (group.key, group.title), file.version, refill, &fields))
            }
        },
    ))
}

/// Changes prices.
///
/// # Errors
/// Where one cannot be, each beside its field, or somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn kept(app: &App, signed: &Signed, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    let file = shop_file::read(app, SHOP)?;
    let fmt = signed.fmt;
    let fields = prices(&file.text).map_err(shop_file::unreadable)?.into_iter().flat_map(|g| g.fields);
    let typed: Vec<(String, String)> = fields
        .filter_map(|field| {
            let typed = f.get(&field.path).filter(|t| t.trim() != value(fmt, &field).trim())?;
            let text = for_file(fmt, &field, typed);
            Some((field.path, text))
        })
        .collect();
    let text = with_prices(&file.text, &typed).map_err(|w| shop_file::refused(fmt, w))?;
    let version = f.get("version").and_then(|v| v.parse().ok()).unwrap_or(0);
    shop_file::keep(app, signed, SHOP, version, &text)?;
    let group =
        f.get("group").filter(|g| g.chars().all(|c| c.is_ascii_lowercase())).ok_or_else(|| Problem::Bad("which prices?".to_owned()))?;
    Ok(Redirect::to(&format!("/shop/prices#{group}")))
}
