//! The tools: what hangs where, how worn, what for this month; those out of use below.

use crate::app::{App, RACK};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::tool_use::{self, Use};
use crate::unit_format::UnitFormat;
use crate::view::figures::sentence;
use crate::view::shop_frame::{example_in_use, in_address, tabs};
use crate::{layout, shop_file, when};
use ::survey::rack_form::{Measure, ToolSheet, hands, tool_sheets, with_hands, with_unit};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use units::force::parse_force_n;
use units::length::{parse_length_mm, show_length};

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn list(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let fmt = signed.fmt;
    let left_empty = |n: f64| format!("Left empty: {}, common practice.", fmt.force(n));
    let rack = shop_file::read(app, RACK)?;
    let tools = tool_sheets(&rack.text).map_err(shop_file::unreadable)?;
    let used = tool_use::this_month(app)?;
    let (retired, hung): (Vec<_>, Vec<_>) = tools.iter().partition(|t| t.retired());
    let [push, lean] = hands(&rack.text).map_err(shop_file::unreadable)?;
    let refill = redisplay.form("/shop/tools/hands");
    let force = |name: &'static str, label: &'static str, saved: &str, about: &str| {
        html! { label { span { (label) } input name=(name) value=(refill.text(name, saved)) autocomplete="off"; span.soft.small { (about) } (refill.beside(name, saved)) } }
    };
    Ok(layout::page(
        signed,
        "Tools",
        html! {
            h1 { "Tools" }
            (tabs("/shop/tools"))
            (example_in_use(signed, RACK, &rack))
            p { "Only tools in use are planned with. What a job lacks is listed in its plan as a tool to make." }
            p { a.button href="/shop/tools/new" { "Add a tool" } }
            @if hung.is_empty() { p.soft { "No tools yet." } } @else { (table(signed.fmt, "Tools in use", &hung, &used)) }
            @if !retired.is_empty() { h2 { "Retired" } p.soft { "Not planned with. Old plans and agreed jobs still name them." } (table(signed.fmt, "Retired tools", &retired, &used)) }
            section.card {
                h2 { "Your hands" }
                form.stack method="post" action="/shop/tools/hands" {
                    (layout::csrf(signed)) (refill.problems()) (refill.version(rack.version))
                    (force("push", "Steady push of one hand", &push, &left_empty(150.0)))
                    (force("lean", "Push when you lean on a rod in the vise", &lean, &left_empty(400.0)))
                    button type="submit" { "Save" }
                }
            }
        },
    ))
}

fn table(fmt: UnitFormat, title: &str, tools: &[&ToolSheet], used: &BTreeMap<String, Use>) -> Markup {
    let today = when::today().to_string();
    html! {
        div.scroll tabindex="0" role="region" aria-label=(title) {
            table.tools data-sorts="" {
                thead { tr { th scope="col" { "Tool" } th scope="col" { "Kind" } th scope="col" { "Size" } th scope="col" { "Hangs" } th scope="col" { "Condition" } th scope="col" { "This month" } } }
                tbody {
                    @for t in tools {
                        @let of = used.get(&t.id);
                        tr {
                            td { a href={ "/shop/tools/" (in_address(&t.id)) } { (t.name()) } }
                            td { (sentence(t.text("kind")).trim_end_matches('.')) }
                            td data-v=(format!("{:.2}", first_mm(t))) { (sizes(fmt, t)) }
                            td { (t.text("place")) }
                            td { (condition(fmt, t, &today)) }
                            td data-v=(of.map_or(0, |u| u.values().map(Vec::len).sum::<usize>())) { @match of { Some(of) => { (tool_use::words(of)) }, None => { span.soft { "not used" } } } }
                        }
                    }
                }
            }
        }
    }
}

/// A tool's sizes in the tablet's unit.
fn sizes(fmt: UnitFormat, t: &ToolSheet) -> String {
    let one = |s: &::survey::rack_form::Size| {
        let text = Some(t.text(s.key)).filter(|text| !text.is_empty())?;
        let shown = match s.measure {
            Measure::Length => parse_length_mm(text, None).map(|mm| show_length(mm, fmt.0)).ok(),
            Measure::Force => parse_force_n(text).map(|n| fmt.force(n)).ok(),
            Measure::Power | Measure::Fill => None,
        };
        let shown = shown.unwrap_or_else(|| text.to_owned()).replace(' ', "\u{a0}");
        Some(if s.key == "fill" { shown } else { format!("{} {shown}", s.key.replace('_', " ")) })
    };
    t.kind().map_or_else(String::new, |k| k.sizes.iter().filter_map(one).collect::<Vec<_>>().join(", "))
}

/// What a column of sizes sorts by: the first length, mm.
fn first_mm(t: &ToolSheet) -> f64 {
    let lengths = |k: &'static ::survey::rack_form::ToolKind| k.sizes.iter().filter(|s| s.measure == Measure::Length);
    t.kind().and_then(|k| lengths(k).find_map(|s| parse_length_mm(t.text(s.key), None).ok())).unwrap_or(0.0)
}

fn condition(fmt: UnitFormat, t: &ToolSheet, today: &str) -> Markup {
    let wear = parse_length_mm(t.text("wear"), None).ok().filter(|mm| *mm > 0.0);
    let away = t.text("away_until");
    html! {
        @if t.retired() { span.state { "Retired" } " " (t.text("retired")) }
        @else if !away.is_empty() && away >= today { span.state { "Away" } " until " (away) }
        @else if wear.is_none() { "In use" }
        @if let Some(mm) = wear { " Worn " (show_length(mm, fmt.0)) }
        @if !t.text("condition").is_empty() { p.small { (t.text("condition")) } }
    }
}

/// What the form of the hands sends.
#[derive(Deserialize)]
pub struct Hands {
    push: String,
    lean: String,
    #[serde(default)]
    version: i64,
}

/// Changes what hands do.
///
/// # Errors
/// Where one of them is no push of a person, or somebody saved in between.
pub async fn keep_hands(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Hands>,
) -> Outcome<Response> {
    let kept = move |app: &App, signed: &Signed| -> Result<Redirect, Problem> {
        let unit = force_unit(signed.fmt);
        let with = |text: &str| with_unit("limit", text, signed.fmt.symbol(), unit);
        let text =
            with_hands(&shop_file::read(app, RACK)?.text, &with(&f.push), &with(&f.lean)).map_err(|w| shop_file::refused(signed.fmt, w))?;
        shop_file::keep(app, signed, RACK, f.version, &text)?;
        Ok(Redirect::to("/shop/tools"))
    };
    app.blocking(move |app| sent.taken(|| kept(app, &signed), |redisplay| shown(app, &signed, redisplay))).await
}

/// The unit of a force without one.
pub(super) fn force_unit(fmt: UnitFormat) -> &'static str {
    if fmt.inches() { "lbf" } else { "N" }
}
