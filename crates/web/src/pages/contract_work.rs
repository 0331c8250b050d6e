//! The work lists of a contract's benches, a day after the other; what is begun and done is marked here.

use crate::app::App;
use crate::auth::{Need, Signed};
use crate::contract_ground::{KeptPlan, read};
use crate::pages::contract_jobs::job_says;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::view::contract_frame::{head, refused};
use crate::view::contract_jobs::{Jobs, is_worked, link};
use crate::view::names::level_options;
use crate::{contract_jobs, layout, when};
use ::survey::contract_rows::{ContractTable, Row, rows, with_cells, with_row, without_line};
use axum::extract::{Path, Query, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use contract::{Contract, Visit};
use maud::{Markup, html};
use report::ContractFile;
use report::contract_files::day;
use serde::Deserialize;
use std::collections::BTreeSet;
use store::By;
use store::contract_jobs::ContractJob;
use store::contracts::ContractTexts;
use store::counter::JobState;

/// What may stand behind the address.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    bench: String,
}

/// What the form of an instrument sends.
#[derive(Deserialize)]
pub struct Act {
    tag: String,
    #[serde(default)]
    state: String,
    #[serde(default)]
    level: String,
    #[serde(default)]
    bench: String,
    #[serde(default)]
    time: String,
    #[serde(default)]
    act: String,
    #[serde(default)]
    version: i64,
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
    app.blocking(move |app| shown(app, &signed, id, &asked.bench, &Redisplay::default())).await
}

/// What the forms of a page share.
struct Forms<'a> {
    signed: &'a Signed,
    action: String,
    version: i64,
    benches: Vec<String>,
    redisplay: &'a Redisplay,
    jobs: Jobs,
}

impl Forms<'_> {
    /// Whether an instrument's job says how far it is: nobody marks it by hand then.
    fn has_job(&self, tag: &str) -> bool {
        self.jobs.get(tag).is_some_and(|j| j.state != JobState::Declined)
    }
}

fn shown(app: &App, signed: &Signed, id: i64, bench: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let (row, texts) = app.store().contract_with_texts(id)?;
    let now = KeptPlan::last(app.store(), id)?;
    let done = rows(ContractTable::Done, &texts.done);
    let benches = ::survey::contract_form::bench_forms(&texts.head).map_err(crate::shop_file::unreadable)?;
    let forms = Forms {
        signed,
        action: format!("/contracts/{id}/work"),
        version: row.version,
        benches: benches.into_iter().map(|b| b.id).collect(),
        redisplay,
        jobs: contract_jobs::of(app.store(), id)?,
    };
    let by_job: Vec<&ContractJob> = forms.jobs.values().filter(|j| is_worked(j)).filter(|j| bench.is_empty() || j.bench == bench).collect();
    let may = signed.may(Need::Bench);
    let file = |f: ContractFile, words: &str| html! { a.button.plain href={ "/contracts/" (id) "/work/" (f.name()) } { (words) } };
    Ok(layout::page(
        signed,
        &format!("{}: work lists", row.name),
        html! {
            (head(signed, &row, "/work"))
            (redisplay.head())
            @match &now {
                None => p.soft { "Not planned yet." },
                Some(p) => {
                    @if !p.ground.is_of(&row) { p.note { "Something changed since this plan was made. Days may move when it is planned again." } }
                    div.row { (file(ContractFile::WorkListPaper, "Work list (PDF)")) (file(ContractFile::WorkListTable, "Work list (CSV)")) (file(ContractFile::Calendar, "Calendar")) }
                    form.row method="get" action=(forms.action) {
                        label { span { "Bench" } select name="bench" { option value="" { "All" } @for b in &p.contract.benches { option value=(b.id) selected[b.id == bench] { (b.id) @if !b.person.is_empty() { ", " (b.person) } } } } }
                        button.plain type="submit" { "Show" }
                    }
                    p.soft { "The days are those expected. A job may end some days earlier or later." }
                    @for b in p.contract.benches.iter().filter(|b| bench.is_empty() || b.id == bench) {
                        section { h2 { (b.id) @if !b.person.is_empty() { ", " (b.person) } } (days(&forms, p, &b.id, &done, may)) }
                    }
                }
            }
            h2 id="done" { "Done or begun" }
            @if done.is_empty() && by_job.is_empty() { p.soft { "Nothing yet." } }
            @if !by_job.is_empty() { ul.plain.lines { @for j in &by_job { li { strong { (j.tag) } " " (link(j)) @if j.spent_s > 0 { " " span.soft { (when::lasting(j.spent_s)) " so far" @if let Some(s) = j.begun_before_s.filter(|s| *s > 0) { ", " (when::lasting(s)) " of it before it had a job" } } } } } } }
            @for r in done.iter().filter(|r| (bench.is_empty() || r.get("bench") == bench) && !forms.has_job(r.get("tag"))) {
                details.card open[redisplay.form_with(&forms.action, "tag", r.get("tag")).refused()] {
                    summary { strong { (r.get("tag")) } " " (r.get("state")) ", " (r.get("bench")) ", " (r.get("time")) }
                    @if may { (form(&forms, &Of::Marked(r))) }
                }
            }
            @if may {
                details.card open[redisplay.form_with(&forms.action, "kind", "any").refused()] { summary { "Mark another instrument" } (form(&forms, &Of::Any)) }
            }
        },
    ))
}

