//! People who may sign in.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::view::shop_frame::tabs;
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::people::PersonRole;

/// What the form for a new person sends.
#[derive(Deserialize)]
pub struct NewPerson {
    login: String,
    name: String,
    role: String,
    password: String,
}

/// What the form for a change sends.
#[derive(Deserialize)]
pub struct Change {
    name: String,
    role: String,
    #[serde(default)]
    active: String,
    #[serde(default)]
    version: i64,
}

/// What the form for a new password sends.
#[derive(Deserialize)]
pub struct NewPassword {
    password: String,
}

/// Everybody.
///
/// # Errors
/// Where the record fails.
pub async fn list(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let new = redisplay.form("/people");
    let people = app.store().people()?;
    Ok(layout::page(
        signed,
        "People",
        html! {
            h1 { "People" }
            (tabs("/people"))
            p { "Who may sign in. Each one's pace and rate stand under " a href="/shop/benches" { "Benches" } "." }
            div.cards {
                @for p in &people {
                    @let (own, secret) = (format!("/people/{}", p.id), format!("/people/{}/password", p.id));
                    @let refill = redisplay.form(&own);
                    section.card {
                        h2 { (p.name) " " span.soft.small { "signs in as " (p.login) } }
                        form.stack method="post" action=(own) {
                            (layout::csrf(signed))
                            (refill.problems())
                            (refill.version(p.version))
                            label { span { "Name" } input name="name" required value=(refill.text("name", &p.name)); (refill.beside("name", &p.name)) }
                            label { span { "Role" } (roles(|r| refill.has("role", r.as_str(), p.role == r))) (refill.beside("role", p.role.as_str())) }
                            label { input type="checkbox" name="active" value="yes" checked[refill.has("active", "yes", p.active)]; "May sign in" (refill.beside("active", if p.active { "yes" } else { "" })) }
                            button type="submit" { "Save" }
                        }
                        form.stack method="post" action=(secret) {
                            (layout::csrf(signed))
                            (redisplay.form(&secret).problems())
                            label { span { "New password" } input name="password" type="password" autocomplete="new-password" required minlength="12"; }
                            button.plain type="submit" { "Set password" }
                        }
                    }
                }
                section.card {
                    h2 { "New person" }
                    form.stack method="post" action="/people" {
                        (layout::csrf(signed))
                        (new.problems())
                        label { span { "Name" } input name="name" required value=(new.text("name", "")); }
                        label { span { "Signs in as" } input name="login" required autocapitalize="none" value=(new.text("login", "")); }
                        label { span { "Role" } (roles(|r| new.has("role", r.as_str(), false))) }
                        label { span { "Password" } input name="password" type="password" autocomplete="new-password" required minlength="12"; }
                        button type="submit" { "Add" }
                    }
                }
            }
        },
    ))
}

/// Adds a person.
///
/// # Errors
/// Where a field is empty, the name is taken or the password too short.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<NewPerson>,
) -> Outcome<Response> {
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| sent.taken(|| added(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn added(app: &App, signed: &Signed, f: &NewPerson) -> Outcome<Redirect> {
    let (Some(login), Some(name)) = (filled(&f.login), filled(&f.name)) else {
        return Err(Problem::Bad("give a name and a sign-in name".to_owned()));
    };
    let hash = password::hash(&f.password)?;
    app.store().add_person(By { who: &signed.person.login, at: when::now() }, login, name, role(&f.role)?, &hash)?;
    Ok(Redirect::to("/people"))
}

/// Changes a person.
///
/// # Errors
/// Where there is none of that number, or no owner would be left.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Change>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, id, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn changed(app: &App, signed: &Signed, id: i64, f: &Change) -> Outcome<Redirect> {
    let name = filled(&f.name).ok_or_else(|| Problem::Bad("give a name".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().change_person(by, id, f.version, name, role(&f.role)?, f.active == "yes")?;
    Ok(Redirect::to("/people"))
}

/// Sets a password; the person is signed out everywhere.
///
/// # Errors
/// Where there is none of that number or the password is too short.
pub async fn set_password(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<NewPassword>,
) -> Outcome<Response> {
    let _turn = app.hashing().turn().await?;
    app.blocking(move |app| sent.taken(|| password_set(app, &signed, id, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn password_set(app: &App, signed: &Signed, id: i64, f: &NewPassword) -> Outcome<Redirect> {
    let hash = password::hash(&f.password)?;
    app.store().set_password(By { who: &signed.person.login, at: when::now() }, id, &hash)?;
    Ok(Redirect::to("/people"))
}

fn role(text: &str) -> Outcome<PersonRole> {
    PersonRole::parse(text).ok_or_else(|| Problem::Bad(format!("there is no role {text}")))
}

fn roles(chosen: impl Fn(PersonRole) -> bool) -> Markup {
    html! {
        select name="role" {
            @for r in PersonRole::ALL { option value=(r.as_str()) selected[chosen(r)] { (r.as_str()) } }
        }
    }
}
