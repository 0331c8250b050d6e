//! Photos: sent by the tablet's camera, shown to whoever is signed in.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::when;
use axum::Extension;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use store::By;

/// What a photo shows.
#[derive(Deserialize)]
pub struct Shows {
    dent: Option<String>,
    step: Option<String>,
    #[serde(default)]
    note: String,
}

/// The answer to a photo that was kept.
#[derive(Serialize)]
pub struct Kept {
    id: i64,
}

/// Takes a photo: the body is the file itself.
///
/// # Errors
/// Where it is no picture that is taken, or too large.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(shows): Query<Shows>,
    body: Bytes,
) -> Outcome<(StatusCode, Json<Kept>)> {
    app.blocking(move |app| {
        if body.is_empty() {
            return Err(Problem::Bad("no photo came with that".to_owned()));
        }
        let by = By { who: &signed.person.login, at: when::now() };
        let note: String = shows.note.chars().take(500).collect();
        let id = app.store().add_photo(by, id, shows.dent.as_deref(), shows.step.as_deref(), &note, &body)?;
        Ok((StatusCode::CREATED, Json(Kept { id })))
    })
    .await
}

/// Shows a photo.
///
/// # Errors
/// Where there is none of that number on that job.
pub async fn show(State(app): State<App>, Path((job, id)): Path<(i64, i64)>) -> Outcome<Response> {
    app.blocking(move |app| {
        let (photo, bytes) = app.store().photo(job, id)?;
        let media = HeaderValue::from_str(&photo.media).map_err(|e| Problem::Broken(e.to_string()))?;
        let headers = [
            (CONTENT_TYPE, media),
            (CACHE_CONTROL, HeaderValue::from_static("private, max-age=3600")),
            (CONTENT_DISPOSITION, HeaderValue::from_static("inline")),
        ];
        Ok((headers, bytes).into_response())
    })
    .await
}
