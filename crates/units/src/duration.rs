//! Durations: `45 min`, `1 h 20 min`, `1:20`, `90 s`.

use crate::number;
use crate::parse::{Cause, ParseError};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a time like 45 min, 1 h 20 min, 1:20 or 90 s";

/// Reads a duration; returns minutes, never negative.
///
/// # Errors
/// Where the text is no duration with a unit.
pub fn parse_minutes(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let read = |t: &str| {
        let n = number::number(t).map_err(|e| refuse().by(e.cause))?;
        if n >= 0.0 { Ok(n) } else { Err(refuse().by(Cause::Negative)) }
    };
    let lower = text.trim().to_lowercase();
    if let Some((hours, minutes)) = lower.split_once(':') {
        let m = read(minutes)?;
        return if m < 60.0 { Ok(read(hours)? * 60.0 + m) } else { Err(refuse()) };
    }
    if let Some((hours, rest)) = lower.split_once('h') {
        let rest = rest.trim_start_matches("ours").trim_start_matches("our").trim_start_matches('r').trim();
        let minutes = if rest.is_empty() { 0.0 } else { parse_minutes(rest)? };
        return Ok(read(hours)? * 60.0 + minutes);
    }
    let (digits, unit) = number::split(&lower);
    let factor = match unit {
        "min" | "mins" | "minute" | "minutes" | "m" => 1.0,
        "s" | "sec" | "seconds" => 1.0 / 60.0,
        _ if number::number(digits).is_err() => return Err(refuse()),
        "" => return Err(refuse().by(Cause::NoUnit)),
        other => return Err(refuse().by(Cause::OtherUnit { unit: other.to_owned() })),
    };
    Ok(read(digits)? * factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_read() {
        for (text, minutes) in [("45 min", 45.0), ("1 h 20 min", 80.0), ("1:20", 80.0), ("90 s", 1.5), ("2 h", 120.0), ("1.5 hours", 90.0)]
        {
            assert_eq!(parse_minutes(text).unwrap(), minutes, "{text}");
        }
        for text in ["45", "-3 min", "1:75", ""] {
            assert!(parse_minutes(text).is_err(), "{text}");
        }
    }
}
