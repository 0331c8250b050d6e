//! Other work on the survey's page: jobs of the shop's own list that are to be done on this instrument, with how often and where.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::recorded::body_read;
use crate::redisplay::{Redisplay, Refill};
use crate::{layout, when};
use ::survey::kept::survey_to_json;
use axum::response::Redirect;
use instrument::{JointKind, RunId, Survey, Work, check};
use maud::{Markup, html};
use plan::{Need, StandardJob};
use std::collections::BTreeMap;
use store::By;
use units::text;

const IN_BETWEEN: &str = "another tablet saved this in between; look at both, then save again";

fn action(job: i64) -> String {
    format!("/jobs/{job}/survey/work")
}

/// Saves a piece of work, new or changed, or takes it out.
///
/// # Errors
/// Where a field cannot be taken, or somebody saved in between.
pub fn saved(app: &App, signed: &Signed, id: i64, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    loop {
        match saved_once(app, signed, id, f) {
            // Somebody saved another part of the same survey: this one is read again over it.
            Err(Problem::Conflict(words)) if words != IN_BETWEEN => {}
            done => return done,
        }
    }
}

fn saved_once(app: &App, signed: &Signed, id: i64, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
    let mut survey = body_read(&body)?;
    let before = survey.work.clone();
    let field = |key: &str| f.get(key).map_or("", String::as_str);
    let old = survey.work.iter().position(|w| w.id.0 == field("work"));
    if field("act") == "gone" {
        survey.work.retain(|w| w.id.0 != field("work"));
    } else {
        let one = read(app, signed, &survey, old.map(|i| &before[i]), f)?;
        match old {
            Some(i) => survey.work[i] = one,
            // Sent again after a lost answer it stands there already.
            None if survey.work.iter().any(|w| Work { id: one.id.clone(), ..w.clone() } == one) => {}
            None => survey.work.push(one),
        }
    }
    if survey.work != before {
        if old.map_or(!field("work").is_empty(), |i| mark(&before[i]) != field("seen")) {
            return Err(Problem::Conflict(IN_BETWEEN.to_owned()));
        }
        let text = survey_to_json(&survey).map_err(|e| Problem::Broken(e.to_string()))?;
        app.store().save_survey_body(By { who: &signed.person.login, at: when::now() }, id, body.version, &text)?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/survey#other-work")))
}

/// The work that a form holds.
fn read(app: &App, signed: &Signed, survey: &Survey, before: Option<&Work>, f: &BTreeMap<String, String>) -> Outcome<Work> {
    let field = |key: &str| f.get(key).map_or("", |t| t.trim());
    let jobs = app.shop()?.standards.jobs;
    let mut refused: Vec<(String, String)> = Vec::new();
    let known = |job: &&StandardJob| !job.retired || before.is_some_and(|b| b.job == job.key);
    let job = jobs.iter().find(|j| j.key == field("job")).filter(known);
    if job.is_none() {
        refused.push(("job".to_owned(), "Choose the job from the list.".to_owned()));
    }
    let count = if field("count").is_empty() { Some(1) } else { field("count").parse().ok() };
    if count.is_none() {
        refused.push(("count".to_owned(), format!("“{}” is no count; write a whole number, like 2", field("count"))));
    }
    let taken = |name: &str| survey.work.iter().any(|w| w.id.0 == name);
    let free = || (1..).map(|n| format!("w{n}")).find(|name| !taken(name)).unwrap_or_default();
    let chosen = |key: &str| Some(field(key)).filter(|t| !t.is_empty());
    let one = Work {
        count: count.unwrap_or(1),
        run: chosen("run").map(Into::into),
        joint: chosen("joint").map(Into::into),
        optional: field("optional") == "yes",
        note: field("note").replace("\r\n", "\n"),
        ..Work::new(before.map_or_else(free, |b| b.id.0.clone()), field("job"))
    };
    if job.is_some_and(|j| j.needs(Need::JointOpen)) && one.joint.is_none() {
        refused.push(("joint".to_owned(), "This job needs a joint apart: name it.".to_owned()));
    }
    let found = check::work_problems(survey, &one).into_iter().filter(|p| !p.path.ends_with(".job"));
    refused.extend(found.map(|p| {
        let key = p.path.rsplit('.').next().unwrap_or_default().to_owned();
        (key, signed.fmt.text(&text!("{}; {}", p.what, p.hint)))
    }));
    if refused.is_empty() { Ok(one) } else { Err(Problem::Fields(refused)) }
}

/// What a piece of work says now, in a word.
fn mark(one: &Work) -> String {
    super::sheets::hash(&format!("{one:?}"))
}

/// What is to be done, how often and where.
pub fn summary(survey: &Survey, jobs: &[StandardJob], one: &Work) -> String {
    let name = jobs.iter().find(|j| j.key == one.job).map_or(one.job.as_str(), |j| j.name.as_str());
    let times = if one.count > 1 { format!(", {} times", one.count) } else { String::new() };
    let place = one.run.as_ref().and_then(|r| survey.instrument.run(r)).map_or_else(String::new, |r| format!(", {}", r.name));
    format!("{name}{times}{place}{}", if one.optional { ", optional" } else { "" })
}

/// The section of the survey's page.
///
/// # Errors
/// Where the shop's prices cannot be read.
pub fn section(
    app: &App,
    signed: &Signed,
    job: i64,
    survey: &Survey,
    opened: Option<&RunId>,
    may: bool,
    redisplay: &Redisplay,
) -> Outcome<Markup> {
    let jobs = app.shop()?.standards.jobs;
    // With a tube opened the work is on it or on the whole instrument; without, any may be named.
    let opened = opened.filter(|t| survey.instrument.run(t).is_some());
    let form = |one: Option<&Work>| {
        let refill = redisplay.form_with(&action(job), "work", one.map_or("", |w| w.id.0.as_str()));
        html! {
            details open[refill.refused()] {
                summary { @match one { Some(one) => (summary(survey, &jobs, one)), None => "Add work from the list: cleaning, corks, valves, lacquer" } }
                (fields(signed, job, survey, opened, &jobs, one, refill))
            }
        }
    };
    Ok(html! {
        h2 id="other-work" { "Other work" }
        @if may {
            @for one in &survey.work { (form(Some(one))) }
            @if opened.is_none() { (form(None)) } @else { p { a href={ "/jobs/" (job) "/survey#other-work" } { "Add work from the list: cleaning, corks, valves, lacquer" } } }
        } @else if survey.work.is_empty() {
            p.soft { "Nothing was asked for." }
        } @else {
            ul.plain { @for one in &survey.work { li { (summary(survey, &jobs, one)) } } }
        }
    })
}

fn fields(
    signed: &Signed,
    job: i64,
    survey: &Survey,
    opened: Option<&RunId>,
    jobs: &[StandardJob],
    one: Option<&Work>,
    refill: Refill<'_>,
) -> Markup {
    let runs = survey.instrument.runs.iter();
    let runs = runs.filter(|r| {
        opened.is_none_or(|t| r.id == *t) || one.is_some_and(|w| w.run.as_ref() == Some(&r.id)) || refill.has("run", &r.id.0, false)
    });
    let name = one.map_or("", |w| w.id.0.as_str());
    let own = |of: fn(&Work) -> &str| one.map_or("", of);
    let (saved_job, note) = (own(|w| &w.job), own(|w| &w.note));
    let run = own(|w| w.run.as_ref().map_or("", |r| &r.0));
    let joint = own(|w| w.joint.as_ref().map_or("", |j| &j.0));
    let count = one.map_or_else(|| "1".to_owned(), |w| w.count.to_string());
    let option = |key: &str, value: &str, words: &str, saved: &str| html! { option value=(value) selected[refill.has(key, value, saved == value)] { (words) } };
    let listed = jobs.iter().filter(|j| !j.retired || j.key == saved_job);
    let joints = survey.instrument.joints.iter().filter(|j| j.kind.is_soft().is_some() || j.kind == JointKind::Pressed);
    html! {
        form.stack.card method="post" action=(action(job)) id={ "work-" (if name.is_empty() { "new" } else { name }) "-form" } data-sheet="whole" data-live="" {
            (refill.problems())
            (layout::csrf(signed)) input type="hidden" name="seen" value=(one.map_or_else(String::new, mark)); input type="hidden" name="work" value=(name);
            label { span { "Job" } select name="job" required { (option("job", "", "which job?", saved_job)) @for j in listed { (option("job", &j.key, &j.name, saved_job)) } } (refill.beside("job", saved_job)) }
            label { span { "How often" } input name="count" inputmode="numeric" value=(refill.text("count", &count)) autocomplete="off"; (refill.beside("count", &count)) }
            label { span { "Tube" } select name="run" { (option("run", "", "the whole instrument", run)) @for r in runs { (option("run", &r.id.0, &r.name, run)) } } (refill.beside("run", run)) }
            @if jobs.iter().any(|j| j.needs(Need::JointOpen)) {
                label { span { "Joint that must be apart" } select name="joint" { (option("joint", "", "none", joint)) @for j in joints { (option("joint", &j.id.0, &j.name, joint)) } } (refill.beside("joint", joint)) }
            }
            label.check { input type="checkbox" name="optional" value="yes" checked[refill.ticked("optional", "yes", one.is_some_and(|w| w.optional))]; span { "Optional: only the fullest offer holds it" } }
            label { span { "Note" } input name="note" maxlength="200" value=(refill.text("note", note)) autocomplete="off"; (refill.beside("note", note)) }
            p.soft.small { "What the plan does anyway, like the cleaning, is done and billed once." }
            div.row { button type="submit" name="act" value="keep" { @if one.is_some() { "Save" } @else { "Add" } } @if one.is_some() { button.quiet type="submit" name="act" value="gone" { "Delete" } } }
        }
    }
}
