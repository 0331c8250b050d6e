//! Numbers, sentences and the ranks of sources in words. Figures and lengths are told by [`crate::unit_format::UnitFormat`].

use units::{Origin, Rank};

/// A number with as many digits as say something.
pub fn number(x: f64) -> String {
    match x.abs() {
        a if a >= 100.0 => format!("{x:.0}"),
        a if a >= 10.0 => format!("{x:.1}"),
        a if a >= 1.0 => format!("{x:.2}"),
        0.0 => "0".to_owned(),
        a if a >= 0.01 => format!("{x:.3}"),
        a if a >= 0.0005 => format!("{x:.4}"),
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
