//! The door of every route: who is it, may they, and did the form come from our own page.

use crate::app::App;
use crate::auth::{Need, Signed, session_token};
use crate::limits::FORM_BYTES;
use crate::problem::Problem;
use crate::when;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

/// Lets a request through, or answers for the route.
pub async fn guard(State((app, need)): State<(App, Need)>, mut request: Request, next: Next) -> Response {
    let signed = match who(&app, request.headers()).await {
        Ok(signed) => signed,
        Err(problem) => return problem.into_response(),
    };
    if need == Need::Nobody {
        if let Some(signed) = signed {
            request.extensions_mut().insert(signed);
        }
        return next.run(request).await;
    }
    let Some(signed) = signed else {
        let page = request.method() == Method::GET && !wants_json(request.headers());
        return if page { Redirect::to("/sign-in").into_response() } else { Problem::SignIn.into_response() };
    };
    if !signed.may(need) {
        return Problem::Forbidden("your role does not do this; ask the owner").into_response();
    }
    if request.method() != Method::GET && request.method() != Method::HEAD {
        request = match brings_token(request, &signed.csrf).await {
            Ok(request) => request,
            Err(problem) => return problem.into_response(),
        };
    }
    request.extensions_mut().insert(signed);
    next.run(request).await
}

async fn who(app: &App, headers: &HeaderMap) -> Result<Option<Signed>, Problem> {
    let Some(token) = session_token(headers) else { return Ok(None) };
    app.blocking(move |app| Ok(app.store().session(&token, when::now())?.map(|s| Signed { person: s.person, csrf: s.csrf }))).await
}

fn wants_json(headers: &HeaderMap) -> bool {
    headers.get("accept").and_then(|v| v.to_str().ok()).is_some_and(|v| v.starts_with("application/json"))
}

/// The session's form token must come in the header `x-csrf` (scripts) or in the field `csrf` (forms).
async fn brings_token(request: Request, csrf: &str) -> Result<Request, Problem> {
    if let Some(sent) = request.headers().get("x-csrf") {
        return if same(sent.as_bytes(), csrf.as_bytes()) { Ok(request) } else { Err(Problem::Csrf) };
    }
    let is_form = request.headers().get(CONTENT_TYPE).is_some_and(|v| v.as_bytes().starts_with(b"application/x-www-form-urlencoded"));
    if !is_form {
        return Err(Problem::Csrf);
    }
    let (parts, body) = request.into_parts();
    let bytes = to_bytes(body, FORM_BYTES).await.map_err(|_| Problem::Bad("that form is too large".to_owned()))?;
    // The token's characters need no decoding.
    let found = bytes.split(|b| *b == b'&').filter_map(|pair| pair.strip_prefix(b"csrf=")).any(|sent| same(sent, csrf.as_bytes()));
    if found { Ok(Request::from_parts(parts, Body::from(bytes))) } else { Err(Problem::Csrf) }
}

/// Compares without telling by its time where the first difference is.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}
