//! The terms of a job: its own, and where it has none its customer's.

use crate::problem::{Outcome, Problem};
use crate::when;
use quote::{Discount, Off, Terms};
use store::Store;

/// What is taken off; none where nothing is said.
fn discount(off: &str, reason: &str) -> Outcome<Option<Discount>> {
    if off.is_empty() {
        return Ok(None);
    }
    let read = Off::read(off).map_err(|e| Problem::Broken(format!("the record holds “{off}” where a discount should be: {e}")))?;
    Ok(Some(Discount { off: read, reason: reason.to_owned() }))
}

/// The terms that a job's quote is made with.
///
/// # Errors
/// Where there is no such job, or the record holds a discount that is none.
pub fn of_job(store: &Store, id: i64) -> Outcome<Terms> {
    let (job, customer) = store.terms_of(id)?;
    let own = !job.discount.is_empty();
    let (off, reason) = if own { (&job.discount, &job.reason) } else { (&customer.discount, &customer.reason) };
    let wanted = if job.rush { store.board_line(id)?.job.due.map_or_else(String::new, |day| when::day_words(&day)) } else { String::new() };
    let tools_by_contract = store.contract_of_job(id)?.is_some();
    Ok(Terms { rush: job.rush, wanted, discount: discount(off, reason)?, exempt: customer.exempt, tools_by_contract })
}

/// The terms of a customer, for what is no job: the offers of a contract.
///
/// # Errors
/// Where the record holds a discount that is none.
pub fn of_customer(store: &Store, id: i64) -> Outcome<Terms> {
    let customer = store.customer_terms(id)?;
    Ok(Terms { discount: discount(&customer.discount, &customer.reason)?, exempt: customer.exempt, ..Terms::default() })
}
