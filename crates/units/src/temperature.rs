//! Temperatures: degrees Celsius and Fahrenheit.

use crate::number;
use crate::parse::ParseError;

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a temperature like 183 °C or 361 °F";

/// Reads a temperature; returns degrees Celsius.
///
/// # Errors
/// Where the text is no temperature with a unit, or lies below absolute zero.
pub fn parse_temperature_degc(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let (digits, unit) = number::split(text);
    let value = number::number(digits).map_err(|_| refuse())?;
    let degc = match unit.to_lowercase().replace(' ', "").as_str() {
        "°c" | "c" | "degc" => value,
        "°f" | "f" | "degf" => (value - 32.0) / 1.8,
        _ => return Err(refuse()),
    };
    if degc >= -273.15 { Ok(degc) } else { Err(refuse()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_scales_are_read() {
        assert!((parse_temperature_degc("361 °F").unwrap() - 182.78).abs() < 0.01);
        assert_eq!(parse_temperature_degc("183°C").unwrap(), 183.0);
        assert!(parse_temperature_degc("-400 °C").is_err());
        assert!(parse_temperature_degc("183").is_err());
    }
}
