//! What is wrong besides dents (the metal, braces, joints, lines and sections), on the survey's page: a small form for each, from the fields of a condition
//! ([`instrument::fields::condition`]). It knows no field by itself.

use crate::app::App;
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::recorded::body_read;
use crate::redisplay::{Redisplay, Refill};
use crate::unit_format::UnitFormat;
use crate::{layout, when};
use ::survey::damage::{self, Form as Filled};
use ::survey::kept::survey_to_json;
use ::survey::words::Word;
use axum::response::Redirect;
use instrument::fields::{Field, Kind, condition as c};
use instrument::{Condition, FitKind, Instrument, JointKind, OverlayKind, Survey};
use maud::{Markup, html};
use std::collections::BTreeMap;
use store::By;
use units::text;

/// Saves a condition, new or changed, or takes it out.
///
/// # Errors
/// Where a field cannot be taken, or somebody saved in between.
pub fn saved(app: &App, signed: &Signed, id: i64, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    loop {
        match saved_once(app, signed, id, f) {
            // Somebody saved another part of the same survey: this one is read again over it.
            Err(Problem::Conflict(words)) if words != IN_BETWEEN => {}
            done => return done,
        }
    }
}

const IN_BETWEEN: &str = "another tablet saved this in between; look at both, then save again";

fn saved_once(app: &App, signed: &Signed, id: i64, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    let body = app.store().survey_body(id)?.ok_or_else(|| Problem::Missing("this job has no survey yet".to_owned()))?;
    let mut survey = body_read(&body)?;
    let before = survey.conditions.clone();
    let field = |key: &str| f.get(key).map_or("", String::as_str);
    let old = survey.conditions.iter().position(|one| one.id.0 == field("condition"));
    let taken_out = || old.map(|i| before[i].clone()).filter(|_| field("act") == "gone");
    if field("act") == "put_back" {
        return put_back(app, signed, id, body.version, survey, field("which"));
    }
    if field("act") == "gone" {
        survey.conditions.retain(|one| one.id.0 != field("condition"));
    } else {
        let one = read(&survey, old.map(|i| &survey.conditions[i]), f, signed.fmt)?;
        match old {
            Some(i) => survey.conditions[i] = one,
            // Sent again after a lost answer it stands there already.
            None if survey.conditions.iter().any(|c| Condition { id: one.id.clone(), ..c.clone() } == one) => {}
            None => survey.conditions.push(one),
        }
    }
    if survey.conditions == before {
        return Ok(Redirect::to(&format!("/jobs/{id}/survey")));
    }
    if old.map_or(!field("condition").is_empty(), |i| mark(&before[i]) != field("seen")) {
        return Err(Problem::Conflict(IN_BETWEEN.to_owned()));
    }
    let text = survey_to_json(&survey).map_err(|e| Problem::Broken(e.to_string()))?;
    let by = By { who: &signed.person.login, at: when::now() };
    match taken_out() {
        Some(one) => app.store().take_condition_out(by, id, body.version, &text, &json(&one)?)?,
        None => app.store().save_survey_body(by, id, body.version, &text)?,
    };
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

fn json(one: &Condition) -> Outcome<String> {
    serde_json::to_string(one).map_err(|e| Problem::Broken(e.to_string()))
}

/// A condition that was taken out comes back as it was, under a name that is free.
fn put_back(app: &App, signed: &Signed, id: i64, from: i64, mut survey: Survey, which: &str) -> Outcome<Redirect> {
    let which: i64 = which.parse().map_err(|_| Problem::Bad("load the page again; that is not there".to_owned()))?;
    // Put back already, by this tablet's first try or by another: it is there.
    if let Some((_, body)) = app.store().conditions_taken_out(id)?.into_iter().find(|(row, _)| *row == which) {
        let mut one: Condition = serde_json::from_str(&body).map_err(|e| Problem::Broken(e.to_string()))?;
        if survey.conditions.iter().any(|c| c.id == one.id) {
            one.id.0 = free_name(&survey);
        }
        survey.conditions.push(one);
        let text = survey_to_json(&survey).map_err(|e| Problem::Broken(e.to_string()))?;
        app.store().put_condition_back(By { who: &signed.person.login, at: when::now() }, id, from, &text, which)?;
    }
    Ok(Redirect::to(&format!("/jobs/{id}/survey")))
}

fn free_name(survey: &Survey) -> String {
    let taken = |name: &str| survey.conditions.iter().any(|one| one.id.0 == name);
    (1..).map(|n| format!("c{n}")).find(|name| !taken(name)).unwrap_or_default()
}

/// The condition that a form holds; a form that lacks nothing but a measurement is taken.
fn read(survey: &Survey, before: Option<&Condition>, f: &BTreeMap<String, String>, fmt: UnitFormat) -> Outcome<Condition> {
    let form = on_the_form().fold(Filled::default(), |form, field| match f.get(field.key) {
        // A browser ends the lines of a text as its own system does.
        Some(text) => form.with(field, &text.replace("\r\n", "\n")),
        None => form,
    });
    let name = before.map_or_else(|| free_name(survey), |b| b.id.0.clone());
    let (one, refusals) = form.condition_in(fmt.0, &name, &survey.instrument, before);
    let refusals = match &one {
        Some(one) => damage::condition_refusals(survey, one, &refusals),
        None => refusals,
    };
    let words: Vec<(String, String)> =
        refusals.iter().filter(|r| !r.warning).map(|r| (r.key.clone(), fmt.text(&text!("{}; {}", r.what, r.hint)))).collect();
    one.filter(|_| words.is_empty()).ok_or(Problem::Fields(words))
}

/// What a condition says now, in a word.
fn mark(one: &Condition) -> String {
    super::sheets::hash(&format!("{one:?}"))
}

/// What only braces, joints, lines and sections have: folded away.
const RARE: &[&Field] = &[&c::OVERLAY, &c::JOINT, &c::FIT, &c::OUT_OF_LINE, &c::OVER, &c::ANGLE, &c::LEAST, &c::MOST];

fn on_the_form() -> impl Iterator<Item = &'static Field> {
    c::FIELDS.iter().copied().filter(|f| f.kind != Kind::Id)
}

