//! Forces: newtons, kilonewtons, pounds-force, kilograms-force.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forces_are_read() {
        assert!((parse_force_n("70 lbf").unwrap() - 311.3755).abs() < 1e-3);
        assert_eq!(parse_force_n("1.2 kN").unwrap(), 1200.0);
        assert!(parse_force_n("300").is_err());
    }
}
