//! Measurements as people write them: `4 mm`, `about 4 mm`, `4 ± 0.3 mm`, `3 to 5 mm`, `pattern 18.5 mm`.

use crate::figure::Z90;
use crate::length::{self, LengthUnit, parse_length_mm};
use crate::number;
use crate::parse::{Cause, ParseError};
use crate::{Known, Origin, Unit};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "a length like 4 mm, about 4 mm, 4 ± 0.3 mm, 3 to 5 mm or 5/32\"";

/// Part of the value that is one standard deviation of a judgement by eye. Common practice, no source.
pub const BY_EYE: f64 = 0.25;

/// How well a plain measurement and a pattern's value of one kind are known, one standard deviation each, and the unit
/// of bare numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Of a plain measurement, mm.
    pub sd_mm: f64,
    /// Of a pattern's value, as a part of it.
    pub pattern_part: f64,
    /// Unit of bare numbers; none: a bare number is refused.
    pub default: Option<LengthUnit>,
}

impl Gauge {
    /// A length along the tube taken with a rule or tape: ± 1 mm. Common practice, no source.
    pub const LENGTH: Self = Self { sd_mm: 1.0, pattern_part: 0.03, default: None };
    /// A diameter taken with a calliper: ± 0.05 mm. Common practice, no source.
    pub const CALLIPER: Self = Self { sd_mm: 0.05, pattern_part: 0.025, default: None };
    /// A wall taken with a micrometer or an ultrasonic gauge: ± 0.02 mm. Common practice, no source.
    pub const WALL: Self = Self { sd_mm: 0.02, pattern_part: 0.13, default: None };
    /// A dent's depth taken with a bridge gauge: ± 0.15 mm. Common practice, no source.
    pub const DEPTH: Self = Self { sd_mm: 0.15, pattern_part: 0.25, default: None };
    /// A dent's width taken with a rule, where its edge has to be judged: ± 1.5 mm. Common practice, no source.
    pub const WIDTH: Self = Self { sd_mm: 1.5, pattern_part: 0.25, default: None };

    /// The same gauge with a unit for bare numbers.
    #[must_use]
    pub const fn with_default(mut self, unit: Option<LengthUnit>) -> Self {
        self.default = unit;
        self
    }
}

/// Reads a measured length. `±` gives the half-width of a 90 % interval; a range is read as an even spread.
///
/// # Errors
/// Where the text is no measurement with a unit.
pub fn parse_measured_mm(text: &str, gauge: &Gauge) -> Result<Known, ParseError> {
    let refuse = |cause| ParseError::new(text, ACCEPTED).by(cause);
    // What is wrong with a part is wrong with the whole.
    let part = |e: ParseError| refuse(e.cause);
    let known = |value: f64, sd: f64, origin| Known::new("", value, sd, Unit::Mm, origin);
    let trimmed = text.trim();
    if let Some(rest) = by_eye(trimmed) {
        let value = parse_length_mm(rest, gauge.default).map_err(part)?;
        return Ok(known(value, (value.abs() * BY_EYE).max(gauge.sd_mm), Origin::ByEye));
    }
    if let Some(rest) = trimmed.get(..8).filter(|t| t.eq_ignore_ascii_case("pattern ")).map(|_| &trimmed[8..]) {
        let value = parse_length_mm(rest, gauge.default).map_err(part)?;
        return Ok(known(value, value.abs() * gauge.pattern_part, Origin::Pattern));
    }
    if let Some((value, half)) = trimmed.split_once('±').or_else(|| trimmed.split_once("+/-")) {
        let (_, unit) = number::split(half);
        let unit_before = unit_of(value);
        // `4 ± 0.3 mm`: the unit behind the second number holds for the first as well.
        let value = if number::split(value).1.is_empty() { format!("{} {unit}", value.trim()) } else { value.to_owned() };
        let value = parse_length_mm(&value, gauge.default).map_err(part)?;
        let half = parse_length_mm(half, gauge.default.or(unit_before)).map_err(part)?;
        return if half >= 0.0 { Ok(known(value, half / Z90, Origin::Measured)) } else { Err(refuse(Cause::Negative)) };
    }
    if let Some((low, high)) = trimmed.split_once(" to ").or_else(|| trimmed.split_once('–')) {
        let (_, unit) = number::split(high);
        let low = if number::split(low).1.is_empty() { format!("{} {unit}", low.trim()) } else { low.to_owned() };
        let low = parse_length_mm(&low, gauge.default).map_err(part)?;
        let high = parse_length_mm(high, gauge.default).map_err(part)?;
        return if low <= high {
            Ok(known((low + high) / 2.0, (high - low) / 12.0_f64.sqrt(), Origin::ByEye))
        } else {
            Err(refuse(Cause::Falling))
        };
    }
    let value = parse_length_mm(trimmed, gauge.default).map_err(part)?;
    Ok(known(value, gauge.sd_mm, Origin::Measured))
}

