//! The survey as a whole: as a file, on another pattern, and what its measurements are worth.

use super::survey;
use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::redisplay::{Redisplay, Sent};
use crate::when;
use ::survey::kept::survey_to_json;
use ::survey::parts::with_pattern;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form, Json};
use instrument::{Instrument, Kind, patterns};
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;

/// The survey as a file that `trueround plan` reads.
///
/// # Errors
/// Where the job has no survey.
pub async fn file(State(app): State<App>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let (body, dents) = app.store().survey(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
        let text = ::survey::write_survey(&assemble(&body, &dents)?);
        let name = format!("attachment; filename=\"job-{id}.survey.toml\"");
        Ok(([(CONTENT_TYPE, "application/toml; charset=utf-8".to_owned()), (CONTENT_DISPOSITION, name)], text).into_response())
    })
    .await
}

/// What the form for another pattern sends.
#[derive(Deserialize)]
pub struct Pattern {
    version: i64,
    pattern: String,
    #[serde(default)]
    sure: String,
}

/// A pattern by its name, or by the name of its kind in the record.
pub(super) fn pattern_named(name: &str) -> Outcome<Instrument> {
    let of_kind = || serde_json::from_value::<Kind>(serde_json::Value::String(name.to_owned())).ok().and_then(patterns::pattern);
    patterns::named(name).or_else(of_kind).ok_or_else(|| Problem::Bad(format!("there is no pattern for {name}")))
}

/// Puts the survey on another pattern; asks first where dents would lose their tube.
///
/// # Errors
/// Where there is no such pattern, nobody said yes yet, or somebody saved in between.
pub async fn change_pattern(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Pattern>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| changed(app, &signed, id, &f), |redisplay| survey::page_redisplayed(app, &signed, id, redisplay)))
        .await
}

fn changed(app: &App, signed: &Signed, id: i64, f: &Pattern) -> Outcome<Redirect> {
    let (body, dents) = app.store().survey(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
    let (mut next, lost) = with_pattern(&assemble(&body, &dents)?, pattern_named(&f.pattern)?);
    if !lost.is_empty() && f.sure != "yes" {
        let names: Vec<&str> = lost.iter().map(|d| d.0.as_str()).collect();
        let words = format!(
            "{} {} in a tube that this pattern does not have. Nothing is thrown away: tick below, and move {} afterwards",
            names.join(", "),
            if names.len() == 1 { "lies" } else { "lie" },
            if names.len() == 1 { "it" } else { "each" }
        );
        return Err(Problem::Fields(vec![("sure".to_owned(), words)]));
    }
    next.dents.clear();
    let text = survey_to_json(&next).map_err(|e| Problem::Broken(e.to_string()))?;
    app.store().save_survey_body(By { who: &signed.person.login, at: when::now() }, id, f.version, &text)?;
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

/// The names of all patterns as options.
pub(super) fn pattern_options(chosen: &str) -> Markup {
    html! { @for name in patterns::names() { option value=(name) selected[name == chosen.replace('_', " ")] { (crate::view::figures::sentence(name).trim_end_matches('.')) } } }
}

/// The file, and the form for another pattern.
pub(super) fn section(signed: &Signed, job: i64, kind: Kind, version: i64, may: bool, redisplay: &Redisplay) -> Markup {
    use ::survey::words::Word;
    let action = format!("/jobs/{job}/survey/pattern");
    let refill = redisplay.form(&action);
    html! {
        p { a.button.plain href={ "/jobs/" (job) "/survey.toml" } download { "Save the survey as a file" } }
        @if may {
            details open[refill.refused()] {
                summary { "This is another instrument: change the pattern" }
                form.stack.card method="post" action=(action) {
                    (refill.problems())
                    (layout::csrf(signed)) input type="hidden" name="version" value=(version);
                    p.small { "Dents stay as they are. What was measured of the tubes goes with the old pattern." }
                    label { span { "Pattern" } select name="pattern" { (pattern_options(refill.text("pattern", kind.word()))) } }
                    @if refill.refused() {
                        (refill.beside("sure", ""))
                        label { input type="checkbox" name="sure" value="yes"; "Change it, I will move them" }
                    }
                    button type="submit" { "Change the pattern" }
                }
            }
        }
    }
}

/// By how many minutes each measurement that nobody took would narrow the time: of each dent, and summed of each tube.
#[derive(serde::Serialize)]
pub struct Worth(BTreeMap<String, f64>);

/// What the measurements are worth, for the page's script: `dent d3/depth`, `run bell-flare/wall`, minutes.
///
/// # Errors
/// Where the job has no survey, or it cannot be worked out.
pub async fn worth(State(app): State<App>, Path(id): Path<i64>) -> Outcome<Json<Worth>> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        let mut all = BTreeMap::new();
        for w in &job.plan.worth_measuring {
            let Some(dent) = &w.dent else { continue };
            let what = w.what.metric();
            *all.entry(format!("dent {dent}/{what}")).or_insert(0.0) += w.narrows_min;
            if let Some(dent) = job.survey.dent(dent) {
                *all.entry(format!("run {}/{what}", dent.run)).or_insert(0.0) += w.narrows_min;
            }
        }
        Ok(Json(Worth(all)))
    })
    .await
}
