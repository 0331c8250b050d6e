//! What the overrules of a job change, the next best plans, and how good the plan is proved to be.

use crate::tell::Tell;
use job::Job;
use maud::{Markup, html};
use plan::{Overrules, what_changed};
use units::money::show_money;

/// How good the plan is proved to be, in a sentence or two.
pub fn how_good(job: &Job) -> String {
    let p = &job.plan.proof;
    let gap = p.cost_money - p.bound_money;
    let mut words = if gap < 0.5 {
        "No other choice of ways and openings costs less (proved).".to_owned()
    } else {
        let most = rust_decimal::Decimal::from_f64_retain(gap).unwrap_or_default().round_dp(0);
        format!("Another choice could save {} at most (proved).", show_money(most, &job.quote.currency))
    };
    if let Some(o) = &job.plan.order {
        words.push_str(&format!(" {} heats, {} times into a fixture", o.heats, o.fixtures));
        words.push_str(if o.setup_min - o.bound_min < 0.5 { ": no order needs less setting up (proved)." } else { "." });
    }
    words
}

/// What the overrules change against the plan without them; nothing where there are none.
pub fn changes(job: &Job, tell: Tell) -> Markup {
    if job.overrules.all.is_empty() {
        return html! {};
    }
    let free = plan::plan(&job.survey, &job.assessments, &job.ways, &job.shop.standards, &Overrules::default());
    let changes = what_changed(&job.survey, &free, &job.plan);
    let takes = job.plan.minutes.mean();
    html! {
        section.card id="what-changed" {
            h2 { "What your overrules change" }
            @if let Some(deadline) = job.overrules.deadline_min().filter(|d| takes > *d) {
                p.warn { "The bench time of " (format!("{deadline:.0}")) " min cannot be kept: the least that must be done takes " (format!("{takes:.0}")) " min." }
            }
            @if changes.is_empty() { p.soft { "Nothing: the plan would be so without them." } }
            @else {
                div.scroll tabindex="0" role="region" aria-label="What the overrules change" {
                    table {
                        thead { tr { th scope="col" { "What" } th scope="col" { "Without them" } th scope="col" { "Now" } } }
                        tbody { @for c in &changes { tr { th scope="row" { (c.about) } td { (tell.text(&c.before)) } td { (tell.text(&c.after)) } } } }
                    }
                }
            }
        }
    }
}

/// The next best plans and what separates them.
pub fn others(job: &Job, tell: Tell) -> Markup {
    if job.plan.alternatives.is_empty() {
        return html! {};
    }
    html! {
        h2 id="other-plans" { "Other plans, against this one" }
        ul { @for a in &job.plan.alternatives { li { (tell.text(&a.differs)) } } }
    }
}
