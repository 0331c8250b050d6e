//! The words of the survey file for the plain data's choices, both methods.

use instrument::{ConditionKind, Direction, Finish, FitKind, FitState, Kind, OverlayKind, Role};
use metal::{Alloy, Filler};
use units::Origin;

/// A choice that has a word in the file.
pub trait Word: Copy + PartialEq + Sized + 'static {
    /// All choices with their words; the first word of a choice is the one written.
    const WORDS: &'static [(Self, &'static str)];

    /// The choice of a word; case, hyphens and underscores do not matter.
    fn read(text: &str) -> Option<Self> {
        let plain = plain(text);
        Self::WORDS.iter().find(|(_, w)| crate::words::plain(w) == plain).map(|(c, _)| *c)
    }

    /// The word of a choice.
    fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(c, _)| *c == self).map_or("", |(_, w)| w)
    }

    /// How to mend a word that is none of these.
    fn hint(wrong: &str) -> String {
        let all = Self::choices();
        match nearest(&plain(wrong), Self::WORDS.iter().map(|(_, w)| *w)) {
            Some(near) => format!("did you mean \"{near}\"? It may be one of {all}"),
            None => format!("write one of {all}"),
        }
    }

    /// All words that are written, for error messages.
    fn choices() -> String {
        let mut seen: Vec<Self> = Vec::new();
        let mut words = Vec::new();
        for (c, w) in Self::WORDS {
            if !seen.contains(c) {
                seen.push(*c);
                words.push(format!("\"{w}\""));
            }
        }
        words.join(", ")
    }
}

/// A word without its case, hyphens and underscores.
pub fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace(['-', '_'], " ")
}

/// The word that is nearest to a wrong one, where one is near.
pub fn nearest<'a>(wrong: &str, words: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    words.map(|w| (strsim::osa_distance(wrong, w), w)).min().filter(|(d, w)| *d <= 1 + w.len() / 4).map(|(_, w)| w)
}

impl Word for Origin {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Origin::Measured, "measured"),
        (Origin::ByEye, "by eye"),
        (Origin::Shop, "shop"),
        (Origin::Handbook, "handbook"),
        (Origin::Computed, "computed"),
        (Origin::Pattern, "pattern"),
        (Origin::Assumed, "assumed"),
    ];
}

impl Word for Kind {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Kind::Trumpet, "trumpet"),
        (Kind::Cornet, "cornet"),
        (Kind::Flugelhorn, "flugelhorn"),
        (Kind::Trombone, "trombone"),
        (Kind::Horn, "horn"),
        (Kind::Horn, "french horn"),
        (Kind::AltoHorn, "alto horn"),
        (Kind::AltoHorn, "tenor horn"),
        (Kind::Baritone, "baritone"),
        (Kind::Euphonium, "euphonium"),
        (Kind::Tuba, "tuba"),
        (Kind::Sousaphone, "sousaphone"),
        (Kind::Bugle, "bugle"),
        (Kind::Other, "other"),
    ];
}

impl Word for Role {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Role::Receiver, "receiver"),
        (Role::Leadpipe, "leadpipe"),
        (Role::Leadpipe, "mouthpipe"),
        (Role::TuningSlideInner, "slide inner"),
        (Role::TuningSlideOuter, "slide outer"),
        (Role::TuningSlideCrook, "slide crook"),
        (Role::Knuckle, "knuckle"),
        (Role::Casing, "casing"),
        (Role::Piston, "piston"),
        (Role::Branch, "branch"),
        (Role::Bow, "bow"),
        (Role::BellStem, "bell stem"),
        (Role::BellStem, "bell tail"),
        (Role::BellFlare, "bell flare"),
        (Role::BellFlare, "bell"),
        (Role::Rim, "rim"),
        (Role::HandSlideInner, "hand slide inner"),
        (Role::HandSlideOuter, "hand slide outer"),
        (Role::HandSlideCrook, "hand slide crook"),
        (Role::Tube, "tube"),
    ];
}

impl Word for Alloy {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Alloy::YellowBrass, "yellow brass"),
        (Alloy::YellowBrass, "brass"),
        (Alloy::GoldBrass, "gold brass"),
        (Alloy::RoseBrass, "rose brass"),
        (Alloy::NickelSilver, "nickel silver"),
        (Alloy::NickelSilver, "nickel"),
    ];
}

impl Word for Finish {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Finish::Raw, "raw"),
        (Finish::Lacquer, "lacquer"),
        (Finish::SilverPlate, "silver plate"),
        (Finish::SilverPlate, "silver"),
        (Finish::GoldPlate, "gold plate"),
        (Finish::NickelPlate, "nickel plate"),
        (Finish::ChromePlate, "chrome plate"),
        (Finish::ChromePlate, "chrome"),
    ];
}

