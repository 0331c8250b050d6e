//! Money in exact decimals.

use crate::parse::{Cause, ParseError};
use rust_decimal::{Decimal, RoundingStrategy};

/// What is accepted, for error messages.
pub const ACCEPTED: &str = "an amount like 1250, 1,250.00 or $1,250.00";

/// Reads an amount: digits, an optional decimal point, commas between thousands, an optional currency sign.
///
/// # Errors
/// Where the text is no amount.
pub fn parse_money(text: &str) -> Result<Decimal, ParseError> {
    let refuse = || ParseError::new(text, ACCEPTED);
    let bare = text.trim().trim_start_matches(['$', '€', '£']).trim();
    let (whole, cents) = bare.split_once('.').map_or((bare, None), |(w, c)| (w, Some(c)));
    let groups: Vec<&str> = whole.split(',').collect();
    let digits = |s: &str| !s.is_empty() && s.len() <= 12 && s.bytes().all(|b| b.is_ascii_digit());
    let thousands = groups.len() == 1 || (groups[0].len() <= 3 && groups[1..].iter().all(|g| g.len() == 3));
    let fine = groups.len() <= 4 && groups.iter().all(|g| digits(g)) && thousands && cents.is_none_or(digits);
    if !fine {
        let below = bare.starts_with(['-', '−']) || text.trim().starts_with(['-', '−']);
        let comma = matches!(groups[..], [whole, part] if digits(whole) && digits(part) && part.len() < 3) && cents.is_none();
        let word = bare.trim_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' '));
        let word = Some(word).filter(|w| *w != bare && !w.is_empty() && w.chars().all(char::is_alphabetic));
        return Err(match (below && bare.contains(|c: char| c.is_ascii_digit()), comma) {
            (true, _) => refuse().by(Cause::Negative),
            (_, true) => refuse().by(Cause::DecimalComma),
            _ => word.map_or_else(refuse, |unit| refuse().by(Cause::OtherUnit { unit: unit.to_owned() })),
        });
    }
    let joined = groups.concat();
    cents.map_or(joined.clone(), |c| format!("{joined}.{c}")).parse().map_err(|_| refuse())
}

/// Rounds to the cent, halves away from zero (the usual rule of a till; common practice, no source).
pub fn to_cents(amount: Decimal) -> Decimal {
    let mut rounded = amount.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
    rounded.rescale(2);
    rounded
}

/// An amount for a person: `$1,250.00`.
pub fn show_money(amount: Decimal, currency: &str) -> String {
    let text = to_cents(amount.abs()).to_string();
    let (whole, cents) = text.split_once('.').unwrap_or((&text, "00"));
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{}{currency}{grouped}.{cents}", if amount.is_sign_negative() && !amount.is_zero() { "−" } else { "" })
}

/// An amount for a person where cents say nothing: `$1,250`.
pub fn show_whole(amount: Decimal, currency: &str) -> String {
    let mut shown = show_money(amount.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero), currency);
    shown.truncate(shown.len().saturating_sub(3));
    shown
}

/// A computed amount for a person, whole: `$1,250`, `−$40`.
pub fn show_about(amount: f64, currency: &str) -> String {
    show_whole(Decimal::from_f64_retain(amount).unwrap_or_default(), currency)
}

/// From so much to so much, the sign at each: `$80 to $120`; a single amount where both are said alike.
pub fn show_about_between(low: f64, high: f64, currency: &str) -> String {
    let (low, high) = (show_about(low, currency), show_about(high, currency));
    if low == high { low } else { format!("{low} to {high}") }
}

/// An amount for a person, its cents only where there are any: `$1,250`, `$1,250.50`.
pub fn show_price(amount: Decimal, currency: &str) -> String {
    if to_cents(amount).fract().is_zero() { show_whole(amount, currency) } else { show_money(amount, currency) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn whole_amounts_are_rounded_and_not_cut() {
        assert_eq!(show_whole(Decimal::new(191_550, 2), "$"), "$1,916");
        assert_eq!(show_whole(Decimal::new(-1_049, 2), "$"), "−$10");
        assert_eq!(show_whole(Decimal::ZERO, "€"), "€0");
        assert_eq!((show_about(1234.6, "$"), show_about(f64::NAN, "$")), ("$1,235".to_owned(), "$0".to_owned()));
        assert_eq!((show_about_between(80.2, 119.9, "$"), show_about_between(3.9, 4.1, "$")), ("$80 to $120".to_owned(), "$4".to_owned()));
        assert_eq!([125_000, 125_050, -300].map(|c| show_price(Decimal::new(c, 2), "$")), ["$1,250", "$1,250.50", "−$3"]);
    }

    #[test]
    fn amounts_are_read_exactly() {
        assert_eq!(parse_money("$1,250.10").unwrap(), Decimal::new(125_010, 2));
        assert_eq!(parse_money("0.1").unwrap() + parse_money("0.2").unwrap(), parse_money("0.3").unwrap());
        for text in ["", "12,50", "1.2.3", "-5", "abc", "1,2500"] {
            assert!(parse_money(text).is_err(), "{text}");
        }
    }

    #[test]
    fn halves_go_away_from_zero() {
        assert_eq!(to_cents(Decimal::new(10_005, 3)).to_string(), "10.01");
        assert_eq!(show_money(Decimal::new(123_456_789, 2), "$"), "$1,234,567.89");
        assert_eq!(show_money(Decimal::from(-5), "$"), "−$5.00");
    }

    proptest! {
        #[test]
        fn what_is_shown_is_read_back(cents in 0_i64..10_000_000_000) {
            let amount = Decimal::new(cents, 2);
            prop_assert_eq!(parse_money(&show_money(amount, "$")).unwrap(), amount);
        }
    }
}
