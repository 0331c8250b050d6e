//! The jobs of a contract on its page: how many instruments have one, the form that opens more, what they come to.

use crate::auth::Signed;
use crate::contract_ground::KeptPlan;
use crate::contract_jobs::Account;
use crate::contract_opening::{begun_by_hand, is_of_the_tables, to_move, unopened, weeks};
use crate::layout;
use crate::redisplay::Redisplay;
use crate::unit_format::UnitFormat;
use crate::view::job_lines::state_name;
use maud::{Markup, html};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use store::contract_jobs::ContractJob;
use store::contracts::ContractRow;
use store::counter::JobState;
use store::people::Person;
use units::money::show_money;

/// The jobs of a contract by their instruments' tags.
pub type Jobs = BTreeMap<String, ContractJob>;

/// A job's link, and where it stands.
pub fn link(job: &ContractJob) -> Markup {
    html! { a.nowrap href={ "/jobs/" (job.job) } { "Job " (job.job) } " " span.state { (state_name(job.state)) } }
}

/// Whether work on a job has begun or is done.
pub fn is_worked(job: &ContractJob) -> bool {
    matches!(job.state, JobState::OnBench | JobState::Checking | JobState::Ready | JobState::HandedBack)
}

/// The card of the jobs.
pub fn card(
    signed: &Signed,
    row: &ContractRow,
    p: &KeptPlan,
    jobs: &Jobs,
    people: &[Person],
    account: &Account,
    redisplay: &Redisplay,
) -> Markup {
    let open = unopened(p, jobs);
    let in_plan = p.planned.assigned.iter().filter(|a| jobs.contains_key(&a.tag)).count();
    let moved = to_move(p, jobs, people).len();
    let by_hand = begun_by_hand(p, jobs);
    let declined: Vec<&ContractJob> = jobs.values().filter(|j| j.state == JobState::Declined).collect();
    let number = |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    html! {
        section.card id="jobs" {
            h2 { "Jobs" }
            p { (in_plan) " of " (number(p.planned.assigned.len(), "instrument", "instruments")) " in this plan " @if in_plan == 1 { "has a job." } @else { "have a job." }
                @if by_hand > 0 { " " (number(by_hand, "instrument was", "instruments were")) " begun without one, as the work lists say. Opened, a job goes on its bench at once with the time that is marked there." } }
            @if !open.is_empty() {
                @if is_of_the_tables(&p.ground, row) { (form(signed, row, p, &open, redisplay)) }
                @else { p.soft { "The instruments or their dents changed since this plan was made. Plan again before you open jobs." } }
            }
            @if moved > 0 {
                form.row method="post" action={ "/contracts/" (row.id) "/jobs" } {
                    (layout::csrf(signed)) input type="hidden" name="act" value="move";
                    p { (number(moved, "job that nobody has begun has", "jobs that nobody has begun have")) " another day or bench than this plan." }
                    button.plain type="submit" { "Move to this plan" }
                }
            }
            @if !declined.is_empty() { p { "Declined: " @for (n, j) in declined.iter().enumerate() { @if n > 0 { ", " } (j.tag) " (" a href={ "/jobs/" (j.job) } { "job " (j.job) } ")" } ". Open it again on its page if it is wanted after all." } }
            @if account.agreed > 0 { (money(signed.fmt, p, row.id, account)) }
        }
    }
}

/// What the customer pays: each instrument on its own invoice, the tools on the contract's.
fn money(fmt: UnitFormat, p: &KeptPlan, id: i64, account: &Account) -> Markup {
    let amount = |d: Decimal| show_money(d, &p.contract.currency);
    html! {
        h3 { "What the customer pays" }
        table {
            tbody {
                tr { th scope="row" { (account.agreed) @if account.agreed == 1 { " instrument, on its job’s invoice" } @else { " instruments, each on its job’s invoice" } } td.n { (amount(account.instruments)) } }
                @for t in &account.tools { tr { th scope="row" { "Tool: " (p.contract.tool_name(&t.id, fmt.0)) } td.n { (amount(t.price)) } } }
                tr { th scope="row" { strong { "Agreed so far" } } td.n { strong { (amount(account.instruments + account.tools_cost())) } } }
            }
        }
        @if !account.tools.is_empty() {
            p.soft { (p.contract.tax.words()) " The contract pays each tool once, however many instruments need it. No job charges it again." }
            p { "Paid for the tools: " (amount(account.tools_paid)) " of " (amount(account.tools_cost())) "." }
            p.row { a.button.plain href={ "/contracts/" (id) "/tools" } { "Tools: payments and invoice" } }
        }
    }
}

fn form(signed: &Signed, row: &ContractRow, p: &KeptPlan, open: &[&contract::Assigned], redisplay: &Redisplay) -> Markup {
    let at = format!("/contracts/{}/jobs", row.id);
    let refill = redisplay.form(&at);
    html! {
        details open[refill.refused()] {
            summary { "Open jobs: " (open.len()) @if open.len() == 1 { " instrument has none" } @else { " instruments have none" } }
            form.stack method="post" action=(at) {
                (layout::csrf(signed)) (refill.problems())
                p { "Each gets its survey from the tables, its day and bench from the plan, and what the plan chose at the plan’s price. It is agreed by whom you name." }
                div.fields {
                    label { span { "Bench" } select name="bench" { option value="" { "All" } @for b in p.contract.benches.iter().filter(|b| open.iter().any(|a| a.bench == b.id)) { option value=(b.id) selected[refill.has("bench", &b.id, false)] { (b.id) @if !b.person.is_empty() { ", " (b.person) } } } } (refill.beside("bench", "")) }
                    label { span { "Work begins" } select name="week" { option value="" { "Any week" } @for (monday, words) in weeks(p, open) { option value=(monday) selected[refill.has("week", &monday, false)] { "Week of " (words) } } } (refill.beside("week", "")) }
                    label { span { "Only these tags" } input name="tags" value=(refill.text("tags", "")) autocomplete="off"; span.soft.small { "With commas. Left empty: all." } (refill.beside("tags", "")) }
                    label { span { "Who agreed for " (row.name) } input name="name" value=(refill.text("name", "")) autocomplete="off" maxlength="120"; (refill.beside("name", "")) }
                    label { span { "How" } select name="how" { option value="telephone" { "by telephone" } option value="counter" selected[refill.has("how", "counter", false)] { "at the counter" } } }
                }
                button type="submit" { "Open jobs" }
            }
        }
    }
}
