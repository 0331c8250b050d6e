//! The owner's page: what is outstanding, what is due this week, what is late, and how the benches stand.

use crate::agreeing::amount;
use crate::app::App;
use crate::auth::Signed;
use crate::invoice::agreed_totals;
use crate::problem::Outcome;
use crate::view::job_lines::{lines_table, state_name};
use crate::{layout, when};
use axum::Extension;
use axum::extract::State;
use maud::{Markup, html};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use store::board::BoardLine;
use units::money::show_money;

/// Open jobs looked at, and lines shown in a table, at most.
const MOST: u32 = 10_000;
const SHOWN: usize = 100;

/// How a bench stands.
#[derive(Default)]
struct Bench {
    open: usize,
    late: usize,
    this_week: usize,
    agreed: Decimal,
}

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| {
        let store = app.store();
        let currency = app.shop()?.currency;
        let money = |x: Decimal| show_money(x, &currency);
        let agreed = agreed_totals(app)?;
        let mut paid: BTreeMap<i64, Decimal> = BTreeMap::new();
        for (job, text) in store.all_payments()? {
            *paid.entry(job).or_default() += amount(&text)?;
        }
        let mut owed: Vec<(BoardLine, Decimal, Decimal)> = Vec::new();
        for (job, total) in &agreed {
            let came = paid.get(job).copied().unwrap_or_default();
            if *total > came {
                owed.push((store.board_line(*job)?, *total, came));
            }
        }
        // What left the house unpaid stands first, then the largest.
        owed.sort_by_key(|(line, total, came)| (!line.job.state.is_closed(), *came - *total));
        let outstanding: Decimal = owed.iter().map(|(_, total, came)| *total - *came).sum();
        let gone: Decimal = owed.iter().filter(|(l, ..)| l.job.state.is_closed()).map(|(_, total, came)| *total - *came).sum();
        let open = store.open_jobs(MOST)?;
        let days = |l: &BoardLine| l.job.due.as_deref().filter(|_| l.job.state.is_open_for_due()).and_then(when::days_until);
        let late: Vec<BoardLine> = open.iter().filter(|l| days(l).is_some_and(|d| d < 0)).cloned().collect();
        let week: Vec<BoardLine> = open.iter().filter(|l| days(l).is_some_and(|d| (0..7).contains(&d))).cloned().collect();
        let mut benches: BTreeMap<String, Bench> = BTreeMap::new();
        for line in &open {
            let bench = benches.entry(line.bench().unwrap_or("nobody yet").to_owned()).or_default();
            bench.open += 1;
            bench.late += usize::from(days(line).is_some_and(|d| d < 0));
            bench.this_week += usize::from(days(line).is_some_and(|d| (0..7).contains(&d)));
            bench.agreed += agreed.get(&line.job.id).copied().unwrap_or_default();
        }
        Ok(layout::page(
            &signed,
            "Money",
            html! {
                h1 { "Money and days" }
                p.big.num { (money(outstanding)) " outstanding" }
                @if gone > Decimal::ZERO { p { (money(gone)) " of it for instruments that were picked up." } }
                p { (late.len()) " late, " (week.len()) " due in the next seven days." }
                h2 { "By bench" }
                div.scroll tabindex="0" role="region" aria-label="By bench" {
                    table data-sorts="" {
                        thead { tr { th scope="col" { "Bench" } th.n scope="col" { "Open jobs" } th.n scope="col" { "Late" } th.n scope="col" { "Due in seven days" } th.n scope="col" { "Agreed" } } }
                        tbody { @for (name, b) in &benches { tr { th scope="row" { (name) } td.n { (b.open) } td.n { (b.late) } td.n { (b.this_week) } td.n data-v=(b.agreed) { (money(b.agreed)) } } } }
                    }
                }
                h2 { "Outstanding" }
                @if owed.is_empty() { p.soft { "Nothing." } } @else {
                    div.scroll tabindex="0" role="region" aria-label="Outstanding" {
                        table data-sorts="" {
                            thead { tr { th scope="col" { "Tag" } th scope="col" { "Customer" } th scope="col" { "Status" } th.n scope="col" { "Agreed" } th.n scope="col" { "Paid" } th.n scope="col" { "Outstanding" } } }
                            tbody { @for (line, total, came) in owed.iter().take(SHOWN) { tr {
                                td.num { a href={ "/jobs/" (line.job.id) "/hand-back" } { (line.tag) } } td { (line.customer) } td { (state_name(line.job.state)) @if let Some(at) = line.job.closed_at { " " (when::day_of(at)) } }
                                td.n data-v=(total) { (money(*total)) } td.n data-v=(came) { (money(*came)) } td.n data-v=(*total - *came) { (money(*total - *came)) }
                            } } }
                        }
                    }
                    @if owed.len() > SHOWN { p.soft { "The first " (SHOWN) " of " (owed.len()) " are shown." } }
                }
                h2 { "Late" } (lines_table(&late[..late.len().min(SHOWN)]))
                h2 { "Due in the next seven days" } (lines_table(&week[..week.len().min(SHOWN)]))
            },
        ))
    })
    .await
}
