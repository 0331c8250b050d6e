//! One's own second factor: set up with a code that the phone reads, turned on by a first code of it, taken off.

use super::me::password_of_now;
use super::sign_in::codes_of;
use crate::app::App;
use crate::auth::Signed;
use crate::limits::SignInName;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::qr::qr;
use crate::{layout, when};
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use qrcode::QrCode;
use serde::Deserialize;
use store::By;
use store::second_factor::SecondFactor;

/// Where the page is.
const HERE: &str = "/me/second-factor";

/// What the form that begins sends.
#[derive(Deserialize)]
pub struct Begin {
    old_password: String,
}

/// What the form that turns it on sends.
#[derive(Deserialize)]
pub struct Confirm {
    code: String,
}

/// What the form that takes it off sends.
#[derive(Deserialize)]
pub struct Remove {
    old_password: String,
    code: String,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let password = html! {
        label { span { "Password of now" } input name="old_password" type="password" autocomplete="current-password" required; }
    };
    let code = |words: &str| html! { label { span { (words) } input name="code" autocomplete="one-time-code" autocapitalize="none" required maxlength="40"; } };
    let body = match app.store().second_factor(signed.person.id)? {
        SecondFactor::On(left) => {
            let action = format!("{HERE}/remove");
            html! {
                p.good { "It is on: each time you sign in you give a code from your phone." }
                p { (left) " of your recovery codes are left." @if left < 3 { " Take it off and set it up again to get new ones." } }
                form.stack.card method="post" action=(action) {
                    h2 { "Take it off" }
                    (layout::csrf(signed))
                    (redisplay.form(&action).problems())
                    (password)
                    (code("Six digits from your phone, or a recovery code"))
                    button.plain type="submit" { "Take it off" }
                }
                p.soft { "Phone and codes both lost: on the shop's machine, trueround password --remove-second-factor " (signed.person.login) }
            }
        }
        SecondFactor::Begun(secret) => {
            let action = format!("{HERE}/confirm");
            // The form of address that the phones' programs read ("Key Uri Format", from memory).
            let uri = format!("otpauth://totp/trueround:{}?secret={secret}&issuer=trueround", uri_part(&signed.person.login));
            let code_image = QrCode::new(uri.as_bytes()).map_err(|e| Problem::Broken(e.to_string()))?;
            html! {
                ol {
                    li { p { "Read this with an authenticator program on your phone." } (qr(&code_image, "The secret for your phone, as a code to read")) p { "Or type it in: " strong.num { (grouped(&secret)) } } }
                    li { p { "Give the six digits that it shows now." }
                        form.stack method="post" action=(action) {
                            (layout::csrf(signed))
                            (redisplay.form(&action).problems())
                            (code("Six digits"))
                            button type="submit" { "Turn it on" }
                        }
                    }
                }
            }
        }
        stands @ (SecondFactor::None | SecondFactor::LeftBehind) => html! {
            @if stands == SecondFactor::LeftBehind { p.warn { strong { "It is off. " } "You had one; it does not travel with a backup. Set it up again." } }
            p { "A code from your phone beside the password: a password that somebody has seen does not let them in alone. You need a phone with an authenticator program; it works without a network." }
            form.stack.card method="post" action=(HERE) {
                h2 { "Set it up" }
                (layout::csrf(signed))
                (redisplay.form(HERE).problems())
                (password)
                button type="submit" { "Begin" }
            }
        },
    };
    Ok(layout::page(signed, "Second factor", html! { h1 { "Second factor" } (body) p { a href="/me" { "Back to your account" } } }))
}

/// Four by four, to be typed.
fn grouped(secret: &str) -> String {
    let all: Vec<char> = secret.chars().collect();
    all.chunks(4).map(|four| four.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

/// A name within an address: what is not a plain letter or digit is written by its bytes (RFC 3986, 2.1).
fn uri_part(name: &str) -> String {
    name.bytes().map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") }).collect()
}

/// Makes a secret, once the password of now was given.
///
/// # Errors
/// Where the password is another, or a second factor is on already.
pub async fn begin(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Begin>,
) -> Outcome<Response> {
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| {
        let deed = || {
            password_of_now(app, &signed, &f.old_password)?;
            app.store().begin_second_factor(By { who: &signed.person.login, at: when::now() }, signed.person.id)?;
            Ok(Redirect::to(HERE))
        };
        sent.taken(deed, |redisplay| shown(app, &signed, redisplay))
    })
    .await
}

/// Turns it on with a first code, and shows the recovery codes this once.
///
/// # Errors
/// Where the code is not right, or none was begun.
pub async fn confirm(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Confirm>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        let Some(codes) = app.store().confirm_second_factor(by, signed.person.id, &f.code)? else {
            let wrong = || Err(Problem::Bad("that code is not right; is the phone's clock right? give the next one".to_owned()));
            return sent.taken(wrong, |redisplay| shown(app, &signed, redisplay));
        };
        app.store().note_at_the_door(by, "second_factor_on", by.who, "own page")?;
        Ok(layout::page(
            &signed,
            "Recovery codes",
            html! {
                h1 { "Second factor is on" }
                p.warn { strong { "Write these down now. " } "They are shown this once. Each lets you in once, when the phone is lost. Keep them away from the phone." }
                ol.num { @for code in &codes { li { (code) } } }
                p { a.button href="/me" { "I have them" } }
            },
        )
        .into_response())
    })
    .await
}

/// Takes it off, once password and a code were given. Wrong codes are counted as at the door.
///
/// # Errors
/// Where one of them is not right, or was tried too often.
pub async fn remove(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Remove>,
) -> Outcome<Response> {
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| sent.taken(|| removed(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn removed(app: &App, signed: &Signed, f: &Remove) -> Outcome<Redirect> {
    password_of_now(app, signed, &f.old_password)?;
    let (by, id) = (By { who: &signed.person.login, at: when::now() }, signed.person.id);
    let counted = codes_of(&SignInName::read(&signed.person.login)?);
    let wait = app.store().held_back_s(&counted, by.at)?;
    if wait > 0 {
        return Err(Problem::LaterCode(wait));
    }
    if !app.store().take_second_factor(by, id, &f.code)? {
        app.store().sign_in_failed(by.at, &counted, "own page")?;
        return Err(Problem::Bad("that code is not right, or was used already; wait for the next one".to_owned()));
    }
    app.store().remove_second_factor(by, id)?;
    app.store().note_at_the_door(by, "second_factor_off", by.who, "own page")?;
    Ok(Redirect::to(HERE))
}
