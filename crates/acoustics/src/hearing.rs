//! What somebody hears of a number of cents, and the sentence that says it.

use units::Source;

/// Source of the thresholds.
pub const HEARING: Source = Source::published(
    "about 10 cents amateur musicians, 3.5 cents the best: as quoted in the shop's notes on two bores from doi 10.1121/1.2697059",
);
/// What the best ear notices, cents. See [`HEARING`].
pub const BEST_EAR: f64 = 3.5;
/// What amateur musicians notice, cents. See [`HEARING`].
pub const AMATEUR: f64 = 10.0;

/// Who notices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Noticed {
    /// Nobody.
    Nobody,
    /// The best ears.
    BestEar,
    /// Any musician.
    Anybody,
}

/// Who notices so many cents, either way.
pub fn noticed(cents: f64) -> Noticed {
    match cents.abs() {
        c if c < BEST_EAR => Noticed::Nobody,
        c if c < AMATEUR => Noticed::BestEar,
        _ => Noticed::Anybody,
    }
}

/// The customer's sentence: of the note that moves most, its cents with the bounds of the interval.
pub fn sentence(note: &str, cents: f64, low: f64, high: f64) -> String {
    let way = if cents < 0.0 { "flat" } else { "sharp" };
    let worst = low.abs().max(high.abs());
    let size = format!("{:.0}", cents.abs());
    let cents_word = if size == "1" { "cent" } else { "cents" };
    match (noticed(cents), noticed(worst)) {
        (Noticed::Nobody, Noticed::Nobody) => "No player will hear it.".to_owned(),
        (Noticed::Nobody, Noticed::BestEar) => {
            format!("No player should hear it; at worst a sharp ear finds the {note} {worst:.0} cents off.")
        }
        (Noticed::Nobody, Noticed::Anybody) => {
            format!("Most likely no player hears it, but it is not measured well enough: the {note} could be up to {worst:.0} cents off.")
        }
        (Noticed::BestEar, Noticed::Anybody) => {
            format!("The {note} is about {size} {cents_word} {way}: a good ear hears that, and it could be up to {worst:.0}.")
        }
        (Noticed::BestEar, _) => format!("The {note} is about {size} {cents_word} {way}: a good ear hears that, most do not."),
        (Noticed::Anybody, _) => format!("The {note} is {size} cents {way}: players will notice."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The thresholds as quoted (shared/bores/README.md from doi 10.1121/1.2697059): 3.5 cents at best, about 10 amateurs.
    #[test]
    fn who_notices() {
        assert_eq!([3.4, -3.6, 9.9, -10.1].map(noticed), [Noticed::Nobody, Noticed::BestEar, Noticed::BestEar, Noticed::Anybody]);
    }

    #[test]
    fn the_sentence_says_the_note_and_the_way() {
        assert_eq!(sentence("F4", -14.2, -18.0, -10.5), "The F4 is 14 cents flat: players will notice.");
        assert_eq!(sentence("F4", 0.4, 0.2, 0.6), "No player will hear it.");
        assert!(sentence("F4", 1.0, -2.0, 5.0).starts_with("No player should hear it; at worst a sharp ear"));
        assert!(sentence("F4", 2.0, -12.0, 16.0).contains("up to 16 cents"));
        assert!(sentence("F4", 5.0, 3.0, 7.0).contains("5 cents sharp: a good ear"));
        assert!(sentence("F4", 8.0, 3.0, 13.0).contains("could be up to 13"));
    }
}
