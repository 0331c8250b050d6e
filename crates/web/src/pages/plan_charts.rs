//! The plan's charts, each with its table: fetched when they are opened.

use super::job_head::{comes_first, head};
use super::plan_played::step_by_step;
use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::Outcome;
use crate::view::drawings::chart;
use axum::Extension;
use axum::extract::{Path, Query, State};
use maud::{Markup, html};
use serde::Deserialize;

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Only the charts, without the page round them: for a page that is open already.
    #[serde(default)]
    part: String,
}

/// Width of a chart, mm: its type of 3 mm is more than 11 pixels high where a phone of 320 pixels shows it.
const WIDTH_MM: f64 = 76.0;

/// The charts' page, or the part of it that is put into the plan's page.
///
/// # Errors
/// Where there is no such job.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        if let Some(page) = comes_first(app, &signed, &line, "plan")? {
            return Ok(page);
        }
        let job = app.job(id)?;
        let all = report::charts(&job, signed.fmt.0, WIDTH_MM);
        let inside = html! { div.charts { @for c in &all { (chart(&c.title, &c.drawing, &c.key, &table(c))) } @if all.is_empty() { p.soft { "Nothing is worked: there is nothing to draw." } } } (step_by_step(&job)) };
        if !asked.part.is_empty() {
            return Ok(inside);
        }
        Ok(layout::page(&signed, "Charts", html! { (head(&line, "plan")) p { a href={ "/jobs/" (id) "/plan" } { "Back to the plan" } } h2 { "Charts" } (inside) }))
    })
    .await
}

fn table(c: &report::Chart) -> Markup {
    html! {
        table {
            thead { tr { @for (head, number) in c.columns.iter().zip(&c.numbers) { th.n[*number] scope="col" { (head) } } } }
            tbody { @for row in &c.rows { tr { @for (cell, number) in row.iter().zip(&c.numbers) { td.n[*number] { (cell) } } } } }
        }
    }
}
