//! Bugle in G, without valves. Invented.

use super::builder::Builder;
use super::slide::Slide;
use super::tube::Tube;
use crate::{Finish, Instrument, Kind, Role};

/// Mouthpipe, tuning slide, two branches and a bow, bell.
pub fn bugle() -> Instrument {
    let mut b = Builder::new(Kind::Bugle, 0.5, Finish::Lacquer);
    b.add(Tube::new("receiver", Role::Receiver).straight(30.0).bore(10.7, 10.1).wall(1.2));
    b.add(Tube::new("leadpipe", Role::Leadpipe).straight(280.0).bore_at(&[(0.0, 9.1), (0.85, 12.2), (1.0, 12.2)]));
    b.solder("receiver", "leadpipe");
    let slide = Slide {
        id: "tuning-slide",
        bore_mm: (12.2, 12.2),
        legs_mm: (85.0, 85.0),
        crook_straight_mm: 0.0,
        crook_radius_mm: 28.0,
        wall_mm: 0.5,
    };
    b.slide(&slide);
    b.ferruled("leadpipe", "tuning-slide-first-outer", 12.0);
    b.add(Tube::new("first-branch", Role::Branch).straight(260.0).bore(12.2, 14.5));
    b.ferruled("tuning-slide-second-outer", "first-branch", 12.0);
    b.add(Tube::new("bow", Role::Bow).bend(42.0, 180.0).bore(14.5, 17.5));
    b.add(Tube::new("bell-stem", Role::BellStem).straight(490.0).bore_at(&[(0.0, 17.5), (0.6, 22.0), (1.0, 28.0)]));
    b.add(
        Tube::new("bell-flare", Role::BellFlare)
            .straight(190.0)
            .flare(&[(0.0, 28.0), (0.35, 35.0), (0.62, 46.0), (0.82, 64.0), (0.93, 84.0), (1.0, 108.0)])
            .walls(0.5, 0.42),
    );
    b.ferruled("first-branch", "bow", 14.0);
    b.ferruled("bow", "bell-stem", 16.0);
    b.one_piece("bell-stem", "bell-flare");
    b.guard("bow");
    b.rim("bell-flare");
    b.brace("front-brace", &[("leadpipe", 0.7, 180.0), ("bell-stem", 0.25, 0.0)]);
    b.brace("rear-brace", &[("leadpipe", 0.2, 180.0), ("bell-stem", 0.7, 0.0)]);
    b.brace("branch-brace", &[("first-branch", 0.5, 180.0), ("bell-stem", 0.4, 90.0)]);
    b.build()
}
