//! The journal: who changed what, when, from what.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::{layout, when};
use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use store::journal::Entry;

/// Longest value that is shown in the table itself.
const SHORT: usize = 60;
/// Longest value that is shown at all; a whole survey is read in the export.
const LONG: usize = 1200;

/// What was done, in words.
fn deed(act: &str, record: &str) -> String {
    let thing = match record {
        "settings" => "setting",
        "people" => "person",
        "customers" => "customer",
        "instruments" => "instrument",
        "jobs" => "job",
        "surveys" => "survey",
        "dents" => "dent",
        "overrules" => "overrule",
        "quotes" => "quote",
        "agreements" => "agreement",
        "steps" => "step",
        "acceptance_checks" | "proofs" => "final check",
        "photos" => "photo",
        "let_go" => "what was let go",
        "accessories" => "accessory",
        "payments" => "payment",
        "hand_backs" => "hand-back",
        other => other,
    };
    let did = match act {
        "insert" => "added",
        "update" => "changed",
        _ => "took out",
    };
    format!("{did} {thing}")
}

/// The fields that differ, each from what to what.
fn changes(e: &Entry) -> Markup {
    let fields =
        |text: &Option<String>| -> Map<String, Value> { text.as_deref().and_then(|t| serde_json::from_str(t).ok()).unwrap_or_default() };
    let (before, after) = (fields(&e.before), fields(&e.after));
    let names: BTreeSet<&String> = before.keys().chain(after.keys()).filter(|n| !matches!(n.as_str(), "id" | "at")).collect();
    let words = |name: &str, v: Option<&Value>| match v {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(s)) => s.clone(),
        Some(Value::Number(n)) if e.is_moment(name) => n.as_i64().map_or(String::new(), when::moment),
        Some(other) => other.to_string(),
    };
    let differ: Vec<(&String, String, String)> =
        names.into_iter().map(|n| (n, words(n, before.get(n)), words(n, after.get(n)))).filter(|(_, a, b)| a != b).collect();
    let cut = |s: &str| match s.char_indices().nth(LONG) {
        Some((i, _)) => format!("{}…", &s[..i]),
        None => s.to_owned(),
    };
    let short = |s: &str| s.chars().count() <= SHORT;
    html! {
        @for (name, from, to) in differ.iter().filter(|(_, a, b)| short(a) && short(b)).take(6) {
            div.small { span.soft { (name.replace('_', " ")) ": " } @if !from.is_empty() { (from) " → " } @if to.is_empty() { "nothing" } @else { (to) } }
        }
        @if differ.len() > 6 || differ.iter().any(|(_, a, b)| !short(a) || !short(b)) {
            details { summary.small { "All of it" } @for (name, from, to) in &differ { p.small.broken { strong { (name.replace('_', " ")) } br; @if !from.is_empty() { "from " (cut(from)) br; } "to " (cut(to)) } } }
        }
    }
}

/// The latest lines.
///
/// # Errors
/// Where the record fails.
pub async fn latest(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let entries = app.store().journal_latest(200)?;
        Ok(layout::page(
            &signed,
            "Journal",
            html! {
                h1 { "Journal" }
                p.soft { "How the installation stands, and what happened at the door: " a href="/doctor" { "how it stands" } "." }
                p.soft { "Every change, newest first. Nothing here can be altered." }
                div.scroll tabindex="0" role="region" aria-label="Journal" {
                    table {
                        thead { tr { th scope="col" { "When" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "From and to" } } }
                        tbody {
                            @for e in &entries {
                                tr {
                                    td.num.nowrap { (when::moment(e.at)) }
                                    td { (e.who) }
                                    td { (deed(&e.act, &e.record)) " " span.soft.num { (e.row) } }
                                    td { (changes(e)) }
                                }
                            }
                        }
                    }
                }
            },
        ))
    })
    .await
}
