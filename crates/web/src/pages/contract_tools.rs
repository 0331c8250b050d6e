//! The tools that a contract pays: what each costs, what was paid, the invoice.

use super::hand_back::{Payment, owed, payments, typed_amount};
use crate::app::App;
use crate::auth::Signed;
use crate::contract_tools::invoice;
use crate::problem::Outcome;
use crate::redisplay::{Redisplay, Sent};
use crate::view::contract_frame::head;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use rust_decimal::Decimal;
use store::By;

/// The page.
///
/// # Errors
/// Where there is no such contract.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let row = app.store().contract(id)?;
    let i = invoice(app, id, signed.fmt.0)?;
    let all = app.store().contract_payments(id)?;
    Ok(layout::page(
        signed,
        &format!("{}: tools", row.name),
        html! {
            (head(signed, &row, "/tools"))
            (redisplay.head())
            @if i.parts.is_empty() && all.is_empty() {
                p.soft { "No tool is owed yet. A tool is owed once a job that needs it is open and agreed." }
            } @else {
                p.big.num { @if i.outstanding() < Decimal::ZERO { (i.money(-i.outstanding())) " too much paid" } @else { (i.money(i.outstanding())) " outstanding" } }
                p.soft { "The contract pays each tool once, however many instruments need it. No job charges it again." }
                p { a.button.plain href={ "/contracts/" (id) "/files/tools-invoice.pdf" } { "Invoice for the tools (PDF)" } }
                div.split {
                    section { (owed(&i)) }
                    section { (payments(signed, &format!("/contracts/{id}/tools"), &i, &all, redisplay)) }
                }
            }
        },
    ))
}

/// Keeps a payment, or marks one as a mistake.
///
/// # Errors
/// Where the amount is none.
pub async fn pay(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Payment>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let deed = || {
            let by = By { who: &signed.person.login, at: when::now() };
            match f.act.as_str() {
                "void" | "count" => app.store().void_contract_payment(by, id, f.which, f.act == "void")?,
                _ => {
                    let amount = typed_amount(&f.amount)?;
                    app.store().add_contract_payment(by, id, &amount.to_string(), &f.how, f.note.trim())?;
                }
            }
            Ok(Redirect::to(&format!("/contracts/{id}/tools")))
        };
        sent.taken(deed, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}
