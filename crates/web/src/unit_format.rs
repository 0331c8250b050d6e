//! The unit in which a tablet's reader is told lengths, and the one place through which every figure and every sentence of
//! the computing crates comes onto a page: they write millimetres.

use crate::view::figures::{number, origin_words, rank_words, sentence};
use axum::http::HeaderMap;
use maud::{Markup, html};
use rust_decimal::Decimal;
use units::force::N_PER_LBF;
use units::length::{MM_PER_INCH, show_inch};
use units::money::show_money;
use units::{Figure, LengthUnit, Text, Unit};

/// Name of the cookie in which a tablet keeps its unit, `mm` or `in`.
pub const COOKIE_NAME: &str = "trueround_units";

/// How lengths are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnitFormat(pub LengthUnit);

impl UnitFormat {
    /// As the tablet's cookie says; millimetres where it has none.
    pub fn asked(headers: &HeaderMap) -> Self {
        match crate::cookies::cookie_value(headers, COOKIE_NAME).as_deref() {
            Some("in") => Self(LengthUnit::Inch),
            _ => Self(LengthUnit::Mm),
        }
    }

    /// Whether lengths are told in inches.
    pub fn inches(self) -> bool {
        self.0 == LengthUnit::Inch
    }

    /// The unit's symbol.
    pub fn symbol(self) -> &'static str {
        if self.inches() { "in" } else { "mm" }
    }

    /// A length in the unit chosen, the other behind it: a bench speaks both.
    pub fn length(self, mm: f64) -> String {
        if self.inches() { format!("{} ({mm:.1} mm)", show_inch(mm)) } else { format!("{mm:.1} mm ({:.3} in)", mm / MM_PER_INCH) }
    }

    /// A size as it is read at the bench: to a tenth of a millimeter, or the inch's fraction, in the unit chosen alone.
    pub fn size(self, mm: f64) -> String {
        if self.inches() { show_inch(mm) } else { format!("{mm:.1} mm") }
    }

    /// A force as it is read at the bench: to 10 N or a pound, in the unit chosen alone.
    pub fn force_round(self, n: f64) -> String {
        if self.inches() { format!("{:.0} lbf", n / N_PER_LBF) } else { format!("{:.0} N", 10.0 * (n / 10.0).round()) }
    }

    /// A temperature as it is read at the bench: to ten degrees, in the unit chosen alone.
    pub fn degc_round(self, degc: f64) -> String {
        if self.inches() {
            format!("{:.0} °F", 10.0 * ((degc * 1.8 + 32.0) / 10.0).round())
        } else {
            format!("{:.0} °C", 10.0 * (degc / 10.0).round())
        }
    }

    /// A wall, to the hundredth of a millimeter or the thousandth of an inch, in the unit chosen alone.
    pub fn wall(self, mm: f64) -> String {
        if self.inches() { format!("{:.4} in", mm / MM_PER_INCH) } else { format!("{mm:.2} mm") }
    }

    /// A temperature, °C; Fahrenheit before it where inches are spoken.
    pub fn degc(self, degc: f64) -> String {
        if self.inches() { format!("{:.0} °F ({degc:.0} °C)", degc * 1.8 + 32.0) } else { format!("{degc:.0} °C") }
    }

    /// A force, N; pounds before it where inches are spoken.
    pub fn force(self, n: f64) -> String {
        if self.inches() { format!("{} lbf ({n:.0} N)", number(n / N_PER_LBF)) } else { format!("{n:.0} N") }
    }

    /// Words of the computing crates.
    pub fn text(self, words: &Text) -> String {
        words.show(self.0)
    }

    /// Words of the computing crates as a sentence.
    pub fn sentence(self, words: &Text) -> String {
        sentence(&self.text(words))
    }

    /// A value in its unit; where inches are spoken a length alone, a force in pounds.
    pub fn value(self, value: f64, unit: Unit) -> String {
        let symbol = self.converted(value, unit).1;
        format!("{} {symbol}", self.digits(value, unit)).trim_end().to_owned()
    }

    /// A value's digits: inches are told in thousandths.
    fn digits(self, value: f64, unit: Unit) -> String {
        let value = self.converted(value, unit).0;
        if unit == Unit::Mm && self.inches() && value.abs() < 10.0 { format!("{value:.3}") } else { number(value) }
    }

    fn converted(self, value: f64, unit: Unit) -> (f64, &'static str) {
        match unit {
            Unit::Mm if self.inches() => (value / MM_PER_INCH, "in"),
            Unit::N if self.inches() => (value / N_PER_LBF, "lbf"),
            unit => (value, unit.symbol()),
        }
    }

    /// Value and interval in words: "4.0 mm (3.2 to 4.9)".
    pub fn words(self, f: &Figure) -> String {
        self.words_in(f, "")
    }

    /// As [`UnitFormat::words`], money in the shop's currency.
    fn words_in(self, f: &Figure, currency: &str) -> String {
        let money = |x: f64| show_money(Decimal::from_f64_retain(x).unwrap_or_default().round_dp(2), currency);
        match f.unit {
            Unit::Money => format!("{} ({} to {})", money(f.value), money(f.low), money(f.high)),
            Unit::Probability => format!("{:.0} % ({:.0} to {:.0} %)", f.value * 100.0, f.low * 100.0, f.high * 100.0),
            unit => {
                let of = |x| self.digits(x, unit);
                format!("{} {} ({} to {})", of(f.value), self.converted(f.value, unit).1, of(f.low), of(f.high)).replace("  ", " ")
            }
        }
    }

    /// A figure that opens its reasons.
    pub fn figure(self, f: &Figure) -> Markup {
        self.figure_in(f, "")
    }

    /// As [`UnitFormat::figure`], money in the shop's currency.
    pub fn figure_in(self, f: &Figure, currency: &str) -> Markup {
        html! {
            details.figure {
                summary.num { (self.words_in(f, currency)) }
                div.why {
                    p { "90 % interval. " (sentence(&f.reason.formula)) }
                    p { (rank_words(f.reason.source.rank)) ": " (sentence(&f.reason.source.text)) }
                    @if !f.reason.inputs.is_empty() {
                        div.scroll tabindex="0" role="region" aria-label="What it was worked out from" { table {
                            thead { tr { th scope="col" { "From" } th.n scope="col" { "Value" } th scope="col" { "Known by" } th.n scope="col" { "Share of the spread" } } }
                            tbody {
                                @for i in &f.reason.inputs {
                                    tr {
                                        td { (i.known.name) }
                                        td.n { (self.value(i.known.value, i.known.unit)) @if i.known.sd > 0.0 { " ± " (self.digits(i.known.sd, i.known.unit)) } }
                                        td { (origin_words(i.known.origin)) }
                                        td.n { (format!("{:.0} %", i.share * 100.0)) }
                                    }
                                }
                            }
                        } }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::text;

    #[test]
    fn whoever_speaks_inches_is_told_inches_first() {
        let (mm, inch) = (UnitFormat(LengthUnit::Mm), UnitFormat(LengthUnit::Inch));
        assert_eq!(mm.length(12.7), "12.7 mm (0.500 in)");
        assert_eq!(inch.length(12.7), "1/2 in (12.7 mm)");
        assert_eq!(inch.sentence(&text!("the ball of {} passes", units::text::mm(25.4, 1))), "The ball of 1 in passes.");
        assert_eq!(mm.sentence(&text!("the ball of {} passes", units::text::mm(25.4, 1))), "The ball of 25.4 mm passes.");
        assert_eq!(inch.value(25.4, Unit::Mm), "1.000 in");
        assert_eq!(inch.force(111.205_540_381), "25.0 lbf (111 N)");
        assert_eq!(inch.degc(100.0), "212 °F (100 °C)");
    }

    #[test]
    fn the_cookie_says_which() {
        let mut headers = HeaderMap::new();
        assert!(!UnitFormat::asked(&headers).inches());
        headers.insert("cookie", "a=b; trueround_units=in".parse().unwrap());
        assert!(UnitFormat::asked(&headers).inches());
        headers.insert("cookie", "trueround_units=cubits".parse().unwrap());
        assert!(!UnitFormat::asked(&headers).inches());
    }
}
