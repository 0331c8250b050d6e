//! Forces: newtons, kilonewtons, pounds-force, kilograms-force.

use crate::length::LengthUnit;
use crate::number;
use crate::parse::{Cause, ParseError};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a force like 300 N, 1.2 kN, 70 lbf or 30 kgf";

/// Newtons in a pound-force (exact: 0.453 592 37 kg × 9.806 65 m/s²; NIST SP 811, from memory).
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;

/// Reads a force; returns newtons. 1 lbf = 4.4482216152605 N, 1 kgf = 9.80665 N (exact, NIST SP 811, from memory).
///
/// # Errors
/// Where the text is no force with a unit.
pub fn parse_force_n(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let (digits, unit) = number::split(text);
    let factor = match unit.to_lowercase().as_str() {
        "n" => 1.0,
        "kn" => 1000.0,
        "lbf" | "lb" | "lbs" => N_PER_LBF,
        "kgf" | "kg" => 9.806_65,
        _ if number::number(digits).is_err() => return Err(refuse()),
        "" => return Err(refuse().by(Cause::NoUnit)),
        other => return Err(refuse().by(Cause::OtherUnit { unit: other.to_owned() })),
    };
    Ok(number::number(digits).map_err(|e| refuse().by(e.cause))? * factor)
}

/// Digits of a force in the reader's unit: to 10 N or to a pound, which is as finely as a hand can lead it; below 10 N to 1 N.
pub fn force_digits(n: f64, unit: LengthUnit) -> String {
    let (value, step) = match unit {
        LengthUnit::Mm => (n, if n.abs() < 10.0 { 1.0 } else { 10.0 }),
        LengthUnit::Inch => (n / N_PER_LBF, 1.0),
    };
    if value.abs() < 0.5 { "< 1".to_owned() } else { format!("{:.0}", step * (value / step).round()) }
}

/// The unit's symbol.
pub fn force_symbol(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "N",
        LengthUnit::Inch => "lbf",
    }
}

/// A force for a person: `180 N`, `40 lbf`.
pub fn show_force(n: f64, unit: LengthUnit) -> String {
    format!("{} {}", force_digits(n, unit), force_symbol(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forces_are_said_as_finely_as_a_hand_leads_them() {
        let said = |n: f64| [LengthUnit::Mm, LengthUnit::Inch].map(|u| show_force(n, u));
        // 1 lbf = 4.448 N: 178 N are 40 lbf.
        assert_eq!(said(178.0), ["180 N", "40 lbf"]);
        assert_eq!(said(7.2), ["7 N", "2 lbf"]);
        assert_eq!(said(0.2), ["< 1 N", "< 1 lbf"]);
        assert_eq!(said(1234.0), ["1230 N", "277 lbf"]);
    }

    #[test]
    fn forces_are_read() {
        assert!((parse_force_n("70 lbf").unwrap() - 311.3755).abs() < 1e-3);
        assert_eq!(parse_force_n("1.2 kN").unwrap(), 1200.0);
        assert!(parse_force_n("300").is_err());
    }
}
