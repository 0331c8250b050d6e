//! One's own account: a new password, set by oneself; where one is signed in.

use crate::app::App;
use crate::auth::{Signed, session_token};
use crate::limits::SignInName;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::people::WhereSignedIn;

/// What the form sends.
#[derive(Deserialize)]
pub struct NewPassword {
    old_password: String,
    password: String,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, headers: HeaderMap) -> Outcome<Markup> {
    let token = session_token(&headers).ok_or(Problem::SignIn)?;
    app.blocking(move |app| shown(app, &signed, &token, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, token: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let signed_in = app.store().sessions_of(signed.person.id, token, when::now())?;
    Ok(layout::page(
        signed,
        "Your account",
        html! {
            h1 { (signed.person.name) }
            section.card {
                h2 { "Second factor" }
                p { "A code from your phone beside the password: a password that somebody has seen does not let them in alone." }
                p { a.button.plain href="/me/second-factor" { "Second factor" } }
            }
            (where_signed_in(signed, &signed_in))
            form.stack.card method="post" action="/me" {
                h2 { "New password" }
                (layout::csrf(signed))
                (redisplay.form("/me").problems())
                label { span { "Password of now" } input name="old_password" type="password" autocomplete="current-password" required; }
                label { span { "New password: 12 characters or more, a few plain words do" } input name="password" type="password" autocomplete="new-password" required minlength="12"; }
                p.soft { "You are signed out on every tablet, this one too, and each is a stranger again." }
                button type="submit" { "Set password" }
            }
        },
    ))
}

/// The sessions that are open, each with what ends it.
fn where_signed_in(signed: &Signed, all: &[WhereSignedIn]) -> Markup {
    html! {
        section.card #signed-in {
            h2 { "Signed in" }
            p.soft { "A tablet that is lost or left behind is signed out from here." }
            div.scroll { table {
                thead { tr { th scope="col" { "Address" } th scope="col" { "Since" } th scope="col" { "Last used" } th scope="col" { "" } } }
                tbody { @for s in all {
                    tr {
                        th scope="row" { @if s.address.is_empty() { "not noted" } @else { (s.address) } }
                        td { (when::moment(s.made_at)) }
                        td { (when::moment(s.seen_at.max(s.made_at))) }
                        td { @if s.own { "This one" } @else {
                            form method="post" action={ "/me/sessions/" (s.id) "/end" } {
                                (layout::csrf(signed))
                                button.plain type="submit" { "Sign out" span.visually-hidden { " at " (s.address) } }
                            }
                        } }
                    }
                } }
            } }
            @if all.iter().filter(|s| !s.own).count() > 1 {
                form method="post" action="/me/sessions/end-others" { (layout::csrf(signed)) button.plain type="submit" { "Sign out everywhere but here" } }
            }
        }
    }
}

/// Ends another one of one's own sessions.
///
/// # Errors
/// Where the record fails. One that has ended already is as good.
pub async fn end_session(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    headers: HeaderMap,
) -> Outcome<Redirect> {
    let token = session_token(&headers).ok_or(Problem::SignIn)?;
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        if app.store().close_session_of(by, signed.person.id, id, &token)? {
            app.store().note_at_the_door(by, "signed_out", &signed.person.login, "own page")?;
        }
        Ok(Redirect::to("/me#signed-in"))
    })
    .await
}

/// Ends all of one's own sessions but this one.
///
/// # Errors
/// Where the record fails.
pub async fn end_other_sessions(State(app): State<App>, Extension(signed): Extension<Signed>, headers: HeaderMap) -> Outcome<Redirect> {
    let token = session_token(&headers).ok_or(Problem::SignIn)?;
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        if app.store().close_other_sessions(by, signed.person.id, &token)? > 0 {
            app.store().note_at_the_door(by, "signed_out", &signed.person.login, "own page")?;
        }
        Ok(Redirect::to("/me#signed-in"))
    })
    .await
}

/// Sets one's own password. Wrong tries count as tries to sign in.
///
/// # Errors
/// Where the password of now does not fit or the new one is too weak.
pub async fn set_password(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    headers: HeaderMap,
    Form(f): Form<NewPassword>,
) -> Outcome<Response> {
    let token = session_token(&headers).ok_or(Problem::SignIn)?;
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| sent.taken(|| password_set(app, &signed, &f), |redisplay| shown(app, &signed, &token, redisplay))).await
}

fn password_set(app: &App, signed: &Signed, f: &NewPassword) -> Outcome<Redirect> {
    password_of_now(app, signed, &f.old_password)?;
    let hash = password::hash(&f.password)?;
    let (now, login) = (when::now(), &signed.person.login);
    let by = By { who: login, at: now };
    app.store().set_password(by, signed.person.id, &hash)?;
    app.store().note_at_the_door(by, "password_set", login, "own page")?;
    Ok(Redirect::to("/sign-in"))
}

/// Asks for the password of now before something that a stolen tablet must not do. The caller holds a turn at hashing.
///
/// # Errors
/// Where it is another, or was tried too often: wrong tries count as tries to sign in.
pub(super) fn password_of_now(app: &App, signed: &Signed, typed: &str) -> Outcome<()> {
    let (now, login) = (when::now(), &signed.person.login);
    let counted = SignInName::read(login)?.key();
    let wait = app.store().held_back_s(&counted, now)?;
    if wait > 0 {
        return Err(Problem::Later(wait));
    }
    let known = app.store().person_to_sign_in(login)?;
    let short = typed.len() <= password::MOST_BYTES;
    let fits = short && app.hashing().with_memory(|m| password::fits(typed, known.as_ref().map(|(_, hash)| hash.as_str()), m));
    if !fits {
        app.store().sign_in_failed(now, &counted, "own page")?;
        return Err(Problem::Bad("the password of now is another".to_owned()));
    }
    Ok(())
}
