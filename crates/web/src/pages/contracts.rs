//! All contracts, and a new one.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::contract_ground::{KeptPlan, unfilled};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::names::level_options;
use crate::{layout, learning, shop_file, when};
use ::survey::contract_form::{BenchForm, HeadForm, empty_head, with_bench, with_head};
use ::survey::contract_rows::{ContractTable, rows};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use contract::{Skill, Standing};
use maud::{Markup, html};
use quote::learn::pace_of;
use serde::Deserialize;
use store::By;
use store::contracts::{ContractRow, ContractTexts};
use units::likelihood::show_likelihood;
use units::money::show_whole;

/// Customers offered in the list at most.
const MOST_CUSTOMERS: u32 = 2_000;

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn list(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let all = app.store().contracts()?;
        let quotes = signed.may(Need::Quote);
        let lines: Vec<Markup> = all.iter().map(|row| line(app, row, quotes)).collect::<Outcome<_>>()?;
        Ok(layout::page(
            &signed,
            "Contracts",
            html! {
                h1 { "School contracts" }
                p { "Many instruments, one budget, one deadline. The plan says which repair each instrument gets, on which bench and when." }
                @if quotes { p.row { a.button href="/contracts/new" { "New contract" } } }
                @if lines.is_empty() { p.soft { "No contract yet." } }
                ul.plain.lines { @for line in &lines { (line) } }
                @if quotes {
                    h2 { "Empty tables" }
                    p { "One row an instrument, one row a dent. Each table says at its head what stands in its columns." }
                    div.row { @for table in ContractTable::ALL { a.button.plain href={ "/contracts/tables/" (table.file()) } { "Download " (table.file()) } } }
                }
            },
        ))
    })
    .await
}

fn line(app: &App, row: &ContractRow, quotes: bool) -> Outcome<Markup> {
    let plan = KeptPlan::last(app.store(), row.id)?;
    let words = match (&plan, app.planner().stage(row.id)) {
        (_, Some(stage)) => format!("{}.", super::contract::stage_title(stage)),
        (None, None) => {
            let texts = app.store().contract_with_texts(row.id)?.1;
            match rows(ContractTable::Instruments, &texts.instruments).len() {
                0 => "No instruments yet.".to_owned(),
                n => format!("{n} instruments. Not planned yet."),
            }
        }
        (Some(p), None) => {
            let done = p.contract.horns.iter().filter(|h| matches!(h.standing, Standing::Done { .. })).count();
            let all = p.contract.horns.len();
            let until = when::day_words(&p.contract.deadline);
            let mut words = format!("{all} instruments, {done} done, {} in the plan. Deadline {until}", p.planned.assigned.len());
            if quotes {
                let cost = show_whole(p.planned.cost + p.planned.spent, &p.contract.currency);
                let budget = show_whole(p.contract.budget, &p.contract.currency);
                words += &format!(", likelihood {}. {cost} of {budget}", show_likelihood(p.planned.likelihood));
            }
            words + "."
        }
    };
    let to = if quotes { format!("/contracts/{}", row.id) } else { format!("/contracts/{}/work", row.id) };
    Ok(html! { li { a href=(to) { strong { (row.name) } } p.soft { (words) } } })
}

/// The form of a new contract.
///
/// # Errors
/// Where the record fails.
pub async fn new(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| form(app, &signed, &Redisplay::default())).await
}

fn form(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let refill = redisplay.form("/contracts");
    let customers = app.store().customers("", MOST_CUSTOMERS)?;
    let field = |key: &str, label: &str, kind: &str, about: &str| {
        html! { label { span { (label) } input type=(kind) name=(key) value=(refill.text(key, "")) autocomplete="off"; @if !about.is_empty() { span.soft.small { (about) } } (refill.beside(key, "")) } }
    };
    Ok(layout::page(
        signed,
        "New contract",
        html! {
            h1 { "New contract" }
            form.stack method="post" action="/contracts" {
                (layout::csrf(signed)) (refill.problems())
                div.fields {
                    label { span { "Customer" } select name="customer" required {
                        option value="" { "Choose" }
                        @for c in &customers { option value=(c.id) selected[refill.has("customer", &c.id.to_string(), false)] { (c.name) } }
                    } (refill.beside("customer", "")) }
                    (field("budget", "Budget", "text", "Tax included, like $24,000."))
                    (field("starts", "First day of work", "date", ""))
                    (field("deadline", "Deadline", "date", "The last day of work."))
                    (field("likelihood", "Likelihood asked", "text", "How likely all benches are to be done by then. Left empty: 80 %."))
                    label { span { "Minimum standard" } select name="minimum" { (level_options(|key| refill.has("minimum", key, key == "play"))) } span.soft.small { "For instruments marked as a must." } (refill.beside("minimum", "")) }
                    (field("hours", "Bench time a day", "text", "What each bench gives this contract, like 4 h. You set each bench apart on the next page."))
                }
                p.soft { "Benches come from " a href="/shop/benches" { "the shop’s people" } ", with their pace." }
                button type="submit" { "Open the contract" }
            }
            p.soft { "A customer who is not in the list is added under " a href="/customers" { "Customers" } " first." }
        },
    ))
}

