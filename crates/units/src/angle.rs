//! Angles: degrees, and the clock as one looks along the tube (12 o'clock 0°, 3 o'clock 90°).

use crate::number;
use crate::parse::{Cause, ParseError};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "an angle like 90°, 90 deg, 3 o'clock or 3:30";

/// Reads an angle; returns degrees as written (a clock time gives 0 to 360).
///
/// # Errors
/// Where the text is no angle.
pub fn parse_angle_deg(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let lower = text.trim().to_lowercase().replace('’', "'");
    let clock = lower.trim_end_matches("o'clock").trim_end_matches("oclock").trim_end_matches("h").trim();
    if let Some((hours, minutes)) = clock.split_once(':') {
        let (h, m) = (number::number(hours).map_err(|_| refuse())?, number::number(minutes).map_err(|_| refuse())?);
        return clock_deg(h, m).ok_or_else(|| refuse().by(Cause::NoSuchHour));
    }
    if clock.len() < lower.len() {
        return clock_deg(number::number(clock).map_err(|_| refuse())?, 0.0).ok_or_else(|| refuse().by(Cause::NoSuchHour));
    }
    let (digits, unit) = number::split(&lower);
    match unit {
        "°" | "deg" | "degree" | "degrees" => number::number(digits).map_err(|_| refuse()),
        _ if number::number(digits).is_err() => Err(refuse()),
        "" => Err(refuse().by(Cause::NoUnit)),
        unit => Err(refuse().by(Cause::OtherUnit { unit: unit.to_owned() })),
    }
}

/// Degrees as the nearest half hour of the clock: "3 o'clock", "3:30".
pub fn show_clock(deg: f64) -> String {
    let half_hours = (deg.rem_euclid(360.0) / 15.0).round().rem_euclid(24.0);
    let hour = (half_hours / 2.0).floor();
    let hour_shown = if hour == 0.0 { 12.0 } else { hour };
    if half_hours % 2.0 == 0.0 { format!("{hour_shown:.0} o'clock") } else { format!("{hour_shown:.0}:30") }
}

fn clock_deg(hours: f64, minutes: f64) -> Option<f64> {
    let fine = (0.0..=12.0).contains(&hours) && (0.0..60.0).contains(&minutes);
    fine.then(|| (hours * 30.0 + minutes * 0.5) % 360.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_and_clock_are_read() {
        for (text, deg) in [
            ("90°", 90.0),
            ("90 deg", 90.0),
            ("3 o'clock", 90.0),
            ("3:30", 105.0),
            ("12 o'clock", 0.0),
            ("3:30 o’clock", 105.0),
            ("-45 deg", -45.0),
        ] {
            assert_eq!(parse_angle_deg(text).unwrap(), deg, "{text}");
        }
        for text in ["90", "13 o'clock", "3:75", "noon", ""] {
            assert!(parse_angle_deg(text).is_err(), "{text}");
        }
    }

    #[test]
    fn the_clock_is_shown_to_the_half_hour() {
        assert_eq!(show_clock(90.0), "3 o'clock");
        assert_eq!(show_clock(359.0), "12 o'clock");
        assert_eq!(show_clock(105.0), "3:30");
        assert_eq!(show_clock(15.0), "12:30");
    }
}
