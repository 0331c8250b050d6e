//! Photos: sent by the tablet's camera, shown to whoever is signed in, small on the pages and whole by their link.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::thumbnail::PLACEHOLDER;
use crate::when;
use axum::Extension;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use store::By;
use store::photos::{NewPhoto, Sent};

/// What a photo shows.
#[derive(Deserialize)]
pub struct Shows {
    dent: Option<String>,
    step: Option<String>,
    /// The dent, by the tablet's mark: a new one may not have its name yet.
    dent_made_as: Option<String>,
    #[serde(default)]
    note: String,
    /// The tablet's mark of the photo, so that it is kept once however often it is sent.
    made_as: Option<String>,
}

/// The answer to a photo that was kept.
#[derive(Serialize)]
pub struct Kept {
    id: i64,
    dent: Option<String>,
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
        let mark = |mark: &Option<String>| mark.clone().filter(|m| !m.is_empty() && m.len() <= 40);
        let (made_as, dent_made_as) = (mark(&shows.made_as), mark(&shows.dent_made_as));
        let new = NewPhoto {
            dent: shows.dent.as_deref(),
            dent_made_as: dent_made_as.as_deref(),
            step: shows.step.as_deref(),
            note: &note,
            made_as: made_as.as_deref(),
        };
        match app.store().add_photo(by, id, &new, &body)? {
            Sent::Kept(id, dent) => Ok((StatusCode::CREATED, Json(Kept { id, dent }))),
            Sent::DentNotYet => Err(Problem::Conflict("the dent that this photo shows is not in the record yet".to_owned())),
        }
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

/// Shows a photo small.
///
/// # Errors
/// Where there is none of that number on that job.
pub async fn small(State(app): State<App>, Path((job, id)): Path<(i64, i64)>) -> Outcome<Response> {
    app.blocking(move |app| {
        let (photo, bytes) = app.store().photo(job, id)?;
        // The content of a photo never changes.
        let keep = (CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable"));
        Ok(match app.thumbnails().of(&photo.hash, &bytes) {
            Some(jpeg) => ([(CONTENT_TYPE, HeaderValue::from_static("image/jpeg")), keep], jpeg).into_response(),
            None => ([(CONTENT_TYPE, HeaderValue::from_static("image/svg+xml")), keep], PLACEHOLDER).into_response(),
        })
    })
    .await
}

/// A photo on a page: small, with the whole behind it.
pub fn thumb(job: i64, photo: &store::photos::Photo) -> Markup {
    let at = format!("/jobs/{job}/photos/{}", photo.id);
    html! {
        a.thumb href=(at) {
            img src={ (at) "/small" } loading="lazy" alt={ "Photo " @if let Some(d) = &photo.dent { "of dent " (d) " " } "from " (when::moment(photo.at)) };
        }
    }
}
