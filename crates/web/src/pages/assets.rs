//! Style, scripts and the mark; all inside the binary.

use crate::problem::Problem;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

/// An asset by name.
pub async fn asset(Path(name): Path<String>) -> Response {
    let (media, body) = match name.as_str() {
        "style.css" => ("text/css; charset=utf-8", include_str!("../../assets/style.css")),
        "page.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/page.js")),
        "photos.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/photos.js")),
        "bench.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/bench.js")),
        "survey.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/survey.js")),
        "sheets.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/sheets.js")),
        "mark.svg" => ("image/svg+xml", include_str!("../../assets/mark.svg")),
        _ => return Problem::Missing(format!("there is no {name} here")).into_response(),
    };
    ([(CONTENT_TYPE, media), (CACHE_CONTROL, "public, max-age=300")], body).into_response()
}

/// Any other address.
pub async fn nothing_here() -> Problem {
    Problem::Missing("there is no such page".to_owned())
}
