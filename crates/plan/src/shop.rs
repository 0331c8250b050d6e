//! What a shop says of its own work: minutes for each kind of step, the price of an hour, and what
//! damage costs. Plain data; the shop's file is read at the rim.

use crate::standard_job::{self, StandardJob};
use crate::step_kind::{StepKind, Within};
use crate::timed::Timed;
use instrument::{Instrument, JointKind, OverlayKind};
use reach::{MethodKind, Opened};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::ThreePoint;

pub use crate::step_kind::OpeningKind;

/// Minutes to open something and to put it back, each in a heat of its own.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OpenClose {
    /// Minutes to open it or take it off.
    pub open: ThreePoint,
    /// Minutes to close it or put it back, cleaned.
    pub close: ThreePoint,
}

/// What a dent that stays is worth to the customer, money. It weighs only where not everything can be done: under a
/// deadline. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WorthOfDent {
    /// In the way of a moving fit, the bore or a joint.
    pub function: f64,
    /// A crack, a hole, a weak place.
    pub structural: f64,
    /// Only seen.
    pub cosmetic: f64,
}

/// A shop's standards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standards {
    /// Minutes for each kind of step (per step). For dents and creases: handling, besides the work that the method itself asks.
    pub minutes: BTreeMap<StepKind, ThreePoint>,
    /// Sign of the currency of all its amounts ("$").
    #[serde(default = "currency_practice")]
    pub currency: String,
    /// Labour, money per hour.
    pub labour_per_hour: f64,
    /// Finish burnt, money per mm of run.
    pub finish_per_mm: f64,
    /// Money lost when a part cracks or is spoiled, where no replacement price is known.
    pub spoiled_part: f64,
    /// Price of a replacement run by role, money; the key is the role's name in the survey file (`leadpipe`).
    pub replacement_run: BTreeMap<String, f64>,
    /// Minutes to open and close, by what is opened.
    #[serde(default = "opening_practice")]
    pub opening: BTreeMap<OpeningKind, OpenClose>,
    /// Minutes of setting up a heat (torch, sinks, cloths, flux) that a second joint in the same heat does not need.
    #[serde(default = "heat_setup_practice")]
    pub heat_setup: ThreePoint,
    /// Minutes of taking a run out of its fixture and another one in.
    #[serde(default = "fixture_practice")]
    pub fixture: ThreePoint,
    /// Likelihood that a heat spoils something beyond what is reckoned (a neighbour slips, a tube sags).
    #[serde(default = "heat_risk_practice")]
    pub heat_risk: f64,
    /// What the wait for an ordered part costs, money: it weighs in the choice and is not billed.
    #[serde(default = "wait_for_part_practice")]
    pub wait_for_part: f64,
    /// What is taken off the value of a dent's place where the result is seen all over, money; a result that cannot be
    /// seen costs nothing.
    #[serde(default = "untrue_practice")]
    pub untrue_place: f64,
    /// What a dent that stays is worth, money.
    #[serde(default = "worth_practice")]
    pub worth: WorthOfDent,
    /// Material for a tool to make, money.
    #[serde(default = "tool_material_practice")]
    pub tool_material: f64,
    /// Jobs over which the cost of a ball, a rod or a shaft that is made is spread: it hangs on the rack afterwards.
    #[serde(default = "tool_serves_practice")]
    pub tool_serves_jobs: f64,
    /// Price of a new brace, money.
    #[serde(default = "brace_practice")]
    pub brace_price: f64,
    /// What the shop's own timed steps say of its minutes.
    #[serde(default, skip_serializing_if = "Timed::is_empty")]
    pub timed: Timed,
    /// The shop's own list of standard jobs.
    #[serde(default = "standard_job::common_practice")]
    pub jobs: Vec<StandardJob>,
}

fn currency_practice() -> String {
    "$".to_owned()
}

