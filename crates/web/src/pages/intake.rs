//! What is asked for when an instrument is taken in: jobs of the shop's own list, which the survey begins with.

use crate::app::App;
use crate::problem::{Outcome, Problem};
use crate::redisplay::Refill;
use instrument::Work;
use maud::{Markup, html};
use plan::{Need, StandardJob};
use std::collections::BTreeMap;

/// What a box of the form is called.
fn field(key: &str) -> String {
    format!("work_{key}")
}

/// What may be asked for at the counter: of what must be taken apart the joint is named on the survey.
fn offered(jobs: &[StandardJob]) -> impl Iterator<Item = &StandardJob> {
    jobs.iter().filter(|j| !j.retired && !j.needs(Need::JointOpen))
}

/// The boxes of the form of a new job.
///
/// # Errors
/// Where the shop's list cannot be read.
pub(super) fn boxes(app: &App, refill: Refill<'_>) -> Outcome<Markup> {
    let jobs = app.standard_jobs()?;
    Ok(html! {
        details open[offered(&jobs).any(|j| refill.ticked(&field(&j.key), "yes", false))] {
            summary { "Other work: cleaning, corks, valves, lacquer" }
            @for j in offered(&jobs) { label.check { input type="checkbox" name=(field(&j.key)) value="yes" checked[refill.ticked(&field(&j.key), "yes", false)]; span { (j.name) } } }
            p.soft.small { "The survey begins with it. How often, and on which tube, is said there." }
        }
    })
}

/// The keys of what was ticked.
///
/// # Errors
/// Where the shop's list does not have it, or not any more.
pub(super) fn asked(app: &App, f: &BTreeMap<String, String>) -> Outcome<Vec<String>> {
    let jobs = app.standard_jobs()?;
    let ticked = f.keys().filter_map(|k| k.strip_prefix("work_"));
    let known = |key: &str| {
        let there = offered(&jobs).any(|j| j.key == key);
        there
            .then(|| key.to_owned())
            .ok_or_else(|| Problem::Bad(format!("your list of standard jobs has no “{key}” any more; load the page again")))
    };
    ticked.map(known).collect()
}

/// What was asked for when a job was taken in, as the shop calls it.
///
/// # Errors
/// Where there is no such job, or the shop's list cannot be read.
pub(super) fn names(app: &App, job: i64) -> Outcome<Vec<String>> {
    let keys = app.store().asked_at_intake(job)?;
    if keys.is_empty() {
        return Ok(vec![]);
    }
    let jobs = app.standard_jobs()?;
    Ok(keys.into_iter().map(|key| jobs.iter().find(|j| j.key == key).map_or(key, |j| j.name.clone())).collect())
}

/// The same as work of the survey that begins. What the list lost since is left to the job's page, which names it.
///
/// # Errors
/// As [`names`].
pub(super) fn work(app: &App, job: i64) -> Outcome<Vec<Work>> {
    let keys = app.store().asked_at_intake(job)?;
    let jobs = if keys.is_empty() { vec![] } else { app.standard_jobs()? };
    let there = keys.into_iter().filter(|key| offered(&jobs).any(|j| j.key == *key));
    Ok((1..).zip(there).map(|(n, key)| Work::new(format!("w{n}"), key)).collect())
}