/// What a message calls an entry: its key in the file, and what that is at the bench.
pub(crate) fn part_label(id: &str) -> String {
    format!("[[overlay]] {id} (brace, ferrule, guard or patch)")
}

impl Word for OverlayKind {
    const WORDS: &'static [(Self, &'static str)] = &[
        (OverlayKind::Ferrule, "ferrule"),
        (OverlayKind::Brace, "brace"),
        (OverlayKind::Guard, "guard"),
        (OverlayKind::RimWire, "rim wire"),
        (OverlayKind::Garland, "garland"),
        (OverlayKind::Patch, "patch"),
    ];
}

impl Word for FitKind {
    const WORDS: &'static [(Self, &'static str)] = &[
        (FitKind::PistonInCasing, "piston"),
        (FitKind::RotorInCasing, "rotor"),
        (FitKind::TuningSlide, "tuning slide"),
        (FitKind::HandSlide, "hand slide"),
    ];
}

impl Word for FitState {
    const WORDS: &'static [(Self, &'static str)] =
        &[(FitState::Free, "free"), (FitState::Stiff, "stiff"), (FitState::Binds, "binds"), (FitState::Stuck, "stuck")];
}

impl Word for Direction {
    const WORDS: &'static [(Self, &'static str)] =
        &[(Direction::Along, "along"), (Direction::Across, "across"), (Direction::Oblique, "oblique"), (Direction::Oblique, "slantwise")];
}

impl Word for ConditionKind {
    const WORDS: &'static [(Self, &'static str)] = &[
        (ConditionKind::RedRot, "red rot"),
        (ConditionKind::SeasonCracking, "season cracking"),
        (ConditionKind::Crack, "crack"),
        (ConditionKind::Hole, "hole"),
        (ConditionKind::Thin, "thin"),
        (ConditionKind::LooseBrace, "loose brace"),
        (ConditionKind::LooseBrace, "brace loose"),
        (ConditionKind::BrokenBrace, "broken brace"),
        (ConditionKind::BrokenBrace, "brace broken"),
        (ConditionKind::MissingBrace, "missing brace"),
        (ConditionKind::MissingBrace, "brace missing"),
        (ConditionKind::PulledJoint, "pulled joint"),
        (ConditionKind::PulledJoint, "joint pulled"),
        (ConditionKind::PulledJoint, "pulled"),
        (ConditionKind::OutOfLine, "out of line"),
        (ConditionKind::OutOfLine, "misaligned"),
        (ConditionKind::OutOfLine, "bent tube"),
        (ConditionKind::BentBell, "bent bell"),
        (ConditionKind::BentHandSlide, "bent hand slide"),
        (ConditionKind::BentHandSlide, "bent slide"),
        (ConditionKind::Oval, "oval"),
        (ConditionKind::Oval, "out of round"),
    ];
}

impl Word for Filler {
    const WORDS: &'static [(Self, &'static str)] = &[
        (Filler::Sn63Pb37, "Sn63Pb37"),
        (Filler::Sn60Pb40, "Sn60Pb40"),
        (Filler::Sn96Ag4, "Sn96Ag4"),
        (Filler::Sn95Sb5, "Sn95Sb5"),
        (Filler::Bag1, "BAg-1"),
        (Filler::Bag5, "BAg-5"),
        (Filler::Bag7, "BAg-7"),
        (Filler::UnknownSoft, "unknown soft"),
        (Filler::UnknownSilver, "unknown silver"),
    ];
}

/// Named tempers with their numbers hard (ASTM B601, from memory).
pub const TEMPERS: &[(&str, f64)] = &[
    ("annealed", 0.0),
    ("soft", 0.0),
    ("quarter hard", 1.0),
    ("half hard", 2.0),
    ("three quarter hard", 3.0),
    ("hard", 4.0),
    ("extra hard", 6.0),
    ("spring", 8.0),
    ("h01", 1.0),
    ("h02", 2.0),
    ("h03", 3.0),
    ("h04", 4.0),
    ("h06", 6.0),
    ("h08", 8.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back() {
        fn all<T: Word + std::fmt::Debug>() {
            for (choice, word) in T::WORDS {
                assert_eq!(T::read(word), Some(*choice));
                assert_eq!(T::read(choice.word()), Some(*choice));
            }
        }
        all::<Origin>();
        all::<Kind>();
        all::<Role>();
        all::<Alloy>();
        all::<Finish>();
        all::<OverlayKind>();
        all::<FitKind>();
        all::<FitState>();
        all::<Direction>();
        all::<ConditionKind>();
        all::<Filler>();
        assert_eq!(Role::read("Bell-Stem"), Some(Role::BellStem));
        assert_eq!(Role::read("nonsense"), None);
    }
}
