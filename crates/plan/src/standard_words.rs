//! What a shop's time standards are called and what the hands do in those minutes: whence each start-up standard comes. Common
//! practice, no source; the same lines stand with their sums in `docs/sources.md`.

use crate::StepKind;
use crate::shop::OpeningKind;

/// A standard's name, and its minutes taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StandardWords {
    /// What the shop calls it.
    pub name: &'static str,
    /// What the hands do, in minutes.
    pub hands: &'static str,
}

const fn words(name: &'static str, hands: &'static str) -> StandardWords {
    StandardWords { name, hands }
}

/// Of a kind of step.
pub fn of_step(kind: StepKind) -> StandardWords {
    match kind {
        StepKind::Clean => words("Clean", "flush 5, degrease and brush 10, rinse 3, dry 7"),
        StepKind::Free => words("Free up a stuck part", "oil and wait 5, tap or pull in the vise 5, wipe 3"),
        StepKind::Strip => words("Take apart by hand", "mouthpiece and slides 2, caps, valves and springs to the tray 3, look 1"),
        StepKind::StabiliseCrack => words("Stop a crack", "find its ends with a lens and mark 4, drill 2, deburr 2"),
        StepKind::OpenJoint => {
            words("Open a joint", "set up the heat 4, mark and flux 1, heat till it runs 2, draw apart 1, wipe both ends hot 2")
        }
        StepKind::OverlayOff => words("Take off a brace, guard or ferrule", "set up the heat 4, heat the feet 2, wipe 1"),
        StepKind::Anneal => words("Anneal", "set up the heat 4, wrap the neighbors 2, heat evenly 2, let cool 2"),
        StepKind::Dent => words("Dent, besides its method", "take up, turn, feel; each method has its own minutes"),
        StepKind::Crease => words("Ease a crease", "lead the support under it 3, ease from both ends in 20 to 60 taps 5"),
        StepKind::Fill => words("Fill a bend", "dry and oil 6, plug 5, pour 6, chill 8"),
        StepKind::OverFill => words("Work over the fill, besides its method", "take up, turn, feel"),
        StepKind::MeltOut => words("Melt the fill out", "melt 8, flush and look through 10"),
        StepKind::MakeTool => {
            words("Make a tool", "face and center 6, turn to size 12, round the nose 5, polish 6, bore or thread for its rod 7, part 4")
        }
        StepKind::Patch => words("Patch", "cut and dress 8, fit 8, tin both 5, solder 4, feather the edges 10"),
        StepKind::ReplaceRun => {
            words("Fit a new part", "cut to length 10, size the ends 15, spring to its neighbors 30, try 20; short tubes a third")
        }
        StepKind::OverlayBack => words(
            "Put back a brace, guard or ferrule",
            "set up the heat 4, bend to lie on 3, tin and tie 2, heat the feet 2, rinse and scrape 2",
        ),
        StepKind::CloseJoint => {
            words("Close a joint", "set up the heat 4, scrape and tin 4, line up 2, heat and feed 2, rinse the flux 2, scrape what ran 2")
        }
        StepKind::BrazeBrace => words("Braze a brace", "clean, flux, braze, pickle"),
        StepKind::NewBrace => words("Fit a new brace", "a stock one cut to length"),
        StepKind::MakeBrace => words("Make a brace", "cut rod, bend, shape and braze the feet"),
        StepKind::Align => words("Line up a joint", "spring and sight in turns of 2 to 3"),
        StepKind::Straighten => words("Straighten", "spring and sight in turns of 2 to 3"),
        StepKind::StraightenSlide => words("Straighten a slide", "on the surface plate, leg by leg"),
        StepKind::RoundOut => words("Round an oval tube", "lead a plug in and work round"),
        StepKind::TrueFit => words(
            "Free up a slide or valve",
            "measure each leg in three places 5, find high spots 5, ease and try 10; a further leg a third",
        ),
        StepKind::AcceptanceCheck => words("Final check", "find and pass a ball 2, read and write 2, wipe 1; a further bore a third"),
        StepKind::Finish => {
            words("Finish a place", "dress the wheel 2, scratches out in two grits 4, wipe and look 2; a further place a third")
        }
        StepKind::Assemble => words("Assemble", "wipe and grease four slides 4, oil the valves in 3, caps and mouthpiece 2"),
        StepKind::OtherWork => words("Other work", "each job of the list has its own minutes"),
    }
}

/// Of what is opened and put back.
pub fn of_opening(kind: OpeningKind) -> StandardWords {
    match kind {
        OpeningKind::SoftJoint => words("Soft-soldered joint", "as opening and closing a joint"),
        OpeningKind::SilverJoint => {
            words("Silver-brazed joint", "the same at red heat, flux glass pickled off 15, hard parts beside it wrapped 8")
        }
        OpeningKind::PressedJoint => words("Pressed joint", "warm and twist off 10, clean the seat 5; press on and seal"),
        OpeningKind::Ferrule => words("Ferrule by itself", "as a brace with one seam"),
        OpeningKind::FerruleAtJoint => words("Ferrule in its joint's heat", "slid along while the joint is hot"),
        OpeningKind::Brace => words("Brace", "set up the heat 4, two feet 2, wipe 1; bend to lie on 3, tin and tie 2, rinse and scrape 2"),
        OpeningKind::Guard => {
            words("Guard", "follow its whole edge with the flame 6, lift 2, wipe 2; bend to lie on 5, tie 2, solder along 6, clean 5")
        }
        OpeningKind::Rim => words("Rim wire or garland", "as a guard, all the way round the bell"),
        OpeningKind::OldPatch => words("Earlier patch", "as a guard, with its edge found first"),
    }
}

/// Of setting up a heat, which a second joint in the same heat does not need.
pub const HEAT_SETUP: StandardWords = words("Set up a heat", "torch, wet cloths, heat sinks, flux; once a heat");
/// Of changing what is in the fixture.
pub const FIXTURE: StandardWords = words("Change the fixture", "one tube out, the next one in");
