//! Budget, days and benches of a contract, as forms over its file.

use crate::app::App;
use crate::auth::Signed;
use crate::contract_ground::{HEAD, is_empty, read_tables};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Fields, Redisplay, Refill, Sent, sent_as};
use crate::view::contract_frame::{head, placed};
use crate::view::names::level_options;
use crate::{layout, shop_file, when};
use ::survey::contract_form::{BenchForm, bench_forms, head_form, with_bench, with_head, without_bench};
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use contract::{Points, Skill, Spread};
use maud::{Markup, html};
use store::By;
use store::contracts::ContractTexts;

/// What a skill is called.
fn skill_words(skill: Skill) -> &'static str {
    match skill {
        Skill::Dents => "dents",
        Skill::Soldering => "soldering",
        Skill::Valves => "valves and slides",
        Skill::Finish => "finish",
    }
}

/// The page.
///
/// # Errors
/// Where there is no such contract.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let (row, texts) = app.store().contract_with_texts(id)?;
    let saved = head_form(&texts.head).map_err(shop_file::unreadable)?;
    let benches = bench_forms(&texts.head).map_err(shop_file::unreadable)?;
    let (at, at_bench) = (format!("/contracts/{id}/head"), format!("/contracts/{id}/bench"));
    let refill = redisplay.form(&at);
    let text = |key: &'static str, label: &str, saved: &str, kind: &str, about: &str| {
        html! { label { span { (label) } input type=(kind) name=(key) value=(refill.text(key, saved)) autocomplete="off"; @if !about.is_empty() { span.soft.small { (about) } } (refill.beside(key, saved)) } }
    };
    let (points, spread) = (Points::common_practice(), Spread::common_practice());
    let percent = |part: f64| format!("Left empty: {:.0} %.", part * 100.0);
    let minimum = if saved.minimum.is_empty() { "play" } else { &saved.minimum };
    let new = BenchForm { skills: Skill::ALL.iter().map(|s| s.key().to_owned()).collect(), ..BenchForm::default() };
    Ok(layout::page(
        signed,
        &format!("{}: budget and benches", row.name),
        html! {
            (head(signed, &row, "/head"))
            (redisplay.head())
            section.card {
                h2 { "Budget and days" }
                form method="post" action=(at) {
                    (layout::csrf(signed)) (refill.problems()) (refill.version(row.version))
                    div.fields {
                        (text("budget", "Budget", &saved.budget, "text", "Tax included."))
                        (text("starts", "First day of work", &saved.starts, "date", ""))
                        (text("deadline", "Deadline", &saved.deadline, "date", "The last day of work."))
                        (text("today", "Plan from", &saved.today, "date", "Left empty: from today."))
                        (text("likelihood", "Likelihood asked", &saved.likelihood, "text", "How likely all benches are to be done by the deadline. Left empty: 80 %."))
                        label { span { "Minimum standard" } select name="minimum" { (level_options(|key| refill.has("minimum", key, key == minimum))) } span.soft.small { "For instruments marked as a must." } (refill.beside_named("minimum", minimum, |key| key.to_owned())) }
                        (text("holidays", "Holidays", &saved.holidays, "text", "Commas between, like 2026-07-03, 2026-07-20 to 2026-07-24."))
                    }
                    details {
                        summary { "What counts as worth more, and how far times may be off" }
                        p.soft.small { "Points count times 1, 2 or 3 for low, usual or high priority. Common practice, no source." }
                        div.fields {
                            (text("play", "Points: it plays", &saved.play, "text", &format!("Left empty: {}.", points.play)))
                            (text("good", "Points: dents out too", &saved.good, "text", &format!("Left empty: {}.", points.good)))
                            (text("beautiful", "Points: restored", &saved.beautiful, "text", &format!("Left empty: {}.", points.beautiful)))
                            (text("person", "A person’s pace is off by", &saved.person, "text", &percent(spread.person)))
                            (text("contract", "All surveys together are off by", &saved.contract, "text", &percent(spread.contract)))
                        }
                    }
                    button type="submit" { "Save" }
                }
            }
            h2 { "Benches" }
            @if benches.is_empty() { p.warn { strong { "No bench yet. " } "Without one nothing can be planned." } }
            div.cards {
                @for (n, b) in benches.iter().enumerate() {
                    section.card id={ "bench-" (n) } { h3 { (b.id) @if !b.person.is_empty() { ", " (b.person) } }
                        (bench(signed, &at_bench, b, &n.to_string(), row.version, redisplay.form_with(&at_bench, "at", &n.to_string()))) }
                }
                section.card { h3 { "Add a bench" } (bench(signed, &at_bench, &new, "new", row.version, redisplay.form_with(&at_bench, "at", "new"))) }
            }
        },
    ))
}

fn bench<'a>(signed: &Signed, action: &str, b: &'a BenchForm, at: &str, version: i64, refill: Refill<'a>) -> Markup {
    let text = |key: &'static str, label: &str, saved: &'a str, without: &str| {
        html! { label { span { (label) } input name=(key) value=(refill.text(key, saved)) placeholder=[(!without.is_empty()).then_some(without)] autocomplete="off"; (refill.beside(key, saved)) } }
    };
    html! {
        form.stack method="post" action=(action) {
            (layout::csrf(signed)) (refill.problems()) (refill.version(version))
            input type="hidden" name="at" value=(at);
            (text("id", "Bench", &b.id, ""))
            (text("person", "Who works there", &b.person, ""))
            (text("hours", "Time a day for this contract", &b.hours, "6 h"))
            (text("off", "Days off", &b.off, "2026-07-20 to 2026-07-24"))
            details open[refill.refused()] {
                summary { "Days, pace, skills" }
                (text("days", "Days of the week", &b.days, "mon, tue, wed, thu, fri"))
                (text("begins", "The day begins at", &b.begins, "8:00"))
                (text("pace", "Pace (times the standard)", &b.pace, "1"))
                fieldset.bare { legend { "Does" }
                    div.chips { @for skill in Skill::ALL { label.chip.tap { input type="checkbox" name="skills" value=(skill.key()) checked[refill.ticked("skills", skill.key(), b.skills.iter().any(|s| s == skill.key()))]; (skill_words(skill)) } } } (refill.beside("skills", "")) }
            }
            div.row {
                button type="submit" name="act" value="save" { @if at == "new" { "Add" } @else { "Save" } }
                @if at != "new" { button.plain type="submit" name="act" value="take-out" { "Take out" } }
            }
        }
    }
}

