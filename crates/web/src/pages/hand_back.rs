//! The hand-back: what is owed and paid, what goes back with the instrument, who collects it, and the invoice.

use super::charge::{Charge, form as less_form, kept};
use super::job_head::head;
use crate::app::App;
use crate::auth::{Need, Signed};
use crate::invoice::{invoice, paid_words};
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Sent};
use crate::unit_format::UnitFormat;
use crate::{layout, when};
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use report::Invoice;
use report::invoice::NotMet;
use rust_decimal::Decimal;
use serde::Deserialize;
use store::By;
use store::board::BoardLine;
use store::counter::JobState;
use store::hand_back::HOW;
use store::states::Said;
use units::money::{parse_money, to_cents};

/// What the payment's form sends.
#[derive(Deserialize)]
pub struct Payment {
    #[serde(default)]
    pub(super) act: String,
    #[serde(default)]
    pub(super) amount: String,
    #[serde(default)]
    pub(super) how: String,
    #[serde(default)]
    pub(super) note: String,
    #[serde(default)]
    pub(super) which: i64,
}

/// The hand-back's page.
///
/// # Errors
/// Where there is no such job.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>, Path(id): Path<i64>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, id, &Redisplay::default())).await
}

fn shown(app: &App, signed: &Signed, id: i64, redisplay: &Redisplay) -> Outcome<Markup> {
    let line = app.store().board_line(id)?;
    let i = invoice(app, id)?;
    Ok(layout::page(
        signed,
        "Pickup",
        html! {
            (head(&line, "hand-back"))
            p.big.num { @if i.outstanding() < Decimal::ZERO { (i.money(-i.outstanding())) " too much paid" } @else { (i.money(i.outstanding())) " outstanding" } }
            p { a.button.plain href={ "/jobs/" (id) "/invoice.pdf" } { "Invoice as PDF" } }
            div.split {
                section { (owed(&i)) (less_form(app, signed, id, &i, redisplay)?) (payments(signed, &format!("/jobs/{id}/payments"), &i, &app.store().payments(id)?, redisplay)) }
                section { (goes_back(app, signed, &line, redisplay)?) (what_stays(&i)) }
            }
        },
    ))
}

/// What was agreed, line by line.
pub(super) fn owed(i: &Invoice) -> Markup {
    html! {
        h2 { "What was agreed" }
        @if i.parts.is_empty() { p.soft { "Nothing was agreed, and nothing is owed." } }
        @for part in &i.parts {
            section.card {
                h3 { (part.title) ", " (quote::words::price_name(part.prices).to_lowercase()) }
                p.soft.small { (part.said) }
                table { tbody {
                    @for (what, amount) in &part.lines { tr { th scope="row" { (what) } td.n { (i.money(*amount)) } } }
                    @if !part.tax.is_zero() { tr { th scope="row" { "Tax" } td.n { (i.money(part.tax)) } } }
                    tr { th scope="row" { strong { "Agreed" } } td.n { strong { (i.money(part.total)) } } }
                } }
            }
        }
        table { tbody {
            @if !i.taken_off.is_empty() {
                tr { th scope="row" { "Agreed in all" } td.n { (i.money(i.agreed())) } }
                @for t in &i.taken_off { tr { th scope="row" { "Charged less: " (t.reason) } td.n { (i.money(-t.amount)) } } }
            }
            tr { th scope="row" { "Total" } td.n { (i.money(i.total())) } }
            @if !i.deposit_words().is_empty() { tr { td colspan="2" { (i.deposit_words()) } } }
            @for p in &i.paid { tr { th scope="row" { (p.words) } td.n { (i.money(-p.amount)) } } }
            tr { th scope="row" { strong { "Outstanding" } } td.n { strong { (i.money(i.outstanding())) } } }
        } }
    }
}

/// The form that keeps a payment, and what was entered by mistake.
pub(super) fn payments(signed: &Signed, action: &str, i: &Invoice, all: &[store::hand_back::Payment], redisplay: &Redisplay) -> Markup {
    let refill = redisplay.form(action);
    html! {
        @if signed.may(Need::HandBack) {
            h2 { "Payment" }
            form.stack.card method="post" action=(action) {
                (layout::csrf(signed))
                (refill.problems())
                label { span { "Amount" } input name="amount" inputmode="decimal" value=(refill.text("amount", "")) placeholder=(to_cents(if i.deposit_due() > Decimal::ZERO { i.deposit_due() } else { i.outstanding().max(Decimal::ZERO) }).to_string()); }
                label { span { "How" } select name="how" { @for (key, words) in HOW { option value=(key) selected[refill.has("how", key, *key == "card")] { (words) } } } }
                label { span { "Note: deposit, number of the check" } input name="note" value=(refill.text("note", "")); }
                button type="submit" name="act" value="take" { "Keep the payment" }
            }
            @if !all.is_empty() {
                details {
                    summary { "Entered by mistake" }
                    ul { @for p in all { li {
                        (paid_words(p)) ": " (i.currency) (p.amount) @if p.void { " (does not count)" }
                        form method="post" action=(action) {
                            (layout::csrf(signed)) input type="hidden" name="which" value=(p.id);
                            button.plain type="submit" name="act" value=(if p.void { "count" } else { "void" }) { @if p.void { "It counts after all" } @else { "It was a mistake" } }
                        }
                    } } }
                }
            }
        }
    }
}