fn opening_practice() -> BTreeMap<OpeningKind, OpenClose> {
    use OpeningKind as K;
    let t = |a: f64, b: f64, c: f64| ThreePoint::new(a, b, c);
    BTreeMap::from([
        (K::SoftJoint, OpenClose { open: t(6.0, 10.0, 20.0), close: t(10.0, 16.0, 32.0) }),
        (K::SilverJoint, OpenClose { open: t(15.0, 30.0, 60.0), close: t(30.0, 50.0, 100.0) }),
        (K::PressedJoint, OpenClose { open: t(10.0, 18.0, 40.0), close: t(12.0, 20.0, 45.0) }),
        (K::Ferrule, OpenClose { open: t(4.0, 7.0, 15.0), close: t(6.0, 10.0, 20.0) }),
        (K::FerruleAtJoint, OpenClose { open: t(1.0, 2.0, 5.0), close: t(1.0, 3.0, 6.0) }),
        (K::Brace, OpenClose { open: t(4.0, 7.0, 15.0), close: t(8.0, 13.0, 25.0) }),
        (K::Guard, OpenClose { open: t(8.0, 14.0, 30.0), close: t(14.0, 22.0, 45.0) }),
        (K::Rim, OpenClose { open: t(20.0, 30.0, 60.0), close: t(40.0, 60.0, 120.0) }),
        (K::OldPatch, OpenClose { open: t(8.0, 14.0, 30.0), close: t(15.0, 25.0, 50.0) }),
    ])
}

fn heat_setup_practice() -> ThreePoint {
    ThreePoint::new(2.0, 4.0, 7.0)
}

fn fixture_practice() -> ThreePoint {
    ThreePoint::new(1.0, 2.0, 5.0)
}

/// Ten days without the instrument, each at about what a stand-in costs to rent, a dollar a day. Common practice, no source.
fn wait_for_part_practice() -> f64 {
    10.0
}

fn heat_risk_practice() -> f64 {
    0.01
}

fn untrue_practice() -> f64 {
    60.0
}

fn worth_practice() -> WorthOfDent {
    WorthOfDent { function: 600.0, structural: 250.0, cosmetic: 40.0 }
}

fn tool_material_practice() -> f64 {
    8.0
}

/// Common practice, no source: a size that one instrument asks for is asked for again by a handful of others.
fn tool_serves_practice() -> f64 {
    5.0
}

/// Common practice, no source: a stock brace with its feet.
fn brace_practice() -> f64 {
    18.0
}

