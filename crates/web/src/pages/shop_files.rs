//! The shop's rack and prices as files: taken away, brought in, or changed as text; checked as a whole before anything is kept.

use crate::app::{App, RACK, SHOP};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::shop_frame::{example_in_use, tabs};
use crate::{layout, shop_file};
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;

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

/// A box: which, its title, its words, the text in it, the version, the kinds of file that it takes.
struct FileBox<'a>(&'a str, &'a str, &'a str, &'a str, i64, &'a str);

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let (rack, shop) = (shop_file::read(app, RACK)?, shop_file::read(app, SHOP)?);
    let table = ::survey::rack_csv(&rack.text).unwrap_or_default();
    let box_of = |FileBox(which, title, words, saved, version, takes): FileBox<'_>| {
        let refill = redisplay.form_with("/shop/files", "which", which);
        html! {
            section.card {
                h2 { (title) }
                p { (words) }
                form.stack method="post" action="/shop/files" {
                    (refill.problems())
                    (layout::csrf(signed)) input type="hidden" name="which" value=(which); (refill.version(version))
                    label { span { "Choose a file" } input type="file" accept=(takes) data-into={ "text-" (which) }; }
                    p role="status" data-told-of={ "text-" (which) } {}
                    details open[refill.refused()] {
                        summary { "The text" }
                        label { span.visually-hidden { (title) } textarea.file id={ "text-" (which) } name="text" rows="18" spellcheck="false" { "\n" (refill.text("text", saved)) } }
                        (refill.theirs("text", saved))
                    }
                    button type="submit" { "Check and keep" }
                }
            }
        }
    };
    Ok(layout::page(
        signed,
        "Shop as a file",
        html! {
            h1 { "As a file" }
            (tabs("/shop/files"))
            (example_in_use(signed, RACK, &rack))
            (example_in_use(signed, SHOP, &shop))
            div.row {
                a.button.plain href="/shop/files/rack.toml" { "Download rack.toml" }
                a.button.plain href="/shop/files/rack.csv" { "Download rack.csv" }
                a.button.plain href="/shop/files/shop.toml" { "Download shop.toml" }
            }
            p { "A file is checked line by line. Nothing is kept until all of it can be read." }
            (box_of(FileBox("shop", "Prices and times", "What is missing here is common practice.", &shop.text, shop.version, ".toml")))
            (box_of(FileBox("rack", "Tools on the rack", "The whole rack, with your comments.", &rack.text, rack.version, ".toml")))
            (box_of(FileBox("table", "Tools as a table", "For a spreadsheet, one tool a row. It replaces all tools. What your hands push stays as it is. A tool that is not in the table is gone: retire it instead if old jobs used it.", &table, rack.version, ".csv")))
        },
    ))
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
    let mut text = f.text.replace("\r\n", "\n");
    let (key, found, empty) = match f.which.as_str() {
        "shop" => (SHOP, ::survey::read_shop(&text).1, false),
        "rack" => {
            let (rack, found) = ::survey::read_rack(&text);
            (RACK, found, rack.tools.is_empty())
        }
        "table" => match ::survey::rack_with_table(&shop_file::read(app, RACK)?.text, &text) {
            Ok(rack) => {
                text = rack;
                let (rack, found) = ::survey::read_rack(&text);
                (RACK, found, rack.tools.is_empty())
            }
            Err(found) => (RACK, found, false),
        },
        other => return Err(Problem::Missing(format!("there is no file {other}"))),
    };
    let mut wrong: Vec<String> = found.iter().filter(|p| !p.warning).map(ToString::to_string).collect();
    if wrong.is_empty() && empty {
        wrong.push("no tool stands in it. To mend it: begin each tool with [[tool]]".to_owned());
    }
    if !wrong.is_empty() {
        return Err(Problem::Several(wrong));
    }
    shop_file::keep(app, signed, key, f.version, &text)?;
    Ok(Redirect::to("/shop/files"))
}

/// A file, to be taken away.
///
/// # Errors
/// Where there is none of that name.
pub async fn file(State(app): State<App>, Path(name): Path<String>) -> Outcome<Response> {
    app.blocking(move |app| {
        let (media, text) = match name.as_str() {
            "rack.toml" => ("application/toml; charset=utf-8", shop_file::read(app, RACK)?.text),
            "shop.toml" => ("application/toml; charset=utf-8", shop_file::read(app, SHOP)?.text),
            "rack.csv" => {
                let table = ::survey::rack_csv(&shop_file::read(app, RACK)?.text).map_err(shop_file::unreadable)?;
                ("text/csv; charset=utf-8", table)
            }
            _ => return Err(Problem::Missing(format!("there is no file {name}"))),
        };
        let named = format!("attachment; filename=\"{name}\"");
        Ok(([(CONTENT_TYPE, media.to_owned()), (CONTENT_DISPOSITION, named)], text).into_response())
    })
    .await
}
