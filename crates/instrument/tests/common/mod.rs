//! A sound tuba and dents for it.
#![allow(dead_code, missing_docs, clippy::unwrap_used, reason = "helpers of tests, each used by some of them")]

use instrument::{Dent, Instrument, Survey, Wishes, patterns};
use units::{Known, Origin, Unit};

pub fn survey(instrument: Instrument) -> Survey {
    Survey {
        title: String::new(),
        customer: String::new(),
        surveyor: String::new(),
        date: String::new(),
        instrument,
        dents: vec![],
        conditions: vec![],
        wishes: Wishes::default(),
        cleaned: None,
    }
}

pub fn tuba() -> Survey {
    survey(patterns::named("tuba").unwrap())
}

pub fn mm(value: f64) -> Option<Known> {
    Some(Known::new("", value, 0.5, Unit::Mm, Origin::Measured))
}

pub fn deg(value: f64) -> Option<Known> {
    Some(Known::new("", value, 5.0, Unit::Deg, Origin::Measured))
}

/// A dent of which only its run and depth are known.
pub fn dent(run: &str) -> Dent {
    Dent {
        id: "d".into(),
        run: run.into(),
        at_mm: None,
        clock_deg: None,
        depth_mm: mm(4.0),
        width_along_mm: None,
        width_across_mm: None,
        edge_radius_mm: None,
        profile_along: vec![],
        profile_across: vec![],
        crease: None,
        crack: None,
        earlier_repair: None,
        hardness_hv: None,
        wall_mm: None,
        pushed_in_by: None,
        note: String::new(),
    }
}
