//! One's own account: a new password, set by oneself.

use crate::app::App;
use crate::auth::Signed;
use crate::limits::SignInName;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::{layout, password, when};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;

/// What the form sends.
#[derive(Deserialize)]
pub struct NewPassword {
    old_password: String,
    password: String,
}

/// The page.
///
/// # Errors
/// Never but where the page cannot be made.
pub async fn page(Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    shown(&signed, &Redisplay::default())
}

fn shown(signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
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

/// Sets one's own password. Wrong tries count as tries to sign in.
///
/// # Errors
/// Where the password of now does not fit or the new one is too weak.
pub async fn set_password(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<NewPassword>,
) -> Outcome<Response> {
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| sent.taken(|| password_set(app, &signed, &f), |redisplay| shown(&signed, redisplay))).await
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
