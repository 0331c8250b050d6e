//! Figures on a page: the value with its interval, and its reasons behind a touch.

use maud::{Markup, html};
use rust_decimal::Decimal;
use units::money::show_money;
use units::{Figure, Origin, Rank, Unit};

/// A length on a page: millimetres first, inches behind, for a bench that speaks both.
pub fn length(mm: f64) -> String {
    format!("{mm:.1} mm ({:.3} in)", mm / 25.4)
}

/// A number with as many digits as say something.
pub fn number(x: f64) -> String {
    match x.abs() {
        a if a >= 100.0 => format!("{x:.0}"),
        a if a >= 10.0 => format!("{x:.1}"),
        a if a >= 1.0 => format!("{x:.2}"),
        0.0 => "0".to_owned(),
        a if a >= 0.01 => format!("{x:.3}"),
        _ => format!("{x:.1e}"),
    }
}

/// Words as a sentence: a capital at the head, a full stop at the end.
pub fn sentence(words: &str) -> String {
    let words = words.trim();
    let mut out: String = words.chars().take(1).flat_map(char::to_uppercase).chain(words.chars().skip(1)).collect();
    if !out.is_empty() && !out.ends_with(['.', '!', '?']) {
        out.push('.');
    }
    out
}

/// Value and interval in words: "4.0 mm (3.2 to 4.9)".
pub fn words(f: &Figure) -> String {
    words_in(f, "")
}

/// As [`words`], money in the shop's currency.
fn words_in(f: &Figure, currency: &str) -> String {
    let money = |x: f64| show_money(Decimal::from_f64_retain(x).unwrap_or_default().round_dp(2), currency);
    match f.unit {
        Unit::Money => format!("{} ({} to {})", money(f.value), money(f.low), money(f.high)),
        Unit::Probability => format!("{:.0} % ({:.0} to {:.0} %)", f.value * 100.0, f.low * 100.0, f.high * 100.0),
        unit => format!("{} {} ({} to {})", number(f.value), unit.symbol(), number(f.low), number(f.high)).replace("  ", " "),
    }
}

/// A figure that opens its reasons.
pub fn figure(f: &Figure) -> Markup {
    figure_in(f, "")
}

/// As [`figure`], money in the shop's currency.
pub fn figure_in(f: &Figure, currency: &str) -> Markup {
    html! {
        details.figure {
            summary.num { (words_in(f, currency)) }
            div.why {
                p { "90 % interval. " (sentence(&f.reason.formula)) }
                p { (rank_words(f.reason.source.rank)) ": " (sentence(&f.reason.source.text)) }
                @if !f.reason.inputs.is_empty() {
                    table {
                        thead { tr { th scope="col" { "From" } th.n scope="col" { "Value" } th scope="col" { "Known by" } th.n scope="col" { "Share of the spread" } } }
                        tbody {
                            @for i in &f.reason.inputs {
                                tr {
                                    td { (i.known.name) }
                                    td.n { (number(i.known.value)) " " (i.known.unit.symbol()) @if i.known.sd > 0.0 { " ± " (number(i.known.sd)) } }
                                    td { (origin_words(i.known.origin)) }
                                    td.n { (format!("{:.0} %", i.share * 100.0)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Where a value comes from, in words.
pub fn origin_words(origin: Origin) -> &'static str {
    match origin {
        Origin::Measured => "measured",
        Origin::ByEye => "judged by eye",
        Origin::Shop => "the shop's settings",
        Origin::Handbook => "handbook",
        Origin::Computed => "computed",
        Origin::Pattern => "the pattern, not measured",
        Origin::Assumed => "assumed, nobody measured it",
    }
}

/// How far a source can be trusted, in words.
pub fn rank_words(rank: Rank) -> &'static str {
    match rank {
        Rank::Published => "Published",
        Rank::ClosedForm => "Closed form",
        Rank::FromMemory => "From memory of",
        Rank::CommonPractice => "Common practice, no source",
        Rank::OwnModel => "Own model",
    }
}
