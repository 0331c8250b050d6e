//! How the bench says it.

use reach::MethodKind;
use units::text::{Quantity, given_mm};

/// A size for the bench: hundredths where there are any.
pub fn size(size_mm: f64) -> Quantity {
    given_mm((size_mm * 100.0).round() / 100.0)
}

/// How a method is said on the bench.
pub fn method_words(kind: MethodKind) -> &'static str {
    match kind {
        MethodKind::StraightRod => "straight rod from inside",
        MethodKind::CurvedRod => "curved rod from inside",
        MethodKind::Mandrel => "drawn on a mandrel and rubbed down",
        MethodKind::BallTrain => "balls driven through",
        MethodKind::Rolling => "rolled from outside over a support",
        MethodKind::Hammering => "hammered from outside over a support",
        MethodKind::Magnet => "steel ball and magnet",
        MethodKind::PullOutside => "pulled from outside by a soldered stud",
        MethodKind::Burnishing => "burnished from inside",
        MethodKind::Expander => "expanding plug turned out inside",
        MethodKind::DrawRing => "drawn through a ring over a mandrel",
        MethodKind::FilledBend => "raised, then filled and worked from outside over the fill",
        MethodKind::Raising => "raised on a stake from inside",
    }
}

/// Names in a line: the first of them, and how many more there are.
pub fn some_of(names: &[String]) -> String {
    const TOLD: usize = 4;
    match names.len().checked_sub(TOLD).filter(|more| *more > 1) {
        Some(more) => format!("{} and {more} more", names[..TOLD].join(", ")),
        None => names.join(", "),
    }
}

/// Dents in a row are told by the first and the last: `d1 to d34`.
fn in_rows(dents: &[&str]) -> Vec<String> {
    let number = |d: &str| d.strip_prefix('d').and_then(|n| n.parse::<u32>().ok());
    let mut rows: Vec<(&str, &str, usize)> = Vec::new();
    for d in dents.iter().copied() {
        match rows.last_mut() {
            Some((_, to, n)) if number(to).zip(number(d)).is_some_and(|(a, b)| b == a + 1) => (*to, *n) = (d, *n + 1),
            _ => rows.push((d, d, 1)),
        }
    }
    let one = |(from, to, n): &(&str, &str, usize)| match n {
        1 => vec![(*from).to_owned()],
        2 => vec![(*from).to_owned(), (*to).to_owned()],
        _ => vec![format!("{from} to {to}")],
    };
    rows.iter().flat_map(one).collect()
}

/// "dent a", "dents a, b and c", "dents d1 to d34 and d38".
pub fn dents_words(dents: &[&str]) -> String {
    if dents.len() < 2 {
        return dents.first().map_or_else(|| "no dent".to_owned(), |d| format!("dent {d}"));
    }
    match in_rows(dents).as_slice() {
        [] => String::new(),
        [one] => format!("dents {one}"),
        [all @ .., last] => format!("dents {} and {last}", all.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_are_told_in_few_words() {
        assert_eq!(dents_words(&["d7"]), "dent d7");
        assert_eq!(dents_words(&["d1", "d2", "d4"]), "dents d1, d2 and d4");
        assert_eq!(dents_words(&["d1", "d2", "d3", "d4", "d8", "d10"]), "dents d1 to d4, d8 and d10");
        assert_eq!(dents_words(&["a", "b"]), "dents a and b");
        let names: Vec<String> = ["a", "b", "c", "d", "e", "f"].map(str::to_owned).to_vec();
        assert_eq!((some_of(&names), some_of(&names[..5])), ("a, b, c, d and 2 more".to_owned(), "a, b, c, d, e".to_owned()));
    }
}
