//! The shop's own rack and prices: the files as text, checked before they are kept.

use crate::app::{App, EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};
use crate::auth::Signed;
use crate::link::{self, DAYS_AFTER, MOST_DAYS_AFTER, TELEPHONE};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::{layout, when};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;

/// What the form sends.
#[derive(Deserialize)]
pub struct Text {
    which: String,
    text: String,
    #[serde(default)]
    version: i64,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let rack = app.store().setting_seen(RACK)?;
    let shop = app.store().setting_seen(SHOP)?;
    let box_of = |which: &str, title: &str, words: &str, (own, version): &(Option<String>, i64), example: &str| {
        let saved = own.as_deref().unwrap_or(example);
        let refill = redisplay.form_with("/shop", "which", which);
        html! {
        section.card {
            h2 { (title) }
            @if own.is_none() { p.warn { strong { "The example is in use. " } "Set your own: plans and prices follow at once." } }
            p.soft { (words) }
            form.stack method="post" action="/shop" {
                (refill.problems())
                (layout::csrf(signed)) input type="hidden" name="which" value=(which); (refill.version(*version))
                label { span { (title) } textarea.file name="text" rows="18" spellcheck="false" { "\n" (refill.text("text", saved)) } }
                (refill.theirs("text", saved))
                button type="submit" { "Check and keep" }
            }
        }
        }
    };
    Ok(layout::page(
        signed,
        "Shop",
        html! {
            h1 { "The shop" }
            div.cards {
                (box_of("shop", "Prices and times", "Labour, tax, minutes for each kind of step (all goes well, usual, fights back).", &shop, EXAMPLE_SHOP))
                (links(app, signed, redisplay)?)
                (box_of("rack", "Tools on the rack", "Only what hangs here is planned with; what is missing is listed as a tool to make.", &rack, EXAMPLE_RACK))
            }
        },
    ))
}

/// What the form of the customers' links sends.
#[derive(Deserialize)]
pub struct Links {
    telephone: String,
    days_after: String,
}

/// How customers reach the shop, and for how long their links can be read.
fn links(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let refill = redisplay.form("/shop/links");
    let telephone = app.store().setting(TELEPHONE)?.unwrap_or_default();
    let days = link::days_after(app)?.to_string();
    Ok(html! {
        section.card {
            h2 { "Customers' links" }
            p.soft { "A link takes an answer while the quote holds. After that it can still be read for some days; then it says whom to call." }
            form.stack method="post" action="/shop/links" {
                (refill.problems())
                (layout::csrf(signed))
                label { span { "The shop's telephone, as customers read it" } input name="telephone" maxlength="60" value=(refill.text("telephone", &telephone)); }
                label { span { "Days for which a link can be read after its prices end" } input name="days_after" inputmode="numeric" required value=(refill.text("days_after", &days)); }
                button type="submit" { "Keep" }
            }
        }
    })
}

/// Keeps how customers reach the shop, and for how long their links can be read.
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
    let telephone: String = f.telephone.trim().chars().filter(|c| !c.is_control()).take(60).collect();
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().set_setting(by, DAYS_AFTER, &days.to_string())?;
    app.store().set_setting(by, TELEPHONE, &telephone)?;
    Ok(Redirect::to("/shop"))
}

/// Keeps a file, if all of it can be read.
///
/// # Errors
/// Where it cannot: every problem with its line.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Text>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn kept(app: &App, signed: &Signed, f: &Text) -> Outcome<Redirect> {
    let text = f.text.replace("\r\n", "\n");
    let (key, found, empty) = match f.which.as_str() {
        "shop" => (SHOP, survey::read_shop(&text).1, false),
        "rack" => {
            let (rack, found) = survey::read_rack(&text);
            (RACK, found, rack.tools.is_empty())
        }
        other => return Err(Problem::Missing(format!("there is no file {other}"))),
    };
    let mut wrong: Vec<String> = found.iter().filter(|p| !p.warning).map(ToString::to_string).collect();
    if wrong.is_empty() && empty {
        wrong.push("no tool stands in it. To mend it: begin each tool with [[tool]]".to_owned());
    }
    if !wrong.is_empty() {
        return Err(Problem::Several(wrong));
    }
    app.store().change_setting(By { who: &signed.person.login, at: when::now() }, key, f.version, &text)?;
    Ok(Redirect::to("/shop"))
}
