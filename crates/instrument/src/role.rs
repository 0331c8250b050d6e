//! What a run does in the instrument.

use serde::{Deserialize, Serialize};

/// What a run does. It decides what a dent there is in the way of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::VariantArray)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Role {
    /// Mouthpiece receiver.
    Receiver,
    /// Leadpipe (mouthpipe).
    Leadpipe,
    /// Inner leg of a tuning or valve slide (the leg that moves).
    TuningSlideInner,
    /// Outer leg of a tuning or valve slide.
    TuningSlideOuter,
    /// Crook (bow) of a tuning or valve slide.
    TuningSlideCrook,
    /// Knuckle: the short bent tube on a valve casing.
    Knuckle,
    /// Valve casing.
    Casing,
    /// Valve piston or rotor.
    Piston,
    /// Branch: a long tapered tube.
    Branch,
    /// Bow: a large bend.
    Bow,
    /// Bell stem (bell tail and throat).
    BellStem,
    /// Bell flare.
    BellFlare,
    /// Rim of the bell.
    Rim,
    /// Hand-slide inner tube.
    HandSlideInner,
    /// Hand-slide outer tube.
    HandSlideOuter,
    /// Hand-slide crook.
    HandSlideCrook,
    /// Plain connecting tube.
    Tube,
}

/// Where [`Role::must_stay_hard`] comes from.
pub const STAYS_HARD: units::Source = units::Source::common_practice(
    "what slides or turns wears and galls when soft, and a bell's stem, flare and rim were hardened to ring and to stand: neither is annealed unless a person says so",
);

impl Role {
    /// Parts that wear on each other, or ring, and so must stay hard: no anneal there. See [`STAYS_HARD`].
    pub fn must_stay_hard(self) -> bool {
        self.why_hard().is_some()
    }

    /// Whether the part wears the instrument's coat: a piston's plate and a slide's inner leg are their own.
    pub fn takes_the_coat(self) -> bool {
        !matches!(self, Self::Piston | Self::TuningSlideInner | Self::HandSlideInner)
    }

    /// Why the part must stay hard; none where it may be annealed.
    pub fn why_hard(self) -> Option<&'static str> {
        match self {
            Self::HandSlideInner | Self::HandSlideOuter | Self::TuningSlideInner | Self::TuningSlideOuter => {
                Some("a slide's tube runs in its fit and wears or galls when soft")
            }
            Self::Piston | Self::Casing => Some("a valve's running surface wears when soft, and its fit goes with the heat"),
            Self::BellStem | Self::BellFlare | Self::Rim => Some("a bell was hardened to ring and to hold its shape"),
            _ => None,
        }
    }
}
