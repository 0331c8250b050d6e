//! The owner's page: what is outstanding, what is due this week, what is late, and how the benches stand.

use crate::agreeing::amount;
use crate::app::App;
use crate::auth::Signed;
use crate::invoice::agreed_totals;
use crate::problem::Outcome;
use crate::view::job_lines::{lines_table, state_name};
use crate::{contract_jobs, layout, when};
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

/// Something that is owed: a job, or the tools of a contract.
struct Owed {
    at: String,
    tag: String,
    customer: String,
    status: String,
    /// Whether the instrument left the house.
    closed: bool,
    total: Decimal,
    came: Decimal,
}

impl Owed {
    fn rest(&self) -> Decimal {
        self.total - self.came
    }
}

/// What is owed for jobs, and for tools that contracts pay.
fn owed(app: &App, agreed: &BTreeMap<i64, Decimal>) -> Outcome<Vec<Owed>> {
    let store = app.store();
    let mut paid: BTreeMap<i64, Decimal> = BTreeMap::new();
    for (job, text) in store.all_payments()? {
        *paid.entry(job).or_default() += amount(&text)?;
    }
    let mut owed = Vec::new();
    for (job, total) in agreed {
        let came = paid.get(job).copied().unwrap_or_default();
        if *total > came {
            let line = store.board_line(*job)?;
            let picked_up = line.job.closed_at.map_or_else(String::new, |at| format!(" {}", when::day_of(at)));
            owed.push(Owed {
                at: format!("/jobs/{job}/hand-back"),
                status: format!("{}{picked_up}", state_name(line.job.state)),
                closed: line.job.state.is_closed(),
                tag: line.tag,
                customer: line.customer,
                total: *total,
                came,
            });
        }
    }
    for row in store.contracts()? {
        let tools = contract_jobs::tools_owed(&contract_jobs::of(store, row.id)?)?;
        let (total, came) = (tools.iter().map(|t| t.price).sum::<Decimal>(), contract_jobs::paid(app, row.id)?);
        if total > came {
            owed.push(Owed {
                at: format!("/contracts/{}/tools", row.id),
                tag: "Tools".to_owned(),
                customer: row.name,
                status: format!("School contract {}", row.id),
                closed: false,
                total,
                came,
            });
        }
    }
    // What left the house unpaid stands first, then the largest.
    owed.sort_by_key(|o| (!o.closed, -o.rest()));
    Ok(owed)
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
        let owed = owed(app, &agreed)?;
        let outstanding: Decimal = owed.iter().map(Owed::rest).sum();
        let gone: Decimal = owed.iter().filter(|o| o.closed).map(Owed::rest).sum();
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
                            tbody { @for o in owed.iter().take(SHOWN) { tr {
                                td.num { a href=(o.at) { (o.tag) } } td { (o.customer) } td { (o.status) }
                                td.n data-v=(o.total) { (money(o.total)) } td.n data-v=(o.came) { (money(o.came)) } td.n data-v=(o.rest()) { (money(o.rest())) }
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
