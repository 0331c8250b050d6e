//! The survey: pick a pattern, see the instrument as it lies and its runs straightened; tap to set a dent.

use super::dent_messages::{Refused, Saved, SentDent, Shown, Unread, clash, says, shown};
use super::jobs::head;
use super::sheets::Sheets;
use super::{conditions, dent_form, survey_file};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::recorded::{assemble, body_read};
use crate::redisplay::Redisplay;
use crate::{layout, when};
use ::survey::damage::Refusal;
use ::survey::kept::{self, Kept};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form, Json};
use instrument::Survey;
use instrument::fields::dent as d;
use maud::{Markup, html};
use serde::Deserialize;
use store::states::{self, Action, Facts};
use store::{By, StoreError};

/// What the form that picks a pattern sends.
#[derive(Deserialize)]
pub struct Picked {
    kind: String,
}

/// The survey's page.
///
/// # Errors
/// Where there is no such job.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| page_redisplayed(app, &signed, id, &Redisplay::default())).await
}

pub(super) fn page_redisplayed(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    let Some((body, dents)) = app.store().survey(id)? else {
        let card = app.store().instrument(line.job.instrument)?;
        return Ok(layout::page(signed, "Survey", html! { (head(&line, "survey")) (pick(signed, id, &card.kind)) }));
    };
    let survey = assemble(&body, &dents)?;
    let shown: Vec<Shown> = dents.iter().map(|d| shown(d, signed.fmt)).collect::<Outcome<_>>()?;
    let removed: Vec<Shown> = app.store().dents_taken_out(id)?.iter().filter_map(|d| self::shown(d, signed.fmt).ok()).collect();
    let photos: Vec<_> = app.store().photos(id)?.iter().map(|p| serde_json::json!({ "id": p.id, "dent": p.dent })).collect();
    let data =
        serde_json::json!({ "dents": shown, "removed": removed, "photos": photos, "fields": dent_form::keys(), "form": kept::VERSION })
            .to_string()
            .replace('<', "\\u003c");
    // What would be refused has no form.
    let closed = states::next(line.job.state, Action::Survey, &Facts::default()).err();
    let may = signed.may(Need::Survey) && closed.is_none();
    let out = conditions::taken_out(app, id)?;
    let sheets = Sheets { signed, job: id, survey: &survey, may, redisplay };
    let lost: Vec<&str> = survey.dents.iter().filter(|d| survey.instrument.run(&d.run).is_none()).map(|d| d.id.0.as_str()).collect();
    Ok(layout::page(
        signed,
        "Survey",
        html! {
            (head(&line, "survey"))
            @if let Some(why) = &closed { p.soft { (why.to_string()) } }
            script type="application/json" id="survey-data" { (maud::PreEscaped(data)) }
            div id="survey" data-job=(id) data-readonly=(if may { "no" } else { "yes" }) data-units=(signed.fmt.symbol()) data-waiting="0" {
                div.split {
                    section {
                        p { span.big id="dent-count" { (dents.len()) } " dents. " @if may { "Tap a strip where the dent is." } }
                        @if !lost.is_empty() { p.warn role="status" { "Without a tube since the pattern was changed: " (lost.join(", ")) ". Open each in the list and choose its tube; until then it is not planned." } }
                        (super::strips::runs(&sheets))
                    }
                    aside.editor aria-label="Dent" {
                        (dent_form::editor(signed.fmt, &survey.instrument, id))
                        h2 { "All dents" }
                        ul.plain id="dent-list" {}
                        div id="removed" role="status" hidden {}
                        (sheets.whole(&line.job))
                        (sheets.fits())
                        (conditions::section(signed, id, &survey, &out, may, redisplay))
                        (survey_file::section(signed, id, survey.instrument.kind, body.version, may, redisplay))
                    }
                }
            }
            script src="/assets/survey.js" defer {}
            script src="/assets/sheets.js" defer {}
        },
    ))
}

/// Starts the survey from a pattern.
///
/// # Errors
/// Where there is no such pattern; a survey that is there already is left alone.
pub async fn start(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(f): Form<Picked>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let mut instrument = survey_file::pattern_named(&f.kind)?;
        let line = app.store().board_line(id)?;
        let card = app.store().instrument(line.job.instrument)?;
        instrument.maker = card.maker;
        instrument.model = card.model;
        instrument.serial = card.serial;
        instrument.value_money = card.value.and_then(|v| v.parse().ok());
        let survey = Survey {
            title: line.job.title,
            customer: line.customer,
            surveyor: signed.person.name.clone(),
            date: when::today().to_string(),
            ..Survey::of(instrument)
        };
        let body = kept::survey_to_json(&survey).map_err(|e| Problem::Broken(e.to_string()))?;
        let by = By { who: &signed.person.login, at: when::now() };
        match app.store().save_survey_body(by, id, 0, &body) {
            Ok(_) | Err(StoreError::Conflict { .. }) => {}
            Err(other) => return Err(other.into()),
        }
        Ok(Redirect::to(&format!("/jobs/{id}/survey")))
    })
    .await
}

