//! A contract: its plan, how to make one, what it came to and what changed.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::contract_ground::{KeptPlan, is_empty};
use crate::contract_planner::Stage;
use crate::problem::{Outcome, Problem};
use crate::redisplay::Redisplay;
use crate::view::contract_frame::head;
use crate::view::contract_jobs::{Jobs, card, is_worked};
use crate::view::contract_result::{Filter, answers, benches, difference, instruments, left, more};
use crate::{contract_jobs, contract_planning};
use crate::{layout, shop_file, when};
use ::survey::contract_form::{bench_forms, head_form};
use ::survey::contract_rows::{ContractTable, rows};
use axum::extract::{Path, Query, State};
use axum::http::header::REFRESH;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use report::ContractFile;
use serde::Deserialize;
use store::contracts::{ContractPlanRow, ContractRow, ContractTexts};

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    show: String,
    #[serde(default)]
    bench: String,
    #[serde(default)]
    find: String,
}

/// The page.
///
/// # Errors
/// Where there is no such contract.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, asked, &Redisplay::default())).await
}

pub(super) fn shown(app: &App, signed: &Signed, id: i64, asked: Asked, redisplay: &Redisplay) -> Outcome<Markup> {
    let (row, texts) = app.store().contract_with_texts(id)?;
    let plans = app.store().contract_plans(id)?;
    let (now, before) = KeptPlan::newest(app.store(), &plans)?;
    let (jobs, people) = (contract_jobs::of(app.store(), id)?, app.store().people()?);
    let account = contract_jobs::account(app, id, &jobs)?;
    let filter = Filter { show: asked.show, bench: asked.bench, find: asked.find };
    let failed = app.planner().failed(id);
    Ok(layout::page(
        signed,
        &row.name,
        html! {
            (head(signed, &row, ""))
            (redisplay.head())
            @if let Some((first, rest)) = failed.split_first() {
                div.problem role="alert" { p { (first) } ul { @for words in rest { li { (words) } } } }
            }
            (deed(app, signed, &row, &texts, now.as_ref(), &jobs)?)
            @if let Some(now) = &now {
                (answers(now))
                @if let Some(before) = &before { (difference(before, now)) }
                (card(signed, &row, now, &jobs, &people, &account, redisplay))
                (papers(id, now))
                (more(now))
                (benches(now))
                (left(now))
                (instruments(now, &jobs, &filter, signed.may(Need::Survey)))
                (others(id, &plans))
            }
        },
    ))
}

/// What to do next: import, plan, look at the progress; and the two figures that are changed most.
fn deed(app: &App, signed: &Signed, row: &ContractRow, texts: &ContractTexts, now: Option<&KeptPlan>, jobs: &Jobs) -> Outcome<Markup> {
    let id = row.id;
    if let Some(stage) = app.planner().stage(id) {
        return Ok(
            html! { section.card { p { strong { (stage_title(stage)) ". " } (stage_words(stage)) } p.row { a.button href={ "/contracts/" (id) "/progress" } { "Progress" } } } },
        );
    }
    if is_empty(texts) {
        return Ok(
            html! { section.card { p { "No instruments yet." } p.row { a.button href={ "/contracts/" (id) "/tables" } { "Import the tables" } } } },
        );
    }
    let saved = head_form(&texts.head).map_err(shop_file::unreadable)?;
    let people = bench_forms(&texts.head).map_err(shop_file::unreadable)?;
    let all = rows(ContractTable::Instruments, &texts.instruments).len();
    let marked = rows(ContractTable::Done, &texts.done);
    let worked = jobs.values().filter(|j| is_worked(j) && marked.iter().all(|r| r.get("tag") != j.tag)).count();
    let done = marked.len() + worked;
    let moved = now.map_or(Ok(0), |n| contract_jobs::moved(&n.contract, jobs))?;
    let stale = now.is_some_and(|n| !n.ground.is_of(row)) || moved > 0;
    let version = html! { (layout::csrf(signed)) input type="hidden" name="version" value=(row.version); input type="hidden" name="from" value="plan"; };
    Ok(html! {
        section.card {
            p { (all) " instruments, " (done) " of them done or begun. Budget " strong { (saved.budget) } ", deadline " strong { (when::day_words(&saved.deadline)) } "." }
            @if stale { p.note { strong { "Changed since this plan was made. " } @if moved == 1 { "1 job went on. " } @else if moved > 1 { (moved) " jobs went on. " } "Plan again to see what it changes." } }
            @else if let Some(n) = now { p.soft.small { "Planned " (when::moment(n.row.at)) " by " (n.row.who) "." } }
            form.row method="post" action={ "/contracts/" (id) "/plan" } {
                (layout::csrf(signed))
                @if now.is_none() { button type="submit" { "Plan" } }
                @else if stale { button type="submit" { "Plan again" } }
                @else { button.plain type="submit" { "Plan again" } }
            }
            div.row {
                details { summary { "Change budget or deadline" }
                    form.row method="post" action={ "/contracts/" (id) "/head" } {
                        (version)
                        label { span { "Budget" } input name="budget" value=(saved.budget) autocomplete="off"; }
                        label { span { "Deadline" } input type="date" name="deadline" value=(saved.deadline); }
                        button.plain type="submit" { "Save" }
                    }
                }
                @if !people.is_empty() { details { summary { "Somebody is ill or away" }
                    form.row method="post" action={ "/contracts/" (id) "/bench" } {
                        (version) input type="hidden" name="act" value="off";
                        label { span { "Bench" } select name="at" { @for (n, b) in people.iter().enumerate() { option value=(n) { (b.id) @if !b.person.is_empty() { ", " (b.person) } } } } }
                        label { span { "First day off" } input type="date" name="first" required; }
                        label { span { "Last day off" } input type="date" name="last"; }
                        button.plain type="submit" { "Save" }
                    }
                } }
            }
            p { "What is done in a job counts by itself. Without a job it is marked on the " a href={ "/contracts/" (id) "/work" } { "work lists" } "." @if now.is_some() { " An instrument that turned out worse is changed behind its tag below." } }
        }
    })
}

