//! One tool: what it is, its sizes, where it hangs, its wear; added, changed, copied, retired.

use super::tools::force_unit;
use crate::app::{App, RACK};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::unit_format::UnitFormat;
use crate::view::figures::sentence;
use crate::view::shop_frame::{in_address, tabs};
use crate::{layout, shop_file, tool_use, when};
use ::survey::rack_form::{KINDS, Measure, Size, ToolKind, ToolSheet, fills, kind_of, tool_added, tool_changed, tool_sheets, with_unit};
use axum::extract::{Path, Query, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;

/// What a tool's form sends.
type Fields = BTreeMap<String, String>;

/// What may stand behind the address of a new tool.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Its kind.
    #[serde(default)]
    kind: String,
    /// The tool that it is like.
    #[serde(default)]
    like: String,
}

/// The form of a new tool; without a kind, the kinds.
///
/// # Errors
/// Where the record fails.
pub async fn new(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let rack = shop_file::read(app, RACK)?;
        let like =
            tool_sheets(&rack.text).map_err(shop_file::unreadable)?.into_iter().find(|t| !asked.like.is_empty() && t.id == asked.like);
        match like.as_ref().and_then(ToolSheet::kind).or_else(|| kind_of(&asked.kind)) {
            Some(kind) => {
                let mut copy = like.unwrap_or_default();
                for only_its_own in ["retired", "away_until", "wear", "condition"] {
                    copy.fields.remove(only_its_own);
                }
                if !copy.id.is_empty() {
                    copy.fields.insert("name".to_owned(), format!("{} (copy)", copy.name()));
                }
                Ok(new_page(&signed, kind, &copy, rack.version, &Redisplay::default()))
            }
            None => Ok(kinds_page(&signed)),
        }
    })
    .await
}

fn kinds_page(signed: &Signed) -> Markup {
    layout::page(
        signed,
        "Add a tool",
        html! {
            h1 { "Add a tool" }
            (tabs("/shop/tools"))
            p { "What is it?" }
            ul.plain.lines.settings { @for k in &KINDS {
                li { a href={ "/shop/tools/new?kind=" (in_address(k.word)) } { (sentence(k.word).trim_end_matches('.')) } p.soft { (k.about) } }
            } }
        },
    )
}

fn new_page(signed: &Signed, kind: &'static ToolKind, like: &ToolSheet, version: i64, redisplay: &Redisplay) -> Markup {
    let refill = redisplay.form("/shop/tools");
    layout::page(
        signed,
        "Add a tool",
        html! {
            h1 { "Add: " (kind.word) }
            (tabs("/shop/tools"))
            p { (kind.about) " " a href="/shop/tools/new" { "Another kind" } }
            section.card {
                form.stack method="post" action="/shop/tools" {
                    input type="hidden" name="kind" value=(kind.word);
                    (fields(signed, kind, like, version, refill))
                    button type="submit" { "Add" }
                }
            }
        },
    )
}

/// Adds a tool.
///
/// # Errors
/// Where what is typed cannot be, each beside its field.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let kind =
            kind_of(f.get("kind").map_or("", String::as_str)).ok_or_else(|| Problem::Bad("choose what kind of tool it is".to_owned()))?;
        sent.taken(
            || {
                if f.get("name").is_none_or(|n| n.trim().is_empty()) {
                    return Err(Problem::Fields(vec![("name".to_owned(), "give it a name, as you call it at the bench".to_owned())]));
                }
                let rack = shop_file::read(app, RACK)?;
                let (text, _) = tool_added(&rack.text, kind.word, &typed(signed.fmt, kind, &ToolSheet::default(), &f))
                    .map_err(|w| shop_file::refused(signed.fmt, w))?;
                shop_file::keep(app, &signed, RACK, version(&f), &text)?;
                Ok(Redirect::to("/shop/tools"))
            },
            |redisplay| Ok(new_page(&signed, kind, &ToolSheet::default(), shop_file::read(app, RACK)?.version, redisplay)),
        )
    })
    .await
}

