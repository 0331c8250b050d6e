//! The survey: pick a pattern, see the instrument as it lies, tap where a dent is; the tube opens to scale, with the dent's form
//! beside it. Only the opened tube is on the page; its script has the others from [`super::strips::all`].

use super::dent_messages::{Refused, Saved, SentDent, Shown, Unread, clash, says, shown};
use super::job_head::head;
use super::sheets::{Sheets, may_survey};
use super::{conditions, dent_form, soldered_on, strips, survey_file};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::recorded::{assemble, body_read};
use crate::redisplay::Redisplay;
use crate::{layout, when};
use ::survey::damage::Refusal;
use ::survey::kept::{self, Kept};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form, Json};
use instrument::fields::dent as d;
use instrument::{RunId, Survey};
use maud::{Markup, html};
use serde::Deserialize;
use std::cell::RefCell;
use store::dent_saves::DentSave;
use store::states::{self, Action, Facts};
use store::surveys::Versioned;
use store::{By, StoreError};

/// What the form that picks a pattern sends.
#[derive(Deserialize)]
pub struct Picked {
    kind: String,
}

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    /// The tube that is opened.
    #[serde(default)]
    tube: String,
}

/// The survey's page.
///
/// # Errors
/// Where there is no such job.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| page_redisplayed(app, &signed, id, &Redisplay::default(), Some(&RunId::from(asked.tube.as_str())))).await
}

pub(super) fn page_redisplayed(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay, tube: Option<&RunId>) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    let Some((body, dents)) = app.store().survey(id)? else {
        let card = app.store().instrument(line.job.instrument)?;
        return Ok(layout::page(signed, "Survey", html! { (head(&line, "survey")) (pick(signed, id, &card.kind)) }));
    };
    let survey = assemble(&body, &dents)?;
    let shown: Vec<Shown> = dents.iter().map(|d| shown(d, signed.fmt, Some(&survey))).collect::<Outcome<_>>()?;
    let removed: Vec<Shown> = app.store().dents_taken_out(id)?.iter().filter_map(|d| self::shown(d, signed.fmt, None).ok()).collect();
    let photos: Vec<_> = app.store().photos(id)?.iter().map(|p| serde_json::json!({ "id": p.id, "dent": p.dent })).collect();
    let data =
        serde_json::json!({ "dents": shown, "removed": removed, "photos": photos, "fields": dent_form::keys(), "parts": soldered_on::parts(&survey.instrument), "form": kept::VERSION })
            .to_string()
            .replace('<', "\\u003c");
    let closed = states::next(line.job.state, Action::Survey, &Facts::default()).err();
    let may = may_survey(signed, line.job.state);
    let out = conditions::taken_out(app, id)?;
    let other = super::other_work::section(app, signed, id, &survey, tube, may, redisplay)?;
    let sheets = Sheets { signed, job: id, survey: &survey, may, redisplay };
    let lost: Vec<&str> = survey.dents.iter().filter(|d| survey.instrument.run(&d.run).is_none()).map(|d| d.id.0.as_str()).collect();
    let opened = tube.and_then(|t| survey.instrument.run(t));
    Ok(layout::page(
        signed,
        "Survey",
        html! {
            (head(&line, "survey"))
            @if let Some(why) = &closed { p.soft { (why.to_string()) } }
            script type="application/json" id="survey-data" { (maud::PreEscaped(data)) }
            div.survey id="survey" data-job=(id) data-readonly=(if may { "no" } else { "yes" }) data-units=(signed.fmt.symbol()) data-waiting="0" {
                section.picture {
                    div.picture-head {
                        p { span.big id="dent-count" { (dents.len()) } " dents" }
                        fieldset.taps.screen-only id="tap-does" hidden { legend.visually-hidden { "What a tap on the picture does" }
                            div.chips {
                                @if may { label.chip.tap { input type="radio" name="tap-does" value="dent" checked; "Set a dent" } }
                                label.chip.tap { input type="radio" name="tap-does" value="tube" checked[!may]; "Open a tube" }
                                label.chip.tap { input type="radio" name="tap-does" value="part"; "Find a brace" }
                            }
                        }
                    }
                    @if !lost.is_empty() { p.warn role="status" { "Without a tube since the pattern was changed: " (lost.join(", ")) ". Open each in the list and choose its tube. Until then it is not planned." } }
                    (picture(&survey))
                    (soldered_on::list_of(id, &survey.instrument))
                }
                div id="work" {
                    div id="tube" { @match opened { Some(run) => (strips::tube(&sheets, run)), None => p.soft { "Tap a tube: it opens here." } } }
                    aside.editor aria-label="Dent" { (dent_form::editor(signed.fmt, &survey.instrument, id)) }
                }
                div.rest {
                    section {
                        h2 { "All dents" }
                        ul.plain id="dent-list" {}
                        div id="removed" role="status" hidden {}
                    }
                    section {
                        (sheets.whole(&line.job))
                        (sheets.fits())
                        (conditions::section(signed, id, &survey, &out, may, redisplay))
                        (other)
                        (survey_file::section(signed, id, survey.instrument.kind, body.version, may, redisplay))
                    }
                }
            }
            script src="/assets/picture.js" defer {}
            script src="/assets/survey.js" defer {}
            script src="/assets/sheets.js" defer {}
            script src="/assets/parts.js" defer {}
        },
    ))
}