/// A bench's days with their work.
fn days(forms: &Forms<'_>, p: &KeptPlan, bench: &str, done: &[Row], may: bool) -> Markup {
    let visits: Vec<&Visit> = p.planned.visits.iter().filter(|v| v.bench == bench).collect();
    let dates: BTreeSet<&str> = visits.iter().flat_map(|v| v.when.iter().map(|s| s.date.as_str())).collect();
    let clock = |m: u32| format!("{}:{:02}", (m + 2) / 5 * 5 / 60, (m + 2) / 5 * 5 % 60);
    html! {
        @if dates.is_empty() { p.soft { "Nothing planned." } }
        @for date in dates {
            h3 { (day(date)) }
            ul.plain.lines {
                @for (v, s) in visits.iter().flat_map(|v| v.when.iter().filter(|s| s.date == date).map(move |s| (*v, s))) {
                    @let marked = done.iter().find(|r| r.get("tag") == v.tag);
                    @let job = forms.jobs.get(&v.tag).filter(|j| j.state != JobState::Declined);
                    li {
                        p { span.num { (clock(s.from_min)) " to " (clock(s.to_min)) } " " strong { (v.tag) } " " (name(&p.contract, v)) ": " (what(forms.signed, p, v)) @if let Some(job) = job { " " (link(job)) } @else if let Some(r) = marked { " " span.state { (r.get("state")) } } }
                        // Where its work begins; a second day has no form of its own.
                        @if may && v.tool.is_none() && marked.is_none() && job.is_none() && v.when.first() == Some(s) {
                            @let level = p.planned.of(&v.tag).map_or("", |a| a.level.key());
                            details open[forms.redisplay.form_with(&forms.action, "tag", &v.tag).refused()] { summary { "Done or begun" } (form(forms, &Of::Planned(&v.tag, level, bench))) }
                        }
                    }
                }
            }
        }
    }
}

fn name<'c>(contract: &'c Contract, v: &Visit) -> &'c str {
    contract.horn(&v.tag).map_or("", |h| h.name.as_str())
}

fn what(signed: &Signed, p: &KeptPlan, v: &Visit) -> String {
    let gets = |level| p.contract.horn(&v.tag).map_or_else(String::new, |h| h.gets(level).to_lowercase());
    match (&v.tool, p.planned.of(&v.tag)) {
        (Some(tool), _) => format!("make {}", p.contract.tool_name(tool, signed.fmt.0)),
        (None, Some(a)) if a.begun => format!("finish, {}", gets(a.level)),
        (None, Some(a)) => gets(a.level),
        (None, None) => String::new(),
    }
}

