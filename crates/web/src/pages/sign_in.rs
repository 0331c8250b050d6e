//! Signing in and out.

use crate::app::App;
use crate::auth::{SESSION_SECONDS, cookie, session_token};
use crate::problem::{Outcome, Problem};
use crate::{layout, password, when};
use axum::Form;
use axum::extract::{ConnectInfo, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;
use std::net::SocketAddr;
use store::By;

/// What the form sends.
#[derive(Deserialize)]
pub struct Entry {
    login: String,
    password: String,
}

/// The form.
pub async fn form() -> Markup {
    shown("", None)
}

/// Somebody tries to sign in.
///
/// # Errors
/// Too many tries, or the record fails. A wrong name or password shows the form again.
pub async fn enter(State(app): State<App>, ConnectInfo(from): ConnectInfo<SocketAddr>, Form(entry): Form<Entry>) -> Outcome<Response> {
    app.limits().sign_in(from.ip(), &entry.login)?;
    let secure = app.secure();
    app.blocking(move |app| {
        let found = app.store().person_to_sign_in(entry.login.trim())?;
        let fits = password::fits(&entry.password, found.as_ref().map(|(_, hash)| hash.as_str()));
        let Some((person, _)) = found.filter(|_| fits) else {
            let page = shown(entry.login.trim(), Some("That name and password do not go together."));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        };
        let (token, csrf, now) = (password::token()?, password::token()?, when::now());
        app.store().open_session(By { who: &person.login, at: now }, person.id, &token, &csrf, now + SESSION_SECONDS)?;
        Ok(([(SET_COOKIE, cookie(&token, secure))], Redirect::to("/")).into_response())
    })
    .await
}

/// Somebody signs out.
///
/// # Errors
/// Where the record fails.
pub async fn leave(State(app): State<App>, headers: HeaderMap) -> Outcome<Response> {
    let secure = app.secure();
    let token = session_token(&headers).ok_or(Problem::SignIn)?;
    app.blocking(move |app| Ok(app.store().close_session(By { who: "sign-out", at: when::now() }, &token)?)).await?;
    Ok(([(SET_COOKIE, cookie("", secure))], Redirect::to("/sign-in")).into_response())
}

fn shown(login: &str, problem: Option<&str>) -> Markup {
    layout::bare(
        "Sign in",
        html! {
            h1 { "Sign in" }
            @if let Some(problem) = problem { p.problem role="alert" { (problem) } }
            form.stack.card method="post" action="/sign-in" {
                label { span { "Name" } input name="login" value=(login) autocomplete="username" autocapitalize="none" required autofocus; }
                label { span { "Password" } input name="password" type="password" autocomplete="current-password" required; }
                button type="submit" { "Sign in" }
            }
        },
    )
}
