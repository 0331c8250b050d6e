//! A place on the instrument as its player calls it.

use instrument::Role;

/// The place of a run.
pub fn place(role: Role) -> &'static str {
    match role {
        Role::Receiver => "where the mouthpiece goes in",
        Role::Leadpipe => "first pipe behind the mouthpiece",
        Role::TuningSlideInner | Role::TuningSlideOuter | Role::TuningSlideCrook => "tuning slides",
        Role::Knuckle | Role::Casing | Role::Piston => "valves",
        Role::Branch | Role::Tube => "long tubes",
        Role::Bow => "large bends",
        Role::BellStem | Role::BellFlare | Role::Rim => "bell",
        Role::HandSlideInner | Role::HandSlideOuter | Role::HandSlideCrook => "hand slide",
    }
}

/// The same in a sentence: "the metal cracks …".
pub fn at_place(role: Role) -> &'static str {
    match role {
        Role::Receiver => "where the mouthpiece goes in",
        Role::Leadpipe => "in the first pipe behind the mouthpiece",
        Role::TuningSlideInner | Role::TuningSlideOuter | Role::TuningSlideCrook => "in a tuning slide",
        Role::Knuckle | Role::Casing | Role::Piston => "at a valve",
        Role::Branch | Role::Tube => "in a long tube",
        Role::Bow => "in a large bend",
        Role::BellStem | Role::BellFlare | Role::Rim => "in the bell",
        Role::HandSlideInner | Role::HandSlideOuter | Role::HandSlideCrook => "in the hand slide",
    }
}
