//! Work of the shop's list in the customer's words.

use plan::PlannedWork;

/// Work of the shop's list, as the customer reads it: what was done, and how often.
pub fn work_done(work: &PlannedWork) -> String {
    if work.count > 1 { format!("{} ({})", work.customer, work.count) } else { work.customer.clone() }
}
