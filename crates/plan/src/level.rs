//! How far the work is to go.

use dent::{Advice, Assessment, Effect};
use serde::{Deserialize, Serialize};

/// How far the work is to go.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Default, strum::IntoStaticStr, strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Level {
    /// Function and strength only.
    Play,
    /// All that the assessment does not advise to leave; tool marks eased.
    #[default]
    Good,
    /// Every dent, to the last per cent of looks, and the finish made good.
    Beautiful,
}

impl Level {
    /// All of them, the least work first.
    pub const ALL: [Self; 3] = [Self::Play, Self::Good, Self::Beautiful];

    /// Its key in files, forms and the record.
    pub fn key(self) -> &'static str {
        self.into()
    }
}

/// What a dent matters to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Matters {
    /// Only seen.
    Looks,
    /// Strength.
    Strength,
    /// A moving fit, the bore, a joint.
    Function,
}

/// What a dent matters to most.
pub fn matters(a: &Assessment) -> Matters {
    let of = |e: &Effect| match e {
        Effect::MovingFit { .. } | Effect::Bore | Effect::Pitch { .. } | Effect::Joint => Matters::Function,
        Effect::Structural => Matters::Strength,
        Effect::Cosmetic => Matters::Looks,
    };
    a.effects.iter().map(of).max().unwrap_or(Matters::Looks)
}

impl Level {
    /// Whether this dent is to be worked.
    pub fn wants(self, a: &Assessment) -> bool {
        match self {
            Level::Play => a.advice != Advice::Leave && matters(a) > Matters::Looks,
            Level::Good => a.advice != Advice::Leave,
            Level::Beautiful => true,
        }
    }

    /// How much a trace that stays counts at this level, as a part of the shop's figure. Common practice, no source.
    pub fn trace_counts(self, matters: Matters) -> f64 {
        match (self, matters) {
            (_, Matters::Function) => 2.0,
            (Level::Play, Matters::Strength) => 0.5,
            (Level::Play, Matters::Looks) => 0.1,
            (Level::Good, _) => 1.0,
            (Level::Beautiful, _) => 2.5,
        }
    }
}