/// The conditions that were taken out of a job's survey; one that cannot be read any more is left out.
///
/// # Errors
/// Where the record fails.
pub fn taken_out(app: &App, job: i64) -> Outcome<Vec<(i64, Condition)>> {
    let all = app.store().conditions_taken_out(job)?;
    Ok(all.into_iter().filter_map(|(which, body)| Some((which, serde_json::from_str(&body).ok()?))).collect())
}

/// The conditions of a survey and a form for another; without forms where the reader may not survey.
pub fn section(signed: &Signed, job: i64, survey: &Survey, out: &[(i64, Condition)], may: bool, redisplay: &Redisplay) -> Markup {
    let action = format!("/jobs/{job}/survey/conditions");
    let form = |one: Option<&Condition>| {
        let name = one.map_or("", |one| one.id.0.as_str());
        let refill = redisplay.form_with(&action, "condition", name);
        let shown = one.map_or_else(Filled::default, |one| Filled::of(c::FIELDS, &one.said(), signed.fmt.0));
        html! {
            details open[refill.refused()] {
                summary { @match one { Some(one) => (summary(&survey.instrument, one)), None => "Add what else is wrong: the metal, a brace, a joint, a bent or oval tube" } }
                form.stack.card method="post" action=(action) id={ "condition-" (if name.is_empty() { "new" } else { name }) "-form" } data-sheet="whole" data-live="" {
                    (refill.problems())
                    (layout::csrf(signed)) input type="hidden" name="seen" value=(one.map_or_else(String::new, mark)); input type="hidden" name="condition" value=(name);
                    @for field in on_the_form().filter(|f| !RARE.contains(f)) { (input(&survey.instrument, field, &shown, refill)) }
                    details open[RARE.iter().any(|f| !shown.text(f).is_empty())] {
                        summary { "A brace, a joint, a hand slide; a bent or an oval tube" }
                        p.soft { "A brace, a joint or a hand slide is named here and needs no tube above." }
                        @for field in RARE { (input(&survey.instrument, field, &shown, refill)) }
                    }
                    div.row { button type="submit" name="act" value="keep" { "Save" } @if one.is_some() { button.quiet type="submit" name="act" value="gone" { "Delete" } } }
                }
            }
        }
    };
    html! {
        h2 { "Besides dents" }
        @if may {
            @for one in &survey.conditions { (form(Some(one))) }
            (form(None))
            @for (which, one) in out {
                form.row method="post" action=(action) id={ "condition-out-" (which) "-form" } data-sheet="whole" {
                    (layout::csrf(signed)) input type="hidden" name="which" value=(which);
                    span.small { (summary(&survey.instrument, one)) " was deleted." }
                    button.plain type="submit" name="act" value="put_back" { "Undo" }
                }
            }
        } @else if survey.conditions.is_empty() {
            p.soft { "Nothing was noted." }
        } @else {
            ul.plain { @for one in &survey.conditions { li { (summary(&survey.instrument, one)) } } }
        }
    }
}

/// What it is, and of what.
pub fn summary(instrument: &Instrument, one: &Condition) -> String {
    format!("{}, {}", crate::view::figures::sentence(one.kind.word()).trim_end_matches('.'), one.of_what(instrument))
}

fn input(instrument: &Instrument, field: &'static Field, shown: &Filled, refill: Refill<'_>) -> Markup {
    let (key, saved) = (field.key, shown.text(field));
    let option = |value: &str, words: &str| html! { option value=(value) selected[refill.has(key, value, saved == value)] { (words) } };
    let what = match field.kind {
        Kind::Run => html! { select name=(key) { (option("", "which tube?")) @for r in &instrument.runs { (option(&r.id.0, &r.name)) } } },
        Kind::Overlay => {
            let braces = || instrument.overlays.iter().filter(|o| o.kind == OverlayKind::Brace);
            html! { select name=(key) { (option("", "no brace")) @for o in braces() { (option(&o.id.0, &o.name)) } } }
        }
        Kind::Joint => html! {
            select name=(key) { (option("", "no joint")) @for j in instrument.joints.iter().filter(|j| j.kind.is_soft().is_some() || j.kind == JointKind::Pressed) { (option(&j.id.0, &j.name)) } }
        },
        Kind::Fit => {
            let slides = || instrument.fits.iter().filter(|f| f.kind == FitKind::HandSlide);
            html! { select name=(key) { (option("", "no hand slide")) @for f in slides() { (option(&f.id.0, &f.name)) } } }
        }
        Kind::Condition | Kind::Direction | Kind::Flag => html! {
            select name=(key) { (option("", if field.needed { "what is it?" } else { "not said" })) @for word in damage::form::choices(field) { (option(word, word)) } }
        },
        Kind::Words => html! { textarea name=(key) rows="2" { "\n" (refill.text(key, saved)) } },
        Kind::ClockRange => {
            html! { input name=(key) value=(refill.text(key, saved)) autocomplete="off" placeholder="10 o'clock to 2 o'clock"; }
        }
        _ => html! { input name=(key) value=(refill.text(key, saved)) autocomplete="off" placeholder="not measured"; },
    };
    html! { label { span { (field.label) } (what) (refill.beside(key, saved)) } }
}