/// What follows the word that marks a judgement by eye (`about 4 mm`, `~4 mm`); none where there is no such word.
pub fn by_eye(text: &str) -> Option<&str> {
    let text = text.trim();
    let starts = |word: &str| text.get(..word.len()).is_some_and(|t| t.eq_ignore_ascii_case(word)).then(|| text[word.len()..].trim_start());
    ["about ", "approx. ", "approx ", "ca. ", "ca ", "~"].into_iter().find_map(starts)
}

/// A measurement in the words of a person: inches as a fraction where one fits, millimetres with two decimals at most. What
/// is read back from them may differ in the last figure.
pub fn show_measured(known: &Known, gauge: &Gauge, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => said(known, gauge, "mm", |mm| decimals(mm, 2)),
        LengthUnit::Inch => said(known, gauge, "in", |mm| length::show_inch(mm).trim_end_matches(" in").to_owned()),
    }
}

fn decimals(mm: f64, most: usize) -> String {
    let text = format!("{mm:.most$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn said(known: &Known, gauge: &Gauge, unit: &str, number: impl Fn(f64) -> String) -> String {
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1e-9);
    match known.origin {
        Origin::ByEye if close(known.sd, (known.value.abs() * BY_EYE).max(gauge.sd_mm)) => format!("about {} {unit}", number(known.value)),
        Origin::ByEye => {
            let half = known.sd * 3.0_f64.sqrt();
            format!("{} to {} {unit}", number(known.value - half), number(known.value + half))
        }
        Origin::Pattern => format!("pattern {} {unit}", number(known.value)),
        _ if close(known.sd, gauge.sd_mm) => format!("{} {unit}", number(known.value)),
        _ => format!("{} ± {} {unit}", number(known.value), number(known.sd * Z90)),
    }
}

fn unit_of(text: &str) -> Option<LengthUnit> {
    let factor = length::factor(number::split(text).1)?;
    [LengthUnit::Mm, LengthUnit::Inch].into_iter().find(|u| u.in_mm() == factor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Known {
        parse_measured_mm(text, &Gauge::DEPTH).unwrap()
    }

    #[test]
    fn every_way_of_saying_four_millimetres() {
        assert_eq!((read("4 mm").value, read("4 mm").sd, read("4 mm").origin), (4.0, 0.15, Origin::Measured));
        assert_eq!((read("about 4 mm").sd, read("about 4 mm").origin), (1.0, Origin::ByEye));
        assert_eq!(read("~4 mm").origin, Origin::ByEye);
        assert!((read("4 ± 0.3 mm").sd - 0.3 / Z90).abs() < 1e-12);
        assert!((read("4 mm ± 0.3").sd - 0.3 / Z90).abs() < 1e-12);
        assert_eq!(read("3 to 5 mm").value, 4.0);
        assert_eq!(read("3 mm to 5 mm").value, 4.0);
        assert_eq!(read("3–5 mm"), read("3 to 5 mm"));
        assert_eq!((read("pattern 4 mm").sd, read("pattern 4 mm").origin), (1.0, Origin::Pattern));
        assert_eq!(read("5/32\"").value, 3.96875);
        assert!(parse_measured_mm("4", &Gauge::DEPTH).is_err());
        assert!(parse_measured_mm("5 to 3 mm", &Gauge::DEPTH).is_err());
        assert!(parse_measured_mm("4 ± -1 mm", &Gauge::DEPTH).is_err());
    }

    #[test]
    fn a_person_is_shown_what_was_meant() {
        let known = read("3/32 in");
        assert_eq!(show_measured(&known, &Gauge::DEPTH, LengthUnit::Inch), "3/32 in");
        assert_eq!(show_measured(&known, &Gauge::DEPTH, LengthUnit::Mm), "2.38 mm");
        assert_eq!(show_measured(&read("about 1 1/2 in"), &Gauge::DEPTH, LengthUnit::Inch), "about 1 1/2 in");
        assert_eq!(show_measured(&read("5/32 ± 1/64 in"), &Gauge::DEPTH, LengthUnit::Inch), "5/32 ± 1/64 in");
    }

    proptest! {
        #[test]
        fn what_is_shown_is_read_back(value in 0.01..900.0_f64, sd in 0.001..20.0_f64, origin in prop::sample::select(vec![Origin::Measured, Origin::ByEye, Origin::Pattern])) {
            let value = (value * 1000.0).round() / 1000.0;
            let known = Known::new("", value, if origin == Origin::Pattern { value * Gauge::DEPTH.pattern_part } else { sd }, Unit::Mm, origin);
            let again = parse_measured_mm(&said(&known, &Gauge::DEPTH, "mm", |mm| decimals(mm, 4)), &Gauge::DEPTH);
            // A wide guess may reach below zero; such a range is not written by hand either.
            if let Ok(again) = again {
                prop_assert!((again.value - known.value).abs() < 1e-3);
                prop_assert!((again.sd - known.sd).abs() < 1e-3);
                prop_assert_eq!(again.origin, known.origin);
            } else {
                prop_assert!(origin == Origin::ByEye && value < sd * 2.0);
            }
        }
    }
}