fn version(f: &Fields) -> i64 {
    f.get("version").and_then(|v| v.parse().ok()).unwrap_or(0)
}

/// What was changed in a form, with its units.
fn typed(fmt: UnitFormat, kind: &'static ToolKind, saved: &ToolSheet, f: &Fields) -> Vec<(String, String)> {
    let keys = ["name", "place", "wear", "condition", "away_until"].into_iter().chain(kind.sizes.iter().map(|s| s.key));
    keys.filter_map(|key| f.get(key).filter(|text| text.trim() != saved.text(key).trim()).map(|text| (key, text)))
        .map(|(key, text)| (key.to_owned(), with_unit(key, text, fmt.symbol(), force_unit(fmt))))
        .collect()
}

fn fields<'a>(signed: &Signed, kind: &'static ToolKind, of: &'a ToolSheet, version: i64, refill: Refill<'a>) -> Markup {
    let (length, force) = if signed.fmt.inches() { ("in", "lbf") } else { ("mm", "N") };
    let field = |key: &'static str, label: &str, unit: &str, without: &str| {
        let saved = of.text(key);
        html! { label { span { (label) @if !unit.is_empty() { " " span.soft.small { "(" (unit) ")" } } } input name=(key) value=(refill.text(key, saved)) placeholder=[(!without.is_empty()).then_some(without)] autocomplete="off"; (refill.beside(key, saved)) } }
    };
    let size = |s: &Size| match s.measure {
        Measure::Length => field(s.key, s.label, length, s.without.unwrap_or("")),
        Measure::Force => field(s.key, s.label, force, s.without.unwrap_or("")),
        Measure::Power => field(s.key, s.label, "W", s.without.unwrap_or("")),
        Measure::Fill => html! {
            label { span { (s.label) } select name=(s.key) {
                @for fill in fills() { option value=(fill) selected[refill.has(s.key, fill, of.text(s.key) == fill)] { (fill) } }
            } (refill.beside(s.key, of.text(s.key))) }
        },
    };
    html! {
        (layout::csrf(signed)) (refill.problems()) (refill.version(version))
        p.soft { "Write a length as you measure it, in any unit: " (if signed.fmt.inches() { "5/16 in or 0.315 in. A number alone is inches." } else { "8 mm. A number alone is millimeters." }) }
        (field("name", "Name", "", ""))
        @for s in kind.sizes { (size(s)) }
        (field("place", "Where it hangs", "", ""))
        (field("wear", "Worn below its nominal size by", length, "not worn"))
        label { span { "Condition" } input name="condition" maxlength="200" value=(refill.text("condition", of.text("condition"))) autocomplete="off"; span.soft.small { "A chip, a burr, a bent tip. It stands beside the tool wherever a plan or a step names it." } (refill.beside("condition", of.text("condition"))) }
        label { span { "Away until the end of" } input type="date" name="away_until" value=(refill.text("away_until", of.text("away_until"))); span.soft.small { "Lent out, or at the grinder's. Left empty: it hangs in its place." } (refill.beside("away_until", of.text("away_until"))) }
    }
}

/// A tool's page.
///
/// # Errors
/// Where there is none of that name.
pub async fn one(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<String>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &id, &Redisplay::default())).await
}

fn sheet(text: &str, id: &str) -> Outcome<(ToolSheet, &'static ToolKind)> {
    let tools = tool_sheets(text).map_err(shop_file::unreadable)?;
    let tool = tools.into_iter().find(|t| t.id == id).ok_or_else(|| Problem::Missing(format!("there is no tool {id} on the rack")))?;
    let kind = tool
        .kind()
        .ok_or_else(|| Problem::Bad(format!("the rack's file gives {id} a kind that is not known; mend it under “As a file”")))?;
    Ok((tool, kind))
}

