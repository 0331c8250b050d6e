//! A school contract: many instruments, a budget, a deadline, benches. Which repair each instrument gets, on which bench and
//! when; how likely the deadline is kept; what more money or time would buy; what changes when something comes between.
//!
//! Invariants: what is planned keeps the budget, the skills and the musts, and all benches are done by the deadline with the
//! likelihood asked for; the bound is valid whatever the search did. It knows no file, no clock and no calendar: days come
//! as they are worked, and whoever calls says how long it may go on.

pub mod assigned;
pub mod bare;
pub mod left;
pub mod likely;
pub mod model;
pub mod more;
pub mod offered;
pub mod offers;
pub mod planning;
pub mod posed;
pub mod schedule;
pub mod solve;
pub mod staying;
pub mod tax_in;
pub mod trouble;

pub use assigned::Assigned;
pub use left::Left;
pub use model::{Bench, Contract, Day, Horn, Offer, Points, Skill, Spread, Standing, Tool};
pub use more::{Added, Bought, Change, difference, what_more_buys};
pub use offered::{Unworked, work_out};
pub use planning::{BenchWork, Effort, Planned, plan};
pub use schedule::{Stretch, Visit};
pub use tax_in::TaxIn;
pub use trouble::Trouble;
