//! Who works at which bench, at what pace and rate: the plan's hours become each one's own.

use crate::app::{App, SHOP};
use crate::auth::Signed;
use crate::problem::Outcome;
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::view::shop_frame::{example_in_use, tabs};
use crate::{layout, learning, shop_file};
use ::survey::shop_form::people::{BenchPerson, bench_people, with_bench_person, without_bench_person};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use quote::learn::pace_of;
use serde::Deserialize;

/// What a person's form sends.
#[derive(Deserialize)]
pub struct Person {
    /// The name that the file has; empty for a new person.
    person: String,
    name: String,
    #[serde(default)]
    bench: String,
    #[serde(default)]
    pace: String,
    #[serde(default)]
    per_hour: String,
    #[serde(default)]
    skills: String,
    #[serde(default)]
    act: String,
    #[serde(default)]
    version: i64,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let file = shop_file::read(app, SHOP)?;
    let people = bench_people(&file.text).map_err(shop_file::unreadable)?;
    let shop = ::survey::read_shop(&file.text).0;
    let learned = learning::read(app.store(), &learning::in_use(app.store())?)?;
    let currency = shop.currency.clone();
    let refill = |name: &str| redisplay.form_with("/shop/benches", "person", name);
    let nobody = BenchPerson::default();
    Ok(layout::page(
        signed,
        "Benches",
        html! {
            h1 { "Benches" }
            (tabs("/shop/benches"))
            (example_in_use(signed, SHOP, &file))
            p { "A pace of 1 is the shop's standard. An apprentice at 1.6 takes 1.6 times as long. It is where they start: " a href="/history/times" { "their finished steps" } " move it. Who may sign in stands under " a href="/people" { "People" } "." }
            p { "A price is the shop's time at the shop's rate, whoever does it: nobody pays more because the apprentice does it. Where you set a rate of their own, a quote that is given while the job lies on their bench is made with that rate. " span.soft { "Common practice, no source." } }
            div.cards {
                @for p in &people { section.card { h2 { (p.name) } p.soft.small { "Takes " (pace_of(&shop, learned.as_ref(), &p.name).words()) "." } (form(signed, p, file.version, &currency, refill(&p.name))) } }
                section.card { h2 { "Add somebody" } (form(signed, &nobody, file.version, &currency, refill(""))) }
            }
        },
    ))
}

fn form<'a>(signed: &Signed, p: &'a BenchPerson, version: i64, currency: &str, refill: Refill<'a>) -> Markup {
    let field = |key: &'static str, label: &str, saved: &'a str, without: &str| {
        html! { label { span { (label) } input name=(key) value=(refill.text(key, saved)) placeholder=[(!without.is_empty()).then_some(without)] autocomplete="off"; (refill.beside(key, saved)) } }
    };
    html! {
        form.stack method="post" action="/shop/benches" {
            (layout::csrf(signed)) (refill.problems()) (refill.version(version))
            input type="hidden" name="person" value=(p.name);
            (field("name", "Name", &p.name, ""))
            (field("bench", "Bench", &p.bench, ""))
            (field("pace", "Pace (times the standard)", &p.pace, "1"))
            (field("per_hour", &format!("Own rate ({currency} an hour)"), &p.per_hour, "the shop's"))
            (field("skills", "Knows to do (what not everybody may)", &p.skills, "valves, hand slides"))
            div.row {
                button type="submit" { @if p.name.is_empty() { "Add" } @else { "Save" } }
                @if !p.name.is_empty() { button.plain type="submit" name="act" value="take-out" { "Take off the list" } }
            }
        }
    }
}

/// Changes, adds or takes out a person.
///
/// # Errors
/// Where what is typed cannot be, each beside its field, or somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Person>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn kept(app: &App, signed: &Signed, f: &Person) -> Outcome<Redirect> {
    let text = shop_file::read(app, SHOP)?.text;
    let typed = BenchPerson {
        name: f.name.clone(),
        bench: f.bench.clone(),
        pace: f.pace.clone(),
        per_hour: f.per_hour.clone(),
        skills: f.skills.clone(),
    };
    let text = if f.act == "take-out" { without_bench_person(&text, &f.person) } else { with_bench_person(&text, &f.person, &typed) };
    shop_file::keep(app, signed, SHOP, f.version, &text.map_err(|w| shop_file::refused(signed.fmt, w))?)?;
    Ok(Redirect::to("/shop/benches"))
}
