//! Jobs as lines of a table, and what their states are called.

use crate::when;
use maud::{Markup, html};
use store::counter::{BoardLine, JobState};

/// What a state is called on the pages.
pub fn state_name(state: JobState) -> &'static str {
    match state {
        JobState::Received => "Received",
        JobState::Surveyed => "Surveyed",
        JobState::Quoted => "Quoted",
        JobState::Approved => "Approved",
        JobState::OnBench => "On the bench",
        JobState::Checking => "Final checks",
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
    if !line.job.state.is_open_for_due() {
        return html! { (day) };
    }
    let due = when::due(day);
    html! { (day) br; span.small.late[due.late].soft[!due.late] { (due.words) } }
}
