//! One instrument of a contract: its row and its dents, changed where it turned out worse than it was surveyed.

use crate::app::App;
use crate::auth::Signed;
use crate::contract_ground::{read, table, table_mut};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Fields, Redisplay, Refill, Sent, typed_in};
use crate::view::contract_frame::{head, refused};
use crate::view::contract_jobs::link;
use crate::view::shop_frame::in_address;
use crate::{contract_jobs, layout, when};
use ::survey::contract_rows::{ContractTable, Row, rows, with_cells, with_row, without_line};
use axum::extract::{Path, Query, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;
use store::By;
use store::contracts::ContractTexts;
use store::counter::JobState;

/// Which instrument.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    tag: String,
}

fn of_tag(of: ContractTable, texts: &ContractTexts, tag: &str) -> Vec<Row> {
    rows(of, table(texts, of)).into_iter().filter(|r| r.get("tag") == tag).collect()
}

/// The page.
///
/// # Errors
/// Where there is no such contract or instrument.
pub async fn page(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &asked.tag, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, tag: &str, redisplay: &Redisplay) -> Outcome<Markup> {
    let (row, texts) = app.store().contract_with_texts(id)?;
    let instrument = of_tag(ContractTable::Instruments, &texts, tag)
        .pop()
        .ok_or_else(|| Problem::Missing(format!("no instrument of this contract has the tag {tag}")))?;
    let dents = of_tag(ContractTable::Dents, &texts, tag);
    let job = contract_jobs::of(app.store(), id)?.remove(tag).filter(|j| j.state != JobState::Declined);
    let at = format!("/contracts/{id}/instrument");
    let what = ["pattern", "maker", "model", "serial", "school"].map(|c| instrument.get(c)).join(" ");
    let refill = |place: &str| redisplay.form_with(&at, "place", place);
    let form = |of: ContractTable, row: Option<&Row>, version: i64| {
        let place = row.map_or_else(|| format!("{} new", of.file()), |r| format!("{} {}", of.file(), r.line));
        cells(signed, &at, tag, of, row, &place, version, refill(&place))
    };
    Ok(layout::page(
        signed,
        &format!("{tag}, {}", row.name),
        html! {
            (head(signed, &row, ""))
            (redisplay.head())
            h2 { (tag) ": " (what.split_whitespace().collect::<Vec<_>>().join(" ")) }
            @if let Some(job) = &job {
                p { (link(job)) }
                p.note { "Found something since? Record it in the survey of its job. The customer is asked there. What is changed here does not reach the job." }
            } @else { p { "Turned out worse than it was surveyed? Change its dents here, then plan again." } }
            h3 { "Dents" }
            @if dents.is_empty() { p.soft { "None recorded." } }
            @for dent in &dents {
                details.card open[dents.len() < 4] {
                    summary { strong { (dent.get("where")) } " " span.soft { (["distance", "depth", "length", "width"].map(|c| dent.get(c)).join(" · ").trim_matches([' ', '·'])) } }
                    (form(ContractTable::Dents, Some(dent), row.version))
                }
            }
            details.card { summary { strong { "Add a dent" } } (form(ContractTable::Dents, None, row.version)) }
            h3 { "The instrument" }
            section.card { (form(ContractTable::Instruments, Some(&instrument), row.version)) }
        },
    ))
}

#[expect(clippy::too_many_arguments, reason = "a form is of a row of a table at a version")]
fn cells(
    signed: &Signed,
    at: &str,
    tag: &str,
    of: ContractTable,
    row: Option<&Row>,
    place: &str,
    version: i64,
    refill: Refill<'_>,
) -> Markup {
    html! {
        form method="post" action=(at) {
            (layout::csrf(signed)) (refill.problems()) (refill.version(version))
            input type="hidden" name="tag" value=(tag);
            input type="hidden" name="place" value=(place);
            div.fields {
                @for (column, about) in of.columns().filter(|c| c.0 != "tag") {
                    @let cell = row.and_then(|r| r.cells.iter().find(|c| c.column == column));
                    @let head = cell.map_or(column, |c| c.head.as_str()).replace('_', " ");
                    label { span { (crate::view::figures::sentence(&head).trim_end_matches('.')) }
                        input name=(column) value=(refill.text(column, cell.map_or("", |c| c.text.as_str()))) autocomplete="off";
                        span.soft.small { (crate::view::figures::sentence(about)) }
                        (refill.beside(column, cell.map_or("", |c| c.text.as_str()))) }
                }
            }
            div.row {
                button type="submit" name="act" value="save" { @if row.is_none() { "Add" } @else { "Save" } }
                @if row.is_some() && of == ContractTable::Dents { button.plain type="submit" name="act" value="take-out" { "Take out" } }
            }
        }
    }
}

/// Changes a row, if all of the contract can still be read.
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
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |redisplay| shown(app, &signed, id, typed_in(&f, "tag"), redisplay)))
        .await
}

fn kept(app: &App, signed: &Signed, id: i64, f: &Fields) -> Outcome<Redirect> {
    let (row, mut texts) = app.store().contract_with_texts(id)?;
    let (tag, version) = (typed_in(f, "tag"), typed_in(f, "version").parse().unwrap_or(0));
    // Of another version the lines may be others.
    if row.version != version {
        return Err(Problem::Conflict("this contract was changed by somebody else in between; look at it once more".to_owned()));
    }
    let gone = || Problem::Missing("there is no such row".to_owned());
    let (file, line) = typed_in(f, "place").split_once(' ').ok_or_else(gone)?;
    let of = ContractTable::named(file).ok_or_else(gone)?;
    let mut typed: Vec<(&str, &str)> = of.columns().filter(|c| c.0 != "tag").map(|(c, _)| (c, typed_in(f, c))).collect();
    let text = table_mut(&mut texts, of);
    let changed = if line == "new" {
        typed.push(("tag", tag));
        *text = with_row(text, &typed);
        rows(of, text).last().map_or(0, |r| r.line)
    } else {
        let line: usize = line.parse().map_err(|_| gone())?;
        if !rows(of, text).iter().any(|r| r.line == line && r.get("tag") == tag) {
            return Err(gone());
        }
        let taken_out = typed_in(f, "act") == "take-out" && of == ContractTable::Dents;
        *text = if taken_out { without_line(text, line) } else { with_cells(text, line, &typed) };
        if taken_out { 0 } else { line }
    };
    if let Err(all) = read(&texts, &app.standard_jobs()?) {
        return Err(refused(signed.fmt, &all, |p| {
            p.file == of.file() && p.problem.line == Some(changed) && of.columns().any(|c| c.0 == p.problem.field)
        }));
    }
    app.store().change_contract(By { who: &signed.person.login, at: when::now() }, id, version, &texts)?;
    Ok(Redirect::to(&format!("/contracts/{id}/instrument?tag={}", in_address(tag))))
}
