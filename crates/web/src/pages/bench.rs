//! The bench: the plan's steps with drawing, size, force, heat and caution; timer, tick, note, photo; what is blocked by what.

use super::bench_step::{Bench, May, Shown, made_elsewhere, one_step};
use super::job_head::head;
use crate::agreeing::{self, Since};
use crate::app::App;
use crate::auth::Signed;
use crate::contract_making::{self, Stands};
use crate::guard::wants_json;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::work_skills::Asks;
use crate::{layout, learning, papers, when};
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form, Json};
use job::key::{serde_name, step_key};
use maud::{Markup, html};
use plan::Step;
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;
use store::bench::{PlannedStep, StepAct, StepRecord, StepState, Tap};
use store::counter::JobState;

/// What a step's form sends.
#[derive(Deserialize)]
pub struct Act {
    key: String,
    act: String,
    #[serde(default)]
    text: String,
    #[serde(default)]
    minutes: String,
    /// The tablet's mark of the act, so that it is done once however often it is sent.
    #[serde(default)]
    made_as: String,
    /// Seconds that it waited on the tablet for the network.
    #[serde(default)]
    waited: i64,
}

/// Longest wait on a tablet that is believed, seconds: a working day. What says more is done as of now.
const LONGEST_WAIT_S: i64 = 12 * 3600;

/// What may stand behind the address: the steps whose timers were stopped by starting another.
#[derive(Deserialize, Default)]
pub struct After {
    #[serde(default)]
    stopped: String,
}

