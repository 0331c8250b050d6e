//! The invoice of the tools that a contract pays: each once, with its tax, and what was paid for them. The page and the paper are made from
//! this one value.

use crate::agreeing::amount;
use crate::app::App;
use crate::contract_ground::KeptPlan;
use crate::contract_jobs::{self, OwedTool, needed_by};
use crate::invoice::paid_words;
use crate::problem::Outcome;
use crate::when;
use quote::{LineKind, Prices};
use report::Invoice;
use report::invoice::{AgreedPart, Paid};
use rust_decimal::Decimal;
use units::LengthUnit;

/// Instruments named on a line of the invoice at most.
const MOST_TAGS: usize = 8;

/// The invoice of a contract's tools as it stands, sizes in the reader's unit; without parts where the contract pays none.
///
/// # Errors
/// Where there is no such contract or the record fails.
pub fn invoice(app: &App, id: i64, unit: LengthUnit) -> Outcome<Invoice> {
    let (store, row) = (app.store(), app.store().contract(id)?);
    let jobs = contract_jobs::of(store, id)?;
    let plan = KeptPlan::last(store, id)?;
    let shop = app.shop()?;
    let name = |tool: &str| plan.as_ref().map_or_else(|| tool.to_owned(), |p| p.contract.tool_name(tool, unit));
    let mut parts = Vec::new();
    for tool in contract_jobs::tools_owed(&jobs)? {
        let tags = needed_by(&jobs, &tool.id)?;
        parts.push(part(&tool, name(&tool.id), &tags));
    }
    let mut paid = Vec::new();
    for p in store.contract_payments(id)?.iter().filter(|p| !p.void) {
        paid.push(Paid { words: paid_words(p), amount: amount(&p.amount)? });
    }
    Ok(Invoice {
        shop: shop.name,
        contact: shop.contact,
        customer: row.name,
        instrument: "School contract. What is done on an instrument stands on its own invoice.".to_owned(),
        job: format!("Contract {id}: tools made for it"),
        date: when::today().to_string(),
        currency: plan.map_or(shop.currency, |p| p.contract.currency),
        parts,
        paid,
        ..Invoice::default()
    })
}

/// A tool as a part of the invoice: its making, its material, what comes on top, its tax.
fn part(tool: &OwedTool, title: String, tags: &[&str]) -> AgreedPart {
    let mut letters = title.chars();
    let title = letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    let named = tags.iter().take(MOST_TAGS).copied().collect::<Vec<_>>().join(", ");
    let more = tags.len().saturating_sub(MOST_TAGS);
    let said = if more == 0 { format!("Paid once, for {named}") } else { format!("Paid once, for {named} and {more} more") };
    let lines = match &tool.bill {
        None => vec![("The tool".to_owned(), tool.price)],
        Some(bill) => bill
            .lines
            .iter()
            .flat_map(|l| match l.kind {
                LineKind::Tools => vec![("Making it".to_owned(), l.labour), ("Material".to_owned(), l.parts)],
                _ => vec![(l.what.clone(), l.before_tax())],
            })
            .filter(|l| !l.1.is_zero())
            .collect(),
    };
    let tax = tool.bill.as_ref().map_or(Decimal::ZERO, |b| b.tax);
    AgreedPart { title, prices: Prices::Fixed, said, lines, tax, total: tool.price }
}
