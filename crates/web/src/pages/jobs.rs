//! A job: its head, where it stands, and the way to its pages.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::view::job_lines::state_name;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
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
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(|| added(app, &signed, instrument, &f), |redisplay| super::instruments::shown(app, &signed, instrument, redisplay))
    })
    .await
}

fn added(app: &App, signed: &Signed, instrument: i64, f: &Fields) -> Outcome<Redirect> {
    let title = filled(&f.title).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    let id = app.store().add_job(by, instrument, title, f.words.trim(), day(&f.due)?)?;
    Ok(Redirect::to(&format!("/jobs/{id}")))
}

/// A job's page.
///
/// # Errors
/// Where there is none of that number.
pub async fn one(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let action = format!("/jobs/{id}");
    let refill = redisplay.form(&action);
    let line = app.store().board_line(id)?;
    let people = app.store().people()?;
    let photos = app.store().photos(id)?;
    let job = &line.job;
    Ok(layout::page(
        signed,
        &line.job.title,
        html! {
            (head(&line, "job"))
            (next_deed(signed, &line))
            div.split {
                section {
                    div.card {
                        h2 { "What the customer said" }
                        p { @if job.words.is_empty() { span.soft { "Nothing was noted." } } @else { (job.words) } }
                        dl {
                            dt { "Received" } dd { (when::moment(job.received_at)) }
                            dt { "Due" } dd { @if let Some(due) = &job.due { (due) " (" (when::due(due).words) ")" } @else { "no day set" } }
                            dt { "Bench" } dd { (line.bench_name.as_deref().unwrap_or("nobody yet")) }
                            dt { "Dents" } dd { @if job.state == JobState::Received { "not surveyed" } @else { (line.dents) } }
                            dt { "Instrument" } dd { a href={ "/instruments/" (job.instrument) } { (line.tag) " " (line.instrument) } }
                        }
                    }
                    h2 { "Photos" }
                    @if signed.may(Need::Survey) { div.card data-photo={ "/jobs/" (id) "/photos" } { label { span { "Take a photo as it came in" } input type="file" accept="image/jpeg,image/png,image/webp" capture="environment"; } } }
                    @else if photos.is_empty() { p.soft { "None yet." } }
                    div.cards { @for p in &photos { figure.card { img src={ "/jobs/" (id) "/photos/" (p.id) } alt={ "Photo from " (when::moment(p.at)) } loading="lazy" style="max-width:100%"; figcaption.soft.small { @if let Some(d) = &p.dent { "Dent " (d) ". " } (when::moment(p.at)) } } } }
                }
                section {
                    @if signed.may(Need::Counter) {
                        form.stack.card method="post" action=(action) {
                            (layout::csrf(signed))
                            (refill.problems())
                            label { span { "What happened" } input name="title" required value=(refill.text("title", &job.title)); }
                            label { span { "In the customer's words" } textarea name="words" { "\n" (refill.text("words", &job.words)) } }
                            label { span { "Due" } input name="due" type="date" value=(refill.text("due", job.due.as_deref().unwrap_or_default())); }
                            label { span { "Bench" } select name="bench" {
                                option value="" { "nobody yet" }
                                @for p in people.iter().filter(|p| p.active) { option value=(p.id) selected[refill.has("bench", &p.id.to_string(), job.bench == Some(p.id))] { (p.name) } }
                            } }
                            button type="submit" { "Save" }
                        }
                    }
                }
            }
        },
    ))
}

/// Changes a job's head.
///
/// # Errors
/// Where there is none of that number, or a field cannot be read.
pub async fn change(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn changed(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let title = filled(&f.title).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
    let bench = filled(&f.bench).map(|b| b.parse().map_err(|_| Problem::Bad("choose the bench from the list".to_owned()))).transpose()?;
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().change_job(by, id, title, f.words.trim(), day(&f.due)?, bench)?;
    Ok(Redirect::to(&format!("/jobs/{id}")))
}

/// Moves a job on. Ready and handed back need every acceptance check taken; that page does it.
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

/// What is to be done next, where the job stands.
fn next_deed(signed: &Signed, line: &BoardLine) -> Markup {
    let id = line.job.id;
    let go = |words: &str, page: &str, button: &str| html! { p { (words) } a.button href={ "/jobs/" (id) "/" (page) } { (button) } };
    let to = |state: JobState, button: &str, class: &str| {
        html! {
            form method="post" action={ "/jobs/" (id) "/state" } {
                (layout::csrf(signed)) input type="hidden" name="state" value=(state.as_str());
                button class=(class) type="submit" { (button) }
            }
        }
    };
    html! {
        section.card.next-deed aria-label="Next" {
            @match line.job.state {
                JobState::Received => (go("Nobody has looked at the damage yet.", "survey", "Survey it")),
                JobState::Surveyed => (go("It is surveyed. The customer waits for a quote.", "quote", "Give a quote")),
                JobState::Quoted => { p { "The customer has the quote and has not answered." } div.row { a.button href={ "/jobs/" (id) "/quote" } { "To the quote" } @if signed.may(Need::HandBack) { (to(JobState::Declined, "The customer said no", "plain")) } } }
                JobState::Approved => (go("The customer said yes.", "bench", "Begin at the bench")),
                JobState::OnBench => (go("It is on the bench.", "bench", "Go on at the bench")),
                JobState::Checking => (go("It is worked; the final checks are being taken.", "checks", "Take the final checks")),
                JobState::Ready => { p { "It is ready to be fetched." } @if signed.may(Need::HandBack) { (to(JobState::HandedBack, "Handed back", "")) } }
                JobState::HandedBack | JobState::Declined => p { @if line.job.state == JobState::Declined { "The customer said no." } @else { "It was handed back." } @if let Some(at) = line.job.closed_at { " Closed " (when::moment(at)) "." } }
            }
        }
    }
}

/// The head of each of a job's pages: what it is, where it stands, and the way to the others.
pub fn head(line: &BoardLine, here: &str) -> Markup {
    let id = line.job.id;
    html! {
        h1 { span.num { (line.tag) } " " (line.job.title) }
        p { (line.instrument) ", " (line.customer) " · " span.state { (state_name(line.job.state)) } @if let Some(due) = &line.job.due { " · due " (when::due(due).words) } }
        nav.tabs aria-label="Job" {
            @for (name, words) in [("job", "Job"), ("survey", "Survey"), ("plan", "Plan"), ("quote", "Quote"), ("bench", "Bench"), ("checks", "Final checks")] {
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
