//! What a run does in the instrument.

use serde::{Deserialize, Serialize};

/// What a run does. It decides what a dent there is in the way of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
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
