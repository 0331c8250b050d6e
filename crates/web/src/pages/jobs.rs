//! A job: its head, where it stands, and the way to its pages.

use super::board::state_name;
use super::form::filled;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::Redirect;
use axum::{Extension, Form};
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::counter::{BoardLine, JobState};

/// What the job's form sends.
#[derive(Deserialize)]
pub struct Fields {
    title: String,
    #[serde(default)]
    words: String,
    #[serde(default)]
    due: String,
    #[serde(default)]
    bench: String,
}

/// What the state's form sends.
#[derive(Deserialize)]
pub struct Moved {
    state: String,
}

/// Opens a job.
///
/// # Errors
/// Where no title is given or the due day is no day.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(instrument): Path<i64>,
    Form(f): Form<Fields>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let title = filled(&f.title).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
        let by = By { who: &signed.person.login, at: when::now() };
        let id = app.store().add_job(by, instrument, title, f.words.trim(), day(&f.due)?)?;
        Ok(Redirect::to(&format!("/jobs/{id}")))
    })
    .await
}

/// A job's page.
///
/// # Errors
/// Where there is none of that number.
pub async fn one(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let line = app.store().board_line(id)?;
        let people = app.store().people()?;
        let photos = app.store().photos(id)?;
        let job = &line.job;
        Ok(layout::page(
            &signed,
            &line.job.title,
            html! {
                (head(&line, "job"))
                div.split {
                    section.card {
                        h2 { "What the customer said" }
                        p { @if job.words.is_empty() { span.soft { "Nothing was noted." } } @else { (job.words) } }
                        dl {
                            dt.soft { "Received" } dd { (when::moment(job.received_at)) }
                            dt.soft { "Due" } dd { @if let Some(due) = &job.due { (due) " (" (when::due(due)) ")" } @else { "no day set" } }
                            dt.soft { "Photos" } dd { (photos.len()) }
                        }
                    }
                    section {
                        @if signed.may(Need::Counter) {
                            form.stack.card method="post" action={ "/jobs/" (id) } {
                                (layout::csrf(&signed))
                                label { span { "What happened" } input name="title" required value=(job.title); }
                                label { span { "In the customer's words" } textarea name="words" { (job.words) } }
                                label { span { "Due" } input name="due" type="date" value=[job.due.as_ref()]; }
                                label { span { "Bench" } select name="bench" {
                                    option value="" { "nobody yet" }
                                    @for p in people.iter().filter(|p| p.active) { option value=(p.id) selected[job.bench == Some(p.id)] { (p.name) } }
                                } }
                                button type="submit" { "Save" }
                            }
                        }
                    }
                }
            },
        ))
    })
    .await
}

/// Changes a job's head.
///
/// # Errors
/// Where there is none of that number, or a field cannot be read.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Fields>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let title = filled(&f.title).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
        let bench =
            filled(&f.bench).map(|b| b.parse().map_err(|_| Problem::Bad("choose the bench from the list".to_owned()))).transpose()?;
        let by = By { who: &signed.person.login, at: when::now() };
        app.store().change_job(by, id, title, f.words.trim(), day(&f.due)?, bench)?;
        Ok(Redirect::to(&format!("/jobs/{id}")))
    })
    .await
}

/// Moves a job on. Ready and handed back need every proof taken; that page does it.
///
/// # Errors
/// Where the state is unknown or is reached by another page.
pub async fn set_state(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Moved>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let to = JobState::parse(&f.state).ok_or_else(|| Problem::Bad(format!("there is no state {}", f.state)))?;
        let now = app.store().job(id)?.state;
        let fine = matches!(
            (now, to),
            (JobState::Ready, JobState::HandedBack) | (JobState::Received | JobState::Surveyed | JobState::Quoted, JobState::Declined)
        );
        if !fine {
            return Err(Problem::Bad(format!("a job that is “{}” does not become “{}” here", state_name(now), state_name(to))));
        }
        app.store().set_job_state(By { who: &signed.person.login, at: when::now() }, id, to)?;
        Ok(Redirect::to(&format!("/jobs/{id}")))
    })
    .await
}

/// The head of each of a job's pages: what it is, where it stands, and the way to the others.
pub fn head(line: &BoardLine, here: &str) -> Markup {
    let id = line.job.id;
    html! {
        h1 { span.num { (line.tag) } " " (line.job.title) }
        p { (line.instrument) ", " (line.customer) " · " span.state { (state_name(line.job.state)) } @if let Some(due) = &line.job.due { " · due " (when::due(due)) } }
        nav.tabs aria-label="Job" {
            @for (name, words) in [("job", "Job"), ("survey", "Survey"), ("plan", "Plan"), ("quote", "Quote"), ("bench", "Bench"), ("proof", "Proof")] {
                @let path = if name == "job" { format!("/jobs/{id}") } else { format!("/jobs/{id}/{name}") };
                a href=(path) aria-current=[(name == here).then_some("page")] { (words) }
            }
        }
    }
}

fn day(text: &str) -> Outcome<Option<&str>> {
    let Some(text) = filled(text) else { return Ok(None) };
    match text.parse::<Date>() {
        Ok(_) => Ok(Some(text)),
        Err(_) => Err(Problem::Bad(format!("“{text}” is no day; write it like 2026-08-14"))),
    }
}
