//! The units in which a tablet's reader is told, and the one place through which every figure and every sentence of the computing crates
//! comes onto a page: they write millimeters. One system at a time; how finely each quantity is said stands in `units`.

use crate::view::figures::{number, origin_words, rank_words, sentence};
use axum::http::HeaderMap;
use maud::{Markup, html};
use units::duration::{show_minutes, show_minutes_between};
use units::force::{force_digits, show_force};
use units::length::{MM_PER_INCH, show_size, show_tenths};
use units::likelihood::{show_likelihood, show_likelihood_range};
use units::money::{show_about, show_about_between};
use units::temperature::{show_temperature, temperature_digits};
use units::{Figure, LengthUnit, Text, Unit};

/// Name of the cookie in which a tablet keeps its unit, `mm` or `in`.
pub const COOKIE_NAME: &str = "trueround_units";

/// How lengths are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnitFormat(pub LengthUnit);

impl UnitFormat {
    /// As the tablet's cookie says; as the shop tells lengths where it has none.
    pub fn asked(headers: &HeaderMap, shops: Self) -> Self {
        crate::cookies::cookie_value(headers, COOKIE_NAME).and_then(|symbol| Self::read(&symbol)).unwrap_or(shops)
    }

    /// The one of a symbol, `mm` or `in`.
    pub fn read(symbol: &str) -> Option<Self> {
        [LengthUnit::Mm, LengthUnit::Inch].map(Self).into_iter().find(|f| f.symbol() == symbol)
    }

    /// Whether lengths are told in inches.
    pub fn inches(self) -> bool {
        self.0 == LengthUnit::Inch
    }

