//! What was found since the customer said yes: what it changes, and asking the customer again; and what was agreed before.

use super::job_head::head;
use crate::agreeing::{self, Asked, how_words, is_supplement, since};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::ground::Ground;
use crate::problem::{Outcome, Problem};
use crate::{layout, password, when};
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use job::key::step_key;
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;
use store::bench::{StepRecord, StepState};
use store::offers::NewQuote;
use units::money::show_price;

/// The form that asks the customer has nothing to say.
#[derive(Deserialize)]
pub struct Ask {}

/// The page: what was found since, against what was agreed.
///
/// # Errors
/// Where there is no such job, or nothing was agreed yet.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id)).await
}

fn nothing_agreed() -> Problem {
    Problem::Missing("nothing was agreed yet: what is found now goes into the quote".to_owned())
}

fn shown(app: &App, signed: &Signed, id: i64) -> Outcome<Markup> {
    let fmt = signed.fmt;
    let line = app.store().board_line(id)?;
    let agreement = app.agreement(id)?.ok_or_else(nothing_agreed)?;
    let agreed = app.agreed(&agreement)?;
    let found = since(app, &agreement)?;
    let body = match &found {
        None => html! { p.big { "Nothing was found since: the survey is as it was agreed." } },
        Some(found) => {
            let s = agreeing::supplement(app, &agreement, &found.job)?;
            let money = |x| show_price(x, &s.currency);
            let changes = plan::what_changed(&agreed.side(), &found.job.side());
            html! {
                section.card {
                    h2 { "Found since" }
                    ul { @for f in &s.found { li { (f) "." } } }
                    @if s.found.is_empty() { p { "The survey is the same; what was decided against the plan is not." } }
                }
                @if !s.no_longer.is_empty() { p.warn { strong { "Agreed, and no longer worked with this: " } (s.no_longer.join("; ")) ". Look whether the dent that was found should be worked first." } }
                section.card {
                    h2 { "What it changes in the price" }
                    table { tbody {
                        @for (what, amount) in &s.lines { tr { th scope="row" { (what) } td.n { (money(*amount)) } } }
                        tr { th scope="row" { "Agreed so far" } td.n { (money(s.before)) } }
                        tr { th scope="row" { strong { "This adds" } } td.n { strong { (money(s.adds)) } } }
                        tr { th scope="row" { "Then it comes to" } td.n { (money(s.after)) } }
                    } }
                    p.soft { "Labor, tools and prices are those of the day on which it was agreed." }
                }
                section.card {
                    h2 { "What it changes in the work" }
                    div.scroll tabindex="0" role="region" aria-label="What it changes in the work" {
                        table {
                            thead { tr { th scope="col" { "What" } th scope="col" { "Agreed" } th scope="col" { "With this" } } }
                            tbody { @for c in &changes { tr { th scope="row" { (c.about) } td { (fmt.text(&c.before)) } td { (fmt.text(&c.after)) } } } }
                        }
                    }
                }
                @if changes.is_empty() && s.adds.is_zero() { p.big { "It changes nothing of what was agreed: at that level it stays as it is." } }
                @match &found.asked {
                    Some(q) if q.signed_at.is_none() => section.card { p.big { "The customer was asked and has not answered." } p { @if let Some(token) = &q.token { a href={ "/q/" (token) } { "The customer's page" } " · a yes" } @else { "A yes" } " by telephone or at the counter is kept on the " a href={ "/jobs/" (id) "/quote" } { "quote page" } "." } },
                    Some(_) if found.declined() => section.card { p.big { "The customer said no to this: the work stays as it was agreed." } },
                    _ if signed.may(Need::Bench) => form method="post" action={ "/jobs/" (id) "/supplement" } { (layout::csrf(signed)) button type="submit" { "Ask the customer" } },
                    _ => {}
                }
            }
        }
    };
    Ok(layout::page(
        signed,
        "Found since",
        html! {
            (head(&line, "bench"))
            @if let Some(line) = agreeing::agreed_line(app, id)? { p.soft { (line) } }
            (body)
            div.row { a.button.plain href={ "/jobs/" (id) "/bench" } { "Back to the bench" } a.button.plain href={ "/jobs/" (id) "/survey" } { "Survey" } }
        },
    ))
}

