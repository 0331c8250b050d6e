//! The survey: pick a pattern, see the instrument as it lies and its runs straightened; tap to set a dent.

use super::dent_messages::{Refused, Saved, SentDent, Shown, Unread, clash, says, shown};
use super::jobs::head;
use super::{conditions, dent_form};
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::problem::{Outcome, Problem};
use crate::recorded::{assemble, body_read};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, when};
use ::survey::damage::{self, Refusal};
use ::survey::kept::{self, Kept};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form, Json};
use instrument::fields::dent as d;
use instrument::{FitState, Instrument, Kind, OverlayKind, Run, Survey, patterns};
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use store::{By, StoreError};
use units::length::MM_PER_INCH;

/// What the form that picks a pattern sends.
#[derive(Deserialize)]
pub struct Picked {
    kind: String,
}

/// What the form for the instrument as a whole sends.
#[derive(Deserialize)]
pub struct Whole {
    version: i64,
    #[serde(default)]
    cleaned: String,
    #[serde(default)]
    keep_finish: String,
    #[serde(default)]
    fits: String,
}

/// The survey's page.
///
/// # Errors
/// Where there is no such job.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| page_redisplayed(app, &signed, id, &Redisplay::default())).await
}

fn page_redisplayed(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    let Some((body, dents)) = app.store().survey(id)? else {
        let card = app.store().instrument(line.job.instrument)?;
        return Ok(layout::page(signed, "Survey", html! { (head(&line, "survey")) (pick(signed, id, &card.kind)) }));
    };
    let survey = assemble(&body, &dents)?;
    let shown: Vec<Shown> = dents.iter().map(|d| shown(d, signed.fmt)).collect::<Outcome<_>>()?;
    let data =
        serde_json::json!({ "dents": shown, "fields": dent_form::keys(), "form": kept::VERSION }).to_string().replace('<', "\\u003c");
    let may = signed.may(Need::Survey);
    let whole_at = format!("/jobs/{id}/survey/whole");
    Ok(layout::page(
        signed,
        "Survey",
        html! {
            (head(&line, "survey"))
            script type="application/json" id="survey-data" { (maud::PreEscaped(data)) }
            div id="survey" data-job=(id) data-readonly=(if may { "no" } else { "yes" }) data-units=(signed.fmt.symbol()) data-waiting="0" {
                div.split {
                    section {
                        p { span.big id="dent-count" { (dents.len()) } " dents. " @if may { "Tap a strip where the dent is." } }
                        (runs(signed.fmt, &survey))
                    }
                    aside.editor aria-label="Dent" {
                        (dent_form::editor(signed.fmt, &survey.instrument, id))
                        h2 { "All dents" }
                        ul.plain id="dent-list" {}
                        (whole(signed, &whole_at, &survey, body.version, may, redisplay.form(&whole_at)))
                        (conditions::section(signed, id, &survey, body.version, may, redisplay))
                    }
                }
            }
            script src="/assets/survey.js" defer {}
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
        let kind: Kind = serde_json::from_value(serde_json::Value::String(f.kind.clone()))
            .map_err(|_| Problem::Bad(format!("there is no kind {}", f.kind)))?;
        let mut instrument = patterns::pattern(kind).ok_or_else(|| Problem::Bad(format!("there is no pattern for {}", f.kind)))?;
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
        let typed = sent.typed();
        let (mut warnings, mut taken) = (Vec::new(), None);
        let mut make = |name: &str, before: Option<&Kept>| -> Result<String, Vec<Unread>> {
            let all = |refusals: &[Refusal]| refusals.iter().map(|r| Unread::of(r, fmt)).collect::<Vec<_>>();
            let (kept, refusals) = typed.dent(name, &survey.instrument, before);
            // A dent in no tube is none; whatever else cannot be read counts as not measured while somebody is typing.
            let Some(kept) = kept.filter(|_| refusals.iter().all(|r| r.key != d::RUN.key)) else { return Err(all(&refusals)) };
            // Only this dent is looked at: the record is held while it is written.
            warnings = all(&damage::dent_refusals(&survey, &kept.dent, &refusals));
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
                let before = app.store().dent(id, name)?.and_then(|d| Kept::from_json(&d.body).ok());
                make(name, before.as_ref())
                    .map_err(&mut refuse)
                    .and_then(|body| app.store().save_dent(by, id, name, sent.from, &body))
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

/// Changes what holds for the instrument as a whole.
///
/// # Errors
/// Where somebody saved in between.
pub async fn save_whole(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Whole>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| whole_saved(app, &signed, id, &f), |redisplay| page_redisplayed(app, &signed, id, redisplay)))
        .await
}

/// Saves or takes out a condition of the metal.
///
/// # Errors
/// Where a field cannot be taken, or somebody saved in between.
pub async fn save_condition(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        sent.taken(|| conditions::saved(app, &signed, id, &f), |redisplay| page_redisplayed(app, &signed, id, redisplay))
    })
    .await
}

fn whole_saved(app: &App, signed: &Signed, id: i64, f: &Whole) -> Outcome<Redirect> {
    let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
    let mut survey = body_read(&body)?;
    survey.cleaned = match f.cleaned.as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    };
    survey.wishes.keep_finish = f.keep_finish == "yes";
    // `fits` comes as "fit-id=state" pairs, one a line, from the page's own select boxes.
    for (fit, state) in f.fits.lines().filter_map(|l| l.split_once('=')) {
        if let Some(fit) = survey.instrument.fits.iter_mut().find(|x| x.id.0 == fit.trim()) {
            fit.state = serde_json::from_value::<FitState>(state.trim().into()).ok();
        }
    }
    let text = kept::survey_to_json(&survey).map_err(|e| Problem::Broken(e.to_string()))?;
    app.store().save_survey_body(By { who: &signed.person.login, at: when::now() }, id, f.version, &text)?;
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

fn pick(signed: &Signed, id: i64, kind: &str) -> Markup {
    html! {
        p { "The survey begins with a pattern: the runs, joints, braces and guards that such an instrument has, with dimensions to be measured over." }
        @if signed.may(Need::Survey) {
            form.row method="post" action={ "/jobs/" (id) "/survey/start" } {
                (layout::csrf(signed))
                label { span { "Pattern" } select name="kind" {
                    @for (key, name) in crate::view::instrument_fields::KINDS { option value=(key) selected[*key == kind] { (name) } }
                } }
                button type="submit" { "Begin the survey" }
            }
        } @else { p.soft { "Nobody has begun it." } }
    }
}

/// The instrument as it lies, then its runs straightened: first those that the air takes with the valves at rest.
fn runs(fmt: UnitFormat, survey: &Survey) -> Markup {
    let instrument = &survey.instrument;
    let lie = crate::view::instrument_map::InstrumentMap::of(instrument);
    let on_map = |r: &Run| lie.as_ref().is_none_or(|l| l.on_the_way(&r.id));
    let (main, side): (Vec<&Run>, Vec<&Run>) =
        instrument.runs.iter().filter(|r| !matches!(r.role, instrument::Role::Piston)).partition(|r| on_map(r));
    let dented = side.iter().any(|r| survey.dents.iter().any(|d| d.run == r.id));
    html! {
        svg width="0" height="0" aria-hidden="true" style="position:absolute" { defs { pattern id="covered" width="8" height="8" patternUnits="userSpaceOnUse" { path d="M0 8L8 0" stroke="#5b4a1f" stroke-width="1" {} } } }
        @if let Some(lie) = &lie {
            figure.lie-box {
                (lie.svg(true, "The instrument as it lies: tap a tube to come to its strip", html! {}))
                figcaption.soft.small { "Tap a tube to come to its strip. " (lie.caveat()) " " @if !side.is_empty() { "The strips of " a href="#side" { "valve slides and casings" } " are below." } }
            }
        }
        @for run in main { (strip(fmt, instrument, run)) }
        @if !side.is_empty() {
            details id="side" open[dented] {
                summary { strong { "Valve slides, casings and other tubes" } " " span.soft { "(" (side.len()) ")" } }
                @for run in side { (strip(fmt, instrument, run)) }
            }
        }
    }
}

/// A run straightened and unrolled: station along, clock down (12 at the top and again at the bottom).
fn strip(fmt: UnitFormat, instrument: &Instrument, run: &Run) -> Markup {
    let length = run.length_mm();
    let (width, height) = (1000.0, 120.0);
    // Stations every 20, 50, 100 or 200 mm, or so many inches: at most eight on a strip.
    let (steps, unit_mm) = if fmt.inches() { ([0.5, 1.0, 2.0, 5.0, 10.0], MM_PER_INCH) } else { ([10.0, 20.0, 50.0, 100.0, 200.0], 1.0) };
    let every = unit_mm * steps.into_iter().find(|e| length / (e * unit_mm) <= 8.0).unwrap_or(if fmt.inches() { 20.0 } else { 500.0 });
    let stations: Vec<f64> = (0..).map(|i| f64::from(i) * every).take_while(|s| *s < length - 0.3 * every).collect();
    let x = |mm: f64| (mm / length * width).clamp(0.0, width);
    let y = |deg: f64| deg / 360.0 * height;
    let mut start = 0.0;
    let mut bends = Vec::new();
    for s in &run.axis.segments {
        let end = start + s.length_mm();
        if let instrument::Segment::Bend { angle_deg, .. } = s {
            bends.push((start, end, *angle_deg));
        }
        start = end;
    }
    let bore = (run.bore_mm.at(0.0).value, run.bore_mm.at(length).value);
    let covers = instrument
        .overlays
        .iter()
        .filter(|o| o.kind != OverlayKind::RimWire)
        .flat_map(|o| o.covers.iter().filter(|c| c.run == run.id).map(move |c| (o, c)));
    html! {
        figure.strip-box id={ "run-" (run.id) } {
            figcaption { strong { (run.name) } " " span.soft.small.num { (if fmt.inches() { format!("{} long, bore {:.3}–{:.3} in", units::text::mm(length, 0).show(fmt.0), bore.0 / MM_PER_INCH, bore.1 / MM_PER_INCH) } else { format!("{length:.0} mm long, bore {:.1}–{:.1} mm", bore.0, bore.1) }) } }
            svg.strip viewBox={ "0 0 " (width) " " (height) } preserveAspectRatio="none" data-run=(run.id) data-length=(length) tabindex="0" role="group" aria-label={ (run.name) ", unrolled: tap to set a dent" } {
                rect.wall width=(width) height=(height) {}
                @for (from, to, angle) in &bends { rect.bend x=(x(*from)) width=(x(*to) - x(*from)) height=(height) { title { "bend of " (angle) "°" } } }
                @for (o, c) in covers {
                    @let (a, b) = c.clock_deg.unwrap_or((0.0, 360.0));
                    @if a <= b { rect.cover x=(x(c.from_mm)) y=(y(a)) width=(x(c.to_mm) - x(c.from_mm)) height=(y(b - a)) { title { (o.name) } } }
                    @else {
                        rect.cover x=(x(c.from_mm)) y=(y(a)) width=(x(c.to_mm) - x(c.from_mm)) height=(y(360.0 - a)) { title { (o.name) } }
                        rect.cover x=(x(c.from_mm)) y="0" width=(x(c.to_mm) - x(c.from_mm)) height=(y(b)) { title { (o.name) } }
                    }
                }
                @for s in stations.iter().skip(1) { line.station x1=(x(*s)) x2=(x(*s)) y1="0" y2=(height) {} }
                @for deg in [90.0, 180.0, 270.0] { line.clock x1="0" x2=(width) y1=(y(deg)) y2=(y(deg)) {} }
                g.dents {}
            }
            div.stations aria-hidden="true" { @for s in &stations { span style=(format!("left:{:.2}%", s / length * 100.0)) { ((s / unit_mm * 10.0).round() / 10.0) @if *s == 0.0 { " " (fmt.symbol()) } } } }
            div.clock-words aria-hidden="true" { span { "12" } span { "3" } span { "6" } span { "9" } span { "12" } }
        }
    }
}

fn whole(signed: &Signed, action: &str, survey: &Survey, version: i64, may: bool, refill: Refill<'_>) -> Markup {
    let stuck: Vec<String> =
        survey.instrument.fits.iter().filter(|f| f.state.is_some_and(|s| s != FitState::Free)).map(|f| f.name.clone()).collect();
    html! {
        h2 { "The whole instrument" }
        @if !stuck.is_empty() { p { "Does not move freely: " (stuck.join(", ")) "." } }
        @if may {
            form.stack.card id="whole" method="post" action=(action) {
                (refill.problems())
                (layout::csrf(signed)) input type="hidden" name="version" value=(version);
                label { span { "Flushed and degreased before the survey" } select name="cleaned" {
                    option value="" selected[refill.has("cleaned", "", survey.cleaned.is_none())] { "not said" } option value="yes" selected[refill.has("cleaned", "yes", survey.cleaned == Some(true))] { "yes" } option value="no" selected[refill.has("cleaned", "no", survey.cleaned == Some(false))] { "no" }
                } }
                label { input type="checkbox" name="keep_finish" value="yes" checked[refill.has("keep_finish", "yes", survey.wishes.keep_finish)]; "The finish must not burn" }
                label { span { "What moves badly" } select name="fits" {
                    option value="" { "nothing to add" }
                    @for f in &survey.instrument.fits { @for (state, words) in [("stiff", "is stiff"), ("binds", "binds"), ("stuck", "is stuck"), ("free", "moves freely")] { option value={ (f.id) "=" (state) } selected[refill.has("fits", &format!("{}={state}", f.id), false)] { (f.name) " " (words) } } }
                } }
                button type="submit" { "Save" }
            }
        }
    }
}
