//! Lengths: millimetres, centimetres, metres, inches, fractions of inches, feet.

use crate::number;
use crate::parse::{Cause, ParseError};

/// Millimetres in an inch: exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a length with its unit, like 11.66 mm, 0.459 in, 29/64\" or 1 1/32 in";

/// A unit of length that a person can choose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
}

impl LengthUnit {
    /// Millimetres in one.
    pub fn in_mm(self) -> f64 {
        match self {
            LengthUnit::Mm => 1.0,
            LengthUnit::Inch => MM_PER_INCH,
        }
    }
}

/// Millimetres in one of the unit that a text names; none where it names none.
pub(crate) fn factor(unit: &str) -> Option<f64> {
    Some(match unit.to_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" | "in." | "inch" | "inches" | "\"" | "″" | "”" => MM_PER_INCH,
        "thou" | "mil" => MM_PER_INCH / 1000.0,
        "ft" | "'" | "′" => 12.0 * MM_PER_INCH,
        _ => return None,
    })
}

/// Reads a length; returns millimetres. A bare number takes `default`, and is refused where there is none.
///
/// # Errors
/// Where the text is no length with a unit.
pub fn parse_length_mm(text: &str, default: Option<LengthUnit>) -> Result<f64, ParseError> {
    let (digits, unit) = number::split(text);
    let refuse = |cause| ParseError::new(text, ACCEPTED).by(cause);
    let value = number::number(digits).map_err(|e| refuse(e.cause))?;
    let factor = match (unit, default) {
        ("", Some(default)) => default.in_mm(),
        ("", None) => return Err(refuse(Cause::NoUnit)),
        (unit, _) => factor(unit).ok_or_else(|| refuse(Cause::OtherUnit { unit: unit.to_owned() }))?,
    };
    Ok(value * factor)
}

/// A length for a person in the unit chosen: `11.66 mm`, `29/64 in`, `0.459 in`.
pub fn show_length(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => show_mm(mm),
        LengthUnit::Inch => show_inch(mm),
    }
}

/// Millimetres with as many decimals as a calliper shows at that size.
pub fn show_mm(mm: f64) -> String {
    // A tube's bore is told to hundredths (11.66 mm), a dent's place is not.
    let text = if mm.abs() >= 100.0 {
        format!("{mm:.0}")
    } else if mm.abs() >= 20.0 {
        format!("{mm:.1}")
    } else {
        format!("{mm:.2}")
    };
    format!("{} mm", trimmed(text))
}

/// Trailing zeros behind a point say nothing.
pub(crate) fn trimmed(digits: String) -> String {
    if digits.contains('.') { digits.trim_end_matches('0').trim_end_matches('.').to_owned() } else { digits }
}

/// A tool's size: it is what the tool is called and made by, so to a hundredth of a millimeter where it has one. A ball of 12.75 mm is
/// none of 12.8 mm.
pub fn show_size(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{} mm", trimmed(format!("{mm:.2}"))),
        LengthUnit::Inch => show_inch(mm),
    }
}

/// What is measured or computed at the bench, a depth, a distance: to a tenth of a millimeter.
pub fn show_tenths(mm: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => format!("{} mm", trimmed(format!("{mm:.1}"))),
        LengthUnit::Inch => show_inch((10.0 * mm).round() / 10.0),
    }
}

/// Inches: as a fraction in 64ths where one lies within 0.001 in, else in thousandths; from 100 mm on, where millimetres are
/// told without decimals too, as a tape measure shows them, in 16ths.
pub fn show_inch(mm: f64) -> String {
    let inch = mm / MM_PER_INCH;
    let far = mm.abs() >= 100.0;
    let in_64ths = if far { (inch * 16.0).round() * 4.0 } else { (inch * 64.0).round() };
    if !far && (inch - in_64ths / 64.0).abs() > 0.001 || in_64ths.abs() > 64.0 * 1000.0 {
        return format!("{inch:.3} in");
    }
    #[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
    let n = in_64ths.abs() as u64;
    let sign = if in_64ths < 0.0 { "-" } else { "" };
    let (whole, mut above, mut below) = (n / 64, n % 64, 64);
    while above != 0 && above % 2 == 0 {
        (above, below) = (above / 2, below / 2);
    }
    match (whole, above) {
        (0, 0) => "0 in".to_owned(),
        (w, 0) => format!("{sign}{w} in"),
        (0, a) => format!("{sign}{a}/{below} in"),
        (w, a) => format!("{sign}{w} {a}/{below} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_of_the_bench_are_read() {
        for (text, mm) in [
            ("11.66 mm", 11.66),
            ("0.459 in", 11.6586),
            ("29/64\"", 11.509_375),
            ("1 1/32\"", 26.193_75),
            ("1-1/32 in", 26.193_75),
            ("2cm", 20.0),
            ("459 thou", 11.6586),
        ] {
            assert!((parse_length_mm(text, None).unwrap() - mm).abs() < 1e-9, "{text}");
        }
        assert!((parse_length_mm("2", Some(LengthUnit::Inch)).unwrap() - 50.8).abs() < 1e-12);
    }

    #[test]
    fn a_bare_number_says_that_its_unit_lacks() {
        let error = parse_length_mm("12", None).unwrap_err().to_string();
        assert!(error.contains("“12”") && error.contains("unit"), "{error}");
        assert!(parse_length_mm("12 lb", None).is_err());
        assert!(parse_length_mm("mm", None).is_err());
    }

    #[test]
    fn inches_are_shown_as_fractions_where_one_fits() {
        assert_eq!(show_inch(26.193_75), "1 1/32 in");
        assert_eq!(show_inch(11.6586), "0.459 in");
        assert_eq!(show_inch(25.4), "1 in");
        assert_eq!(show_inch(0.0), "0 in");
        assert_eq!(show_inch(681.0), "26 13/16 in");
        assert_eq!([12.75, 12.5, 131.0].map(|d| show_size(d, LengthUnit::Mm)), ["12.75 mm", "12.5 mm", "131 mm"]);
        assert_eq!([4.03, 0.26].map(|d| show_tenths(d, LengthUnit::Mm)), ["4 mm", "0.3 mm"]);
        // 12.71 mm is said as 12.7, which is half an inch.
        assert_eq!((show_tenths(12.71, LengthUnit::Inch), show_size(12.7, LengthUnit::Inch)), ("1/2 in".to_owned(), "1/2 in".to_owned()));
        assert_eq!(show_mm(11.66), "11.66 mm");
        assert_eq!(show_mm(45.68), "45.7 mm");
        assert_eq!(show_mm(4.0), "4 mm");
        assert_eq!(show_mm(0.55), "0.55 mm");
    }

    proptest! {
        #[test]
        fn what_is_shown_is_read_back(mm in 0.0..2000.0_f64) {
            let off = if mm < 100.0 { 0.001 } else { 1.0 / 32.0 };
            prop_assert!((parse_length_mm(&show_inch(mm), None).unwrap() - mm).abs() <= off * MM_PER_INCH + 1e-9);
            prop_assert!((parse_length_mm(&show_mm(mm), None).unwrap() - mm).abs() <= 0.5);
        }

        #[test]
        fn no_text_panics(text in ".{0,40}") {
            let _ = parse_length_mm(&text, None);
            let _ = crate::measured::parse_measured_mm(&text, &crate::measured::Gauge::LENGTH);
            let _ = crate::angle::parse_angle_deg(&text);
            let _ = crate::duration::parse_minutes(&text);
            let _ = crate::force::parse_force_n(&text);
            let _ = crate::money::parse_money(&text);
        }
    }
}
