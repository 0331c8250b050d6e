//! The survey as a whole: as a file, on another pattern, and what its measurements are worth.

use crate::app::App;
use crate::auth::Signed;
use crate::layout;
use crate::problem::{Outcome, Problem};
use crate::recorded::assemble;
use crate::redisplay::Redisplay;
use crate::when;
use ::survey::kept::survey_to_json;
use ::survey::parts::with_pattern;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use instrument::fields::{Field, dent as d, run as r};
use instrument::{Instrument, Kind, Survey, patterns};
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

/// By how many minutes each measurement that nobody took would narrow the time: of each dent, and summed of each tube.
#[derive(serde::Serialize)]
pub struct Worth(BTreeMap<String, f64>);

/// The fields by which an input of a dent's assessment would be measured: on the dent, and on its tube's sheet. The names are
/// those of `dent::inputs`; a test holds that none of the plan's is missing here.
const MEASURED_BY: [(&str, &[&Field], Option<&Field>); 12] = [
    ("depth", &[&d::DEPTH], None),
    ("depth over that of a flat body of this width (not measured)", &[&d::DEPTH], None),
    ("depth over diameter (not measured)", &[&d::DEPTH], None),
    ("width round the tube", &[&d::ACROSS], None),
    ("width round the tube over the chord of its depth (not measured)", &[&d::ACROSS], None),
    ("width along the tube", &[&d::ALONG], None),
    ("width along over width round the tube (not measured)", &[&d::ALONG, &d::ACROSS], None),
    ("inside radius of the sharpest edge", &[&d::EDGE_RADIUS], None),
    ("inside radius of the fold (not measured)", &[&d::EDGE_RADIUS], None),
    ("wall", &[&d::WALL], Some(&r::WALL)),
    ("temper", &[&d::HARDNESS], Some(&r::TEMPER)),
    ("bore", &[], Some(&r::BORE)),
];

/// Minutes by field: `dent d3/depth`, `run bell-flare/wall`; and the inputs that no field measures.
fn by_field(plan: &plan::Plan, survey: &Survey) -> (BTreeMap<String, f64>, Vec<String>) {
    let (mut all, mut unknown) = (BTreeMap::new(), Vec::new());
    for w in &plan.worth_measuring {
        let (Some(dent), what) = (w.dent.as_ref().and_then(|id| survey.dent(id)), w.what.metric()) else { continue };
        let Some((_, on_dent, on_run)) = MEASURED_BY.iter().find(|(name, ..)| *name == what) else {
            unknown.push(what);
            continue;
        };
        for field in *on_dent {
            *all.entry(format!("dent {}/{}", dent.id, field.key)).or_insert(0.0) += w.narrows_min;
        }
        if let Some(field) = on_run {
            *all.entry(format!("run {}/{}", dent.run, field.key)).or_insert(0.0) += w.narrows_min;
        }
    }
    (all, unknown)
}

/// What the measurements are worth, for the page's script.
///
/// # Errors
/// Where the job has no survey, or it cannot be worked out.
pub async fn worth(State(app): State<App>, Path(id): Path<i64>) -> Outcome<Json<Worth>> {
    app.blocking(move |app| {
        let job = app.job(id)?;
        Ok(Json(Worth(by_field(&job.plan, &job.survey).0)))
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::by_field;
    use fixtures::demo;
    use plan::Overrules;

    #[test]
    fn what_is_worth_measuring_has_a_field_beside_which_it_is_said() {
        let mut least = f64::INFINITY;
        for name in demo::ALL_CASES {
            let (rack, shop) = demo::rack_and_shop();
            let mut survey = demo::read(name);
            // The less is measured, the more is worth measuring: the widths of every second dent, the depth of every third.
            for (i, dent) in survey.dents.iter_mut().enumerate().skip(1) {
                if i % 2 == 0 {
                    dent.width_along_mm = None;
                }
                if i % 3 == 0 {
                    (dent.depth_mm, dent.profile_along, dent.profile_across) = (None, vec![], vec![]);
                }
            }
            let job = job::work_out(survey, rack, shop, &Overrules::default());
            let (all, unknown) = by_field(&job.plan, &job.survey);
            assert!(unknown.iter().all(|what| what.contains("curvature")), "{name}: {unknown:?}");
            if name == "barely-measured" {
                assert!(all["dent d1/depth"] > 1.0 && all["dent d1/across"] > 1.0 && all.contains_key("run first-branch/wall"), "{all:?}");
            }
            least = all.values().copied().fold(least, f64::min);
        }
        assert!(least > 0.0);
    }
}
