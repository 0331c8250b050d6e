//! Decisions of a person against the plan: the form, and what it does.

use super::plan;
use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::Sent;
use crate::view::form::filled;
use crate::when;
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use serde::Deserialize;
use store::By;

/// What the overrule's form sends.
#[derive(Deserialize)]
pub struct Overruled {
    kind: String,
    #[serde(default)]
    dent: String,
    #[serde(default)]
    method: String,
    #[serde(default)]
    joint: String,
    #[serde(default)]
    overlay: String,
    #[serde(default)]
    tool: String,
    #[serde(default)]
    time: String,
    #[serde(default)]
    run: String,
    #[serde(default)]
    condition: String,
    why: String,
}

/// What the form for taking an overrule back sends.
#[derive(Deserialize)]
pub struct Withdrawn {
    overrule: i64,
    /// The second tap.
    #[serde(default)]
    sure: String,
}

/// Adds an overrule; the plan is worked out anew at once.
///
/// # Errors
/// Where no reason is given or the overrule makes no sense.
pub async fn overrule(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Overruled>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| overruled(app, &signed, id, &f), |redisplay| plan::shown(app, &signed, id, redisplay))).await
}

fn overruled(app: &App, signed: &Signed, id: i64, f: &Overruled) -> Outcome<Redirect> {
    let why = filled(&f.why).ok_or_else(|| Problem::Bad("give a reason: the next person at the bench will ask for it".to_owned()))?;
    let body = crate::decisions::from_form(&f.kind, &f.dent, &f.method, &f.joint, &f.overlay, &f.tool, &f.time, &f.run, &f.condition)?;
    // Told before it is kept: of two decisions that cannot both hold the person who takes the second says which stays.
    if let Some(decision) = crate::decisions::read(&body) {
        let more = ::plan::Overrule { decision, who: signed.person.name.clone(), why: why.to_owned() };
        let job = app.job(id)?;
        let told: Vec<String> = job.contradictions_with(more).iter().map(|c| signed.fmt.text(&c.words(&job.survey))).collect();
        if !told.is_empty() {
            return Err(Problem::Several(told));
        }
    }
    app.store().add_overrule(By { who: &signed.person.login, at: when::now() }, id, &body, why)?;
    Ok(Redirect::to(&format!("/jobs/{id}/plan")))
}

/// Takes an overrule back.
///
/// # Errors
/// Where there is none of that number on this job.
pub async fn withdraw(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Withdrawn>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        if f.sure != "yes" {
            return Err(Problem::Bad("a decision is taken back on the plan's page, with a second tap that says so".to_owned()));
        }
        app.store().withdraw_overrule(By { who: &signed.person.login, at: when::now() }, id, f.overrule)?;
        Ok(Redirect::to(&format!("/jobs/{id}/plan")))
    })
    .await
}
