//! The proofs: each a figure with pass, or a reason; the job closes when all are there.

use super::jobs::head;
use crate::again::{Again, Refill, Sent};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use job::acceptance::acceptance_checks;
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::bench::ProofRecord;
use store::counter::JobState;

/// What a proof's form sends.
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

/// The proofs' page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Again::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, again: &Again) -> Outcome<Markup> {
    let tell = signed.tell;
    let line = app.store().board_line(id)?;
    let job = app.job(id)?;
    let wanted = acceptance_checks(&job.survey, &job.plan);
    let taken = app.store().proofs(id)?;
    let photos = app.store().photos(id)?;
    let record = |key: &str| taken.iter().find(|t| t.key == key);
    let action = format!("/jobs/{id}/proof");
    let open = wanted.iter().filter(|p| record(&p.key).is_none()).count();
    Ok(layout::page(
        signed,
        "Proof",
        html! {
            (head(&line, "proof"))
            (again.head())
            (again.form(&format!("/jobs/{id}/ready")).problems())
            p.big { @if open == 0 { "Every proof has its figure or its reason." } @else { (open) " of " (wanted.len()) " proofs still to take" } }
            div.cards {
                @for proof in &wanted {
                    @let r = record(&proof.key);
                    @let refill = again.form_with(&action, "key", &proof.key);
                    section.card {
                        h2 { (tell.text(&proof.what)) }
                        p.why { "Wanted: " (tell.text(&proof.wanted)) }
                        @if let Some(r) = r {
                            p { @if r.passed == Some(true) { span.good { "Passed. " } } @else { span.bad { "Not passed. " } }
                                (r.figure) @if !r.reason.is_empty() { " " (r.reason) }
                                br; span.soft.small { (r.who) @if let Some(at) = r.at { ", " (when::moment(at)) } } }
                        }
                        @if signed.may(Need::Prove) {
                            @if r.is_some() { details open[refill.refused()] { summary { "Take it again" } (form(signed, &action, &proof.key, r, refill)) } } @else { (form(signed, &action, &proof.key, r, refill)) }
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
            @if open == 0 && matches!(line.job.state, JobState::OnBench | JobState::Proving | JobState::Approved) && signed.may(Need::Prove) {
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

/// Where a proof is written down.
fn form<'a>(signed: &Signed, action: &str, key: &str, taken: Option<&'a ProofRecord>, refill: Refill<'a>) -> Markup {
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

/// A proof is taken.
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
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |again| shown(app, &signed, id, again))).await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Taken) -> Outcome<Redirect> {
    let job = app.job(id)?;
    let proof = acceptance_checks(&job.survey, &job.plan)
        .into_iter()
        .find(|p| p.key == f.key)
        .ok_or_else(|| Problem::Conflict("the plan has changed and no longer asks for this proof; load the page again".to_owned()))?;
    let record = ProofRecord {
        key: proof.key,
        what: proof.what,
        wanted: proof.wanted,
        figure: f.figure.trim().to_owned(),
        passed: Some(f.passed == "yes"),
        reason: f.reason.trim().to_owned(),
        who: String::new(),
        at: None,
    };
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().save_proof(by, id, &record)?;
    if app.store().job(id)?.state == JobState::OnBench {
        app.store().set_job_state(by, id, JobState::Proving)?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/proof")))
}

/// The job is ready: every proof has its figure or its reason.
///
/// # Errors
/// Where a proof is missing.
pub async fn ready(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Path(id): Path<i64>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| closed(app, &signed, id), |again| shown(app, &signed, id, again))).await
}

fn closed(app: &App, signed: &Signed, id: i64) -> Outcome<Redirect> {
    let job = app.job(id)?;
    let taken = app.store().proofs(id)?;
    let missing: Vec<String> =
        acceptance_checks(&job.survey, &job.plan).into_iter().filter(|p| !taken.iter().any(|t| t.key == p.key)).map(|p| p.what).collect();
    if !missing.is_empty() {
        return Err(Problem::Several(missing.into_iter().map(|what| format!("still to prove: {what}")).collect()));
    }
    let state = app.store().job(id)?.state;
    if !matches!(state, JobState::Approved | JobState::OnBench | JobState::Proving) {
        return Err(Problem::Bad("this job is not on the bench".to_owned()));
    }
    app.store().set_job_state(By { who: &signed.person.login, at: when::now() }, id, JobState::Ready)?;
    Ok(Redirect::to(&format!("/jobs/{id}/proof")))
}