/// Saves a dent, new or changed or taken out. Answers JSON.
///
/// # Errors
/// Where the job has no survey or the record fails. A dent that cannot be taken, or that somebody else changed in
/// between, is an answer, not an error.
pub async fn save_dent(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Json(sent): Json<SentDent>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
        let survey = body_read(&body)?;
        let by = By { who: &signed.person.login, at: when::now() };
        let fmt = signed.fmt;
        if sent.gone {
            let Some(name) = &sent.name else {
                return Ok(Json(Saved::gone(String::new())).into_response());
            };
            return match app.store().remove_dent(by, id, name, sent.from) {
                Ok(()) => Ok(Json(Saved::gone(name.clone())).into_response()),
                Err(e) => clash(name, e, fmt),
            };
        }
        let token = sent.token.as_deref().filter(|t| !t.is_empty() && t.len() <= 40);
        let (typed, unit) = (sent.typed(), sent.unit(fmt));
        let (mut warnings, mut taken) = (Vec::new(), None);
        let mut make = |name: &str, before: Option<&Kept>| -> Result<String, Vec<Unread>> {
            let all = |refusals: &[Refusal]| refusals.iter().map(|r| Unread::of(r, fmt)).collect::<Vec<_>>();
            // Only this dent is looked at: the record is held while it is written.
            let (kept, refusals) = typed.dent_in(unit, name, &survey, before);
            // A dent in no tube is none; of whatever else cannot be taken stands what stood before.
            let Some(kept) = kept.filter(|_| refusals.iter().all(|r| r.key != d::RUN.key)) else { return Err(all(&refusals)) };
            warnings = all(&refusals);
            let body = kept.to_json().map_err(|e| vec![Unread { field: String::new(), words: e.to_string() }])?;
            taken = Some(kept);
            Ok(body)
        };
        let mut refused = Vec::new();
        let mut refuse = |problems| {
            refused = problems;
            StoreError::Refused("the dent cannot be taken".to_owned())
        };
        let saved = match &sent.name {
            None => match app.store().add_dent(by, id, token, |name| make(name, None).map_err(&mut refuse)) {
                Ok((name, true)) => Ok((name, 1)),
                // The same new dent again: the first answer was lost on its way. What was typed since then is saved over it.
                Ok((name, false)) => {
                    let from = app.store().dent(id, &name)?.map_or(0, |d| d.version);
                    make(&name, None)
                        .map_err(&mut refuse)
                        .and_then(|body| app.store().save_dent(by, id, &name, from, &body))
                        .map(|version| (name, version))
                }
                Err(e) => Err(e),
            },
            Some(name) => {
                let mut from = sent.from;
                let mut saved = app.store().dent(id, name)?;
                // Brought back after it was taken out: as it was, and then what is said of it now.
                if saved.is_none() && from == 0 {
                    from = app.store().restore_dent(by, id, name)?;
                    saved = app.store().dent(id, name)?;
                }
                let before = saved.and_then(|d| Kept::from_json(&d.body).ok());
                make(name, before.as_ref())
                    .map_err(&mut refuse)
                    .and_then(|body| app.store().save_dent(by, id, name, from, &body))
                    .map(|version| (name.clone(), version))
            }
        };
        let saved = match saved {
            Ok(saved) => saved,
            Err(_) if !refused.is_empty() => {
                return Ok((StatusCode::UNPROCESSABLE_ENTITY, Json(Refused { problems: refused })).into_response());
            }
            Err(e) => return clash(sent.name.as_deref().unwrap_or_default(), e, fmt),
        };
        let (name, version) = saved;
        let says = taken.as_ref().map_or_else(String::new, |kept| says(fmt, &survey, &kept.dent));
        let dent = taken.map(|kept| Shown::of(&name, version, &kept, fmt));
        Ok(Json(Saved { name, version, warnings, says, dent }).into_response())
    })
    .await
}

fn pick(signed: &Signed, id: i64, kind: &str) -> Markup {
    html! {
        p { "The survey begins with a pattern: the runs, joints, braces and guards that such an instrument has, with dimensions to be measured over." }
        @if signed.may(Need::Survey) {
            form.row method="post" action={ "/jobs/" (id) "/survey/start" } {
                (layout::csrf(signed))
                label { span { "Pattern" } select name="kind" {
                    (survey_file::pattern_options(kind))
                } }
                button type="submit" { "Begin the survey" }
            }
        } @else { p.soft { "Nobody has begun it." } }
    }
}
