//! Signing in and out.

use crate::app::App;
use crate::auth::{SESSION_SECONDS, TABLET_COOKIE, cookie, session_token, tablet_cookie};
use crate::cookies::cookie_value;
use crate::limits::SignInName;
use crate::pending::Half;
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
    let address = from.ip().to_canonical().to_string();
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
            let half = Half { name, person: person.id, tablet };
            if app.store().asks_second_factor(person.id)? {
                let step = password::token()?;
                app.pending().begin(&step, half, now);
                return Ok(code_asked(&step, None).into_response());
            }
            let_in(app, &half, &person, now, &address)
        })
        .await;
    drop(turn);
    answer
}

/// Opens a session, on a tablet that is known from now on.
fn let_in(app: &App, half: &Half, person: &Person, now: i64, address: &str) -> Outcome<Response> {
    let secure = app.secure();
    let (token, csrf) = (password::token()?, password::token()?);
    let tablet = half.tablet.clone().map_or_else(password::token, Ok)?;
    let by = By { who: &person.login, at: now };
    app.store().signed_in(by, person.id, &half.name.key(), address, &tablet)?;
    app.store().open_session(by, person.id, address, (&token, &csrf), now + SESSION_SECONDS)?;
    let cookies = AppendHeaders([(SET_COOKIE, cookie(&token, secure)), (SET_COOKIE, tablet_cookie(&tablet, secure))]);
    Ok((cookies, Redirect::to("/")).into_response())
}

/// What the form of the code sends.
#[derive(Deserialize)]
pub struct Code {
    step: String,
    code: String,
}

/// Somebody who gave the right password gives the code. It is asked for on a known tablet too: that spares the waiting after wrong
/// passwords, not the second factor. Wrong codes are counted as wrong passwords are, under a key of their own, for everybody.
///
/// # Errors
/// Too many tries, or the record fails. A wrong code shows the form again; whoever took too long signs in anew.
pub async fn code(State(app): State<App>, ConnectInfo(from): ConnectInfo<SocketAddr>, Form(f): Form<Code>) -> Outcome<Response> {
    app.limits().sign_in_from(from.ip())?;
    let address = from.ip().to_canonical().to_string();
    app.blocking(move |app| {
        let now = when::now();
        let Some(half) = app.pending().tries(&f.step, now) else {
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown("", Some("That took too long, or too many tries. Sign in again.")))
                .into_response());
        };
        let Some((person, _)) = app.store().person_to_sign_in(half.name.as_str())?.filter(|(p, _)| p.id == half.person) else {
            return Ok(refused(&half.name));
        };
        let counted = codes_of(&half.name);
        let wait = app.store().held_back_s(&counted, now)?;
        if wait > 0 {
            return Err(Problem::LaterCode(wait));
        }
        let by = By { who: &person.login, at: now };
        if !app.store().take_second_factor(by, person.id, &f.code)? {
            app.store().sign_in_failed(now, &counted, &address)?;
            let page = code_asked(&f.step, Some("That code is not right, or was used already. Wait for the next one."));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        if !app.pending().done(&f.step) {
            return Ok(refused(&half.name));
        }
        app.store().forget_failures(by, &counted)?;
        let_in(app, &half, &person, now, &address)
    })
    .await
}

/// The key by which wrong codes of a name are counted: no name has a blank in its own.
pub(super) fn codes_of(name: &SignInName) -> String {
    format!("{} code", name.key())
}

fn code_asked(step: &str, problem: Option<&str>) -> Markup {
    layout::bare(
        "Code",
        html! {
            h1 { "Your code" }
            @if let Some(problem) = problem { p.problem role="alert" { (problem) } }
            form.stack.card method="post" action="/sign-in/code" {
                input type="hidden" name="step" value=(step);
                label { span { "Six digits from your phone, or a recovery code" } input name="code" autocomplete="one-time-code" autocapitalize="none" required autofocus maxlength="40"; }
                button type="submit" { "Sign in" }
            }
            p { a href="/sign-in" { "Start again" } }
        },
    )
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
    app.blocking(move |app| {
        let now = when::now();
        if let Some(session) = app.store().session(&token, now)? {
            let by = By { who: &session.person.login, at: now };
            app.store().close_session(by, &token)?;
            app.store().note_at_the_door(by, "signed_out", &session.person.login, "own page")?;
        }
        Ok(())
    })
    .await?;
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
