//! A job: its head, where it stands, and the way to its pages.

use super::job_head::{dialed, head, price_words, who_does};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::form::filled;
use crate::{layout, when, work_skills};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;
use store::board::BoardLine;
use store::counter::{JobHead, JobState};
use store::states::Said;

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
    #[serde(default)]
    version: i64,
}

/// What the state's forms send.
#[derive(Deserialize)]
pub struct Moved {
    #[serde(default)]
    act: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    reason: String,
}

/// What the form sends that takes something out or puts it back.
#[derive(Deserialize)]
pub struct Restored {
    #[serde(default)]
    act: String,
    #[serde(default)]
    which: String,
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
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(|| added(app, &signed, instrument, &f), |redisplay| super::instruments::shown(app, &signed, instrument, redisplay))
    })
    .await
}

fn added(app: &App, signed: &Signed, instrument: i64, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    let field = |key: &str| f.get(key).map_or("", String::as_str);
    let title = filled(field("title")).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    let asked = super::intake::asked(app, f)?;
    let asked: Vec<&str> = asked.iter().map(String::as_str).collect();
    let id = app.store().add_job_asking(by, instrument, title, field("words").trim(), day(field("due"))?, &asked)?;
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
    let accessories = app.store().accessories(id)?;
    let card = app.store().instrument(line.job.instrument)?;
    let let_go = app.store().let_go(id)?;
    let contract = app.store().contract_of_job(id)?;
    let job = &line.job;
    let beyond = match line.bench_name.as_deref() {
        Some(bench) if !job.state.is_closed() => work_skills::beyond(app, id, bench)?,
        _ => vec![],
    };
    let asked = super::intake::names(app, id)?;
    let came_action = format!("/jobs/{id}/accessories");
    let came = redisplay.form(&came_action);
    let came_text = accessories.iter().map(|a| a.name.as_str()).collect::<Vec<_>>().join("\n");
    Ok(layout::page(
        signed,
        &line.job.title,
        html! {
            (head(&line, "job"))
            (next_deed(signed, &line, redisplay))
            div.split {
                section {
                    div.card {
                        dl {
                            dt { "Telephone" } dd { @if line.phone.is_empty() { span.soft { "none noted" } } @else { a.nowrap href={ "tel:" (dialed(&line.phone)) } { (line.phone) } } }
                            dt { "Price" } dd { (price_words(app, id)?) }
                            dt { "Ready by" } dd { @if let Some(due) = &job.due { (when::day_words(due)) @if job.state.is_open_for_due() { " (" (when::due(due).words) ")" } } @else { span.soft { "no day set" } } }
                            dt { "Received" } dd { (when::moment(job.received_at)) }
                            dt { "Bench" } dd { (line.bench().unwrap_or("nobody yet")) @if line.running { " works at it now" } }
                            dt { "Dents" } dd { @if job.state == JobState::Received { "not surveyed" } @else { (line.dents) } }
                            dt { "Instrument" } dd { a href={ "/instruments/" (job.instrument) } { (line.tag) " " (line.instrument) } }
                            @if let Some((contract, tag)) = &contract { dt { "School contract" } dd { a href={ "/contracts/" (contract) @if !signed.may(Need::Quote) { "/work" } } { (tag) " of contract " (contract) } } }
                            @if !card.asset.is_empty() { dt { "Owner's number" } dd { (card.asset) } }
                            @if !asked.is_empty() { dt { "Asked for" } dd { (asked.join("; ")) @if job.state == JobState::Received { ". " span.soft { "The survey begins with it." } } } }
                            dt { "Customer said" } dd { @if job.words.is_empty() { span.soft { "nothing noted" } } @else { (job.words) } }
                            dt { "Came with it" } dd { @if accessories.is_empty() { "nothing noted" } @for (i, a) in accessories.iter().enumerate() { @if i > 0 { ", " } (a.name) } }
                        }
                        @for words in &beyond { p.warn { (words) } }
                    }
                    @for l in &let_go { div.warn { strong { "Let go by " (l.name) ". " } (l.reason) @if !l.what.is_empty() { details { summary { "What was not met" } ul { @for w in &l.what { li { (w) } } } } } } }
                    h2 { "Photos" }
                    @if !job.state.is_closed() { div.card data-photo={ "/jobs/" (id) "/photos" } { label { span { "Take a photo" } input type="file" accept="image/jpeg,image/png,image/webp" capture="environment"; } } }
                    @else if photos.is_empty() { p.soft { "None yet." } }
                    div.cards { @for p in &photos { figure.card { (super::photos::thumb(id, p)) figcaption.soft.small { @if let Some(d) = &p.dent { "Dent " (d) ". " } (when::moment(p.at))
                        @if signed.may(Need::Survey) { details { summary { "Remove" } (restore(signed, id, "take_out_photo", &p.id.to_string(), "Yes, remove it")) } } } } } }
                    (taken_out(app, signed, id)?)
                }
                section {
                    @if signed.may(Need::Counter) {
                        form.stack.card method="post" action=(action) {
                            (layout::csrf(signed))
                            (refill.problems())
                            (refill.version(job.version))
                            label { span { "What happened" } input name="title" required value=(refill.text("title", &job.title)); (refill.beside("title", &job.title)) }
                            label { span { "In the customer's words" } textarea name="words" { "\n" (refill.text("words", &job.words)) } (refill.beside("words", &job.words)) }
                            label { span { "Due" } input name="due" type="date" value=(refill.text("due", job.due.as_deref().unwrap_or_default())); (refill.beside("due", job.due.as_deref().unwrap_or_default())) }
                            @if job.state != JobState::Received { p.soft.small { a href={ "/jobs/" (id) "/bench#who" } { "How long each of you takes for it" } } }
                            label { span { "Bench" } select name="bench" {
                                option value="" { "nobody yet" }
                                @for p in people.iter().filter(|p| p.active) { option value=(p.id) selected[refill.has("bench", &p.id.to_string(), job.bench == Some(p.id))] { (p.name) } }
                            } (refill.beside_named("bench", &job.bench.map_or_else(String::new, |b| b.to_string()), |id| people.iter().find(|p| p.id.to_string() == id).map_or(id.to_owned(), |p| p.name.clone()))) }
                            button type="submit" { "Save" }
                        }
                        @if job.state != JobState::HandedBack {
                            form.stack.card method="post" action=(came_action) {
                                (layout::csrf(signed))
                                (came.problems())
                                (came.version(job.version))
                                label { span { "What came with it, one a line: case, mouthpiece, strap" } textarea name="accessories" { "\n" (came.text("accessories", &came_text)) } (came.beside("accessories", &came_text)) }
                                button type="submit" { "Save what came with it" }
                            }
                        }
                    }
                }
            }
        },
    ))
}