fn shown(app: &App, signed: &Signed, id: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let rack = shop_file::read(app, RACK)?;
    let (tool, kind) = sheet(&rack.text, id)?;
    let (own, retire) = (format!("/shop/tools/{}", in_address(id)), format!("/shop/tools/{}/retire", in_address(id)));
    let used = tool_use::this_month(app)?.remove(id).unwrap_or_default();
    let cards = used.keys().map(|job| app.store().board_line(*job)).collect::<Result<Vec<_>, _>>()?;
    Ok(layout::page(
        signed,
        tool.name(),
        html! {
            h1 { (tool.name()) @if tool.retired() { " " span.state { "Retired" } } }
            (tabs("/shop/tools"))
            p { (sentence(kind.word)) " " (kind.about) }
            @if !tool.text("condition").is_empty() { p.note { strong { "Condition: " } (tool.text("condition")) } }
            @if tool.retired() { p.note { "Out of use since " (tool.text("retired")) ". Nothing new is planned with it. Old plans and agreed jobs keep it." } }
            div.split {
                section.card {
                    form.stack method="post" action=(own) { (fields(signed, kind, &tool, rack.version, redisplay.form(&own))) button type="submit" { "Save" } }
                }
                div {
                    section.card {
                        h2 { "This month" }
                        @if used.is_empty() { p.soft { "No agreed plan names it this month." } }
                        @else {
                            p { (sentence(&tool_use::words(&used))) }
                            ul.plain.lines { @for line in &cards {
                                @let dents = used.get(&line.job.id).map_or(0, Vec::len);
                                li { a href={ "/jobs/" (line.job.id) "/plan" } { (line.tag) ", " (line.job.title) ": " (dents) (if dents == 1 { " dent" } else { " dents" }) } }
                            } }
                        }
                    }
                    section.card {
                        h2 { "More" }
                        div.row {
                            a.button.plain href={ "/shop/tools/new?like=" (in_address(id)) } { "Duplicate" }
                            form method="post" action=(retire) {
                                (layout::csrf(signed)) (redisplay.form(&retire).problems()) (redisplay.form(&retire).version(rack.version))
                                @if tool.retired() { button.plain type="submit" name="retired" value="no" { "Put back in use" } }
                                @else { button.plain type="submit" name="retired" value="yes" { "Retire" } }
                            }
                        }
                        @if !tool.retired() { p.soft.small { "A retired tool is no longer planned with. It stays in the record." } }
                    }
                }
            }
        },
    ))
}

/// Changes a tool.
///
/// # Errors
/// Where what is typed cannot be, each beside its field, or somebody saved in between.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<String>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, &id, &f), |redisplay| shown(app, &signed, &id, redisplay))).await
}

fn changed(app: &App, signed: &Signed, id: &str, f: &Fields) -> Outcome<Redirect> {
    let rack = shop_file::read(app, RACK)?;
    let (tool, kind) = sheet(&rack.text, id)?;
    let text = tool_changed(&rack.text, id, &typed(signed.fmt, kind, &tool, f)).map_err(|w| shop_file::refused(signed.fmt, w))?;
    shop_file::keep(app, signed, RACK, version(f), &text)?;
    Ok(Redirect::to("/shop/tools"))
}

/// Takes a tool out of use, or puts it back.
///
/// # Errors
/// Where there is none of that name, or somebody saved in between.
pub async fn retire(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<String>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| retired(app, &signed, &id, &f), |redisplay| shown(app, &signed, &id, redisplay))).await
}

fn retired(app: &App, signed: &Signed, id: &str, f: &Fields) -> Outcome<Redirect> {
    let since = if f.get("retired").is_some_and(|r| r == "no") { String::new() } else { when::today().to_string() };
    let rack = shop_file::read(app, RACK)?;
    let text = tool_changed(&rack.text, id, &[("retired".to_owned(), since)]).map_err(|w| shop_file::refused(signed.fmt, w))?;
    shop_file::keep(app, signed, RACK, version(f), &text)?;
    Ok(Redirect::to(&format!("/shop/tools/{}", in_address(id))))
}
