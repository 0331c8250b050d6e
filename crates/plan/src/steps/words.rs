//! How the bench says it.

use reach::MethodKind;
use units::text::{Quantity, given_mm};

/// A size for the bench: hundredths where there are any.
pub fn size(size_mm: f64) -> Quantity {
    given_mm((size_mm * 100.0).round() / 100.0)
}

/// How a method is said on the bench.
pub fn method_words(kind: MethodKind) -> &'static str {
    match kind {
        MethodKind::StraightRod => "straight rod from inside",
        MethodKind::CurvedRod => "curved rod from inside",
        MethodKind::Mandrel => "drawn on a mandrel and rubbed down",
        MethodKind::BallTrain => "balls driven through",
        MethodKind::Rolling => "rolled from outside over a support",
        MethodKind::Hammering => "hammered from outside over a support",
        MethodKind::Magnet => "steel ball and magnet",
        MethodKind::PullOutside => "pulled from outside by a soldered stud",
        MethodKind::Burnishing => "burnished from inside",
        MethodKind::Expander => "expanding plug turned out inside",
        MethodKind::DrawRing => "drawn through a ring over a mandrel",
        MethodKind::FilledBend => "raised, then filled and worked from outside over the fill",
        MethodKind::Raising => "raised on a stake from inside",
    }
}

/// "dent a", "dents a, b and c".
pub fn dents_words(dents: &[&str]) -> String {
    match dents {
        [] => "no dent".to_owned(),
        [one] => format!("dent {one}"),
        [all @ .., last] => format!("dents {} and {last}", all.join(", ")),
    }
}
