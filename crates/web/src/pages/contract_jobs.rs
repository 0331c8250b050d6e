//! Opens jobs from a contract's plan, and moves them where a newer plan has them.

use crate::app::App;
use crate::auth::Signed;
use crate::contract_ground::KeptPlan;
use crate::contract_jobs;
use crate::contract_opening::{self, Agreed, Which, unopened};
use crate::problem::{Outcome, Problem};
use crate::redisplay::Sent;
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use serde::Deserialize;
use store::agreements::SaidHow;

/// What the form sends.
#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    act: String,
    #[serde(default)]
    bench: String,
    #[serde(default)]
    week: String,
    #[serde(default)]
    tags: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    how: String,
}

/// Opens jobs beside the pages, or moves those that are open.
///
/// # Errors
/// What cannot be, each beside its field; where there is no such contract or too much waits.
pub async fn act(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Asked>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(
            || match f.act.as_str() {
                "move" => {
                    contract_opening::move_to_plan(app, id, &signed.person.login)?;
                    Ok(Redirect::to(&format!("/contracts/{id}#jobs")))
                }
                _ => opened(app, &signed, id, &f),
            },
            |redisplay| super::contract::shown(app, &signed, id, super::contract::Asked::default(), redisplay),
        )
    })
    .await
}

fn opened(app: &App, signed: &Signed, id: i64, f: &Asked) -> Outcome<Redirect> {
    let p = KeptPlan::last(app.store(), id)?.ok_or_else(|| Problem::Bad("this contract has no plan yet: plan first".to_owned()))?;
    let jobs = contract_jobs::of(app.store(), id)?;
    if app.planner().stage(id).is_some() {
        return Err(Problem::Conflict("a plan or jobs of this contract are being made; open these when that is done".to_owned()));
    }
    let mut wrong = Vec::new();
    let name: String = f.name.trim().chars().take(120).collect();
    if name.is_empty() {
        wrong.push(("name".to_owned(), "Say who agreed. Write the name.".to_owned()));
    }
    let how = match f.how.as_str() {
        "telephone" => SaidHow::Telephone,
        "counter" => SaidHow::Counter,
        other => return Err(Problem::Bad(format!("there is no way “{other}” to say yes"))),
    };
    let tags: Vec<String> = f.tags.split([',', ';', '\n']).map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect();
    let open = unopened(&p, &jobs);
    for tag in tags.iter().filter(|t| open.iter().all(|a| a.tag != **t)) {
        let why = match jobs.get(tag) {
            Some(job) => format!("{tag} has job {} already.", job.job),
            None => format!("{tag} has no repair to begin in this plan."),
        };
        wrong.push(("tags".to_owned(), why));
    }
    let which = Which { bench: f.bench.clone(), week: f.week.clone(), tags };
    if wrong.is_empty() && !open.iter().any(|a| which.takes(&p, a)) {
        wrong.push(("bench".to_owned(), "No instrument without a job fits this choice.".to_owned()));
    }
    if !wrong.is_empty() {
        return Err(Problem::Fields(wrong));
    }
    let agreed = Agreed { name, how, login: signed.person.login.clone(), taken_by: signed.person.name.clone(), fmt: signed.fmt };
    let shared = app.clone();
    app.planner().ask(id, Box::new(move |run| contract_opening::open(&shared, id, &which, &agreed, run)))?;
    Ok(Redirect::to(&format!("/contracts/{id}/progress")))
}

/// Refuses a mark by hand on an instrument whose job says how far it is.
///
/// # Errors
/// Where it has a job that was not declined.
pub fn job_says(app: &App, id: i64, tag: &str) -> Outcome<()> {
    let jobs = contract_jobs::of(app.store(), id)?;
    match jobs.get(tag).filter(|j| j.state != store::counter::JobState::Declined) {
        Some(j) => Err(Problem::Conflict(format!("{tag} has job {}. What is done there counts here by itself.", j.job))),
        None => Ok(()),
    }
}
