//! The acceptance checks: each a figure that is compared with what is wanted, or a reason; the job is ready when all have
//! passed, or somebody lets it go by name.

use super::job_head::head;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::contract_making::{self, Making};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use job::acceptance::{AcceptanceCheck, acceptance_checks};
use job::key::step_key;
use maud::{Markup, html};
use plan::Step;
use serde::Deserialize;
use store::By;
use store::acceptance::{AcceptanceRecord, Required};
use store::bench::StepState;
use store::counter::JobState;
use store::states::Said;
use units::length::parse_length_mm;

/// What an acceptance check's form sends.
#[derive(Deserialize)]
pub struct Taken {
    key: String,
    #[serde(default)]
    figure: String,
    #[serde(default)]
    passed: String,
    #[serde(default)]
    reason: String,
    #[serde(default)]
    let_go_by: String,
}

/// What the form sends that calls a job ready.
#[derive(Deserialize)]
pub struct CalledReady {
    #[serde(default)]
    name: String,
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
    if let Some(page) = super::job_head::comes_first(app, signed, &line, "checks")? {
        return Ok(page);
    }
    let job = app.job(id)?;
    let wanted = acceptance_checks(&job.survey, &job.plan);
    let taken = app.store().acceptance_records(id)?;
    let photos = app.store().photos(id)?;
    let record = |key: &str| taken.iter().find(|t| t.key == key);
    let action = format!("/jobs/{id}/checks");
    let open = wanted.iter().filter(|p| record(&p.key).is_none()).count();
    let failed = wanted.iter().filter(|p| record(&p.key).is_some_and(|r| r.passed != Some(true) && !r.let_go())).count();
    let ready_action = format!("/jobs/{id}/ready");
    let ready = redisplay.form(&ready_action);
    let steps = app.store().steps(id)?;
    let closed = |key: &str| steps.iter().any(|s| s.key == key && matches!(s.state, StepState::Done | StepState::Skipped));
    let making = contract_making::of(app, id, &job.plan)?;
    let own_steps: Vec<&Step> = job.plan.steps.iter().filter(|s| !making.is_elsewhere(s)).collect();
    let open_steps = own_steps.iter().filter(|s| !closed(&step_key(s))).count();
    let takes = matches!(line.job.state, JobState::OnBench | JobState::Checking | JobState::Approved | JobState::Ready);
    Ok(layout::page(
        signed,
        "Final checks",
        html! {
            (head(&line, "checks"))
            (redisplay.head())
            p.big { @if open == 0 { "All checks recorded" @if failed > 0 { ", " (failed) " failed" } "." } @else { (open) " of " (wanted.len()) " checks still to take" } }
            @if open_steps > 0 { p { (open_steps) " of " (own_steps.len()) " steps are open. " a href={ "/jobs/" (id) "/bench" } { "To the bench" } } }
            @if !takes { p.soft { "Checks are taken once the customer has said yes." } }
            div.cards {
                @for check in &wanted {
                    @let r = record(&check.key);
                    @let refill = redisplay.form_with(&action, "key", &check.key);
                    section.card {
                        h2 { (fmt.text(&check.what)) }
                        p.why { "Wanted: " (fmt.text(&check.wanted)) @if !check.because.is_empty() { br; span.soft.small { (fmt.sentence(&check.because)) } } }
                        @if let Some(r) = r {
                            p { @if r.passed == Some(true) { span.good { "Passed. " } } @else { span.bad { "Not passed. " } }
                                (r.figure) @if !r.reason.is_empty() { " " (r.reason) }
                                @if r.let_go() { br; "Let go by " (r.let_go_by) "." }
                                br; span.soft.small { (r.who) @if let Some(at) = r.at { ", " (when::moment(at)) } } }
                        }
                        @if signed.may(Need::AcceptanceCheck) && takes {
                            @if r.is_some() { details open[refill.refused()] { summary { "Take it again" @if line.job.state == JobState::Ready { " (the job is then no longer ready)" } } (form(signed, &action, check, r, refill)) } } @else { (form(signed, &action, check, r, refill)) }
                        }
                    }
                }
            }
            h2 { "Before and after" }
            @if photos.is_empty() { p.soft { "No photos of this job." } }
            div.cards { @for p in &photos {
                figure.card {
                    (super::photos::thumb(id, p))
                    figcaption { @if let Some(d) = &p.dent { "Dent " (d) ". " } (when::moment(p.at)) " " (p.note) }
                }
            } }
            @if matches!(line.job.state, JobState::OnBench | JobState::Checking | JobState::Approved) && signed.may(Need::AcceptanceCheck) {
                @if open + failed + open_steps == 0 {
                    form method="post" action=(ready_action) { (layout::csrf(signed)) (ready.problems()) button type="submit" { "Ready for pickup" } }
                } @else {
                    details open[ready.refused()] {
                        summary { "Ready all the same" }
                        form.stack.card method="post" action=(ready_action) {
                            (layout::csrf(signed))
                            (ready.problems())
                            p { "Not met: " @if open_steps > 0 { (open_steps) " open steps. " } @if open > 0 { (open) " checks not taken. " } @if failed > 0 { (failed) " failed. " } "The pickup page and the invoice will say so." }
                            label { span { "Who lets it go" } input name="name" value=(ready.text("name", "")); }
                            label { span { "Reason" } input name="reason" value=(ready.text("reason", "")); }
                            button.plain type="submit" { "Ready all the same" }
                        }
                    }
                }
            }
            @if matches!(line.job.state, JobState::Ready | JobState::HandedBack) { p { a.button href={ "/jobs/" (id) "/hand-back" } { "Pickup and invoice" } } }
        },
    ))
}

