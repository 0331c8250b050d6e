//! An instrument's history on one page, from its tag: all its jobs, where its dents were and which stayed, the walls that were
//! measured, the tools that were made for it.

use crate::app::App;
use crate::auth::Signed;
use crate::invoice::{Agreed, agreed, not_met};
use crate::problem::Outcome;
use crate::recorded::assemble;
use crate::unit_format::UnitFormat;
use crate::view::drawings::dents_on_map;
use crate::view::instrument_fields::kind_name;
use crate::view::job_lines::state_name;
use crate::{layout, when};
use axum::Extension;
use axum::extract::{Path, State};
use draw::Mark;
use instrument::{Dent, Survey};
use maud::{Markup, html};
use plan::StepKind;
use store::bench::StepState;
use store::board::BoardLine;
use store::counter::JobState;
use units::Origin;

/// The history of the instrument of a number.
///
/// # Errors
/// Where there is none.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let card = app.store().instrument(id)?;
        let jobs = app.store().jobs_of_instrument(id)?;
        let open = jobs.iter().find(|l| !l.job.state.is_closed());
        let shown = jobs.iter().map(|line| one_job(app, &signed, line)).collect::<Outcome<Vec<_>>>()?;
        Ok(layout::page(
            &signed,
            &card.tag,
            html! {
                h1 { span.num { (card.tag) } " " (card.maker) " " (card.model) }
                p { (kind_name(&card.kind)) @if !card.serial.is_empty() { ", serial " (card.serial) } @if !card.asset.is_empty() { ", owner's number " (card.asset) } ". " a href={ "/instruments/" (id) } { "Its card" } }
                @if let Some(line) = open { p { a.button href={ "/jobs/" (line.job.id) } { "Open job: " (line.job.title) } } }
                p.big { @match jobs.len() { 0 => "No job yet", 1 => "One job", n => { (n) " jobs" } } }
                @for job in &shown { (job) }
            },
        ))
    })
    .await
}

fn one_job(app: &App, signed: &Signed, line: &BoardLine) -> Outcome<Markup> {
    let (id, fmt) = (line.job.id, signed.fmt);
    let survey = match app.store().survey(id)? {
        Some((body, dents)) => Some(assemble(&body, &dents)?),
        None => None,
    };
    let agreed = agreed(app, id, line.job.state)?;
    let made: &'static str = StepKind::MakeTool.into();
    let tools: Vec<String> =
        app.store().steps(id)?.into_iter().filter(|s| s.kind == made && s.state == StepState::Done).map(|s| s.what).collect();
    let photos = app.store().photos(id)?;
    let open = not_met(app, id)?;
    Ok(html! {
        section.card {
            h2 { a href={ "/jobs/" (id) } { (line.job.title) } " " span.state { (state_name(line.job.state)) } }
            p.soft { "Received " (when::day_of(line.job.received_at)) @if let Some(at) = line.job.closed_at { ", closed " (when::day_of(at)) } ". " @if let Some(part) = agreed.parts.first() { "Agreed: " (part.title) ". " } a href={ "/jobs/" (id) "/hand-back" } { "Pickup and invoice" } }
            @if let Some(survey) = &survey { (maps(fmt, survey, &agreed, line.job.state)) (walls(fmt, survey)) } @else { p.soft { "Not surveyed." } }
            @if !open.is_empty() { h3 { "Not met" } @for n in &open { (super::hand_back::not_met(n)) } }
            @if !tools.is_empty() { h3 { "Tools made for it" } ul { @for t in &tools { li { (t) } } } }
            @if !photos.is_empty() { p { a href={ "/jobs/" (id) "/checks" } { (photos.len()) " photos" } } }
        }
    })
}

/// The map as found, and once the work is done the map of what stays.
fn maps(fmt: UnitFormat, survey: &Survey, agreed: &Agreed, state: JobState) -> Markup {
    let mark = |d: &Dent| Mark { dent: d.id.clone(), label: d.id.0.clone(), worked: !agreed.stays.contains(&d.id.0) };
    let before: Vec<Mark> = survey.dents.iter().map(mark).collect();
    let done = matches!(state, JobState::Ready | JobState::HandedBack);
    let after: Vec<Mark> = before.iter().filter(|m| done && !m.worked).cloned().collect();
    html! {
        @if before.is_empty() { p.soft { "No dent was recorded." } }
        @else {
            h3 { "Before: " (before.len()) @if before.len() == 1 { " dent" } @else { " dents" } }
            (dents_on_map(survey, &before, fmt))
            @if done {
                h3 { "After: " @match after.len() { 0 => "no dent stays by agreement", 1 => "one dent stays by agreement", n => { (n) " dents stay by agreement" } } }
                @if !after.is_empty() { (dents_on_map(survey, &after, fmt)) }
            }
        }
    }
}

/// The walls that were measured: at dents, and along tubes.
fn walls(fmt: UnitFormat, survey: &Survey) -> Markup {
    let name = |run: &instrument::RunId| survey.instrument.run(run).map_or(run.0.clone(), |r| r.name.clone());
    let mut lines: Vec<(String, f64, f64)> = Vec::new();
    for run in &survey.instrument.runs {
        for p in run.wall_mm.points.iter().filter(|p| p.origin == Origin::Measured) {
            lines.push((format!("{}, {} from the mouthpiece end", run.name, fmt.tenths(p.at_mm)), p.value, p.sd));
        }
    }
    for d in &survey.dents {
        if let Some(wall) = d.wall_mm.as_ref().filter(|k| k.origin == Origin::Measured) {
            lines.push((format!("{}, at dent {}", name(&d.run), d.id), wall.value, wall.sd));
        }
    }
    html! {
        @if !lines.is_empty() {
            h3 { "Walls measured" }
            table { tbody { @for (place, value, sd) in &lines { tr { th scope="row" { (place) } td.n.num { (fmt.wall(*value)) " ± " (fmt.wall(*sd)) } } } } }
        }
    }
}
