//! Numbers as people write them at a bench: `4`, `4.5`, `0,5`, `1/32`, `1 1/32`, `1-1/32`.

use crate::parse::{Cause, ParseError};

/// What is accepted, for error messages.
pub(crate) const ACCEPTED: &str = "a number like 4, 4.5, 29/64 or 1 1/32";

/// Fractions that fonts have a sign for.
const VULGAR: [(char, &str); 7] = [('½', "1/2"), ('¼', "1/4"), ('¾', "3/4"), ('⅛', "1/8"), ('⅜', "3/8"), ('⅝', "5/8"), ('⅞', "7/8")];

/// Reads a number that makes up the whole text. A decimal comma is read as a decimal point where it cannot be a
/// thousands separator (`0,5`, `11,66`); `1,200` is refused, because it means two things.
///
/// # Errors
/// Where the text is no number, divides by zero, or is not finite.
pub(crate) fn number(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    // A fraction written as one sign: ½ is 1/2, 1½ is 1 1/2.
    let spelt =
        VULGAR.iter().fold(text.to_owned(), |t, (sign, spelt)| if t.contains(*sign) { t.replace(*sign, &format!(" {spelt}")) } else { t });
    let read = spelt.trim();
    let (sign, body) = match read.strip_prefix('-').or_else(|| read.strip_prefix('−')) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, read.strip_prefix('+').unwrap_or(read)),
    };
    let value = match body.split_once('/') {
        None => decimal(body).map_err(|cause| refuse().by(cause))?,
        Some((before, below)) => {
            let below = whole(below.trim()).ok_or_else(refuse)?;
            if below <= 0.0 {
                return Err(refuse().by(Cause::DividedByZero));
            }
            // `1 1/32` and `1-1/32`: the whole part stands before the last space or hyphen.
            let (units, above) = match before.trim().rsplit_once([' ', '-', '\u{a0}']) {
                Some((units, above)) => (whole(units.trim()).ok_or_else(refuse)?, above),
                None => (0.0, before.trim()),
            };
            let above = whole(above.trim()).ok_or_else(refuse)?;
            if units > 0.0 && above >= below {
                return Err(refuse().by(Cause::FractionAboveOne));
            }
            units + above / below
        }
    };
    let value = sign * value;
    if value.is_finite() { Ok(value) } else { Err(refuse()) }
}

/// Splits a text into its leading number and what follows (the unit).
pub(crate) fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(i, c)| {
            let part = c.is_ascii_digit()
                || VULGAR.iter().any(|(v, _)| v == c)
                || matches!(c, '.' | ',' | '/' | ' ' | '\u{a0}')
                || (matches!(c, '-' | '+' | '−'));
            // A hyphen or sign belongs to the number only before a digit.
            !part
                || (matches!(c, '-' | '+' | '−')
                    && !text[i + c.len_utf8()..].trim_start().starts_with(|d: char| d.is_ascii_digit() || d == '.'))
        })
        .map_or(text.len(), |(i, _)| i);
    let (number, unit) = text.split_at(end);
    (number.trim(), unit.trim())
}

fn whole(text: &str) -> Option<f64> {
    (!text.is_empty() && text.len() <= 9 && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

fn decimal(text: &str) -> Result<f64, Cause> {
    let plain = match text.split_once(',') {
        // Three digits after a comma could be thousands; not where nothing but a zero, or too much, stands before it.
        Some((before, after)) if !after.contains([',', '.']) && !before.contains('.') => {
            if after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0') {
                return Err(if format!("{before}{after}").bytes().all(|b| b.is_ascii_digit()) {
                    Cause::Thousands
                } else {
                    Cause::Unreadable
                });
            }
            format!("{before}.{after}")
        }
        Some(_) => return Err(Cause::Unreadable),
        None => text.to_owned(),
    };
    let range = plain.split_once('-').is_some_and(|(a, b)| [a, b].iter().all(|n| n.trim().parse::<f64>().is_ok()));
    // No measurement has more than twelve digits before its point; behind it all that a program wrote is read.
    let digits = plain.bytes().filter(u8::is_ascii_digit).count();
    let whole = plain.split('.').next().unwrap_or_default().len();
    let fine = digits > 0 && digits <= 60 && whole <= 12 && plain.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    match plain.parse() {
        Ok(value) if fine => Ok(value),
        _ if range => Err(Cause::Hyphen),
        _ => Err(Cause::Unreadable),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bench_numbers_are_read() {
        for (text, value) in [
            ("4", 4.0),
            ("4.5", 4.5),
            (".5", 0.5),
            ("0,5", 0.5),
            ("0,459", 0.459),
            ("1250,125", 1250.125),
            ("29/64", 29.0 / 64.0),
            ("1 1/32", 1.031_25),
            ("1-1/32", 1.031_25),
            ("-2", -2.0),
            ("½", 0.5),
            ("1⅛", 1.125),
            ("1 ⅝", 1.625),
        ] {
            assert_eq!(number(text).unwrap(), value, "{text}");
        }
    }

    #[test]
    fn what_means_two_things_or_nothing_is_refused() {
        for text in ["", "1,200", "1/0", "1 3/2", "4..5", "1e5", "NaN", "inf", "1 2", "½½", "1/½", "99999999999999999999"] {
            assert!(number(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_number_is_split_from_its_unit() {
        assert_eq!(split("1 1/32\""), ("1 1/32", "\""));
        assert_eq!(split("1⅛\""), ("1⅛", "\""));
        assert_eq!(split("11.66mm"), ("11.66", "mm"));
        assert_eq!(split("1-1/32 in"), ("1-1/32", "in"));
        assert_eq!(split("4 - wide"), ("4", "- wide"));
    }
}