/// Keeps what a form changed in the head, if all of the contract can still be read.
fn changed(app: &App, signed: &Signed, id: i64, version: i64, texts: ContractTexts) -> Outcome<()> {
    if !is_empty(&texts)
        && let Err(all) = read_tables(&texts)
    {
        // What the form itself says wrongly was told beside its field; this is what hangs on it: a bench that jobs were done at.
        let told = all.iter().filter(|p| p.file != HEAD || p.problem.line.is_some()).map(|p| placed(signed.fmt, p)).collect::<Vec<_>>();
        if !told.is_empty() {
            return Err(Problem::Several(told));
        }
    }
    Ok(app.store().change_contract(By { who: &signed.person.login, at: when::now() }, id, version, &texts)?)
}

fn version_of(f: &Fields) -> i64 {
    sent_as(f, "version").and_then(|v| v.parse().ok()).unwrap_or(0)
}

/// Whether a form of the plan's page was sent: it holds a part of the fields, so that the page of all of them is not shown for it.
fn of_plan(f: &Fields) -> bool {
    sent_as(f, "from") == Some("plan")
}

/// Where a form leads back to: the page of the plan where it was sent from there.
fn back(f: &Fields, id: i64) -> Redirect {
    Redirect::to(&format!("/contracts/{id}{}", if of_plan(f) { "" } else { "/head" }))
}

/// How a form of this page keeps what was sent.
type Keep = fn(&App, &Signed, i64, &Fields) -> Outcome<Redirect>;

/// Keeps what was sent; what is refused comes back on this page, as typed, where it was sent from this page.
fn answered(app: &App, signed: &Signed, id: i64, sent: Sent, f: &Fields, keep: Keep) -> Outcome<Response> {
    if of_plan(f) {
        return Ok(keep(app, signed, id, f)?.into_response());
    }
    sent.taken(|| keep(app, signed, id, f), |redisplay| shown(app, signed, id, redisplay))
}

/// Keeps budget and days; what a form does not send stays.
///
/// # Errors
/// What cannot be, each beside its field, or where somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| answered(app, &signed, id, sent, &f, kept)).await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let (_, texts) = app.store().contract_with_texts(id)?;
    let mut head = head_form(&texts.head).map_err(shop_file::unreadable)?;
    for (key, into) in [
        ("budget", &mut head.budget),
        ("starts", &mut head.starts),
        ("deadline", &mut head.deadline),
        ("today", &mut head.today),
        ("likelihood", &mut head.likelihood),
        ("minimum", &mut head.minimum),
        ("holidays", &mut head.holidays),
        ("play", &mut head.play),
        ("good", &mut head.good),
        ("beautiful", &mut head.beautiful),
        ("person", &mut head.person),
        ("contract", &mut head.contract),
    ] {
        if let Some(text) = sent_as(f, key) {
            text.clone_into(into);
        }
    }
    let text = with_head(&texts.head, &head).map_err(|w| shop_file::refused(signed.fmt, w))?;
    changed(app, signed, id, version_of(f), ContractTexts { head: text, ..texts })?;
    Ok(back(f, id))
}

/// Changes, adds or takes out a bench, or gives it more days off.
///
/// # Errors
/// What cannot be, each beside its field, or where somebody saved in between.
pub async fn keep_bench(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Fields>,
) -> Outcome<Response> {
    app.blocking(move |app| answered(app, &signed, id, sent, &f, kept_bench)).await
}

fn kept_bench(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let (_, texts) = app.store().contract_with_texts(id)?;
    let benches = bench_forms(&texts.head).map_err(shop_file::unreadable)?;
    let at: Option<usize> = sent_as(f, "at").and_then(|at| at.parse().ok());
    let of = |key: &str| sent_as(f, key).unwrap_or_default().to_owned();
    let refused = |w| shop_file::refused(signed.fmt, w);
    let text = match (of("act").as_str(), at) {
        ("take-out", Some(at)) => without_bench(&texts.head, at).map_err(shop_file::unreadable)?,
        ("off", Some(at)) => {
            let before = benches.get(at).ok_or_else(|| Problem::Conflict("there is no such bench any more".to_owned()))?;
            let (first, last) = (of("first"), of("last"));
            let more = if last.trim().is_empty() || last == first { first } else { format!("{first} to {last}") };
            let off = if before.off.is_empty() { more } else { format!("{}, {more}", before.off) };
            with_bench(&texts.head, Some(at), &BenchForm { off, ..before.clone() }).map_err(refused)?
        }
        _ => {
            let typed = BenchForm {
                id: of("id"),
                person: of("person"),
                hours: of("hours"),
                begins: of("begins"),
                days: of("days"),
                off: of("off"),
                pace: of("pace"),
                skills: f.iter().filter(|(k, _)| k == "skills").map(|(_, t)| t.clone()).collect(),
            };
            with_bench(&texts.head, at, &typed).map_err(refused)?
        }
    };
    changed(app, signed, id, version_of(f), ContractTexts { head: text, ..texts })?;
    Ok(back(f, id))
}
