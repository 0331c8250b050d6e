//! Signing in and out.

use crate::app::App;
use crate::auth::{SESSION_SECONDS, TABLET_COOKIE, cookie, session_token, tablet_cookie};
use crate::cookies::cookie_value;
use crate::limits::SignInName;
use crate::problem::{Outcome, Problem};
use crate::{layout, password, when};
use axum::Form;
use axum::extract::{ConnectInfo, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;
use std::net::SocketAddr;
use store::By;
use store::people::Person;

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
pub async fn enter(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    Form(entry): Form<Entry>,
) -> Outcome<Response> {
    app.limits().sign_in_from(from.ip())?;
    let name = SignInName::read(&entry.login)?;
    if entry.password.len() > password::MOST_BYTES {
        return Ok(refused(&name));
    }
    let tablet = cookie_value(&headers, TABLET_COOKIE);
    let asked = name.clone();
    let Meant { person: found, tablet } = app.blocking(move |app| meant(app, &asked, tablet)).await?;
    let (secure, address) = (app.secure(), from.ip().to_canonical().to_string());
    app.limits().sign_in_as(&name, tablet.as_deref())?;
    // One who waits for a turn is on the way of nobody but others who sign in.
    let turn = app.hashing().turn().await?;
    let answer = app
        .blocking(move |app| {
            let now = when::now();
            let wait = if tablet.is_some() { 0 } else { app.store().held_back_s(&name.key(), now)? };
            if wait > 0 {
                return Err(Problem::Later(wait));
            }
            let fits =
                app.hashing().with_memory(|memory| password::fits(&entry.password, found.as_ref().map(|(_, hash)| hash.as_str()), memory));
            let Some((person, _)) = found.filter(|_| fits) else {
                app.store().sign_in_failed(now, &name.key(), &address)?;
                return Ok(refused(&name));
            };
            let (token, csrf) = (password::token()?, password::token()?);
            let tablet = tablet.map_or_else(password::token, Ok)?;
            let by = By { who: &person.login, at: now };
            app.store().signed_in(by, person.id, &name.key(), &address, &tablet)?;
            app.store().open_session(by, person.id, &token, &csrf, now + SESSION_SECONDS)?;
            let cookies = AppendHeaders([(SET_COOKIE, cookie(&token, secure)), (SET_COOKIE, tablet_cookie(&tablet, secure))]);
            Ok((cookies, Redirect::to("/")).into_response())
        })
        .await;
    drop(turn);
    answer
}

/// Who may be meant, before the password is looked at.
struct Meant {
    /// The person of that name, with the password's hash.
    person: Option<(Person, String)>,
    /// The tablet's token, where that person has signed in on it before.
    tablet: Option<String>,
}

fn meant(app: &App, name: &SignInName, tablet: Option<String>) -> Outcome<Meant> {
    let person = app.store().person_to_sign_in(name.as_str())?;
    let tablet = match (&person, tablet) {
        (Some((person, _)), Some(tablet)) => app.store().tablet_is_known(&tablet, person.id)?.then_some(tablet),
        _ => None,
    };
    Ok(Meant { person, tablet })
}

fn refused(name: &SignInName) -> Response {
    let page = shown(name.as_str(), Some("That name and password do not go together."));
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
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
