//! Times, money, offers.
//!
//! Takes a survey, its plan and the shop's way of charging; returns a quote in exact decimals. Knows nothing of files,
//! clocks or screens.

pub mod shop;

pub use shop::{Person, Shop};
