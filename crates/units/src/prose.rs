//! Lengths inside sentences: the computing crates write their reasons in millimetres; a person who works in inches reads
//! them in inches.

use crate::length::{LengthUnit, show_inch};
use std::fmt::Write;

/// What may stand between two numbers that share the unit behind the last: `0.5 to 1.2 mm`, `86, 88 and 90 mm`.
const BETWEEN: &[&str] = &[" to ", "–", ", ", " and ", " ± ", " by ", " × ", " of ", " or "];

/// The sentence with its lengths in the unit chosen. Only numbers that stand before `mm` are lengths; areas, rates and
/// names such as `d12` stay as they are.
pub fn lengths_in(text: &str, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => text.to_owned(),
        LengthUnit::Inch => in_inches(text),
    }
}

fn in_inches(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    let mut before = ' ';
    while let Some(c) = rest.chars().next() {
        if c.is_ascii_digit()
            && !(before.is_alphanumeric() || matches!(before, '.' | '-' | '/'))
            && let Some((words, length)) = lengths(rest)
        {
            let _ = write!(out, "{words}");
            rest = &rest[length..];
            before = 'n';
            continue;
        }
        out.push(c);
        before = c;
        rest = &rest[c.len_utf8()..];
    }
    out
}

/// Numbers up to and with ` mm` at the start of a text, in inches; and how many bytes they took.
fn lengths(text: &str) -> Option<(String, usize)> {
    let mut words = String::new();
    let mut at = 0;
    loop {
        let digits = number(&text[at..])?;
        let mm: f64 = text[at..at + digits].parse().ok()?;
        at += digits;
        let inches = show_inch(mm);
        if let Some(after) = text[at..].strip_prefix(" mm") {
            let ends = after.chars().next().is_none_or(|c| !(c.is_alphanumeric() || matches!(c, '²' | '³' | '/')));
            words.push_str(&inches);
            return ends.then_some((words, at + 3));
        }
        let between = BETWEEN.iter().find(|b| text[at..].starts_with(**b))?;
        words.push_str(inches.trim_end_matches(" in"));
        words.push_str(between);
        at += between.len();
    }
}

/// The length of the decimal number at the start of a text, in bytes.
fn number(text: &str) -> Option<usize> {
    let whole = text.bytes().take_while(u8::is_ascii_digit).count();
    if whole == 0 {
        return None;
    }
    let decimals = text[whole..].strip_prefix('.').map_or(0, |r| r.bytes().take_while(u8::is_ascii_digit).count());
    Some(if decimals > 0 { whole + 1 + decimals } else { whole })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_in_sentences_become_inches() {
        let inch = |t| lengths_in(t, LengthUnit::Inch);
        assert_eq!(inch("balls driven through, 25.4 mm, in by bell rim"), "balls driven through, 1 in, in by bell rim");
        assert_eq!(inch("from 12.7 to 25.4 mm, let it cool"), "from 1/2 to 1 in, let it cool");
        assert_eq!(inch("balls 50.8, 76.2 and 101.6 mm"), "balls 2, 3 and 4 in");
        assert_eq!(inch("fills 12.7 of 25.4 mm."), "fills 1/2 of 1 in.");
    }

    #[test]
    fn what_is_no_length_stays() {
        for text in ["dent d12 mm", "25 mm² of metal", "400 N on the rod", "12 N/mm", "40 s at 280 °C, 3 passes", "1.5 mm/s", "5 mmx", ""]
        {
            assert_eq!(lengths_in(text, LengthUnit::Inch), text);
        }
        assert_eq!(lengths_in("25.4 mm", LengthUnit::Mm), "25.4 mm");
    }

    proptest! {
        #[test]
        fn any_text_goes_through(text in "\\PC{0,60}") {
            let _ = lengths_in(&text, LengthUnit::Inch);
        }

        #[test]
        fn one_length_is_told_as_show_inch_tells_it(mm in 0.0_f64..3000.0) {
            prop_assert_eq!(lengths_in(&format!("at {mm:.2} mm."), LengthUnit::Inch), format!("at {}.", show_inch(format!("{mm:.2}").parse().unwrap())));
        }
    }
}
