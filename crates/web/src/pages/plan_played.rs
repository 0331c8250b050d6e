//! How the instrument plays, on the plan's page: as it came in and after the plan, and which dents do it; with the charts, after each step.

use crate::unit_format::UnitFormat;
use job::Job;
use job::played::LEFT_OUT;
use maud::{Markup, html};

/// Dents that are told one by one; the others in a line.
const TOLD: usize = 8;

/// The section.
pub(super) fn played(job: &Job, fmt: UnitFormat) -> Markup {
    let mut dents: Vec<_> = job.assessments.iter().filter_map(|a| Some((&a.dent, job.played.of_dent(&a.dent)?))).collect();
    dents.sort_by(|a, b| b.1.cents.abs().total_cmp(&a.1.cents.abs()));
    let quiet = dents.len().saturating_sub(TOLD);
    html! {
        h2 { "Tuning" }
        p { (fmt.text(&job.played.words(&job.plan))) }
        @if !dents.is_empty() {
            details { summary { "Which dents do it" }
                div.scroll tabindex="0" role="region" aria-label="Dents by what they do to a note" {
                    table {
                        thead { tr { th scope="col" { "Dent" } th scope="col" { "moves most" } th scope="col" { "by" } } }
                        tbody { @for (dent, o) in dents.iter().take(TOLD) { tr { th scope="row" { (dent) } td { (o.note) } td { (o.show()) } } } }
                    }
                }
                @if quiet > 0 { p.soft.small { (quiet) " more move no note further than these." } }
                @if let Some(sound) = job.played.known() { @for a in &sound.assumed { p.soft.small { "Assumed: " (fmt.text(a)) "." } } }
            }
        }
        p.soft.small { (LEFT_OUT) " A cent is a hundredth of a half tone." }
    }
}

/// The note that is off most after each step. Worked out with the bore anew for each, so only where it is asked for.
pub(super) fn step_by_step(job: &Job) -> Markup {
    let steps = job.played.after_each(&job.plan);
    html! {
        @if !steps.is_empty() {
            h3 { "Tuning, step by step" }
            div.scroll tabindex="0" role="region" aria-label="The note that is off most, step by step" {
                table {
                    thead { tr { th scope="col" { "After step" } th scope="col" { "off most" } th scope="col" { "by" } } }
                    tbody { @for (step, o) in &steps { tr { th scope="row" { (step) } td { (o.note) } td { (o.show()) } } } }
                }
            }
        }
    }
}
