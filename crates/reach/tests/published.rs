//! Published figures and closed forms that the code is held to, each with its source beside it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use reach::body::{Body, Ends};
use reach::pose::{Ignore, Question, Tip};
use reach::tube::Tube;

/// A bend that is long enough for the longest bar, of even bore.
fn bend(radius_mm: f64, bore_radius_mm: f64) -> Tube {
    let mut t = Tube::default();
    t.bend(radius_mm, 170.0, 35.0);
    t.bore_point(0.0, bore_radius_mm);
    t.bore_point(t.length_mm(), bore_radius_mm);
    t
}

fn lies(tube: &Tube, width_mm: f64, length_mm: f64) -> bool {
    let sections = tube.sections(tube.length_mm(), 0.0, 0.0005);
    let middle = tube.length_mm() / 2.0;
    let body = Body { ends: Ends::Square, ..Body::mandrel(width_mm, width_mm, length_mm) };
    // The bar's end stands in the bend so that its middle is about the bend's middle.
    let q = Question { tube, sections: &sections, tip_mm: middle + length_mm * 0.51, body, tip: Tip::Free, ignore: Ignore::None };
    q.best().is_some_and(|b| b.clearance_mm >= 0.0)
}

/// C (check-values.md, Reach): the longest straight bar of diameter w in a planar bend of centre-line radius
/// R_b and bore radius a is L = 2·√[(R_b + a)² − (R_b − a + w)²]; held within 0.1 %.
#[test]
fn longest_straight_bar_in_a_bend() {
    for (rb, a, w) in [(60.0, 5.83, 6.0), (100.0, 10.0, 9.0), (150.0, 20.0, 14.0), (45.0, 6.0, 4.0)] {
        let closed: f64 = 2.0 * f64::sqrt((rb + a) * (rb + a) - (rb - a + w) * (rb - a + w));
        let tube = bend(rb, a);
        let (mut lo, mut hi) = (0.3 * closed, 1.5 * closed);
        for _ in 0..24 {
            let mid = 0.5 * (lo + hi);
            if lies(&tube, w, mid) { lo = mid } else { hi = mid }
        }
        assert!((lo / closed - 1.0).abs() < 1e-3, "R {rb} a {a} w {w}: solver {lo:.4}, closed form {closed:.4}");
    }
}