/// What the form of a new contract sends.
#[derive(Deserialize)]
pub struct Fields {
    #[serde(default)]
    customer: String,
    #[serde(default)]
    budget: String,
    #[serde(default)]
    starts: String,
    #[serde(default)]
    deadline: String,
    #[serde(default)]
    likelihood: String,
    #[serde(default)]
    minimum: String,
    #[serde(default)]
    hours: String,
}

/// Opens a contract.
///
/// # Errors
/// What cannot be, each beside its field.
pub async fn add(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| added(app, &signed, &f), |redisplay| form(app, &signed, redisplay))).await
}

fn added(app: &App, signed: &Signed, f: &Fields) -> Outcome<Redirect> {
    let mut wrong = Vec::new();
    let customer = f.customer.parse().ok().and_then(|id| app.store().customer(id).ok());
    if customer.is_none() {
        wrong.push(("customer".to_owned(), "choose the customer".to_owned()));
    }
    let head = HeadForm {
        customer: customer.as_ref().map_or("-", |c| c.name.as_str()).to_owned(),
        budget: f.budget.clone(),
        starts: f.starts.clone(),
        deadline: f.deadline.clone(),
        likelihood: f.likelihood.clone(),
        minimum: f.minimum.clone(),
        ..HeadForm::default()
    };
    let words = |all: ::survey::contract_form::Refused| match shop_file::refused(signed.fmt, all) {
        Problem::Fields(all) => all,
        other => vec![(String::new(), other.to_string())],
    };
    let mut text = with_head(&empty_head(), &head).map_err(words).unwrap_or_else(|all| {
        wrong.extend(all);
        empty_head()
    });
    let shop = app.shop()?;
    let learned = learning::read(app.store(), &learning::in_use(app.store())?)?;
    let all_skills: Vec<String> = Skill::ALL.iter().map(|s| s.key().to_owned()).collect();
    let bench = |id: String, person: &str, pace: f64| BenchForm {
        id,
        person: person.to_owned(),
        hours: f.hours.clone(),
        pace: if (pace - 1.0).abs() < 0.005 { String::new() } else { format!("{pace:.2}") },
        skills: all_skills.clone(),
        ..BenchForm::default()
    };
    let mut benches: Vec<BenchForm> = Vec::new();
    for p in &shop.people {
        let named = if p.bench.trim().is_empty() { p.name.clone() } else { p.bench.clone() };
        let id = if benches.iter().any(|b| b.id == named) { p.name.clone() } else { named };
        benches.push(bench(id, &p.name, pace_of(&shop, learned.as_ref(), &p.name).over_shop));
    }
    if benches.is_empty() {
        benches.push(bench("bench 1".to_owned(), "", 1.0));
    }
    for b in &benches {
        match with_bench(&text, None, b) {
            Ok(more) => text = more,
            Err(all) => {
                // The same hours are wrong at every bench alike.
                wrong.extend(words(all).into_iter().map(|(_, words)| ("hours".to_owned(), words)));
                break;
            }
        }
    }
    let (Some(customer), true) = (customer, wrong.is_empty()) else { return Err(Problem::Fields(wrong)) };
    let texts = ContractTexts {
        head: text,
        instruments: unfilled(ContractTable::Instruments),
        dents: unfilled(ContractTable::Dents),
        done: unfilled(ContractTable::Done),
    };
    let id = app.store().add_contract(By { who: &signed.person.login, at: when::now() }, customer.id, &texts)?;
    Ok(Redirect::to(&format!("/contracts/{id}/tables")))
}
