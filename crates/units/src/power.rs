//! Powers of flames: watts, kilowatts, British thermal units an hour.

use crate::number;
use crate::parse::{Cause, ParseError};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a power like 2000 W, 2 kW or 7000 BTU/h";

/// Reads a power; returns watts. 1 BTU/h = 0.29307107 W (NIST SP 811, from memory).
///
/// # Errors
/// Where the text is no power with a unit.
pub fn parse_power_w(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let (digits, unit) = number::split(text);
    let factor = match unit.to_lowercase().as_str() {
        "w" => 1.0,
        "kw" => 1000.0,
        "btu/h" | "btu/hr" | "btuh" => 0.293_071_07,
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
    fn powers_are_read() {
        assert_eq!(parse_power_w("2000 W").unwrap(), 2000.0);
        assert_eq!(parse_power_w("2 kW").unwrap(), 2000.0);
        assert!((parse_power_w("7000 BTU/h").unwrap() - 2051.5).abs() < 0.1);
        assert!(parse_power_w("2000").is_err() && parse_power_w("2 kN").is_err());
    }
}
