//! The board: where every open job stands and what is due.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::Outcome;
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;
use store::counter::{BoardLine, JobState};

/// Lines shown at most.
const MOST: u32 = 100;

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// Words to find.
    #[serde(default)]
    find: String,
    /// Only this state.
    #[serde(default)]
    state: String,
}

/// The board.
///
/// # Errors
/// Where the record fails.
pub async fn board(State(app): State<App>, Extension(signed): Extension<Signed>, Query(asked): Query<Asked>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let only = JobState::parse(&asked.state);
        let lines = match (asked.find.trim(), only) {
            ("", None) => app.store().open_jobs(MOST)?,
            ("", Some(state)) => app.store().jobs_in(state, MOST)?,
            (text, _) => app.store().find_jobs(text, MOST)?,
        };
        let counts = app.store().jobs_by_state()?;
        let count = |s: JobState| counts.iter().find(|(t, _)| *t == s).map_or(0, |(_, n)| *n);
        Ok(layout::page(
            &signed,
            "Board",
            html! {
                h1 { "Board" }
                form.row method="get" action="/" role="search" {
                    label.grow { span { "Find a job: tag, serial, make, customer" } input type="search" name="find" value=(asked.find); }
                    button type="submit" { "Find" }
                    @if signed.may(Need::Counter) { a.button.plain href="/customers" { "Take in an instrument" } }
                }
                nav.tabs aria-label="Jobs by state" {
                    a href="/" aria-current=[(only.is_none() && asked.find.is_empty()).then_some("page")] { "Open" }
                    @for state in JobState::ALL {
                        a href={ "/?state=" (state.as_str()) } aria-current=[(only == Some(state)).then_some("page")] {
                            (state_name(state)) " " span.soft { (count(state)) }
                        }
                    }
                }
                (lines_table(&lines))
                @if lines.len() == MOST as usize { p.soft { "The first " (MOST) " are shown; find by tag or customer for the rest." } }
            },
        ))
    })
    .await
}

/// What a state is called on the pages.
pub fn state_name(state: JobState) -> &'static str {
    match state {
        JobState::Received => "Received",
        JobState::Surveyed => "Surveyed",
        JobState::Quoted => "Quoted",
        JobState::Approved => "Approved",
        JobState::OnBench => "On the bench",
        JobState::Proving => "Proving",
        JobState::Ready => "Ready",
        JobState::HandedBack => "Handed back",
        JobState::Declined => "Declined",
    }
}

/// Jobs as a table.
pub fn lines_table(lines: &[BoardLine]) -> Markup {
    html! {
        @if lines.is_empty() { p.soft { "No jobs here." } }
        @else {
            div.scroll tabindex="0" role="region" aria-label="Jobs" {
                table.jobs {
                    thead { tr { th scope="col" { "Tag" } th scope="col" { "Job" } th scope="col" { "Customer" } th scope="col" { "Stands" } th scope="col" { "Due" } th scope="col" { "Bench" } th.n scope="col" { "Dents" } } }
                    tbody {
                        @for line in lines {
                            tr {
                                td.num { a href={ "/jobs/" (line.job.id) } { (line.tag) } }
                                td { a href={ "/jobs/" (line.job.id) } { (line.job.title) } br; span.soft.small { (line.instrument) } }
                                td { (line.customer) }
                                td { span.state { (state_name(line.job.state)) } }
                                td.nowrap { (due_cell(line)) }
                                td { (line.bench_name.as_deref().unwrap_or("–")) }
                                td.n { (line.dents) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn due_cell(line: &BoardLine) -> Markup {
    let Some(day) = line.job.due.as_deref() else { return html! { "–" } };
    if line.job.state.is_closed() {
        return html! { (day) };
    }
    let words = when::due(day);
    html! { (day) br; span.small.late[words.ends_with("late")].soft[!words.ends_with("late")] { (words) } }
}
