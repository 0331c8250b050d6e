//! Headers on every answer.

use crate::app::App;
use axum::extract::{Request, State};
use axum::http::HeaderValue;
use axum::http::header::{CACHE_CONTROL, STRICT_TRANSPORT_SECURITY};
use axum::middleware::Next;
use axum::response::Response;

/// No other site's content, frames or eyes; pages are not kept by caches on the way.
pub async fn safe(State(app): State<App>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        // Inline style attributes stand in the drawings; scripts are files only.
        (
            "content-security-policy",
            "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; script-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
        ),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
        ("x-frame-options", "DENY"),
        ("cross-origin-opener-policy", "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // A certificate that the shop gave: from now on no other connection. With the program's own, a tablet that learns a new one
    // must be able to go on past its warning.
    if app.certificate().is_some_and(|c| !c.own) {
        headers.insert(STRICT_TRANSPORT_SECURITY, HeaderValue::from_static("max-age=31536000"));
    }
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