/// What was taken out and can be put back: nothing is lost.
fn taken_out(app: &App, signed: &Signed, id: i64) -> Outcome<Markup> {
    let dents = app.store().dents_taken_out(id)?;
    let photos = app.store().removed_photos(id)?;
    let overrules = app.store().withdrawn_overrules(id)?;
    let (survey, overrule) = (signed.may(Need::Survey), signed.may(Need::Overrule));
    let some = !(dents.is_empty() && photos.is_empty() && overrules.is_empty());
    Ok(html! {
        @if some {
            details {
                summary { "Removed (" (dents.len() + photos.len() + overrules.len()) ")" }
                ul {
                    @for d in &dents { li { "Dent " (d.name) @if survey { (restore(signed, id, "put_back_dent", &d.name, "Put back")) } } }
                    @for p in &photos { li { "Photo of " (when::moment(p.at)) @if survey { (restore(signed, id, "put_back_photo", &p.id.to_string(), "Put back")) } } }
                    @for o in &overrules { li { "Decision of " (o.who) ": " (o.why) @if overrule { (restore(signed, id, "put_back_overrule", &o.id.to_string(), "Put back")) } } }
                }
            }
        }
    })
}

fn restore(signed: &Signed, id: i64, act: &str, which: &str, words: &str) -> Markup {
    html! {
        form method="post" action={ "/jobs/" (id) "/put-back" } {
            (layout::csrf(signed)) input type="hidden" name="which" value=(which);
            button.plain type="submit" name="act" value=(act) { (words) }
        }
    }
}

