//! Cookies as a request carries them.

use axum::http::HeaderMap;
use axum::http::header::COOKIE;

/// A cookie's value.
pub fn cookie_value(headers: &HeaderMap, wanted: &str) -> Option<String> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == wanted)
        .map(|(_, value)| value.to_owned())
}
