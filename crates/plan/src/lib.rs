//! The plan: what to open (exactly the cheapest), a method for each dent, and the order of the steps, with
//! heats and cautions.
//!
//! Takes a survey, the assessments and the methods; returns a [`Plan`] that can be thrown away and computed
//! again. Knows nothing of files, of money's printing, or of the screen.
//!
//! Invariants: a plan always comes, and what it does not do it lists with the reason; every step stands behind all
//! that it must wait for; the cost comes with a bound that no plan can undercut.

#[cfg(test)]
extern crate self as plan;
#[cfg(test)]
#[path = "../tests/common/case.rs"]
mod bench;

mod aftermath;
mod alternatives;
mod answer;
mod asked;
mod assembly;
mod assume;
mod case;
pub mod caution;
pub mod change;
pub mod choose;
mod consequence;
mod contradiction;
pub mod effort;
mod flame;
mod heat;
mod heats;
mod holds;
mod kept;
mod left_on;
mod level;
mod mend;
mod model;
mod numbered;
mod opening_price;
mod openings;
pub mod order;
pub mod outcome;
pub mod overrule;
mod price;
mod raised;
mod replace;
mod replaceable;
pub mod shop;
mod softening;
pub mod standard_job;
pub mod standard_words;
pub mod step;
mod step_kind;
mod steps;
mod timed;
mod tools;
mod torch;

pub use aftermath::{Aftermath, Odds};
pub use answer::{choice, plan, plan_at, plan_to};
pub use caution::{Caution, DEFERS};
pub use change::{Change, Respect, Side, what_changed};
pub use contradiction::Contradiction;
pub use heats::{Flames, Heats};
pub use level::Level;
pub use outcome::{
    Alternative, Asked, Assumption, Certificate, Choice, Mend, Mending, NotDone, OrderCertificate, Plan, Replacement, WhyReplaced,
    tool_steps,
};
pub use overrule::{Decision, Overrule, Overrules};
pub use price::tool_price;
pub use raised::{Raised, step_ranges};
pub use shop::{OpenClose, OpeningKind, Standards, WorthOfDent, opening_kind};
pub use standard_job::{Need, PlannedWork, SameAs, StandardJob, When};
pub use step::{COURSE_DEGC, Check, Heat, HeatNeighbour, PeakAt, Step, StepId, TooWeak, setups, waits_for};
pub use step_kind::{StepKind, Within};
pub use steps::ball_checks::{BALL_PLAY_MM, checked_by_ball};
pub use steps::method_words;
pub use steps::slide_legs::{name as slide_name, slides};
pub use timed::{Factor, Timed, TimedStandard, timed_as};