impl Standards {
    /// A start for a shop that has not timed its own work. Common practice, no source: each line is taken apart into its motions in
    /// `docs/sources.md`; every figure is the shop's to change, and its own history replaces the minutes.
    pub fn common_practice() -> Self {
        use StepKind as K;
        let t = |a: f64, b: f64, c: f64| ThreePoint::new(a, b, c);
        Self {
            minutes: BTreeMap::from([
                (K::Clean, t(15.0, 25.0, 45.0)),
                (K::Free, t(5.0, 15.0, 60.0)),
                (K::Strip, t(3.0, 6.0, 15.0)),
                (K::StabiliseCrack, t(5.0, 8.0, 20.0)),
                (K::OpenJoint, t(6.0, 10.0, 20.0)),
                (K::OverlayOff, t(4.0, 8.0, 18.0)),
                (K::Anneal, t(6.0, 10.0, 20.0)),
                (K::Dent, t(1.0, 2.0, 4.0)),
                (K::Crease, t(4.0, 8.0, 20.0)),
                (K::Fill, t(15.0, 25.0, 50.0)),
                (K::OverFill, t(1.0, 2.0, 4.0)),
                (K::MeltOut, t(10.0, 18.0, 40.0)),
                (K::MakeTool, t(20.0, 40.0, 90.0)),
                (K::Patch, t(20.0, 35.0, 70.0)),
                (K::ReplaceRun, t(45.0, 75.0, 150.0)),
                (K::OverlayBack, t(8.0, 14.0, 28.0)),
                (K::CloseJoint, t(10.0, 16.0, 32.0)),
                (K::BrazeBrace, t(12.0, 20.0, 40.0)),
                (K::NewBrace, t(6.0, 10.0, 20.0)),
                (K::MakeBrace, t(25.0, 40.0, 80.0)),
                (K::Align, t(5.0, 10.0, 25.0)),
                (K::Straighten, t(6.0, 15.0, 35.0)),
                (K::StraightenSlide, t(10.0, 18.0, 30.0)),
                (K::RoundOut, t(5.0, 12.0, 30.0)),
                (K::TrueFit, t(10.0, 20.0, 50.0)),
                (K::AcceptanceCheck, t(3.0, 5.0, 10.0)),
                (K::Finish, t(4.0, 8.0, 18.0)),
                (K::Assemble, t(5.0, 9.0, 20.0)),
            ]),
            currency: currency_practice(),
            labour_per_hour: 85.0,
            finish_per_mm: 0.35,
            spoiled_part: 160.0,
            replacement_run: BTreeMap::from(
                [
                    ("receiver", 45.0),
                    ("leadpipe", 95.0),
                    ("tuning_slide_inner", 40.0),
                    ("tuning_slide_outer", 40.0),
                    ("tuning_slide_crook", 60.0),
                    ("knuckle", 45.0),
                    ("casing", 320.0),
                    ("piston", 180.0),
                    ("branch", 240.0),
                    ("bow", 220.0),
                    ("bell_stem", 420.0),
                    ("bell_flare", 380.0),
                    ("rim", 120.0),
                    ("hand_slide_inner", 150.0),
                    ("hand_slide_outer", 130.0),
                    ("hand_slide_crook", 70.0),
                    ("tube", 60.0),
                ]
                .map(|(role, price)| (role.to_owned(), price)),
            ),
            opening: opening_practice(),
            heat_setup: heat_setup_practice(),
            fixture: fixture_practice(),
            heat_risk: heat_risk_practice(),
            wait_for_part: wait_for_part_practice(),
            untrue_place: untrue_practice(),
            worth: worth_practice(),
            tool_material: tool_material_practice(),
            tool_serves_jobs: tool_serves_practice(),
            brace_price: brace_practice(),
            timed: Timed::default(),
            jobs: standard_job::common_practice(),
        }
    }

    /// Minutes of fitting a new run of this role, its joints apart. A short tube, a knuckle or a slide's crook is cut, deburred and
    /// fitted in a third of what a branch, a bow or a bell takes, which is sprung to its neighbors. Common practice, no source.
    pub fn minutes_of_replacing(&self, role: instrument::Role) -> ThreePoint {
        use instrument::Role as R;
        let short = matches!(
            role,
            R::Receiver | R::TuningSlideInner | R::TuningSlideOuter | R::TuningSlideCrook | R::HandSlideCrook | R::Knuckle | R::Tube
        );
        self.minutes_of(StepKind::ReplaceRun).times(if short { 1.0 / 3.0 } else { 1.0 })
    }

    /// A standard job by its key.
    pub fn job(&self, key: &str) -> Option<&StandardJob> {
        self.jobs.iter().find(|j| j.key == key)
    }

    /// Price of a new run by its role, money; the shop's figure for a spoiled part where it has none.
    pub fn part_price(&self, role: instrument::Role) -> f64 {
        self.replacement_run.get(<&str>::from(role)).copied().unwrap_or(self.spoiled_part).max(0.0)
    }

    /// Minutes of a kind of step as the shop's timed steps have them. Of a dent and of its ridges only the handling, unmoved: what they are
    /// timed by is the whole of their method ([`Standards::minutes_of_method`]).
    pub fn minutes_of(&self, kind: StepKind) -> ThreePoint {
        let standard = self.standard_of(kind);
        if matches!(kind, StepKind::Dent | StepKind::OverFill) { standard } else { self.as_timed(kind, standard) }
    }

    /// Minutes of a job of the shop's list, so many times, as the shop's timed steps of the kind have them as which it is done: its own, or
    /// that of the plan's step that does the same.
    pub fn minutes_of_job(&self, job: &StandardJob, count: u32, done_as: StepKind) -> ThreePoint {
        self.as_timed(done_as, job.minutes_for(count))
    }

