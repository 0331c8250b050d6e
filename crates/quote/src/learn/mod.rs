//! A shop's own times: each finished step says how long it took against the standard, and the standards move.

pub mod apply;
pub mod calibration;
pub mod drift;
pub mod learned;
pub mod model;
pub mod pace;
pub mod taken;

pub use apply::{applied, times_of};
pub use calibration::{Calibration, Past, calibrated};
pub use drift::Drift;
pub use learned::{Learned, LearnedFamily, LearnedPerson, LearnedStandard, learned};
pub use model::{Effect, FAR, Posterior, Spreads, posterior, posterior_until};
pub use pace::{Pace, pace_of};
pub use taken::{ABSURD, FinishedStep, LeftOut, Sorted, Taken, sorted};