    /// The unit's symbol.
    pub fn symbol(self) -> &'static str {
        if self.inches() { "in" } else { "mm" }
    }

    /// A tool's size: see [`show_size`].
    pub fn size(self, mm: f64) -> String {
        show_size(mm, self.0)
    }

    /// A depth, a place, a distance: see [`show_tenths`].
    pub fn tenths(self, mm: f64) -> String {
        show_tenths(mm, self.0)
    }

    /// A wall, to the hundredth of a millimeter or the thousandth of an inch.
    pub fn wall(self, mm: f64) -> String {
        if self.inches() { format!("{:.4} in", mm / MM_PER_INCH) } else { format!("{mm:.2} mm") }
    }

    /// A temperature: see [`show_temperature`].
    pub fn degc(self, degc: f64) -> String {
        show_temperature(degc, self.0)
    }

    /// A force: see [`show_force`].
    pub fn force(self, n: f64) -> String {
        show_force(n, self.0)
    }

    /// Words of the computing crates.
    pub fn text(self, words: &Text) -> String {
        words.show(self.0)
    }

    /// Words of the computing crates as a sentence.
    pub fn sentence(self, words: &Text) -> String {
        sentence(&self.text(words))
    }

    /// A value in its unit.
    pub fn value(self, value: f64, unit: Unit) -> String {
        match unit {
            Unit::Min => show_minutes(value),
            Unit::Probability => show_likelihood(value),
            unit => format!("{} {}", self.digits(value, unit), unit.in_system(value, self.0).1)
                .trim_end()
                .replace(" °", "°")
                .replace("°C", " °C")
                .replace("°F", " °F"),
        }
    }

    /// A value's digits, as fine as it is known: a force and a temperature as at the bench, a length to a tenth of a millimeter, below one to a
    /// hundredth.
    fn digits(self, value: f64, unit: Unit) -> String {
        match unit {
            Unit::N => force_digits(value, self.0),
            Unit::DegC => temperature_digits(value, self.0),
            Unit::Mm if value.abs() < 0.01 => number(unit.in_system(value, self.0).0),
            Unit::Mm => {
                let shown = if value.abs() < 1.0 { show_size(value, self.0) } else { show_tenths(value, self.0) };
                shown.trim_end_matches(" mm").trim_end_matches(" in").to_owned()
            }
            unit => number(unit.in_system(value, self.0).0),
        }
    }

    /// Value and interval in words: "4 mm (3.2 to 4.9)".
    pub fn words(self, f: &Figure) -> String {
        self.words_in(f, "")
    }

    /// As [`UnitFormat::words`], money in the shop's currency.
    fn words_in(self, f: &Figure, currency: &str) -> String {
        match f.unit {
            Unit::Money => format!("{} ({})", show_about(f.value, currency), show_about_between(f.low, f.high, currency)),
            Unit::Probability => show_likelihood_range(f.value, f.low, f.high),
            Unit::Min => format!("{} ({})", show_minutes(f.value), show_minutes_between(f.low, f.high)),
            unit => format!("{} ({} to {})", self.value(f.value, unit), self.digits(f.low, unit), self.digits(f.high, unit)),
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
                                        td.n { (show_likelihood(i.share)) }
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
    fn whoever_reads_inches_is_told_inches_alone() {
        let (mm, inch) = (UnitFormat(LengthUnit::Mm), UnitFormat(LengthUnit::Inch));
        assert_eq!((mm.tenths(12.7), inch.tenths(12.7)), ("12.7 mm".to_owned(), "1/2 in".to_owned()));
        assert_eq!(inch.sentence(&text!("the ball of {} passes", units::text::mm(25.4, 1))), "The ball of 1 in passes.");
        assert_eq!(mm.sentence(&text!("the ball of {} passes", units::text::mm(25.4, 1))), "The ball of 25.4 mm passes.");
        assert_eq!((inch.value(25.4, Unit::Mm), inch.value(90.0, Unit::Deg)), ("1 in".to_owned(), "90.0°".to_owned()));
        assert_eq!((inch.force(111.205_540_381), mm.force(111.205_540_381)), ("25 lbf".to_owned(), "110 N".to_owned()));
        assert_eq!((inch.degc(183.0), mm.degc(183.0)), ("360 °F".to_owned(), "180 °C".to_owned()));
    }

    #[test]
    fn a_figure_is_said_as_finely_as_it_is_known_and_never_as_nothing() {
        let said = |unit: Unit, value: f64, low: f64, high: f64| {
            let f = Figure::stated(value, low, high, unit, "f", units::Source::closed_form("test"), &[]);
            [LengthUnit::Mm, LengthUnit::Inch].map(|u| UnitFormat(u).words_in(&f, "$"))
        };
        assert_eq!(said(Unit::Probability, 0.004, 0.0, 0.03), ["< 1 % (< 1 to 3 %)"; 2]);
        assert_eq!(said(Unit::N, 178.0, 121.0, 244.0), ["180 N (120 to 240)", "40 lbf (27 to 55)"]);
        assert_eq!(said(Unit::Mm, 4.03, 3.2, 4.88), ["4 mm (3.2 to 4.9)", "0.157 in (1/8 to 0.193)"]);
        assert_eq!(said(Unit::Money, 1915.4, 1200.0, 2600.0), ["$1,915 ($1,200 to $2,600)"; 2]);
        assert_eq!(said(Unit::Min, 112.0, 64.0, 300.0), ["1 h 50 min (1 h 5 min to 5 h)"; 2]);
    }

    #[test]
    fn the_cookie_says_which_and_without_one_the_shop() {
        let mut headers = HeaderMap::new();
        let asked = |headers: &HeaderMap, shops| UnitFormat::asked(headers, UnitFormat(shops)).symbol();
        assert_eq!((asked(&headers, LengthUnit::Mm), asked(&headers, LengthUnit::Inch)), ("mm", "in"));
        headers.insert("cookie", "a=b; trueround_units=in".parse().unwrap());
        assert_eq!((asked(&headers, LengthUnit::Mm), asked(&headers, LengthUnit::Inch)), ("in", "in"));
        headers.insert("cookie", "trueround_units=cubits".parse().unwrap());
        assert_eq!((asked(&headers, LengthUnit::Mm), asked(&headers, LengthUnit::Inch)), ("mm", "in"));
    }
}
