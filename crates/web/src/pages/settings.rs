//! The shop's own rack and prices: the files as text, checked before they are kept.

use crate::app::{App, EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::{layout, when};
use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;

/// What the form sends.
#[derive(Deserialize)]
pub struct Text {
    which: String,
    text: String,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let rack = app.store().setting(RACK)?;
        let shop = app.store().setting(SHOP)?;
        let box_of = |which: &str, title: &str, words: &str, own: Option<&str>, example: &str| html! {
            section.card {
                h2 { (title) }
                @if own.is_none() { p.warn { strong { "The example is in use. " } "Set your own: plans and prices follow at once." } }
                p.soft { (words) }
                form.stack method="post" action="/shop" {
                    (layout::csrf(&signed)) input type="hidden" name="which" value=(which);
                    label { span { (title) } textarea.file name="text" rows="18" spellcheck="false" { (own.unwrap_or(example)) } }
                    button type="submit" { "Check and keep" }
                }
            }
        };
        Ok(layout::page(
            &signed,
            "Shop",
            html! {
                h1 { "The shop" }
                div.cards {
                    (box_of("shop", "Prices and times", "Labour, tax, minutes for each kind of step (all goes well, usual, fights back).", shop.as_deref(), EXAMPLE_SHOP))
                    (box_of("rack", "Tools on the rack", "Only what hangs here is planned with; what is missing is listed as a tool to make.", rack.as_deref(), EXAMPLE_RACK))
                }
            },
        ))
    })
    .await
}

/// Keeps a file, if it can be read.
///
/// # Errors
/// Where it cannot: every problem with its line.
pub async fn keep(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<Text>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let text = f.text.replace("\r\n", "\n");
        let problems: Vec<String> = match f.which.as_str() {
            "shop" => survey::read_shop(&text).1.iter().filter(|p| !p.warning).map(ToString::to_string).collect(),
            "rack" => {
                let (rack, problems) = survey::read_rack(&text);
                let words: Vec<String> = problems.iter().map(ToString::to_string).collect();
                if rack.tools.is_empty() { if words.is_empty() { vec!["no tool stands in it".to_owned()] } else { words } } else { vec![] }
            }
            other => vec![format!("there is no file {other}")],
        };
        if !problems.is_empty() {
            return Err(Problem::Bad(problems.join(" · ")));
        }
        let key = if f.which == "shop" { SHOP } else { RACK };
        app.store().set_setting(By { who: &signed.person.login, at: when::now() }, key, &text)?;
        Ok(Redirect::to("/shop"))
    })
    .await
}
