//! People who may sign in.

use super::form::filled;
use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::response::Redirect;
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
    app.blocking(move |app| {
        let people = app.store().people()?;
        Ok(layout::page(
            &signed,
            "People",
            html! {
                h1 { "People" }
                div.cards {
                    @for p in &people {
                        section.card {
                            h2 { (p.name) " " span.soft.small { "signs in as " (p.login) } }
                            form.stack method="post" action={ "/people/" (p.id) } {
                                (layout::csrf(&signed))
                                label { span { "Name" } input name="name" required value=(p.name); }
                                label { span { "Role" } (roles(Some(p.role))) }
                                label { input type="checkbox" name="active" value="yes" checked[p.active]; "May sign in" }
                                button type="submit" { "Save" }
                            }
                            form.stack method="post" action={ "/people/" (p.id) "/password" } {
                                (layout::csrf(&signed))
                                label { span { "New password" } input name="password" type="password" autocomplete="new-password" required minlength="8"; }
                                button.plain type="submit" { "Set password" }
                            }
                        }
                    }
                    section.card {
                        h2 { "New person" }
                        form.stack method="post" action="/people" {
                            (layout::csrf(&signed))
                            label { span { "Name" } input name="name" required; }
                            label { span { "Signs in as" } input name="login" required autocapitalize="none"; }
                            label { span { "Role" } (roles(None)) }
                            label { span { "Password" } input name="password" type="password" autocomplete="new-password" required minlength="8"; }
                            button type="submit" { "Add" }
                        }
                    }
                }
            },
        ))
    })
    .await
}

/// Adds a person.
///
/// # Errors
/// Where a field is empty, the name is taken or the password too short.
pub async fn add(State(app): State<App>, Extension(signed): Extension<Signed>, Form(f): Form<NewPerson>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let (Some(login), Some(name)) = (filled(&f.login), filled(&f.name)) else {
            return Err(Problem::Bad("give a name and a sign-in name".to_owned()));
        };
        let hash = password::hash(&f.password)?;
        app.store().add_person(By { who: &signed.person.login, at: when::now() }, login, name, role(&f.role)?, &hash)?;
        Ok(Redirect::to("/people"))
    })
    .await
}

/// Changes a person.
///
/// # Errors
/// Where there is none of that number, or no owner would be left.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Change>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let name = filled(&f.name).ok_or_else(|| Problem::Bad("give a name".to_owned()))?;
        let by = By { who: &signed.person.login, at: when::now() };
        app.store().change_person(by, id, name, role(&f.role)?, f.active == "yes")?;
        Ok(Redirect::to("/people"))
    })
    .await
}

/// Sets a password; the person is signed out everywhere.
///
/// # Errors
/// Where there is none of that number or the password is too short.
pub async fn set_password(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<NewPassword>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let hash = password::hash(&f.password)?;
        app.store().set_password(By { who: &signed.person.login, at: when::now() }, id, &hash)?;
        Ok(Redirect::to("/people"))
    })
    .await
}

fn role(text: &str) -> Outcome<PersonRole> {
    PersonRole::parse(text).ok_or_else(|| Problem::Bad(format!("there is no role {text}")))
}

fn roles(chosen: Option<PersonRole>) -> Markup {
    html! {
        select name="role" {
            @for r in PersonRole::ALL { option value=(r.as_str()) selected[chosen == Some(r)] { (r.as_str()) } }
        }
    }
}