pub(super) fn stage_title(stage: Stage) -> &'static str {
    if matches!(stage, Stage::Jobs { .. }) { "Jobs are being opened" } else { "A plan is being made" }
}

fn stage_words(stage: Stage) -> String {
    match stage {
        Stage::Jobs { done, of } => format!("{done} of {of} are open."),
        Stage::Waits { before: 0 } => "It begins.".to_owned(),
        Stage::Waits { before: 1 } => "One other plan is made first.".to_owned(),
        Stage::Waits { before } => format!("{before} other plans are made first."),
        Stage::Offers { done, of } => format!("What can be done with each instrument: {done} of {of} worked out."),
        Stage::Search { best: None, .. } => "Searching. No plan yet that holds.".to_owned(),
        Stage::Search { best: Some(best), bound } => {
            format!("Searching. Best plan so far: {best:.0} points. None is worth more than {bound:.0}.")
        }
        Stage::More => "The plan stands. What more money and time would buy is worked out.".to_owned(),
    }
}

/// Papers and files of a plan.
fn papers(id: i64, now: &KeptPlan) -> Markup {
    let one = |f: ContractFile, words: &str| {
        let folder =
            if matches!(f, ContractFile::WorkListPaper | ContractFile::WorkListTable | ContractFile::Calendar) { "work" } else { "files" };
        html! { a.button.plain href={ "/contracts/" (id) "/" (folder) "/" (f.name()) } { (words) } }
    };
    html! {
        h2 { "Papers and files" }
        @if now.ground.stopped { p.soft { "They tell of the plan as it was when the search was stopped." } }
        div.row {
            (one(ContractFile::Report, "Report for the customer (PDF)"))
            (one(ContractFile::WorkListPaper, "Work list (PDF)"))
            (one(ContractFile::WorkListTable, "Work list (CSV)"))
            (one(ContractFile::Calendar, "Calendar"))
            (one(ContractFile::Plan, "contract.json"))
            (one(ContractFile::Problem, "problem.json"))
        }
    }
}

/// The plans before this one.
fn others(id: i64, all: &[ContractPlanRow]) -> Markup {
    html! {
        @if all.len() > 1 {
            details {
                summary { "Earlier plans: " (all.len() - 1) }
                ul.plain.lines { @for p in all.iter().skip(1).take(50) { li { a href={ "/contracts/" (id) "/files/contract.json?plan=" (p.id) } { (when::moment(p.at)) } " " span.soft { "by " (p.who) } } } }
            }
        }
    }
}

/// How far the plan is: the page comes again by itself until there is one.
///
/// # Errors
/// Where there is no such contract.
pub async fn progress(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let row = app.store().contract(id)?;
        let Some(stage) = app.planner().stage(id) else { return Ok(Redirect::to(&format!("/contracts/{id}")).into_response()) };
        let (value, most) = match stage {
            Stage::Offers { done, of } | Stage::Jobs { done, of } => (Some(done), of),
            _ => (None, 1),
        };
        let page = layout::page(
            &signed,
            &format!("{}: progress", row.name),
            html! {
                (head(&signed, &row, ""))
                h2 { (stage_title(stage)) }
                p role="status" { (stage_words(stage)) }
                progress aria-label="Progress" max=(most) value=[value] {}
                p.soft { "This page comes again by itself. You may go on with other work meanwhile." }
                form.row method="post" action={ "/contracts/" (id) "/stop" } {
                    (layout::csrf(&signed))
                    button.plain type="submit" { @if matches!(stage, Stage::Search { best: Some(_), .. }) { "Stop and keep the best so far" } @else { "Stop" } }
                }
            },
        );
        // Works without a script; nothing is typed on this page that could be lost.
        Ok(([(REFRESH, "2")], page).into_response())
    })
    .await
}

/// What the forms here send: nothing but that they were sent.
#[derive(Deserialize)]
pub struct Sent {}

/// Begins a plan.
///
/// # Errors
/// Where there is no such contract, it has no instruments, or too many plans wait.
pub async fn plan(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Form(Sent {}): Form<Sent>,
) -> Outcome<Redirect> {
    app.blocking(move |app| {
        let (_, texts) = app.store().contract_with_texts(id)?;
        if is_empty(&texts) {
            return Err(Problem::Bad("this contract has no instruments yet: import its tables first".to_owned()));
        }
        if matches!(app.planner().stage(id), Some(Stage::Jobs { .. })) {
            return Err(Problem::Conflict("jobs of this contract are being opened; plan again when that is done".to_owned()));
        }
        let (shared, login) = (app.clone(), signed.person.login.clone());
        app.planner().ask(id, Box::new(move |run| contract_planning::plan(&shared, &login, id, run)))?;
        Ok(Redirect::to(&format!("/contracts/{id}/progress")))
    })
    .await
}

/// Stops a plan that is being made: the best so far is kept.
///
/// # Errors
/// Where there is no such contract.
pub async fn stop(State(app): State<App>, Path(id): Path<i64>, Form(Sent {}): Form<Sent>) -> Outcome<Redirect> {
    app.blocking(move |app| {
        app.store().contract(id)?;
        app.planner().stop(id);
        Ok(Redirect::to(&format!("/contracts/{id}/progress")))
    })
    .await
}