/// Takes a photo out, or puts a dent, a photo or a decision back.
///
/// # Errors
/// Where there is none, or the job's state does not allow it.
pub async fn put_back(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Restored>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let by = By { who: &signed.person.login, at: when::now() };
        let number = || f.which.parse::<i64>().map_err(|_| Problem::Bad("load the page again; that is not there".to_owned()));
        match f.act.as_str() {
            "put_back_dent" => app.store().restore_dent(by, id, &f.which).map(|_| ())?,
            "take_out_photo" => app.store().show_photo(by, id, number()?, false)?,
            "put_back_photo" => app.store().show_photo(by, id, number()?, true)?,
            "put_back_overrule" if signed.may(Need::Overrule) => app.store().restore_overrule(by, id, number()?)?,
            "put_back_overrule" => return Err(Problem::Forbidden("your role does not do this; ask the owner")),
            other => return Err(Problem::Bad(format!("there is no act {other}"))),
        }
        Ok(Redirect::to(&format!("/jobs/{id}")))
    })
    .await
}

/// What the form of accessories sends.
#[derive(Deserialize)]
pub struct Came {
    #[serde(default)]
    accessories: String,
    #[serde(default)]
    version: i64,
}

/// Keeps what came with the instrument.
///
/// # Errors
/// Where the job was handed back.
pub async fn accessories(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Came>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let keep = || {
            let names: Vec<&str> = f.accessories.lines().filter_map(filled).collect();
            app.store().set_accessories(By { who: &signed.person.login, at: when::now() }, id, f.version, &names)?;
            Ok(Redirect::to(&format!("/jobs/{id}")))
        };
        sent.taken(keep, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// Says by name that an instrument has no dent to record.
///
/// # Errors
/// Where name or reason is missing, or the job's state does not allow it.
pub async fn no_dents(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Moved>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let say = || {
            let by = By { who: &signed.person.login, at: when::now() };
            app.store().say_no_dents(by, id, Said::both(&f.name, &f.reason))?;
            Ok(Redirect::to(&format!("/jobs/{id}")))
        };
        sent.taken(say, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// Takes the quote back that is out.
///
/// # Errors
/// Where none is out.
pub async fn withdraw_quote(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        app.store().withdraw_quote(By { who: &signed.person.login, at: when::now() }, id)?;
        Ok(Redirect::to(&format!("/jobs/{id}")))
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
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

fn changed(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let title = filled(&f.title).ok_or_else(|| Problem::Bad("say what happened in a few words".to_owned()))?;
    let bench = filled(&f.bench).map(|b| b.parse().map_err(|_| Problem::Bad("choose the bench from the list".to_owned()))).transpose()?;
    let by = By { who: &signed.person.login, at: when::now() };
    app.store().change_job(by, id, f.version, &JobHead { title, words: f.words.trim(), due: day(&f.due)?, bench })?;
    Ok(Redirect::to(&format!("/jobs/{id}")))
}

/// The customer says no at the counter, or a closed job is opened again. What else moves a job has its own page.
///
/// # Errors
/// Where the job's state does not allow it.
pub async fn set_state(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Moved>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let moved = || {
            let by = By { who: &signed.person.login, at: when::now() };
            match f.act.as_str() {
                "decline" => app.store().decline_job(by, id, Said::both(&f.name, &f.reason))?,
                "reopen" => app.store().reopen_job(by, id)?,
                other => return Err(Problem::Bad(format!("there is no act {other}"))),
            };
            Ok(Redirect::to(&format!("/jobs/{id}")))
        };
        sent.taken(moved, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// What is to be done next, where the job stands, and what can be undone.
fn next_deed(signed: &Signed, line: &BoardLine, redisplay: &Redisplay) -> Markup {
    let id = line.job.id;
    let go = |words: &str, need: Need, page: &str, button: &str| html! { p { (words) } @if signed.may(need) { a.button href={ "/jobs/" (id) "/" (page) } { (button) } } @else { span.soft { (who_does(need)) } } };
    let no_dents = format!("/jobs/{id}/no-dents");
    let refill = redisplay.form(&no_dents);
    html! {
        section.card.next-deed aria-label="Next" {
            (redisplay.form(&format!("/jobs/{id}/state")).problems())
            @match line.job.state {
                JobState::Received => {
                    (go("Nobody has recorded the damage yet.", Need::Survey, "survey", "Survey it"))
                    @if signed.may(Need::Survey) {
                        details open[refill.refused()] {
                            summary { "No dent to record" }
                            form.stack method="post" action=(no_dents) {
                                (layout::csrf(signed)) (refill.problems())
                                label { span { "Who looked" } input name="name" value=(refill.text("name", &signed.person.name)); }
                                label { span { "What the job is for" } input name="reason" value=(refill.text("reason", "")); }
                                button.plain type="submit" { "It has no dent" }
                            }
                        }
                    }
                },
                JobState::Surveyed => (go("It is surveyed. The customer waits for a quote.", Need::Quote, "quote", "Give a quote")),
                JobState::Quoted => (go("The customer has the quote and has not answered.", Need::Quote, "quote", "To the quote")),
                JobState::Approved => (go("The customer said yes.", Need::Bench, "bench", "Start at the bench")),
                JobState::OnBench => (go("It is on the bench.", Need::Bench, "bench", "Go on at the bench")),
                JobState::Checking => (go("The work is done; the final checks are being taken.", Need::AcceptanceCheck, "checks", "Take the final checks")),
                JobState::Ready => (go("It is ready for pickup.", Need::HandBack, "hand-back", "Pickup and payment")),
                JobState::HandedBack => { p { "It was picked up." @if let Some(at) = line.job.closed_at { " Closed " (when::moment(at)) "." } } a.button.plain href={ "/jobs/" (id) "/hand-back" } { "Pickup and invoice" } },
                JobState::Declined => { p { "The customer said no." @if let Some(at) = line.job.closed_at { " Closed " (when::moment(at)) "." } } a.button.plain href={ "/jobs/" (id) "/hand-back" } { "Hand the instrument back" } },
            }
            (undone(signed, line, redisplay))
        }
    }
}

/// What throws work away asks first, and what was thrown away comes back.
fn undone(signed: &Signed, line: &BoardLine, redisplay: &Redisplay) -> Markup {
    let (id, state) = (line.job.id, line.job.state);
    let action = format!("/jobs/{id}/state");
    let refill = redisplay.form(&action);
    let reopens = match state {
        JobState::Ready => Some(("Not ready after all", "Back to the final checks")),
        JobState::HandedBack => Some(("It was not picked up", "Open it again")),
        JobState::Declined => Some(("The customer changed their mind", "Open it again")),
        _ => None,
    };
    html! {
        @if signed.may(Need::HandBack) {
            @if matches!(state, JobState::Received | JobState::Surveyed | JobState::Quoted | JobState::Approved) {
                details open[refill.refused()] {
                    summary { @if state == JobState::Approved { "The customer cancels" } @else { "The customer said no" } }
                    form.stack method="post" action=(action) {
                        (layout::csrf(signed))
                        p { @if state == JobState::Approved { "The agreed offer is cancelled and nothing is owed for it." } @else { "The job is closed, and its quote no longer accepts an answer." } " It can be opened again." }
                        @if state == JobState::Approved {
                            label { span { "Who cancels" } input name="name" value=(refill.text("name", "")); }
                            label { span { "Reason" } input name="reason" value=(refill.text("reason", "")); }
                        }
                        button.plain type="submit" name="act" value="decline" { "Yes, close it" }
                    }
                }
            }
            @if state == JobState::Quoted && signed.may(Need::Quote) {
                details {
                    summary { "Withdraw the quote" }
                    form.stack method="post" action={ "/jobs/" (id) "/quote/withdraw" } {
                        (layout::csrf(signed))
                        p { "Its link stops working. A quote that was given before it, and not answered, is out again." }
                        button.plain type="submit" { "Yes, withdraw it" }
                    }
                }
            }
            @if let Some((words, button)) = reopens {
                details {
                    summary { (words) }
                    form method="post" action=(action) { (layout::csrf(signed)) button.plain type="submit" name="act" value="reopen" { (button) } }
                }
            }
        }
    }
}

/// A day as a form sends it; none where it was left empty.
pub(super) fn day(text: &str) -> Outcome<Option<&str>> {
    let Some(text) = filled(text) else { return Ok(None) };
    match text.parse::<Date>() {
        Ok(_) => Ok(Some(text)),
        Err(_) => Err(Problem::Bad(format!("“{text}” is no day; write it like 2026-08-14"))),
    }
}