fn goes_back(app: &App, signed: &Signed, line: &BoardLine, redisplay: &Redisplay) -> Outcome<Markup> {
    let id = line.job.id;
    let action = format!("/jobs/{id}/hand-back");
    let refill = redisplay.form(&action);
    let accessories = app.store().accessories(id)?;
    let backs = app.store().hand_backs(id)?;
    let waits = line.job.state == JobState::Ready || (line.job.state == JobState::Declined && backs.is_empty());
    Ok(html! {
        h2 { "Pickup" }
        @for b in &backs { p { "Collected by " strong { (b.collected_by) } ", " (when::moment(b.at)) ", given out by " (b.who) "." @if !b.note.is_empty() { " " (b.note) } } }
        @if !backs.is_empty() { ul { @for a in &accessories { li { (a.name) @if a.back { " went back" } @else { " did not go back" } } } } }
        @if waits && signed.may(Need::HandBack) {
            form.stack.card method="post" action=(action) {
                (layout::csrf(signed))
                (refill.problems())
                @for a in &accessories { label { input type="checkbox" name={ "back_" (a.id) } value="yes" checked[refill.has(&format!("back_{}", a.id), "yes", false)]; (a.name) } }
                label { span { "Collected by" } input name="collected_by" maxlength="120" value=(refill.text("collected_by", "")); }
                label { span { "Note" } input name="note" value=(refill.text("note", "")); }
                @if !accessories.is_empty() {
                    details open[refill.refused()] {
                        summary { "Something stays here" }
                        label { span { "Who lets it stay" } input name="name" value=(refill.text("name", "")); }
                        label { span { "Reason" } input name="reason" value=(refill.text("reason", "")); }
                    }
                }
                button type="submit" { "Picked up" }
            }
        } @else if !waits && backs.is_empty() { p.soft { "It is not ready for pickup." } }
    })
}

fn what_stays(i: &Invoice) -> Markup {
    html! {
        @if !i.stays.is_empty() { h2 { "Stays by agreement" } @for w in &i.stays { p { (w) } } }
        @if !i.not_met.is_empty() { h2 { "Not met" } @for n in &i.not_met { (not_met(n)) } }
    }
}

/// What was let go: a few lines stand there, a long list is folded behind its first line.
pub(super) fn not_met(n: &NotMet) -> Markup {
    const SHORT: usize = 4;
    let list = |lines: &[String]| html! { ul { @for w in lines { li { (w) } } } };
    html! {
        section.card {
            p { (n.said) }
            @if n.lines.len() <= SHORT { (list(&n.lines)) }
            @else if let Some((first, rest)) = n.lines.split_first() {
                p { (first) }
                details { summary { "All that was not met (" (rest.len()) ")" } (list(rest)) }
            }
        }
    }
}

/// Hands the instrument back.
///
/// # Errors
/// Where the job's state does not allow it, nobody collects it, or an accessory stays and nobody says why.
pub async fn hand_back(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<std::collections::BTreeMap<String, String>>,
) -> Outcome<Response> {
    app.blocking(move |app| {
        let deed = || {
            let field = |name: &str| f.get(name).map_or("", String::as_str);
            let back: Vec<i64> = f.keys().filter_map(|k| k.strip_prefix("back_")?.parse().ok()).collect();
            let by = By { who: &signed.person.login, at: when::now() };
            app.store().hand_back(by, id, field("collected_by"), field("note"), &back, Said::both(field("name"), field("reason")))?;
            Ok(Redirect::to(&format!("/jobs/{id}/hand-back")))
        };
        sent.taken(deed, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// The amount of a payment as it is typed.
///
/// # Errors
/// Where it is none, or not in whole cents.
pub(super) fn typed_amount(text: &str) -> Outcome<Decimal> {
    let amount = parse_money(text).map_err(|e| Problem::Bad(e.to_string()))?;
    if amount <= Decimal::ZERO || amount != to_cents(amount) {
        return Err(Problem::Bad("a payment is more than nothing, and in whole cents".to_owned()));
    }
    Ok(to_cents(amount))
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
                "void" | "count" => app.store().void_payment(by, id, f.which, f.act == "void")?,
                _ => {
                    app.store().add_payment(by, id, &typed_amount(&f.amount)?.to_string(), &f.how, f.note.trim())?;
                }
            }
            Ok(Redirect::to(&format!("/jobs/{id}/hand-back")))
        };
        sent.taken(deed, |redisplay| shown(app, &signed, id, redisplay))
    })
    .await
}

/// Charges less than was agreed, or takes that back.
///
/// # Errors
/// Where nothing was agreed, the amount is none or more than is owed, or no reason is given.
pub async fn charge(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Path(id): Path<i64>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<Charge>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, id, &f), |redisplay| shown(app, &signed, id, redisplay))).await
}

/// The invoice on paper.
///
/// # Errors
/// Where there is no such job, or the typesetting fails.
pub async fn invoice_pdf(State(app): State<App>, Extension(fmt): Extension<UnitFormat>, Path(id): Path<i64>) -> Outcome<Response> {
    app.blocking(move |app| {
        let bytes = crate::papers::invoice(&invoice(app, id)?, fmt)?;
        Ok(([(CONTENT_TYPE, "application/pdf")], bytes).into_response())
    })
    .await
}
