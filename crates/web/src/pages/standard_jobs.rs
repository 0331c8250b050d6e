//! The shop's own list of standard jobs: what a ticket asks for beside dents. A form each: add, edit, retire.

use crate::app::{App, SHOP};
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::view::shop_frame::{example_in_use, tabs};
use crate::{layout, shop_file};
use ::survey::shop_form::jobs::{JobForm, job_forms, needs, same_as, times, with_job};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use plan::Caution;

/// What the three times are called.
const ENDS: [&str; 3] = ["All goes well", "Usual", "Fights back"];

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let file = shop_file::read(app, SHOP)?;
    let jobs = job_forms(&file.text).map_err(shop_file::unreadable)?;
    let currency = ::survey::read_shop(&file.text).0.currency;
    let (retired, listed): (Vec<_>, Vec<_>) = jobs.iter().partition(|j| j.retired);
    let blank = JobForm::new();
    let one = |j: &JobForm| {
        let refill = redisplay.form_with("/shop/jobs", "key", &j.key);
        html! {
            details.card id=(j.key) open[refill.refused()] {
                summary { strong { (j.name) } " " span.soft { (j.minutes[1]) " min" @if !j.parts.is_empty() { ", parts " (currency) (j.parts) } @if !j.sent_out_days.is_empty() { ", sent out " (j.sent_out_days) " days" } } }
                (form(signed, j, file.version, &currency, refill))
            }
        }
    };
    Ok(layout::page(
        signed,
        "Standard jobs",
        html! {
            h1 { "Standard jobs" }
            (tabs("/shop/jobs"))
            (example_in_use(signed, SHOP, &file))
            p { "Work that is asked for beside dents. It is added to a job on its survey, and stands on the quote, the bench card and the invoice. New plans and quotes follow a change at once." }
            @for j in listed { (one(j)) }
            section { h2 { "Add a job" } div.card { (form(signed, &blank, file.version, &currency, redisplay.form_with("/shop/jobs", "key", ""))) } }
            @if !retired.is_empty() { section { h2 { "Retired" } p.soft { "Not offered any more. Old jobs still name them." } @for j in retired { (one(j)) } } }
        },
    ))
}

