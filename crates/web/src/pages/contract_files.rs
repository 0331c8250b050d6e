//! A contract's files: its tables, and the papers of its plan.

use crate::app::App;
use crate::auth::Signed;
use crate::contract_ground::{HEAD, KeptPlan, table};
use crate::contract_tools;
use crate::problem::{Outcome, Problem};
use ::survey::contract::templates;
use ::survey::contract_rows::ContractTable;
use axum::Extension;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use report::{ContractFile, ContractView, Paper};
use serde::Deserialize;

/// The name of the invoice of the tools that a contract pays.
const TOOLS_INVOICE: &str = "tools-invoice.pdf";

/// Which plan.
#[derive(Deserialize, Default)]
pub struct Asked {
    plan: Option<i64>,
}

fn given(media: &str, name: &str, body: Vec<u8>) -> Response {
    let shown = if media == "application/pdf" { "inline" } else { "attachment" };
    ([(CONTENT_TYPE, media.to_owned()), (CONTENT_DISPOSITION, format!("{shown}; filename=\"{name}\""))], body).into_response()
}

fn missing(name: &str) -> Problem {
    Problem::Missing(format!("there is no file {name}"))
}

/// An empty table.
///
/// # Errors
/// Where there is none of that name.
pub async fn template(Path(name): Path<String>) -> Outcome<Response> {
    let (_, text) = templates().into_iter().find(|(n, _)| *n == name).ok_or_else(|| missing(&name))?;
    Ok(given("text/csv; charset=utf-8", &name, text.into_bytes()))
}

/// A file of those who may quote: a table of the contract, or a paper of its plan.
///
/// # Errors
/// Where there is none of that name, or no plan yet.
pub async fn file(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path((id, name)): Path<(i64, String)>,
    Query(asked): Query<Asked>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let (_, texts) = app.store().contract_with_texts(id)?;
        if name == HEAD {
            return Ok(given("application/toml; charset=utf-8", HEAD, texts.head.into_bytes()));
        }
        if let Some(of) = ContractTable::named(&name) {
            return Ok(given("text/csv; charset=utf-8", &name, table(&texts, of).to_owned().into_bytes()));
        }
        if name == TOOLS_INVOICE {
            let invoice = contract_tools::invoice(app, id, signed.fmt.0)?;
            if invoice.parts.is_empty() && invoice.paid.is_empty() {
                return Err(Problem::Missing("this contract pays no tools yet".to_owned()));
            }
            return Ok(given("application/pdf", &name, crate::papers::invoice(&invoice, signed.fmt)?));
        }
        let file = [ContractFile::Report, ContractFile::Plan, ContractFile::Problem].into_iter().find(|f| f.name() == name);
        paper(app, &signed, id, file.ok_or_else(|| missing(&name))?, asked.plan)
    })
    .await
}

/// A file of all who work: the work lists. No money stands in them.
///
/// # Errors
/// Where there is none of that name, or no plan yet.
pub async fn work_file(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path((id, name)): Path<(i64, String)>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let of_work = [ContractFile::WorkListPaper, ContractFile::WorkListTable, ContractFile::Calendar];
        let file = of_work.into_iter().find(|f| f.name() == name).ok_or_else(|| missing(&name))?;
        paper(app, &signed, id, file, None)
    })
    .await
}

fn paper(app: &App, signed: &Signed, id: i64, file: ContractFile, plan: Option<i64>) -> Outcome<Response> {
    let store = app.store();
    store.contract(id)?;
    let row = store.contract_plans(id)?.into_iter().find(|p| plan.is_none_or(|wanted| p.id == wanted));
    let row = row.ok_or_else(|| Problem::Missing("this contract has no such plan yet".to_owned()))?;
    // As it was kept, to the byte.
    match file {
        ContractFile::Plan => return Ok(given(file.media(), file.name(), store.content(&row.plan)?)),
        ContractFile::Problem => return Ok(given(file.media(), file.name(), store.content(&row.problem)?)),
        _ => {}
    }
    let kept = KeptPlan::read(store, row)?;
    let view = ContractView {
        contract: &kept.contract,
        planned: &kept.planned,
        bought: &kept.more,
        paper: if signed.fmt.inches() { Paper::Letter } else { Paper::A4 },
        unit: signed.fmt.0,
        day: report::contract_files::day,
    };
    let bytes = file.bytes(&view).map_err(|e| Problem::Broken(format!("typesetting: {e}")))?;
    Ok(given(file.media(), file.name(), bytes))
}