/// Where an acceptance check is written down.
fn form<'a>(signed: &Signed, action: &str, check: &AcceptanceCheck, taken: Option<&'a AcceptanceRecord>, refill: Refill<'a>) -> Markup {
    let unit = if check.wanted_mm.is_some() {
        format!("Figure, in {} or with its unit", signed.fmt.symbol())
    } else {
        "Figure, with its unit".to_owned()
    };
    let let_go = taken.map_or("", |r| r.let_go_by.as_str());
    html! {
        form.stack method="post" action=(action) {
            (layout::csrf(signed))
            (refill.problems())
            input type="hidden" name="key" value=(check.key);
            label { span { (unit) } input name="figure" value=(refill.text("figure", taken.map_or("", |r| r.figure.as_str()))); }
            label { span { "Reason, where there is no figure or it fails" } input name="reason" value=(refill.text("reason", taken.map_or("", |r| r.reason.as_str()))); }
            details open[refill.refused() || !let_go.is_empty()] {
                summary { "It misses, and somebody lets it go" }
                label { span { "Name of whoever lets it go; the reason stands above" } input name="let_go_by" value=(refill.text("let_go_by", let_go)); }
            }
            div.row {
                button type="submit" name="passed" value="yes" { "Passes" }
                button.plain type="submit" name="passed" value="no" { "Does not pass" }
            }
        }
    }
}

/// An acceptance check is taken.
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
    let typed = f.figure.trim();
    let measured_mm = measured(signed, &check, typed)?;
    // Where a check is told by hand, only a figure that was taken is compared.
    let compared = check.wanted_mm.filter(|w| w.figure_needed || measured_mm.is_some());
    let figure = if measured_mm.is_some() && parse_length_mm(typed, None).is_err() {
        format!("{typed} {}", signed.fmt.symbol())
    } else {
        typed.to_owned()
    };
    let record = AcceptanceRecord {
        key: check.key,
        what: signed.fmt.text(&check.what),
        wanted: signed.fmt.text(&check.wanted),
        figure,
        passed: Some(f.passed == "yes"),
        reason: f.reason.trim().to_owned(),
        measured_mm,
        least_mm: compared.and_then(|w| w.least_mm),
        most_mm: compared.and_then(|w| w.most_mm),
        let_go_by: f.let_go_by.trim().to_owned(),
        who: String::new(),
        at: None,
    };
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().save_acceptance(by, id, &record)?;
    Ok(Redirect::to(&format!("/jobs/{id}/checks")))
}

/// The figure as a length, where the check asks for one: a bare number means the tablet's unit. Where the check is told by
/// hand, words without a digit are no figure.
fn measured(signed: &Signed, check: &AcceptanceCheck, typed: &str) -> Outcome<Option<f64>> {
    let Some(wanted) = check.wanted_mm else { return Ok(None) };
    if typed.is_empty() || (!wanted.figure_needed && !typed.bytes().any(|b| b.is_ascii_digit())) {
        return Ok(None);
    }
    match parse_length_mm(typed, Some(signed.fmt.0)) {
        Ok(mm) if mm >= 0.0 => Ok(Some(mm)),
        Ok(_) => Err(Problem::Bad(format!("“{typed}” lies below zero; give the size that was measured"))),
        Err(e) => Err(Problem::Bad(format!("the figure is compared with what is wanted: {e}"))),
    }
}

/// What a job's plan asks for before it is ready; a tool that another job makes is none of it.
pub fn required(job: &job::Job, making: &Making, fmt: UnitFormat) -> Required {
    let checks = acceptance_checks(&job.survey, &job.plan);
    Required {
        steps: job
            .plan
            .steps
            .iter()
            .filter(|s| !making.is_elsewhere(s))
            .map(|s| (step_key(s), format!("{}. {}", s.number, fmt.text(&s.what))))
            .collect(),
        checks: checks.into_iter().map(|c| (c.key, fmt.text(&c.what))).collect(),
    }
}

/// The job is called ready: every step done, every check passed, or somebody lets it go by name and reason.
///
/// # Errors
/// Where something is not met and nobody lets it go.
pub async fn ready(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Path(id): Path<i64>,
    Form(f): Form<CalledReady>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| closed(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn closed(app: &App, signed: &Signed, id: i64, f: &CalledReady) -> Outcome<Redirect> {
    let job = app.job(id)?;
    let by = By { who: &signed.person.login, at: when::now() };
    let making = contract_making::of(app, id, &job.plan)?;
    app.store().ready_job(by, id, &required(&job, &making, signed.fmt), Said::both(&f.name, &f.reason))?;
    // Its times are whole now: they teach the next quotes.
    crate::learning::renew(app.store(), by, &app.shop()?)?;
    Ok(Redirect::to(&format!("/jobs/{id}/hand-back")))
}
