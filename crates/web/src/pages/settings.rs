//! The shop's settings at a glance: what is set, what still stands in from the example, and where each is changed.

use crate::app::{App, RACK, SHOP};
use crate::auth::Signed;
use crate::link::{self, DAYS_AFTER, MOST_DAYS_AFTER};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::view::shop_frame::{example_in_use, tabs};
use crate::{layout, shop_file, when};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use units::money::show_price;

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let (rack, file) = (shop_file::read(app, RACK)?, shop_file::read(app, SHOP)?);
    let tools = ::survey::rack_form::tool_sheets(&rack.text).map_err(shop_file::unreadable)?;
    let retired = tools.iter().filter(|t| t.retired()).count();
    let shop = ::survey::read_shop(&file.text).0;
    let hour = rust_decimal::Decimal::from_f64_retain(shop.standards.labour_per_hour).unwrap_or_default().round_dp(2);
    let people = app.store().people()?.iter().filter(|p| p.active).count();
    Ok(layout::page(
        signed,
        "Shop",
        html! {
            h1 { "Shop" @if !shop.name.is_empty() { ": " (shop.name) } }
            (tabs("/shop"))
            (example_in_use(signed, RACK, &rack))
            (example_in_use(signed, SHOP, &file))
            ul.plain.lines.settings {
                li { a href="/shop/tools" { "Tools" } p { (tools.len() - retired) " in use" @if retired > 0 { ", " (retired) " retired" } ". Only these are planned with." } }
                li { a href="/shop/prices" { "Your shop, prices and taxes" } p { "Labor " (show_price(hour, &shop.currency)) " an hour, minimum charge " (show_price(shop.minimum_charge, &shop.currency)) "." } }
                li { a href="/shop/minutes" { "Minutes" } p { "How long each kind of step takes here." } }
                li { a href="/shop/benches" { "Benches" } p { (shop.people.len()) " at the bench, each with a pace and a rate." } }
                li { a href="/shop/files" { "As a file" } p { "Download or upload the rack and the prices." } }
                li { a href="/people" { "People" } p { (people) " may sign in." } }
            }
            (lengths(app, signed))
            (links(app, signed, redisplay)?)
        },
    ))
}

/// What the form to begin sends.
#[derive(Deserialize)]
pub struct Start {
    which: String,
    with: String,
    #[serde(default)]
    version: i64,
}

/// Begins the shop's own rack or prices.
///
/// # Errors
/// Where they were begun already.
pub async fn start(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<Start>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let key = shop_file::setting_named(&f.which)?;
        if shop_file::read(app, key)?.own {
            return Err(Problem::Conflict("this was started already, perhaps on another tablet".to_owned()));
        }
        let text = match f.with.as_str() {
            "example" => shop_file::example(key),
            "empty" => shop_file::empty(key),
            _ => return Err(Problem::Bad("choose the example or an empty start".to_owned())),
        };
        shop_file::keep(app, &signed, key, f.version, text)?;
        link::one_telephone(app)?;
        Ok(Redirect::to(if key == RACK { "/shop/tools" } else { "/shop/prices" }))
    })
    .await
}

/// What the form of the unit of lengths sends.
#[derive(Deserialize)]
pub struct Lengths {
    lengths: String,
}

/// In which unit lengths are told to who has not chosen: a new tablet, a customer with a link.
fn lengths(app: &App, signed: &Signed) -> Markup {
    let now = app.lengths();
    html! {
        section.card {
            h2 { "Unit of lengths" }
            p.soft { "For customers, and for a tablet on which nobody has chosen yet. Forces and heat follow it." }
            form.stack method="post" action="/shop/lengths" {
                (layout::csrf(signed))
                fieldset data-both-units="" {
                    legend { "Lengths are told in" }
                    @for (symbol, words) in [("in", "inches (lbf, °F)"), ("mm", "millimeters (N, °C)")] {
                        label.tap { input type="radio" name="lengths" value=(symbol) checked[now.symbol() == symbol]; span { (words) } }
                    }
                }
                button type="submit" { "Keep" }
            }
        }
    }
}

/// Keeps in which unit lengths are told.
///
/// # Errors
/// Where it is none of the two.
pub async fn keep_lengths(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<Lengths>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let unit = UnitFormat::read(&f.lengths).ok_or_else(|| Problem::Bad("choose inches or millimeters".to_owned()))?;
        app.keep_lengths(By { who: &signed.person.login, at: when::now() }, unit)?;
        Ok(Redirect::to("/shop"))
    })
    .await
}

/// What the form of the customers' links sends.
#[derive(Deserialize)]
pub struct Links {
    days_after: String,
}

/// For how long customers' links can be read.
fn links(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let refill = redisplay.form("/shop/links");
    let days = link::days_after(app)?.to_string();
    Ok(html! {
        section.card {
            h2 { "Customers' links" }
            p.soft { "A link takes an answer while the quote holds. After that it can still be read for some days; then it says whom to call: " a href="/shop/prices#contact" { "your telephone" } "." }
            form.stack method="post" action="/shop/links" {
                (refill.problems())
                (layout::csrf(signed))
                label { span { "Days for which a link can be read after its prices end" } input name="days_after" inputmode="numeric" required value=(refill.text("days_after", &days)); }
                button type="submit" { "Keep" }
            }
        }
    })
}

/// Keeps for how long customers' links can be read.
///
/// # Errors
/// Where the days are no number that is taken.
pub async fn keep_links(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Links>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| links_kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn links_kept(app: &App, signed: &Signed, f: &Links) -> Outcome<Redirect> {
    let days = f.days_after.trim().parse::<u32>().ok().filter(|d| *d <= MOST_DAYS_AFTER);
    let days = days.ok_or_else(|| Problem::Bad(format!("the days must be a whole number from 0 to {MOST_DAYS_AFTER}")))?;
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().set_setting(by, DAYS_AFTER, &days.to_string())?;
    Ok(Redirect::to("/shop"))
}
