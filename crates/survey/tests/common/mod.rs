//! Any dent that a survey can hold.

use instrument::fields::{Field, Kind, dent as d};
use instrument::{Crack, Crease, Dent, Direction, EarlierRepair, ProfilePoint};
use proptest::prelude::*;
use std::ops::Range;
use units::{Known, Origin, Unit};

/// How numbers of a range are drawn.
pub type Numbers = fn(Range<f64>) -> BoxedStrategy<f64>;

/// A value with its spread, from anywhere a value may come from.
pub fn known(numbers: Numbers, field: &'static Field, values: Range<f64>) -> impl Strategy<Value = Option<Known>> {
    let unit = match field.kind {
        Kind::Clock => Unit::Deg,
        Kind::Hardness => Unit::Hv,
        _ => Unit::Mm,
    };
    let origins =
        prop::sample::select(vec![Origin::Measured, Origin::ByEye, Origin::Pattern, Origin::Computed, Origin::Assumed, Origin::Handbook]);
    prop::option::of((numbers(values), numbers(0.0..3.0), origins).prop_map(move |(v, sd, o)| Known::new(field.name, v, sd, unit, o)))
}

fn direction() -> impl Strategy<Value = Direction> {
    prop::sample::select(vec![Direction::Along, Direction::Across, Direction::Oblique])
}

/// A dent with whatever values a file can give it, which no short form of a tablet says.
pub fn any_dent(numbers: Numbers, run: &'static str) -> impl Strategy<Value = Dent> {
    let known = move |field, values| known(numbers, field, values);
    let sizes = (
        known(&d::AT, 0.0..200.0),
        known(&d::CLOCK, 0.0..359.9),
        known(&d::DEPTH, 0.01..8.0),
        known(&d::ALONG, 0.1..40.0),
        known(&d::ACROSS, 0.1..30.0),
        known(&d::EDGE_RADIUS, 0.1..8.0),
        known(&d::HARDNESS, 50.0..200.0),
        known(&d::WALL, 0.1..1.0),
    );
    let crease = prop::option::of((direction(), known(&d::CREASE_LENGTH, 0.1..20.0)));
    let crack = prop::option::of((prop::option::of(direction()), known(&d::CRACK_LENGTH, 0.1..20.0), any::<Option<bool>>()));
    let repair = prop::option::of((".{0,20}", known(&d::REPAIR_THINNED, 0.01..0.3)));
    let points = prop::collection::btree_map(-3000_i32..3000, (numbers(0.0..0.12), numbers(-4.0..4.0)), 0..9);
    (sizes, crease, crack, repair, points, ".{0,30}").prop_map(move |(s, crease, crack, repair, points, note)| Dent {
        at_mm: s.0,
        clock_deg: s.1,
        depth_mm: s.2,
        width_along_mm: s.3,
        width_across_mm: s.4,
        edge_radius_mm: s.5,
        profile_across: points
            .iter()
            .map(|(x, (more, depth_mm))| ProfilePoint { x_mm: f64::from(*x) / 8.0 + more, depth_mm: *depth_mm })
            .collect(),
        crease: crease.map(|(direction, length_mm)| Crease { direction, length_mm }),
        crack: crack.map(|(direction, length_mm, through)| Crack { direction, length_mm, through }),
        earlier_repair: repair.map(|(note, thinned_mm)| EarlierRepair { note, thinned_mm }),
        hardness_hv: s.6,
        wall_mm: s.7,
        note,
        ..Dent::new("d1", run)
    })
}
