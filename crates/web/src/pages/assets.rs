//! Style, scripts and the mark; all inside the binary.

use crate::problem::Problem;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

/// The look, in the order in which later rules win.
const STYLE: &str = concat!(
    include_str!("../../assets/css/tokens.css"),
    include_str!("../../assets/css/base.css"),
    include_str!("../../assets/css/frame.css"),
    include_str!("../../assets/css/drawing.css"),
    include_str!("../../assets/css/survey.css"),
    include_str!("../../assets/css/job.css"),
    include_str!("../../assets/css/customer.css"),
    include_str!("../../assets/css/shop.css"),
);

/// A typeface by its file's name; licence (OFL 1.1) in `assets/fonts/LICENSE.txt`.
fn face(name: &str) -> Option<&'static [u8]> {
    Some(match name {
        "IBMPlexSans-Regular.woff2" => include_bytes!("../../assets/fonts/IBMPlexSans-Regular.woff2"),
        "IBMPlexSans-SemiBold.woff2" => include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.woff2"),
        "IBMPlexSansCondensed-Regular.woff2" => include_bytes!("../../assets/fonts/IBMPlexSansCondensed-Regular.woff2"),
        "IBMPlexSansCondensed-SemiBold.woff2" => include_bytes!("../../assets/fonts/IBMPlexSansCondensed-SemiBold.woff2"),
        _ => return None,
    })
}

/// An asset by name.
pub async fn asset(Path(name): Path<String>) -> Response {
    if let Some(face) = face(&name) {
        return ([(CONTENT_TYPE, "font/woff2"), (CACHE_CONTROL, "public, max-age=31536000, immutable")], face).into_response();
    }
    let (media, body) = match name.as_str() {
        "style.css" => ("text/css; charset=utf-8", STYLE),
        "page.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/page.js")),
        "waiting.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/waiting.js")),
        "photos.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/photos.js")),
        "bench.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/bench.js")),
        "survey.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/survey.js")),
        "picture.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/picture.js")),
        "sheets.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/sheets.js")),
        "parts.js" => ("text/javascript; charset=utf-8", include_str!("../../assets/parts.js")),
        "mark.svg" => ("image/svg+xml", include_str!("../../assets/mark.svg")),
        _ => return Problem::Missing(format!("there is no {name} here")).into_response(),
    };
    ([(CONTENT_TYPE, media), (CACHE_CONTROL, "public, max-age=300")], body).into_response()
}

/// Any other address.
pub async fn nothing_here() -> Problem {
    Problem::Missing("there is no such page".to_owned())
}
