//! The acceptance checks: each a figure with pass, or a reason; the job closes when all are there.

use super::jobs::head;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use job::acceptance::acceptance_checks;
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::bench::AcceptanceRecord;
use store::counter::JobState;

/// What a acceptance check's form sends.
#[derive(Deserialize)]
pub struct Taken {
    key: String,
    #[serde(default)]
    figure: String,
    #[serde(default)]
    passed: String,
    #[serde(default)]
    reason: String,
}

/// The acceptance checks' page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let fmt = signed.fmt;
    let line = app.store().board_line(id)?;
    let job = app.job(id)?;
    let wanted = acceptance_checks(&job.survey, &job.plan);
    let taken = app.store().acceptance_records(id)?;
    let photos = app.store().photos(id)?;
    let record = |key: &str| taken.iter().find(|t| t.key == key);
    let action = format!("/jobs/{id}/checks");
    let open = wanted.iter().filter(|p| record(&p.key).is_none()).count();
    Ok(layout::page(
        signed,
        "Final checks",
        html! {
            (head(&line, "checks"))
            (redisplay.head())
            (redisplay.form(&format!("/jobs/{id}/ready")).problems())
            p.big { @if open == 0 { "Every check has its figure or its reason." } @else { (open) " of " (wanted.len()) " checks still to take" } }
            div.cards {
                @for check in &wanted {
                    @let r = record(&check.key);
                    @let refill = redisplay.form_with(&action, "key", &check.key);
                    section.card {
                        h2 { (fmt.text(&check.what)) }
                        p.why { "Wanted: " (fmt.text(&check.wanted)) }
                        @if let Some(r) = r {
                            p { @if r.passed == Some(true) { span.good { "Passed. " } } @else { span.bad { "Not passed. " } }
                                (r.figure) @if !r.reason.is_empty() { " " (r.reason) }
                                br; span.soft.small { (r.who) @if let Some(at) = r.at { ", " (when::moment(at)) } } }
                        }
                        @if signed.may(Need::AcceptanceCheck) {
                            @if r.is_some() { details open[refill.refused()] { summary { "Take it again" } (form(signed, &action, &check.key, r, refill)) } } @else { (form(signed, &action, &check.key, r, refill)) }
                        }
                    }
                }
            }
            h2 { "Before and after" }
            @if photos.is_empty() { p.soft { "No photos of this job." } }
            div.cards { @for p in &photos {
                figure.card {
                    img src={ "/jobs/" (id) "/photos/" (p.id) } alt={ "Photo " @if let Some(d) = &p.dent { "of dent " (d) " " } "from " (when::moment(p.at)) } loading="lazy" style="max-width:100%";
                    figcaption { @if let Some(d) = &p.dent { "Dent " (d) ". " } (when::moment(p.at)) " " (p.note) }
                }
            } }
            @if open == 0 && matches!(line.job.state, JobState::OnBench | JobState::Checking | JobState::Approved) && signed.may(Need::AcceptanceCheck) {
                form method="post" action={ "/jobs/" (id) "/ready" } { (layout::csrf(signed)) button type="submit" { "Ready to be fetched" } }
            }
            @if line.job.state == JobState::Ready && signed.may(Need::HandBack) {
                form method="post" action={ "/jobs/" (id) "/state" } {
                    (layout::csrf(signed)) input type="hidden" name="state" value="handed_back";
                    button type="submit" { "Handed back" }
                }
            }
        },
    ))
}

/// Where a acceptance check is written down.
fn form<'a>(signed: &Signed, action: &str, key: &str, taken: Option<&'a AcceptanceRecord>, refill: Refill<'a>) -> Markup {
    html! {
        form.stack method="post" action=(action) {
            (layout::csrf(signed))
            (refill.problems())
            input type="hidden" name="key" value=(key);
            label { span { "Figure, with its unit" } input name="figure" value=(refill.text("figure", taken.map_or("", |r| r.figure.as_str()))); }
            label { span { "Reason, where there is no figure or it fails" } input name="reason" value=(refill.text("reason", taken.map_or("", |r| r.reason.as_str()))); }
            div.row {
                button type="submit" name="passed" value="yes" { "Passes" }
                button.plain type="submit" name="passed" value="no" { "Does not pass" }
            }
        }
    }
}

/// A acceptance check is taken.
///
/// # Errors
/// Where it has neither figure nor reason, or is not asked for.
pub async fn take(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Taken>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Taken) -> Outcome<Redirect> {
    let job = app.job(id)?;
    let check = acceptance_checks(&job.survey, &job.plan)
        .into_iter()
        .find(|p| p.key == f.key)
        .ok_or_else(|| Problem::Conflict("the plan has changed and no longer asks for this check; load the page again".to_owned()))?;
    let record = AcceptanceRecord {
        key: check.key,
        what: check.what.metric(),
        wanted: check.wanted.metric(),
        figure: f.figure.trim().to_owned(),
        passed: Some(f.passed == "yes"),
        reason: f.reason.trim().to_owned(),
        who: String::new(),
        at: None,
    };
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().save_acceptance(by, id, &record)?;
    if app.store().job(id)?.state == JobState::OnBench {
        app.store().set_job_state(by, id, JobState::Checking)?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/checks")))
}

/// The job is ready: every acceptance check has its figure or its reason.
///
/// # Errors
/// Where a acceptance check is missing.
pub async fn ready(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Path(id): Path<i64>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| closed(app, &signed, id), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn closed(app: &App, signed: &Signed, id: i64) -> Outcome<Redirect> {
    let job = app.job(id)?;
    let taken = app.store().acceptance_records(id)?;
    let missing: Vec<String> = acceptance_checks(&job.survey, &job.plan)
        .into_iter()
        .filter(|p| !taken.iter().any(|t| t.key == p.key))
        .map(|p| p.what.show(signed.fmt.0))
        .collect();
    if !missing.is_empty() {
        return Err(Problem::Several(missing.into_iter().map(|what| format!("still to check: {what}")).collect()));
    }
    let state = app.store().job(id)?.state;
    if !matches!(state, JobState::Approved | JobState::OnBench | JobState::Checking) {
        return Err(Problem::Bad("this job is not on the bench".to_owned()));
    }
    app.store().set_job_state(By { who: &signed.person.login, at: when::now() }, id, JobState::Ready)?;
    Ok(Redirect::to(&format!("/jobs/{id}/checks")))
}
