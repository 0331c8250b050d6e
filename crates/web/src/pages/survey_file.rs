//! The survey as a whole: as a file, on another pattern, and what its measurements are worth.

use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::redisplay::Redisplay;
use crate::unit_format::UnitFormat;
use crate::when;
use ::survey::kept::survey_to_json;
use ::survey::parts::with_pattern;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Json};
use instrument::fields::{Field, dent as d, run as r};
use instrument::{Instrument, Kind, Survey, patterns};
use job::worth::WorthKnowing;
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use store::By;
use units::Text;

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
pub fn changed(app: &App, signed: &Signed, id: i64, f: &Pattern) -> Outcome<Redirect> {
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

/// What hangs on each measurement that nobody took, in words, by the field beside which it is said.
#[derive(serde::Serialize)]
pub struct Told(BTreeMap<String, String>);

/// The field of the tube's sheet that measures the same for all its dents.
fn on_the_tube(field: &Field) -> Option<&'static Field> {
    match field.key {
        k if k == d::WALL.key => Some(&r::WALL),
        k if k == d::HARDNESS.key => Some(&r::TEMPER),
        _ => None,
    }
}

/// Words by field: `dent d3/depth`, and of a tube what the weightiest of its dents has of it, `run bell-flare/wall`.
fn by_field(worth: &WorthKnowing, survey: &Survey, say: impl Fn(&Text) -> String, currency: &str) -> BTreeMap<String, String> {
    let mut all = BTreeMap::new();
    for w in worth.worth_the_walk() {
        let Some(dent) = survey.dent(&w.dent) else { continue };
        let words = say(&w.hangs_on(currency));
        if let Some(field) = on_the_tube(w.field) {
            all.entry(format!("run {}/{}", dent.run, field.key)).or_insert_with(|| format!("of dent {}, {words}", dent.id));
        }
        all.insert(format!("dent {}/{}", dent.id, w.field.key), words);
    }
    all
}

/// What the measurements are worth, for the page's script. It asks for it after the page stands, and what was worked out is kept.
///
/// # Errors
/// Where the job has no survey, or it cannot be worked out.
pub async fn worth(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Json<Told>> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        Ok(Json(Told(by_field(job.worth_knowing(), &job.survey, |words| fmt.text(words), &job.quote.currency))))
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::by_field;
    use fixtures::demo;
    use plan::Overrules;

    #[test]
    fn what_is_worth_measuring_is_said_beside_its_field_as_the_measure_page_says_it() {
        for name in ["barely-measured", "linnet-trumpet"] {
            let (rack, shop) = demo::rack_and_shop();
            let mut survey = demo::read(name);
            // The less is measured, the more is worth measuring.
            for dent in survey.dents.iter_mut().skip(1) {
                dent.width_across_mm = None;
            }
            let job = job::work_out(survey, rack, shop, &Overrules::default());
            let worth = job.worth_knowing();
            let all = by_field(&worth, &job.survey, |words| words.metric(), "$");
            for w in worth.worth_the_walk() {
                let said = &all[&format!("dent {}/{}", w.dent, w.field.key)];
                assert!(w.words("$").metric().contains(said.as_str()), "{name}: {said}");
            }
            let walks = worth.worth_the_walk().count();
            assert!(walks > 0 && all.keys().filter(|k| k.starts_with("dent ")).count() == walks, "{name}: {all:?}");
            let of_wall = worth.worth_the_walk().any(|w| w.field.key == "wall");
            assert_eq!(all.keys().any(|k| k.ends_with("/wall") && k.starts_with("run ")), of_wall, "{name}: {all:?}");
        }
    }
}
