//! What the overrules of a job change, and the next best plans.

use crate::planned::Planned;
use crate::unit_format::UnitFormat;
use job::Job;
use maud::{Markup, html};

/// What the overrules change against the plan without them; nothing where there are none.
pub fn changes(job: &Planned, fmt: UnitFormat) -> Markup {
    if job.overrules.all.is_empty() {
        return html! {};
    }
    let changes = job.changes();
    html! {
        section.card id="what-changed" {
            h2 { "What your overrules change" }
            @if let Some(missed) = job.deadline_missed() { p.warn { (missed) } }
            @if changes.is_empty() { p.soft { "Nothing: the plan would be so without them." } }
            @else {
                div.scroll tabindex="0" role="region" aria-label="What the overrules change" {
                    table {
                        thead { tr { th scope="col" { "What" } th scope="col" { "Without them" } th scope="col" { "Now" } } }
                        tbody { @for c in changes { tr { th scope="row" { (c.about) } td { (fmt.text(&c.before)) } td { (fmt.text(&c.after)) } } } }
                    }
                }
            }
        }
    }
}

/// The next best plans and what separates them.
pub fn others(job: &Job, fmt: UnitFormat) -> Markup {
    if job.plan.alternatives.is_empty() {
        return html! {};
    }
    html! {
        h2 id="other-plans" { "Other plans, against this one" }
        ul { @for a in &job.plan.alternatives { li { (fmt.text(&job.plan.against(a, &job.quote.currency))) } } }
    }
}
