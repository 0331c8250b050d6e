//! Times, money, offers.
//!
//! Takes a survey, its plan and the shop's way of charging; returns a quote in exact decimals. Knows nothing of files,
//! clocks or screens.

pub mod offer;
pub mod shop;
pub mod time;

pub use offer::{Line, LineKind, Offer, Quote, quote};
pub use shop::{Person, Shop};
pub use time::JobMinutes;
