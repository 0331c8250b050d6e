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

/// From so many minutes on a time is said in half hours.
const IN_HOURS: f64 = 120.0;

/// A time for a person: in steps of 5 minutes, from two hours on in half hours: `5 min`, `1 h 55 min`, `29.5 h`. Never none: what is
/// there takes its five minutes.
pub fn show_minutes(min: f64) -> String {
    let min = if min.is_finite() { min.max(0.0) } else { 0.0 };
    let five = 5.0 * (min / 5.0).round().max(1.0);
    if five >= IN_HOURS {
        return format!("{} h", (min / 30.0).round() / 2.0);
    }
    match ((five / 60.0).floor(), five % 60.0) {
        (0.0, m) => format!("{m:.0} min"),
        (h, 0.0) => format!("{h:.0} h"),
        (h, m) => format!("{h:.0} h {m:.0} min"),
    }
}

/// The same where there may be nothing to do: `none`.
pub fn show_minutes_or_none(min: f64) -> String {
    if min > 0.0 { show_minutes(min) } else { "none".to_owned() }
}

/// From so long to so long, the unit once: `5 to 15 min`, `13.5 to 59 h`; a single time where both are said alike.
pub fn show_minutes_between(low: f64, high: f64) -> String {
    let (low, high) = (show_minutes(low), show_minutes(high));
    match (low.rsplit_once(' '), high.rsplit_once(' ')) {
        _ if low == high => low,
        (Some((l, one)), Some((h, other))) if one == other && !l.contains(' ') && !h.contains(' ') => format!("{l} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// A difference of times with its sign: `+25 min`, `−2.5 h`; `as long` where it is less than what is said.
pub fn show_minutes_more(min: f64) -> String {
    match min {
        m if m.abs() < 2.5 => "as long".to_owned(),
        m if m < 0.0 => format!("−{}", show_minutes(-m)),
        m => format!("+{}", show_minutes(m)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_said_in_one_way() {
        let said = |m: f64| show_minutes(m);
        assert_eq!([0.0, 2.0, 57.6, 63.0, 114.0].map(said), ["5 min", "5 min", "1 h", "1 h 5 min", "1 h 55 min"]);
        assert_eq!([118.0, 120.0, 135.0, 1765.0, f64::NAN].map(said), ["2 h", "2 h", "2.5 h", "29.5 h", "5 min"]);
        assert_eq!([0.0, -3.0, 2.0].map(show_minutes_or_none), ["none", "none", "5 min"]);
        assert_eq!(show_minutes_between(4.0, 14.0), "5 to 15 min");
        assert_eq!(show_minutes_between(810.0, 3540.0), "13.5 to 59 h");
        assert_eq!(show_minutes_between(80.0, 140.0), "1 h 20 min to 2.5 h");
        assert_eq!(show_minutes_between(3.0, 4.0), "5 min");
        assert_eq!([26.0, -151.0, 1.0].map(show_minutes_more), ["+25 min", "−2.5 h", "as long"]);
    }

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