/// The bench's page.
///
/// # Errors
/// Where there is no such job or no survey yet.
pub async fn bench(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(after): Query<After>,
) -> Outcome<Markup> {
    app.blocking(move |app| shown_after(app, &signed, id, &after, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    shown_after(app, signed, id, &After::default(), redisplay)
}

fn shown_after(app: &App, signed: &Signed, id: i64, after: &After, redisplay: &Redisplay) -> Outcome<Markup> {
    let rows: Vec<i64> = after.stopped.split(',').filter_map(|r| r.parse().ok()).take(4).collect();
    let stopped = app.store().steps_by_rows(&rows)?;
    let line = app.store().board_line(id)?;
    if let Some(page) = super::job_head::comes_first(app, signed, &line, "bench")? {
        return Ok(page);
    }
    let job = app.job(id)?;
    let records: BTreeMap<String, StepRecord> = app.store().steps(id)?.into_iter().map(|r| (r.key.clone(), r)).collect();
    let making = contract_making::of(app, id, &job.plan)?;
    let closed = |s: &Step| records.get(&step_key(s)).is_some_and(|r| matches!(r.state, StepState::Done | StepState::Skipped));
    let done = |s: &Step| if making.is_elsewhere(s) { making.made(s) } else { closed(s) };
    let steps = &job.plan.steps;
    let own = steps.iter().filter(|s| !making.is_elsewhere(s)).count();
    let finished = steps.iter().filter(|s| !making.is_elsewhere(s) && done(s)).count();
    let next = steps.iter().find(|s| !making.is_elsewhere(s) && !done(s) && open_blockers(s, steps, &done).is_empty());
    let next_number = next.map(|s| s.number);
    let (people, at_benches) = (app.store().people()?, app.shop()?.people);
    let since = found_since(app, id)?;
    let waits = |s: &Step| since.as_ref().is_some_and(|f| waits_for_answer(f, s));
    // Done under a plan that no longer has the step: it stays done.
    let keys: Vec<String> = steps.iter().map(step_key).collect();
    let before: Vec<&StepRecord> = records.values().filter(|r| r.state == StepState::Done && !keys.contains(&r.key)).collect();
    let agreed = agreeing::agreed_line(app, id)?;
    let may = May::of(signed, line.job.state);
    Ok(layout::page(
        signed,
        "Bench",
        html! {
            (head(&line, "bench"))
            (redisplay.head())
            @for s in &stopped { p.warn role="status" { strong { "Your other timer stopped. " } a href={ "/jobs/" (s.job) "/bench" } { (s.tag) ": " (s.what) } " runs again when you start it." } }
            @match &agreed {
                Some(agreed) => { p { strong { (agreed) } @if job.survey.has_damage() { " " (job.plan.seen_to().len()) " of " (job.survey.dents.len()) " dents are worked" }
                    @if !job.plan.not_done.is_empty() { ", " a href="#by-agreement" { (job.plan.not_done.len()) " stay by agreement" } } "." } }
                None if matches!(line.job.state, JobState::Received | JobState::Surveyed | JobState::Quoted) => { p.warn { strong { "Not approved. " } "The customer has not said yes to an offer; what is done now is done unpaid." } }
                None => {}
            }
            @if agreed.is_some() && line.job.state == JobState::Approved {
                @let deposit = crate::invoice::invoice(app, id)?;
                @if deposit.deposit_due() > rust_decimal::Decimal::ZERO { p.warn { strong { "Deposit not paid. " } (deposit.deposit_words()) } }
            }
            @if !line.job.state.is_open_for_due() {
                p.soft { "This job is " (crate::view::job_lines::state_name(line.job.state).to_lowercase()) ": its steps stay as they are. It can be opened again on the job's page." }
            }
            @if agreed.is_some() && may.find { p { a.button.plain href={ "/jobs/" (id) "/survey" } { "Found something" } } }
            @if let Some(f) = &since { (found_words(id, f)) }
            @if let Some(s) = app.store().begun_before_s(id)? {
                p.note { strong { "Begun before it had a job. " } @if s > 0 { (when::lasting(s)) " went into it by then. That time counts. " } "Tick what is done already. The times of its steps do not move the standards, but for those that you correct." }
            }
            (super::bench_who::who(app, &line, &job)?)
            p.big { (finished) " of " (own) " steps done" }
            progress max=(own) value=(finished) aria-label="Steps done" {}
            @if let Some(next) = next { @if may.work { p { a.button href={ "#step-" (next.number) } { "Go on with step " (next.number) } } } }
            @else if !steps.is_empty() && may.work { p { a.button href={ "/jobs/" (id) "/checks" } { "All done: take the final checks" } } }
            div id="bench" data-job=(id) data-waiting="0" {
                div.warn role="alert" id="bench-refused" hidden { p { strong { "Tapped while the network was away, and not taken:" } } ul {} button.plain type="button" { "I have read it" } }
                ol.steps {
                    @for step in steps {
                        @if let Some(e) = making.elsewhere(step) { (made_elsewhere(signed, id, step, e, may.work)) } @else {
                        @if waits(step) && !done(step) { li.soft value=(step.number) { "Step " (step.number) " waits for the customer's answer: what was found changes it." } }
                        @let shown = Shown { step, record: records.get(&step_key(step)), blockers: &open_blockers(step, steps, &done), is_next: next_number == Some(step.number) };
                        (one_step(&Bench { signed, id, job: &job, people: &people, may, redisplay, making: &making, at_benches: &at_benches }, &shown))
                        }
                    }
                }
            }
            @if may.acts() { script src="/assets/bench.js" defer {} }
            @if agreed.is_some() && !job.plan.not_done.is_empty() {
                h2 id="by-agreement" { "Stays, by agreement" }
                ul { @for n in &job.plan.not_done { li { (signed.fmt.text(&n.what)) } } }
            }
            @if !before.is_empty() {
                h2 { "Done under an earlier plan" }
                ul { @for r in &before { li { (r.what) @if let Some(at) = r.done_at { span.soft { ", " (when::moment(at)) } } } } }
                p { @for (i, a) in app.store().agreements_of(id)?.iter().enumerate() { @if i > 0 { " · " } a href={ "/jobs/" (id) "/agreements/" (a.id) } { "Plan " (i + 1) } } }
            }
        },
    ))
}

/// What was found since the agreement that holds.
fn found_since(app: &App, id: i64) -> Outcome<Option<Since>> {
    app.agreement(id)?.map_or(Ok(None), |a| agreeing::since(app, &a))
}

/// Whether a step of the agreed plan stands still until the customer has answered: the plan with what was found has no such
/// step. After a no the work goes on as agreed.
fn waits_for_answer(found: &Since, step: &Step) -> bool {
    let key = step_key(step);
    !found.declined() && !found.job.plan.steps.iter().any(|s| step_key(s) == key)
}

fn found_words(id: i64, found: &Since) -> Markup {
    let page = html! { a href={ "/jobs/" (id) "/supplement" } { "What it changes" } };
    match &found.asked {
        Some(_) if found.declined() => html! { p.soft { "The customer said no to what was found: it stays. " (page) } },
        Some(q) if q.signed_at.is_none() => {
            html! { p.warn { strong { "The customer is asked. " } "Steps that the answer does not change may go on. " (page) } }
        }
        _ => {
            html! { p.warn { strong { "Found since it was agreed. " } "Ask the customer before it is worked; steps that it does not change may go on. " (page) } }
        }
    }
}

/// A step's tube with its tool in place. It is asked for once the step is unfolded.
///
/// # Errors
/// Where there is no such job, no survey yet, or the step has no drawing.
pub async fn drawing(
    State(app): State<App>,
    Extension(fmt): Extension<UnitFormat>,
    Path((id, name)): Path<(i64, String)>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let number = name.strip_suffix(".svg").and_then(|n| n.parse().ok());
        let svg = number.and_then(|n| job.step_drawing(n, fmt)).ok_or_else(|| Problem::Missing("that step has no drawing".to_owned()))?;
        Ok(([(CONTENT_TYPE, "image/svg+xml")], svg.to_owned()).into_response())
    })
    .await
}

