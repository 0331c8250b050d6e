//! A sound tuba and dents for it.
#![allow(dead_code, missing_docs, clippy::unwrap_used, reason = "helpers of tests, each used by some of them")]

use instrument::{Dent, Survey, patterns};
use units::{Known, Origin, Unit};

pub fn tuba() -> Survey {
    Survey::of(patterns::named("tuba").unwrap())
}

pub fn mm(value: f64) -> Option<Known> {
    Some(Known::new("", value, 0.5, Unit::Mm, Origin::Measured))
}

pub fn deg(value: f64) -> Option<Known> {
    Some(Known::new("", value, 5.0, Unit::Deg, Origin::Measured))
}

/// A dent of which only its run and depth are known.
pub fn dent(run: &str) -> Dent {
    Dent { depth_mm: mm(4.0), ..Dent::new("d", run) }
}
