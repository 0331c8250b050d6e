//! The exact choice: what to open, and a method for each dent, at the least total cost.
//!
//! Abstract: *openables* (joints, overlays, a heat that several of them share, a tool to make) with their costs, each with
//! others that it requires; *dents* with methods, each with a cost, what it needs open, and which dents must be worked before.
//! What is opened once serves every dent. Solved by branch and bound ([`search`]) after the problem was made small
//! ([`presolve`]); the answer carries a lower bound, so that the gap is proved to be zero or stated.

mod components;
mod cycle;
mod cycle_cuts;
mod found;
mod multipliers;
mod presolve;
mod problem;
mod reduced_cost_fixing;
mod search;
mod solve;
mod solved;
mod table;
mod waits;
mod within;

pub use components::Component;
pub use problem::{EQUAL, MOST_NODES, MethodCost, Openable, Problem, Solution};
pub use solved::Solved;
pub use within::{Timed, Within};
