//! What the trade expects: each change of the dent, the tube or the metal moves the ways in the right
//! direction.

mod common;
use common::*;

#[test]
fn look() {
    for (run, at, clock) in [
        ("first_branch", 100.0, 0.0),
        ("bottom_bow", 150.0, 180.0),
        ("bottom_bow", 150.0, 0.0),
        ("casing", 60.0, 0.0),
        ("slide_crook", 160.0, 90.0),
        ("bell", 100.0, 0.0),
        ("second_branch", 160.0, 90.0),
        ("first_branch", 410.0, 0.0),
        ("knuckle", 12.0, 0.0),
    ] {
        let s = survey(vec![dent("d", run, at, clock, 4.0)]);
        eprintln!("{run} {at}: {}", show(&ways_to(&s, 150.0, &rack())));
    }
}
