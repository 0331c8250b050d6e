//! Sizes of tools and bores: a tenth of a millimeter decides whether a ball passes, however large it is.

use units::LengthUnit;
use units::length::{show_length, show_size};

/// A tool's size for a person, as everywhere.
pub fn size_words(mm: f64, unit: LengthUnit) -> String {
    show_size(mm, unit)
}

/// A size that has to be turned or ground to it: millimetres to a hundredth, inches as everywhere.
pub fn fine_words(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{mm:.2} mm"),
        LengthUnit::Inch => show_length(mm, unit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_ball_keeps_its_tenth() {
        assert_eq!(size_words(131.5, LengthUnit::Mm), "131.5 mm");
        assert_eq!(size_words(100.0, LengthUnit::Mm), "100 mm");
        assert_eq!(size_words(14.5, LengthUnit::Mm), "14.5 mm");
        assert_eq!(size_words(14.2875, LengthUnit::Inch), "9/16 in");
    }
}