/// Which instrument a form marks.
enum Of<'a> {
    /// One that is marked already.
    Marked(&'a Row),
    /// One of the plan: its tag, the level and the bench.
    Planned(&'a str, &'a str, &'a str),
    /// Whichever is typed.
    Any,
}

/// The form that marks an instrument.
fn form(forms: &Forms<'_>, of: &Of<'_>) -> Markup {
    let (tag, row, level, bench) = match of {
        Of::Marked(row) => (row.get("tag"), Some(*row), "", ""),
        Of::Planned(tag, level, bench) => (*tag, None, *level, *bench),
        Of::Any => ("", None, "", ""),
    };
    let refill = match of {
        Of::Any => forms.redisplay.form_with(&forms.action, "kind", "any"),
        _ => forms.redisplay.form_with(&forms.action, "tag", tag),
    };
    let saved = |column: &str, usual: &str| row.map_or_else(|| usual.to_owned(), |r| r.get(column).to_owned());
    let (state, level, bench, time) = (saved("state", "done"), saved("level", level), saved("bench", bench), saved("time", ""));
    html! {
        form method="post" action=(forms.action) {
            (layout::csrf(forms.signed)) (refill.problems()) (refill.version(forms.version))
            @if !matches!(of, Of::Any) { input type="hidden" name="tag" value=(tag); } @else { input type="hidden" name="kind" value="any"; }
            div.fields {
                @if matches!(of, Of::Any) { label { span { "Tag" } input name="tag" value=(refill.text("tag", "")) autocomplete="off"; (refill.beside("tag", "")) } }
                label { span { "It is" } select name="state" { @for key in ["done", "begun"] { option value=(key) selected[refill.has("state", key, key == state)] { (key) } } } (refill.beside("state", &state)) }
                label { span { "Time so far" } input name="time" value=(refill.text("time", &time)) placeholder="1 h 20 min" autocomplete="off"; (refill.beside("time", &time)) }
                label { span { "Work" } select name="level" { (level_options(|key| refill.has("level", key, *key == level))) } (refill.beside("level", &level)) }
                label { span { "Bench" } select name="bench" { @for b in &forms.benches { option value=(b) selected[refill.has("bench", b, *b == bench)] { (b) } } } (refill.beside("bench", &bench)) }
            }
            div.row {
                button type="submit" name="act" value="save" { "Save" }
                @if row.is_some() { button.plain type="submit" name="act" value="take-back" { "Undo" } }
            }
        }
    }
}

/// Marks an instrument as begun or done, or takes the mark back.
///
/// # Errors
/// What cannot be, each beside its field, or where somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Act>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |redisplay| shown(app, &signed, id, "", redisplay))).await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Act) -> Outcome<Redirect> {
    let (_, texts) = app.store().contract_with_texts(id)?;
    let line = rows(ContractTable::Done, &texts.done).into_iter().find(|r| r.get("tag") == f.tag).map(|r| r.line);
    // A bare number means minutes, as at the bench.
    let time = f.time.trim();
    let time = if time.parse::<f64>().is_ok() { format!("{time} min") } else { time.to_owned() };
    let cells = [
        ("tag", f.tag.as_str()),
        ("state", f.state.as_str()),
        ("level", f.level.as_str()),
        ("bench", f.bench.as_str()),
        ("time", time.as_str()),
    ];
    let done = match (f.act.as_str(), line) {
        ("take-back", Some(line)) => without_line(&texts.done, line),
        ("take-back", None) => return Err(Problem::Conflict("it is not marked any more".to_owned())),
        (_, Some(line)) => with_cells(&texts.done, line, &cells),
        (_, None) => with_row(&texts.done, &cells),
    };
    if f.act != "take-back" {
        job_says(app, id, &f.tag)?;
    }
    let texts = ContractTexts { done, ..texts };
    if let Err(all) = read(&texts, &app.standard_jobs()?) {
        return Err(refused(signed.fmt, &all, |p| {
            p.file == ContractTable::Done.file() && cells.iter().any(|(column, _)| *column == p.problem.field)
        }));
    }
    app.store().change_contract(By { who: &signed.person.login, at: when::now() }, id, f.version, &texts)?;
    Ok(Redirect::to(&format!("/contracts/{id}/work")))
}