/// The instrument to tap, and its tubes by name: those that the picture does not show, and for who has no script.
fn picture(survey: &Survey) -> Markup {
    let instrument = &survey.instrument;
    let lie = crate::view::instrument_map::InstrumentMap::of(instrument);
    let count = |run: &RunId| survey.dents.iter().filter(|d| d.run == *run).count();
    html! {
        svg width="0" height="0" aria-hidden="true" style="position:absolute" { defs { pattern id="covered" width="8" height="8" patternUnits="userSpaceOnUse" { path d="M0 8L8 0" stroke="#5b4a1f" stroke-width="1" {} } } }
        @if let Some(lie) = &lie {
            figure.lie-box {
                (lie.svg(true, "The instrument as it lies: tap a tube where the dent is", html! {}))
                figcaption.soft.small { "The darker the number, the deeper the dent. " (lie.caveat()) }
            }
        }
        details id="tubes" open[lie.is_none()] {
            summary { "All tubes by name" }
            ul.plain.tubes { @for run in &instrument.runs { @let n = count(&run.id); li { a href={ "?tube=" (run.id) "#tube" } data-open=(run.id) { (run.name) @if n > 0 { " (" (n) ")" } } } } }
        }
    }
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
            work: super::intake::work(app, id)?,
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
        let short = |t: &&str| !t.is_empty() && t.len() <= 40;
        let token = sent.token.as_deref().filter(short);
        let (typed, unit) = (sent.typed(), sent.unit(fmt));
        let (warnings, taken, refused) = (RefCell::new(Vec::new()), RefCell::new(None), RefCell::new(Vec::new()));
        let refuse = |problems| {
            refused.replace(problems);
            StoreError::Refused("the dent cannot be taken".to_owned())
        };
        let make = |name: &str, saved: Option<&Versioned>| {
            let all = |refusals: &[Refusal]| refusals.iter().map(|r| Unread::of(r, fmt)).collect::<Vec<_>>();
            let before = saved.and_then(|d| Kept::from_json(&d.body).ok());
            // Only this dent is looked at: the record is held while it is written.
            let (kept, refusals) = typed.dent_in(unit, name, &survey, before.as_ref());
            // A dent in no tube is none; of whatever else cannot be taken stands what stood before.
            let Some(kept) = kept.filter(|_| refusals.iter().all(|r| r.key != d::RUN.key)) else { return Err(refuse(all(&refusals))) };
            warnings.replace(all(&refusals));
            let body = kept.to_json().map_err(|e| refuse(vec![Unread { field: String::new(), words: e.to_string() }]))?;
            taken.replace(Some(kept));
            Ok(body)
        };
        let answer = |name: &str, version: i64| {
            let saved = if sent.gone {
                Saved::gone(name.to_owned())
            } else {
                let kept = taken.take();
                let says = kept.as_ref().map_or_else(String::new, |kept| says(fmt, &survey, &kept.dent));
                let dent = kept.map(|kept| Shown::of(name, version, &kept, fmt, Some(&survey)));
                Saved { name: name.to_owned(), version, warnings: warnings.take(), says, dent }
            };
            // Kept as text under the save's mark: what is sent again is answered as the first time.
            serde_json::to_string(&saved).unwrap_or_default()
        };
        let save = DentSave {
            name: sent.name.as_deref(),
            made_as: token,
            mark: sent.mark.as_deref().filter(short),
            after: &sent.after,
            from: sent.from,
            gone: sent.gone,
        };
        match app.store().save_dent_once(by, id, save, make, answer) {
            Ok(answer) => Ok(([(CONTENT_TYPE, "application/json")], answer).into_response()),
            Err(_) if !refused.borrow().is_empty() => {
                Ok((StatusCode::UNPROCESSABLE_ENTITY, Json(Refused { problems: refused.take() })).into_response())
            }
            Err(e) => {
                let named = match (&sent.name, token) {
                    (Some(name), _) => Some(name.clone()),
                    (None, Some(token)) => app.store().dent_made_as(id, token)?,
                    (None, None) => None,
                };
                clash(&named.unwrap_or_default(), e, fmt)
            }
        }
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
