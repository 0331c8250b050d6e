//! How long things took against what the plan said, by kind of step and person.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::view::drawings::chart;
use crate::{layout, when};
use axum::Extension;
use axum::extract::State;
use draw::chart::{RatioRow, ratio_chart};
use maud::{Markup, html};
use plan::{StepKind, standard_words};
use std::collections::BTreeMap;
use store::bench::TimeTaken;

/// Steps looked back over at most.
const MOST: u32 = 20_000;

/// The history's page.
///
/// # Errors
/// Where the record fails.
pub async fn history(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let taken = app.store().times_taken(MOST)?;
        let kinds = group(&taken, |t| step_name(&t.kind));
        let people = group(&taken, |t| t.person.clone().unwrap_or_else(|| "nobody named".to_owned()));
        let both = group(&taken, |t| format!("{} · {}", step_name(&t.kind), t.person.as_deref().unwrap_or("nobody named")));
        Ok(layout::page(
            &signed,
            "History",
            html! {
                h1 { "How long things took" }
                (crate::view::history_tabs::tabs("/history"))
                @if taken.is_empty() { p.soft { "No step has been timed yet." } }
                @else {
                    p { "From " (taken.len()) " timed steps, the newest of " (taken.first().map_or(String::new(), |t| when::moment(t.done_at))) ". Beyond 1: it took longer than the plan said." }
                    div.charts { (shown("By kind of step", &kinds)) (shown("By person", &people)) (shown("By kind and person", &both)) }
                }
            },
        ))
    })
    .await
}

/// What a kind of step is called: as on the page of its minutes; one that this program does not know, by its key.
fn step_name(key: &str) -> String {
    crate::learning::named::<StepKind>(key).map_or_else(|| key.replace('_', " "), |kind| standard_words::of_step(kind).name.to_owned())
}

struct Line {
    name: String,
    count: usize,
    likely_s: i64,
    spent_s: i64,
    /// Median of taken over planned.
    median: f64,
    /// Middle half of taken over planned.
    quartiles: (f64, f64),
}

fn group(taken: &[TimeTaken], name: impl Fn(&TimeTaken) -> String) -> Vec<Line> {
    let mut groups: BTreeMap<String, Vec<&TimeTaken>> = BTreeMap::new();
    for t in taken {
        groups.entry(name(t)).or_default().push(t);
    }
    let line = |(name, steps): (String, Vec<&TimeTaken>)| {
        let mut ratios: Vec<f64> = steps.iter().filter(|t| t.likely_s > 0).map(|t| t.spent_s as f64 / t.likely_s as f64).collect();
        ratios.sort_by(f64::total_cmp);
        let at = |q: f64| ratios.get(((ratios.len().max(1) - 1) as f64 * q).round() as usize).copied().unwrap_or(f64::NAN);
        Line {
            name,
            count: steps.len(),
            likely_s: steps.iter().map(|t| t.likely_s).sum(),
            spent_s: steps.iter().map(|t| t.spent_s).sum(),
            median: at(0.5),
            quartiles: (at(0.25), at(0.75)),
        }
    };
    groups.into_iter().map(line).collect()
}

/// Width of the chart, mm: its type of 3 mm is more than 11 pixels high where a phone of 320 pixels shows it.
const WIDTH_MM: f64 = 76.0;

/// The ratios as a chart; the figures as its table.
fn shown(title: &str, lines: &[Line]) -> Markup {
    let rows: Vec<RatioRow> =
        lines.iter().map(|l| RatioRow { name: words(l), steps: l.count, ratio: (l.quartiles.0, l.median, l.quartiles.1) }).collect();
    chart(title, &ratio_chart(&rows, WIDTH_MM), "", &table(lines))
}

fn words(l: &Line) -> String {
    crate::view::figures::sentence(&l.name).trim_end_matches('.').to_owned()
}

fn table(lines: &[Line]) -> Markup {
    html! {
        table data-sorts="" {
            thead { tr { th scope="col" { "What" } th.n scope="col" { "Steps" } th.n scope="col" { "Planned" } th.n scope="col" { "Taken" } th.n scope="col" { "Taken over planned: median" } th.n scope="col" { "Half of them" } } }
            tbody { @for l in lines {
                tr {
                    th scope="row" { (words(l)) } td.n { (l.count) } td.n data-v=(l.likely_s) { (when::lasting(l.likely_s)) } td.n data-v=(l.spent_s) { (when::lasting(l.spent_s)) }
                    td.n { (format!("{:.2}", l.median)) } td.n data-v=(l.quartiles.1 - l.quartiles.0) { (format!("{:.2} to {:.2}", l.quartiles.0, l.quartiles.1)) }
                }
            } }
        }
    }
}
