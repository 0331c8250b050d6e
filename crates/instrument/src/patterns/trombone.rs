//! Tenor trombone: hand slide, bell section with the tuning slide in its bow. Invented dimensions.

use super::build::{Build, Tube, bend, straight};
use crate::{End, FitKind, JointKind, Kind, Role};
use metal::Alloy;

pub fn build() -> Build {
    let mut b = Build::new(Kind::Trombone);
    let bore = 13.9;
    let (leg, wall_in) = (690.0, 0.28);
    let outer = bore + 2.0 * wall_in + 0.11;
    b.then(Tube::new("receiver", "mouthpiece receiver", Role::Receiver, vec![straight(40.0)], (13.4, 13.4), 1.2), false).then(
        Tube::new("inner-a", "hand slide, upper inner tube", Role::HandSlideInner, vec![straight(leg)], (bore, bore), wall_in),
        false,
    );
    b.loose(Tube::new("outer-a", "hand slide, upper outer tube", Role::HandSlideOuter, vec![straight(leg)], (outer, outer), 0.3));
    b.loose(
        Tube::new("slide-bow", "hand slide bow", Role::HandSlideCrook, vec![bend(40.0, 180.0, 90.0)], (outer, outer), 0.5)
            .of(Alloy::NickelSilver),
    );
    b.loose(Tube::new("outer-b", "hand slide, lower outer tube", Role::HandSlideOuter, vec![straight(leg)], (outer, outer), 0.3));
    b.loose(Tube::new("inner-b", "hand slide, lower inner tube", Role::HandSlideInner, vec![straight(leg)], (bore, bore), wall_in));
    b.joint("inner-a", End::Finish, "outer-a", End::Start, JointKind::SlidingFit, leg * 0.95);
    b.solder("outer-a", "slide-bow", true);
    b.solder("slide-bow", "outer-b", true);
    b.joint("outer-b", End::Finish, "inner-b", End::Start, JointKind::SlidingFit, leg * 0.95);
    b.fit("slide-fit-a", "hand slide, upper leg", FitKind::HandSlide, "inner-a", "outer-a", 0.11, 0.02);
    b.fit("slide-fit-b", "hand slide, lower leg", FitKind::HandSlide, "inner-b", "outer-b", 0.11, 0.02);
    b.brace("inner-brace", "hand slide cork-barrel brace", [("inner-a", 0.04, 90.0), ("inner-b", 0.96, 90.0)]);
    b.brace("outer-brace", "hand slide outer brace", [("outer-a", 0.06, 90.0), ("outer-b", 0.94, 90.0)]);
    b.guard("slide-bow-guard", "hand slide bow guard", "slide-bow", 90.0);
    // The inner tubes lie in the outers; the air goes down and up once.
    b.open_length_mm += leg + std::f64::consts::PI * 40.0;
    b.loose(Tube::new("gooseneck", "gooseneck", Role::Branch, vec![straight(330.0)], (bore, 14.6), 0.5));
    b.open_length_mm += 330.0;
    b.joint("inner-b", End::Finish, "gooseneck", End::Start, JointKind::Threaded, 12.0);
    b.carry_on_from("gooseneck");
    b.slide("tuning-slide", "tuning slide", (14.6, 16.4), 0.5, 70.0, 62.0)
        .then(Tube::new("bell-stem", "bell stem", Role::BellStem, vec![straight(430.0)], (17.4, 32.0), 0.48), true)
        .bell(240.0, &[(0.0, 32.0), (0.4, 50.0), (0.7, 84.0), (0.88, 130.0), (1.0, 214.0)], 0.42);
    b.brace("bell-brace", "bell brace", [("gooseneck", 0.3, 90.0), ("bell-stem", 0.5, 90.0)]);
    b
}
