//! Season cracking: old, hard brass under stress splits by itself in the presence of ammonia.

use crate::{Alloy, Temper};
use units::Source;

/// Source of [`season_cracking`].
pub const SEASON_CRACKING: Source = Source::from_memory(
    "copper alloys with more than 15 % zinc crack under lasting tension in ammonia, those with less hardly ever; a stress relief of about 1 h at 260 °C prevents it (ASM Handbook vol. 13, copper and copper alloys)",
);

/// Where hard begins, numbers hard: below it the stress left by working is too small to matter (common practice).
const HARD_ENOUGH: f64 = 2.0;

/// What to think of season cracking.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SeasonCracking {
    /// Not to be feared.
    No,
    /// The alloy can, the temper hardly: keep it clean of ammonia.
    Watch,
    /// Alloy and temper both can: look with a glass before moving metal, support the place, relieve its stress where the finish allows.
    Caution,
    /// It has begun: the metal may split on the first blow.
    Begun,
}

impl SeasonCracking {
    /// In the words of the bench.
    pub fn words(self) -> units::Text {
        match self {
            Self::No => "no season cracking to be feared in this alloy".into(),
            Self::Watch => "this alloy can season-crack when hard; keep ammonia (cleaners, old polish) away".into(),
            Self::Caution => {
                "hard high-zinc metal: look for fine cracks with a glass before moving it, support it close to the tool, move it in small steps".into()
            }
            Self::Begun => units::text!(
                "season cracks are there: stop them before moving metal. The part may split on the first blow and may have to be replaced. Where solder and finish allow, relieve what is left sound of its stress: about {} for an hour. That is above soft solder and lacquer, below any change of temper",
                units::text::degc(260.0)
            ),
        }
    }
}

/// What to think of season cracking in an alloy at a temper; `cracks_seen` where the surveyor saw such cracks.
pub fn season_cracking(alloy: Alloy, temper: Temper, cracks_seen: bool) -> SeasonCracking {
    let hard = temper.numbers() >= HARD_ENOUGH;
    match (cracks_seen, alloy.zinc_percent() > 15.0, hard) {
        (true, _, _) => SeasonCracking::Begun,
        (false, true, true) => SeasonCracking::Caution,
        (false, true, false) => SeasonCracking::Watch,
        (false, false, _) => SeasonCracking::No,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zinc_and_hardness_together_make_the_danger() {
        assert_eq!(season_cracking(Alloy::YellowBrass, Temper::HARD, false), SeasonCracking::Caution);
        assert_eq!(season_cracking(Alloy::YellowBrass, Temper::ANNEALED, false), SeasonCracking::Watch);
        assert_eq!(season_cracking(Alloy::RoseBrass, Temper::HARD, false), SeasonCracking::No);
        assert_eq!(season_cracking(Alloy::NickelSilver, Temper::HARD, false), SeasonCracking::Caution);
        assert_eq!(season_cracking(Alloy::RoseBrass, Temper::ANNEALED, true), SeasonCracking::Begun);
    }
}
