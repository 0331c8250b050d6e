//! Jobs as lines of a table, and what their states are called.

use crate::when;
use maud::{Markup, html};
use store::board::BoardLine;
use store::counter::JobState;

/// What a state is called on the pages.
pub fn state_name(state: JobState) -> &'static str {
    match state {
        JobState::Received => "Received",
        JobState::Surveyed => "Surveyed",
        JobState::Quoted => "Quoted",
        JobState::Approved => "Approved",
        JobState::OnBench => "On the bench",
        JobState::Checking => "Final check",
        JobState::Ready => "Ready for pickup",
        JobState::HandedBack => "Picked up",
        JobState::Declined => "Declined",
    }
}

/// What is to be done next, in a word or two, and on which of the job's pages.
pub fn next_of(state: JobState) -> (&'static str, &'static str) {
    match state {
        JobState::Received => ("Survey it", "survey"),
        JobState::Surveyed => ("Quote it", "quote"),
        JobState::Quoted => ("Ask for the answer", "quote"),
        JobState::Approved => ("Start work", "bench"),
        JobState::OnBench => ("Go on", "bench"),
        JobState::Checking => ("Final checks", "checks"),
        JobState::Ready => ("Call: ready", "hand-back"),
        JobState::HandedBack => ("Done", "hand-back"),
        JobState::Declined => ("Pickup", "hand-back"),
    }
}

/// Whether the next thing is done by telephone: then the number stands beside it.
fn calls(state: JobState) -> bool {
    matches!(state, JobState::Quoted | JobState::Ready)
}

/// Jobs as a table; a row is tapped anywhere, and its columns sort.
pub fn lines_table(lines: &[BoardLine]) -> Markup {
    html! {
        @if lines.is_empty() { p.soft { "No jobs here." } }
        @else {
            table.jobs data-sorts="" {
                thead { tr { th scope="col" { "Tag" } th scope="col" { "Job" } th scope="col" { "Customer" } th scope="col" { "Next" } th scope="col" { "Due" } th scope="col" { "Bench" } th.n scope="col" { "Days here" } th.n scope="col" { "Dents" } } }
                tbody {
                    @for line in lines { (row(line)) }
                }
            }
        }
    }
}

fn row(line: &BoardLine) -> Markup {
    let (job, (next, _)) = (&line.job, next_of(line.job.state));
    let age = job.closed_at.unwrap_or_else(when::now) - job.received_at;
    let days = (age / 86_400).max(0);
    html! {
        tr {
            td.tag { a href={ "/jobs/" (job.id) } { (line.tag) } }
            td.what { (job.title) br; span.soft.small { (line.instrument) } }
            td.whose { (line.customer) }
            td.next { @if job.state.is_closed() { span.soft { (state_name(job.state)) } } @else { strong { (next) } br; span.soft.small { (state_name(job.state)) @if calls(job.state) && !line.phone.is_empty() { ", " span.nowrap { (line.phone) } } } } }
            td.due data-v=(job.due.as_deref().unwrap_or("9999")) { (due_cell(line)) }
            td.bench data-of="on" { @match line.bench() { Some(name) => { (name) @if line.running { " " span.soft.small { "now" } } }, None => { span.soft { "nobody" } } } }
            td.n.age data-v=(days) { (days) }
            td.n.dents data-v=(line.dents) { @if line.dents > 0 { (line.dents) } @else { "–" } }
        }
    }
}

fn due_cell(line: &BoardLine) -> Markup {
    let Some(day) = line.job.due.as_deref() else { return html! { span.soft { "no day" } } };
    if !line.job.state.is_open_for_due() {
        return html! { span.nowrap { (when::day_words(day)) } };
    }
    let due = when::due(day);
    html! { span.nowrap { (when::day_words(day)) } br; span.small.late[due.late].soft[!due.late] { (due.words) } }
}
