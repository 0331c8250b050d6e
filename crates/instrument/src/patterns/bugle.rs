//! Bugle in G, no valves. Invented dimensions.

use super::build::{Build, Tube, bend, straight};
use crate::{Kind, Role};

pub fn build() -> Build {
    let mut b = Build::new(Kind::Bugle);
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(30.0)], (10.2, 9.6), 1.1), false)
        .then(Tube::new("leadpipe", "leadpipe", Role::Leadpipe, vec![straight(380.0)], (9.4, 12.0), 0.5), false)
        .slide("main-slide", "tuning slide", (12.0, 12.0), 0.5, 60.0, 30.0)
        .then(Tube::new("branch", "branch", Role::Branch, vec![straight(330.0)], (13.1, 15.5), 0.5), true)
        .then(Tube::new("bell-bow", "bell bow", Role::Bow, vec![bend(40.0, 180.0, 0.0)], (15.5, 18.5), 0.52), true)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(380.0)], (18.5, 46.0), 0.48), true)
        .bell(150.0, &[(0.0, 46.0), (0.45, 64.0), (0.8, 92.0), (1.0, 130.0)], 0.45);
    b.brace("bell-brace", "branch to bell brace", [("branch", 0.5, 0.0), ("bell-stem", 0.4, 180.0)]);
    b
}
