//! The forms of the survey's page: what each does, and the page again where it is refused.

use super::survey::page_redisplayed;
use super::survey_file::Pattern;
use super::{conditions, other_work, sheets, survey_file};
use crate::app::App;
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::redisplay::Sent;
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use std::collections::BTreeMap;

/// Saves a sheet.
///
/// # Errors
/// Where a field is refused, or somebody saved the same part in between.
pub async fn save_sheet(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Outcome<Response> {
    let tube = sheets::tube(&fields);
    app.blocking(move |app| {
        sent.taken(|| sheets::saved(app, &signed, id, &fields), |redisplay| page_redisplayed(app, &signed, id, redisplay, tube.as_ref()))
    })
    .await
}

/// Keeps the day on which the customer wants it, and what they ask for.
///
/// # Errors
/// Where the day is none, or somebody changed it in between.
pub async fn save_asks(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Outcome<Response> {
    taken(&app, signed, id, sent, move |app, signed| sheets::asked(app, signed, id, &fields)).await
}

/// Saves or takes out a condition of the metal.
///
/// # Errors
/// Where a field cannot be taken, or somebody saved in between.
pub async fn save_condition(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    taken(&app, signed, id, sent, move |app, signed| conditions::saved(app, signed, id, &f)).await
}

/// Saves or takes out work of the shop's list.
///
/// # Errors
/// Where a field cannot be taken, or somebody saved in between.
pub async fn save_work(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    taken(&app, signed, id, sent, move |app, signed| other_work::saved(app, signed, id, &f)).await
}

/// Puts the survey on another pattern.
///
/// # Errors
/// Where there is no such pattern, nobody said yes yet, or somebody saved in between.
pub async fn change_pattern(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Pattern>,
) -> Outcome<Response> {
    taken(&app, signed, id, sent, move |app, signed| survey_file::changed(app, signed, id, &f)).await
}

async fn taken(
    app: &App,
    signed: Signed,
    id: i64,
    sent: Sent,
    deed: impl FnOnce(&App, &Signed) -> Outcome<Redirect> + Send + 'static,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| deed(app, &signed), |redisplay| page_redisplayed(app, &signed, id, redisplay, None))).await
}