/// The bench card on paper.
///
/// # Errors
/// Where there is no such job, no survey yet, or the typesetting fails.
pub async fn card(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let agreed = agreeing::agreed_line(app, id)?;
        let making = contract_making::of(app, id, &job.plan)?;
        let bytes = papers::bench_card(&job, agreed.as_deref(), &making.here(&job.plan), &making.from_others(), fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}

/// The reasons behind the bench card, on paper.
///
/// # Errors
/// Where there is no such job, no survey yet, or the typesetting fails.
pub async fn reasons(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let agreed = agreeing::agreed_line(app, id)?;
        let here = contract_making::of(app, id, &job.plan)?.here(&job.plan);
        let bytes = papers::reasons(&job, agreed.as_deref(), &here, fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}

/// Something done to a step. A script is answered in JSON: where the page then stands, or why it was not taken.
///
/// # Errors
/// Where the step is no longer in the plan, is blocked by another, or the act is unknown.
pub async fn act(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Act>,
) -> Outcome<Response> {
    let script = wants_json(&headers);
    app.blocking(move |app| {
        if !script {
            return sent.taken(|| acted(app, &signed, id, &f).map(|to| Redirect::to(&to)), |redisplay| shown(app, &signed, id, redisplay));
        }
        match acted(app, &signed, id, &f) {
            Ok(to) => Ok(Json(serde_json::json!({ "to": to })).into_response()),
            Err(p) if p.status().is_server_error() => Err(p),
            Err(p) => {
                let problem = crate::view::figures::sentence(&p.to_string());
                Ok((p.status(), Json(serde_json::json!({ "problem": problem }))).into_response())
            }
        }
    })
    .await
}

/// Does it; where the page then stands.
fn acted(app: &App, signed: &Signed, id: i64, f: &Act) -> Outcome<String> {
    let made_as = Some(f.made_as.as_str()).filter(|m| !m.is_empty() && m.len() <= 40);
    // Sent again after a lost answer: it was done, whatever came of the plan since.
    if let Some(mark) = made_as
        && app.store().tapped(id, mark)?
    {
        return Ok(format!("/jobs/{id}/bench"));
    }
    let job = app.job(id)?;
    let steps = &job.plan.steps;
    let step = steps
        .iter()
        .find(|s| step_key(s) == f.key)
        .ok_or_else(|| Problem::Conflict("the plan has changed and no longer has this step; load the page again".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    if f.act == "time" {
        app.store().correct_time(by, id, &f.key, typed_seconds(&f.minutes)?, &f.text)?;
        return Ok(format!("/jobs/{id}/bench#step-{}", step.number));
    }
    let making = contract_making::of(app, id, &job.plan)?;
    if let Some(e) = making.elsewhere(step)
        && !(f.act == "start" && e.stands == Stands::Waits)
    {
        return Err(Problem::Conflict(format!("{} It is no step of this job.", e.words())));
    }
    let act = match f.act.as_str() {
        "start" => StepAct::Start,
        "pause" => StepAct::Pause,
        "tick" => StepAct::Tick,
        "untick" => StepAct::Untick,
        "skip" => StepAct::Skip(&f.text),
        "note" => StepAct::Note(&f.text),
        other => return Err(Problem::Bad(format!("there is no act {other}"))),
    };
    if matches!(act, StepAct::Start | StepAct::Tick) {
        let asks = if step.work.is_empty() { None } else { Asks::of_step(&app.shop()?.people, &job.plan, step) };
        if let Some(asks) = asks.filter(|a| !a.lets(&signed.person.name)) {
            return Err(Problem::Bad(asks.refusal(step, &signed.person.name)));
        }
        let records = app.store().steps(id)?;
        let done = |s: &Step| {
            let key = step_key(s);
            making.made(s) || records.iter().any(|r| r.key == key && matches!(r.state, StepState::Done | StepState::Skipped))
        };
        if found_since(app, id)?.is_some_and(|f| waits_for_answer(&f, step)) {
            return Err(Problem::Bad(format!("step {} waits for the customer's answer to what was found", step.number)));
        }
        if let Some(blocker) = open_blockers(step, steps, &done).first() {
            return Err(Problem::Bad(format!(
                "step {} waits for step {}: {}",
                step.number,
                blocker.number,
                signed.fmt.text(&blocker.what)
            )));
        }
    }
    let what = signed.fmt.text(&step.what);
    let timed_by = learning::timed_by(step, &job.shop.standards)?;
    let planned =
        PlannedStep { key: &f.key, kind: serde_name(step), what: &what, likely_s: seconds(step.minutes.mean()), timed_by: &timed_by };
    let waited = Some(f.waited).filter(|s| (0..=LONGEST_WAIT_S).contains(s)).unwrap_or(0);
    let tap = Tap { act, person: signed.person.id, at: by.at - waited, made_as };
    let (_, stopped) = app.store().tap_step(by, id, &planned, &tap)?;
    let rows = stopped.iter().map(|s| s.id.to_string()).collect::<Vec<_>>().join(",");
    let after = if rows.is_empty() { rows } else { format!("?stopped={rows}") };
    Ok(format!("/jobs/{id}/bench{after}#step-{}", step.number))
}

/// Minutes as a person types them: "45", "1 h 20 min"; a bare number means minutes.
fn typed_seconds(text: &str) -> Outcome<i64> {
    let minutes = units::duration::parse_minutes(text).or_else(|e| text.trim().parse::<f64>().map_err(|_| e));
    match minutes {
        Ok(minutes) if minutes.is_finite() && (0.0..=6000.0).contains(&minutes) => Ok(seconds(minutes)),
        _ => Err(Problem::Bad(format!("“{text}” is no time; write it like 45 min or 1 h 20 min"))),
    }
}

/// The steps that must be done before this one and are not: those that it names, or, where these are done or left out, what
/// they in their turn should have waited for.
fn open_blockers<'a>(step: &Step, steps: &'a [Step], done: &impl Fn(&Step) -> bool) -> Vec<&'a Step> {
    let open = |numbers: &[plan::StepId]| steps.iter().filter(|s| numbers.contains(&s.number) && !done(s)).collect::<Vec<_>>();
    let named = open(&step.after);
    if named.is_empty() { open(&plan::waits_for(steps, step)) } else { named }
}

#[expect(clippy::cast_possible_truncation, reason = "minutes of a step are far below the limit")]
fn seconds(minutes: f64) -> i64 {
    (minutes * 60.0).round() as i64
}