/// Asks the customer: the supplement is kept with what it was made from, behind a link of its own.
///
/// # Errors
/// Where nothing was agreed, or nothing was found since.
pub async fn ask(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(_): Form<Ask>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let agreement = app.agreement(id)?.ok_or_else(nothing_agreed)?;
        let found = since(app, &agreement)?
            .ok_or_else(|| Problem::Conflict("nothing was found since: the survey is as it was agreed".to_owned()))?;
        let by = By { who: &signed.person.login, at: when::now() };
        let s = agreeing::supplement(app, &agreement, &found.job)?;
        let then = Ground::from_json(&agreement.made_from)?;
        let from = then.sources(app.store())?;
        let ground = Ground::keep(app.store(), by, &found.job.survey, &from, &found.job.overrules, &then.day)?;
        let body = serde_json::to_string(&s).map_err(|e| Problem::Broken(e.to_string()))?;
        let (until, token, made_from) = (when::in_days(found.job.quote.valid_days), password::token()?, ground.to_json()?);
        let new =
            NewQuote { token: &token, body: &body, valid_until: Some(&until), made_from: Some(&made_from), adds_to: Some(agreement.id) };
        app.store().add_quote(by, id, &new)?;
        Ok(Redirect::to(&format!("/jobs/{id}/supplement")))
    })
    .await
}

/// An agreement: `N` its plan as it was, `N.pdf` the paper as it was signed.
///
/// # Errors
/// Where there is none of that number on the job.
pub async fn agreement(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path((id, name)): Path<(i64, String)>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let number = name.strip_suffix(".pdf").unwrap_or(&name).parse::<i64>().ok();
        let all = app.store().agreements_of(id)?;
        let a = all.iter().find(|a| Some(a.id) == number).ok_or_else(|| Problem::Missing("this job has no such agreement".to_owned()))?;
        if name.ends_with(".pdf") {
            let paper = a.paper.as_deref().ok_or_else(|| Problem::Missing("nothing was signed on paper".to_owned()))?;
            return Ok(([(CONTENT_TYPE, "application/pdf")], app.store().content(paper)?).into_response());
        }
        let job = app.agreed(a)?;
        let line = app.store().board_line(id)?;
        let records: BTreeMap<String, StepRecord> = app.store().steps(id)?.into_iter().map(|r| (r.key.clone(), r)).collect();
        let asked = app.store().quotes_of(id)?.into_iter().find(|q| q.id == a.quote);
        let title = if is_supplement(a) { "Found since".to_owned() } else { agreeing::offer_name(a, asked.as_ref())? };
        let found = asked.map(|q| Asked::of(&q)).transpose()?;
        Ok(layout::page(
            &signed,
            &title,
            html! {
                (head(&line, "quote"))
                h2 { (title) ", " (how_words(a)) }
                @if let Some(Asked::Supplement(s)) = &found { ul { @for f in &s.found { li { (f) "." } } } }
                @if let Some(paper) = &a.paper { p { a href={ "/jobs/" (id) "/agreements/" (a.id) ".pdf" } { "The paper as signed" } br; span.soft.small.num { "SHA-256 " (paper) } } }
                @if job.survey.has_damage() { p { (job.plan.seen_to().len()) " of " (job.survey.dents.len()) " dents are worked; " (job.plan.not_done.len()) " stay by agreement." } }
                ol { @for step in &job.plan.steps {
                    @let record = records.get(&step_key(step));
                    li value=(step.number) { (signed.fmt.text(&step.what)) @if record.is_some_and(|r| r.state == StepState::Done) { " " span.good { "done" } } }
                } }
            },
        )
        .into_response())
    })
    .await
}