    /// A standard of a kind as timed steps have it.
    fn as_timed(&self, kind: StepKind, standard: ThreePoint) -> ThreePoint {
        if self.timed.is_empty() { standard } else { self.timed.factor(kind, None).on(standard) }
    }

    /// Minutes of a dent by a method, handling and all, as the shop's timed steps have them.
    pub fn minutes_of_method(&self, method: MethodKind, standard: ThreePoint) -> ThreePoint {
        if self.timed.is_empty() {
            return standard;
        }
        self.timed.factor(StepKind::Dent, Some(Within::Method(method))).on(standard)
    }

    /// Minutes of a kind of step by the shop's standard; common practice where it has none.
    pub fn standard_of(&self, kind: StepKind) -> ThreePoint {
        self.minutes.get(&kind).copied().unwrap_or_else(|| Self::common_practice().minutes.get(&kind).copied().unwrap_or(ThreePoint::ZERO))
    }

    /// Minutes to open something and to close it, each in a heat of its own: the survey's own figure first, then the
    /// shop's, then common practice, as the shop's timed steps have them. Nothing at all for what comes apart by hand.
    pub fn open_close(&self, instrument: &Instrument, what: &Opened) -> OpenClose {
        let (own_open, own_close) = match what {
            Opened::Joint(id) => instrument.joint(id).map_or((None, None), |j| (j.open_minutes, j.close_minutes)),
            Opened::Overlay(id) => instrument.overlay(id).map_or((None, None), |o| (o.off_minutes, o.back_minutes)),
        };
        let Some(kind) = opening_kind(instrument, what) else {
            return OpenClose { open: own_open.unwrap_or(ThreePoint::ZERO), close: own_close.unwrap_or(ThreePoint::ZERO) };
        };
        let usual = self.standard_of_opening(kind);
        let (open, close) = (own_open.unwrap_or(usual.open), own_close.unwrap_or(usual.close));
        if self.timed.is_empty() {
            return OpenClose { open, close };
        }
        let within = Some(Within::Opening(kind));
        let (off, back) = match what {
            Opened::Joint(_) => (StepKind::OpenJoint, StepKind::CloseJoint),
            Opened::Overlay(_) => (StepKind::OverlayOff, StepKind::OverlayBack),
        };
        OpenClose { open: self.timed.factor(off, within).on(open), close: self.timed.factor(back, within).on(close) }
    }

    /// Minutes to open and to close by the shop's standard; common practice where it has none.
    pub fn standard_of_opening(&self, kind: OpeningKind) -> OpenClose {
        let nothing = OpenClose { open: ThreePoint::ZERO, close: ThreePoint::ZERO };
        self.opening.get(&kind).copied().unwrap_or_else(|| opening_practice().get(&kind).copied().unwrap_or(nothing))
    }
}

/// As what something is opened, as far as its time goes; none for what comes apart by hand.
pub fn opening_kind(instrument: &Instrument, what: &Opened) -> Option<OpeningKind> {
    match what {
        Opened::Joint(id) => instrument.joint(id).map_or(Some(OpeningKind::SoftJoint), |j| match j.kind {
            JointKind::SoftSoldered { .. } | JointKind::Fixed => Some(OpeningKind::SoftJoint),
            JointKind::SilverBrazed { .. } => Some(OpeningKind::SilverJoint),
            JointKind::Pressed => Some(OpeningKind::PressedJoint),
            JointKind::SlidingFit | JointKind::Threaded => None,
        }),
        Opened::Overlay(id) => Some(instrument.overlay(id).map_or(OpeningKind::Ferrule, |o| match o.kind {
            OverlayKind::Ferrule if o.slides_off_at.is_some() => OpeningKind::FerruleAtJoint,
            OverlayKind::Ferrule => OpeningKind::Ferrule,
            OverlayKind::Brace => OpeningKind::Brace,
            OverlayKind::Guard => OpeningKind::Guard,
            OverlayKind::RimWire | OverlayKind::Garland => OpeningKind::Rim,
            OverlayKind::Patch => OpeningKind::OldPatch,
        })),
    }
}
