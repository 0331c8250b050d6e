//! Temperatures as they are said at the bench: no flame is led more finely than to ten degrees.

use crate::length::LengthUnit;

/// Degrees Fahrenheit of degrees Celsius (exact by definition; NIST SP 811, from memory).
pub fn fahrenheit(degc: f64) -> f64 {
    degc * 1.8 + 32.0
}

/// Digits of a temperature in the reader's unit, to ten degrees.
pub fn temperature_digits(degc: f64, unit: LengthUnit) -> String {
    let degrees = match unit {
        LengthUnit::Mm => degc,
        LengthUnit::Inch => fahrenheit(degc),
    };
    format!("{:.0}", 10.0 * (degrees / 10.0).round())
}

/// The unit's symbol.
pub fn temperature_symbol(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "°C",
        LengthUnit::Inch => "°F",
    }
}

/// A temperature for a person: `180 °C`, `360 °F`.
pub fn show_temperature(degc: f64, unit: LengthUnit) -> String {
    format!("{} {}", temperature_digits(degc, unit), temperature_symbol(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Water boils at 100 °C, which is 212 °F (definition of the older scale).
    #[test]
    fn to_ten_degrees_in_either_scale() {
        assert!((fahrenheit(100.0) - 212.0).abs() < 1e-12 && (fahrenheit(-40.0) + 40.0).abs() < 1e-12);
        assert_eq!(show_temperature(183.0, LengthUnit::Mm), "180 °C");
        assert_eq!(show_temperature(183.0, LengthUnit::Inch), "360 °F");
    }
}
