//! The door of every route: who is it, may they, and did the form come from our own page.

use crate::app::App;
use crate::auth::{Need, Signed, session_token};
use crate::hosts::{self, CheckedHost};
use crate::limits::{FIELDS, FORM_BYTES, STRANGERS_FORM_BYTES, UPLOAD_BYTES};
use crate::problem::{ErrorText, Problem};
use crate::redisplay::Sent;
use crate::unit_format::UnitFormat;
use crate::when;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

/// Lets a request through, or answers for the route. Where a form ends on a page that says why not, what was typed stands
/// there too.
pub async fn guard(State((app, need)): State<(App, Need)>, mut request: Request, next: Next) -> Response {
    // Who it is comes before anything of the body is read.
    let signed = match who(&app, request.headers()).await {
        Ok(signed) => signed,
        Err(problem) => return problem.into_response(),
    };
    if need != Need::Nobody {
        match &signed {
            None => {
                let page = request.method() == Method::GET && !wants_json(request.headers());
                return if page { Redirect::to("/sign-in").into_response() } else { Problem::SignIn.into_response() };
            }
            Some(signed) if !signed.may(need) => {
                return Problem::Forbidden("your role does not do this; ask the owner").into_response();
            }
            Some(_) => {}
        }
    }
    let path = request.uri().path().to_owned();
    let is_form = request.headers().get(CONTENT_TYPE).is_some_and(|v| v.as_bytes().starts_with(b"application/x-www-form-urlencoded"));
    let (mut sent, mut token) = (Sent::default(), None);
    if is_form && request.method() == Method::POST {
        let (parts, body) = request.into_parts();
        let most = if signed.is_some() { FORM_BYTES } else { STRANGERS_FORM_BYTES };
        let Ok(bytes) = to_bytes(body, most).await else {
            return Problem::TooLarge(format!("a form holds no more than {} kB", most / 1024)).into_response();
        };
        if bytes.iter().filter(|b| **b == b'&').count() >= FIELDS {
            return Problem::TooLarge(format!("a form has no more than {FIELDS} fields")).into_response();
        }
        // What a stranger typed is not shown again by the door.
        if signed.is_some() {
            sent = Sent::read(&path, &bytes).await;
        }
        // The token's characters need no decoding.
        token = bytes.split(|b| *b == b'&').find_map(|pair| pair.strip_prefix(b"csrf=")).map(<[u8]>::to_vec);
        request = Request::from_parts(parts, Body::from(bytes));
    }
    request.extensions_mut().insert(sent.clone());
    let fmt = UnitFormat::asked(request.headers(), app.lengths());
    request.extensions_mut().insert(fmt);
    let reads = request.method() == Method::GET;
    let response = pass(need, signed, token.as_deref(), request, next).await;
    match response.extensions().get::<ErrorText>() {
        Some(text) => text.with(&sent.words()),
        None if is_unread(&response) => unread(reads, response.status()).into_response(),
        None => response,
    }
}

/// Whether an answer is the library's own, in words for programmers: address, fields or body could not be read, and no page was asked.
fn is_unread(response: &Response) -> bool {
    let plain = response.headers().get(CONTENT_TYPE).is_some_and(|v| v.as_bytes().starts_with(b"text/plain"));
    plain && response.status().is_client_error()
}

fn unread(reads: bool, status: StatusCode) -> Problem {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        Problem::TooLarge(format!("what was sent is too large; no more than {} MB are taken at once", UPLOAD_BYTES / (1024 * 1024)))
    } else if reads {
        Problem::Missing("there is no page at this address; look for typing mistakes in it".to_owned())
    } else {
        Problem::Bad("what was sent cannot be read; load the page again and send it once more".to_owned())
    }
}

/// Lets a request through that asks for one of the shop's names.
pub async fn name(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let host = match hosts::asked(request.headers()) {
        Ok(host) => host.unwrap_or("localhost").to_owned(),
        Err(()) => String::new(),
    };
    if !app.names().takes(&host) {
        return Problem::NotOurs.into_response();
    }
    request.extensions_mut().insert(CheckedHost(app.names().of_links(&host)));
    next.run(request).await
}

async fn pass(need: Need, signed: Option<Signed>, token: Option<&[u8]>, mut request: Request, next: Next) -> Response {
    let Some(signed) = signed else { return next.run(request).await };
    if need == Need::Nobody {
        request.extensions_mut().insert(signed);
        return next.run(request).await;
    }
    // The session's form token comes in the header `x-csrf` (scripts) or in the field `csrf` (forms).
    let brought = request.headers().get("x-csrf").map(HeaderValue::as_bytes).or(token);
    let reads = request.method() == Method::GET || request.method() == Method::HEAD;
    if !reads && !brought.is_some_and(|brought| same(brought, signed.csrf.as_bytes())) {
        return Problem::Csrf.into_response();
    }
    request.extensions_mut().insert(signed);
    next.run(request).await
}

async fn who(app: &App, headers: &HeaderMap) -> Result<Option<Signed>, Problem> {
    let Some(token) = session_token(headers) else { return Ok(None) };
    let fmt = UnitFormat::asked(headers, app.lengths());
    app.blocking(move |app| Ok(app.store().session(&token, when::now())?.map(|s| Signed { person: s.person, csrf: s.csrf, fmt }))).await
}

/// Whether a script asked, which reads JSON and not a page.
pub(crate) fn wants_json(headers: &HeaderMap) -> bool {
    headers.get("accept").and_then(|v| v.to_str().ok()).is_some_and(|v| v.starts_with("application/json"))
}

/// Compares without telling by its time where the first difference is.
pub(crate) fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}
