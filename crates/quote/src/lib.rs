//! Times, money, offers.
//!
//! Takes a survey, its plan and the shop's way of charging; returns a quote in exact decimals. Knows nothing of files,
//! clocks or screens.
//!
//! Invariants: a total is the sum of its lines to the cent; no money is ever held in a binary fraction once it is on a
//! line.

pub mod basis;
pub mod bill;
pub mod learn;
pub mod line;
pub mod offer;
pub mod place;
pub mod rounding;
pub mod shop;
pub mod statements;
pub mod supplement;
pub mod tax;
pub mod terms;
pub mod times;
pub mod words;
pub mod work;

pub use basis::{Basis, Correction, LearnedTimes, RestsOn};
pub use bill::{Bill, Line, LineKind};
pub use offer::{Offer, Quote, Verdict, quote};
pub use shop::{Contact, Person, Prices, Shop, TaxRounding};
pub use statements::Statement;
pub use supplement::Supplement;
pub use terms::{Discount, Off, Terms};
pub use times::Times;