fn form<'a>(signed: &Signed, j: &'a JobForm, version: i64, currency: &str, refill: Refill<'a>) -> Markup {
    let field = |key: &'static str, label: &str, saved: &'a str, about: &str| {
        html! { label { span { (label) } input name=(key) value=(refill.text(key, saved)) autocomplete="off"; @if !about.is_empty() { span.soft.small { (about) } } (refill.beside(key, saved)) } }
    };
    let select = |key: &'static str, label: &str, saved: &str, none: Option<&str>, all: &[(&str, &str)]| {
        html! { label { span { (label) } select name=(key) {
            @if let Some(none) = none { option value="" { (none) } }
            @for (value, words) in all { option value=(value) selected[refill.has(key, value, saved == *value)] { (words) } }
        } (refill.beside(key, saved)) } }
    };
    let boxes = |key: &'static str, saved: &[String], all: &[(&str, &str)]| {
        html! { div.chips { @for (value, words) in all { label.chip.tap { input type="checkbox" name=(key) value=(value) checked[refill.ticked(key, value, saved.iter().any(|s| s == value))]; (words) } } } (refill.beside(key, "")) }
    };
    let hazards = Caution::ALL.map(|c| (c.key(), c.name()));
    let minutes = ["minutes.0", "minutes.1", "minutes.2"];
    html! {
        form.stack method="post" action="/shop/jobs" {
            (layout::csrf(signed)) (refill.problems()) (refill.version(version))
            input type="hidden" name="key" value=(j.key);
            (field("name", "Name at the bench", &j.name, ""))
            (field("customer", "What the customer reads", &j.customer, "As on the invoice: Hand slide aligned."))
            fieldset.minutes { legend { "Minutes for one" } div.three { @for ((name, end), saved) in minutes.iter().zip(ENDS).zip(&j.minutes) {
                label { span.small { (end) " " span.soft { "(min)" } } input name=(name) value=(refill.text(name, saved)) inputmode="decimal" autocomplete="off"; (refill.beside(name, saved)) }
            } } @if j.usual { p.soft.small { "Common practice, no source. Write what your bench takes." } } }
            (field("further", "Each further one (% of that)", &j.further, ""))
            (field("parts", &format!("Parts for one ({currency})"), &j.parts, "What they cost you. For work that is sent out: what the other shop charges."))
            (field("sent_out_days", "Days away", &j.sent_out_days, "Only where it is sent out."))
            (field("skill", "Skill", &j.skill, "Only where not everybody may do it: who of your benches lacks it does not start the step. Give the skill to people under Benches."))
            (select("when", "When", &j.when, None, &times()))
            (select("same_as", "The same as a step of the plan", &j.same_as, Some("no other step"), &same_as()))
            fieldset { legend { "Needs" } (boxes("needs", &j.needs, &needs())) }
            details {
                summary { "Cautions: " @if j.hazards.is_empty() { "none" } @else { (hazards.iter().filter(|(key, _)| j.hazards.iter().any(|h| h == key)).map(|(_, name)| *name).collect::<Vec<_>>().join(", ")) } }
                fieldset { legend.visually-hidden { "Cautions" } (boxes("hazards", &j.hazards, &hazards)) }
            }
            div.row {
                button type="submit" name="act" value="keep" { @if j.key.is_empty() { "Add" } @else { "Save" } }
                @if j.retired { button.plain type="submit" name="act" value="back" { "Put back on the list" } }
                @else if !j.key.is_empty() { button.plain type="submit" name="act" value="retire" { "Retire" } }
            }
        }
    }
}

/// Changes, adds or retires a standard job.
///
/// # Errors
/// Where what is typed cannot be, each beside its field, or somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Vec<(String, String)>>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn kept(app: &App, signed: &Signed, f: &[(String, String)]) -> Outcome<Redirect> {
    let text = shop_file::read(app, SHOP)?.text;
    let field = |key: &str| f.iter().find(|(k, _)| k == key).map_or_else(String::new, |(_, t)| t.clone());
    let all = |key: &str| f.iter().filter(|(k, _)| k == key).map(|(_, t)| t.clone()).collect::<Vec<_>>();
    let before = job_forms(&text).map_err(shop_file::unreadable)?.into_iter().find(|j| j.key == field("key"));
    // In the order of the list, so that what was not touched is not written.
    let in_order = |chosen: Vec<String>, saved: &[String]| {
        let same = chosen.len() == saved.len() && chosen.iter().all(|c| saved.contains(c));
        if same { saved.to_vec() } else { chosen }
    };
    let saved = before.clone().unwrap_or_default();
    let typed = JobForm {
        key: field("key"),
        name: field("name"),
        customer: field("customer"),
        minutes: ["minutes.0", "minutes.1", "minutes.2"].map(|m| field(m).trim().to_owned()),
        further: field("further"),
        parts: field("parts"),
        hazards: in_order(all("hazards"), &saved.hazards),
        skill: field("skill"),
        needs: in_order(all("needs"), &saved.needs),
        when: field("when"),
        same_as: field("same_as"),
        sent_out_days: field("sent_out_days"),
        retired: match field("act").as_str() {
            "retire" => true,
            "back" => false,
            _ => saved.retired,
        },
        usual: saved.usual,
    };
    let text = with_job(&text, &typed).map_err(|w| shop_file::refused(signed.fmt, w))?;
    let version = field("version").parse().unwrap_or(0);
    shop_file::keep(app, signed, SHOP, version, &text)?;
    Ok(Redirect::to(&if typed.key.is_empty() { "/shop/jobs".to_owned() } else { format!("/shop/jobs#{}", typed.key) }))
}
