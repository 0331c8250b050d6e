//! The ground state: one instrument and what is wrong with it, as it lies on the bench.

use crate::{
    Condition, ConditionId, ConditionKind, Dent, DentId, FitId, FitState, Joint, JointId, MovingFit, Overlay, OverlayId, Run, RunEnd,
    RunId, Work, WorkId,
};
use serde::{Deserialize, Serialize};

/// What kind of instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Trumpet.
    Trumpet,
    /// Cornet.
    Cornet,
    /// Flugelhorn.
    Flugelhorn,
    /// Trombone.
    Trombone,
    /// Horn.
    Horn,
    /// Alto (tenor) horn.
    AltoHorn,
    /// Baritone.
    Baritone,
    /// Euphonium.
    Euphonium,
    /// Tuba.
    Tuba,
    /// Sousaphone.
    Sousaphone,
    /// Bugle.
    Bugle,
    /// Another brass instrument.
    Other,
}

/// An instrument: a graph of runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// What kind.
    pub kind: Kind,
    /// Maker's name as engraved.
    pub maker: String,
    /// Model.
    pub model: String,
    /// Serial number.
    pub serial: String,
    /// What it is worth in sound order, in the shop's currency; none: not said.
    pub value_money: Option<f64>,
    /// The runs, from the mouthpiece to the bell.
    pub runs: Vec<Run>,
    /// Where they meet.
    pub joints: Vec<Joint>,
    /// What lies over them.
    pub overlays: Vec<Overlay>,
    /// What must move.
    pub fits: Vec<MovingFit>,
}

/// What the customer will not have.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Wishes {
    /// The finish must not burn: no flame where finish is lacquer, wherever another way exists.
    pub keep_finish: bool,
    /// Joints that must stay shut.
    pub keep_shut: Vec<crate::JointId>,
    /// Overlays that must stay on.
    pub keep_on: Vec<crate::OverlayId>,
}

/// A survey: the instrument and its damage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Survey {
    /// A title for the job ("Ox tuba, band-room stair").
    pub title: String,
    /// The customer, as the shop writes the name; may be empty.
    pub customer: String,
    /// Who surveyed it; may be empty.
    pub surveyor: String,
    /// Date of the survey as written (ISO 8601); may be empty.
    pub date: String,
    /// The instrument.
    pub instrument: Instrument,
    /// Its dents.
    pub dents: Vec<Dent>,
    /// What is wrong apart from dents.
    pub conditions: Vec<Condition>,
    /// Work that is asked for by name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub work: Vec<Work>,
    /// What the customer will not have.
    pub wishes: Wishes,
    /// Whether the instrument was flushed and degreased before the survey; none: not said.
    pub cleaned: Option<bool>,
}

impl Instrument {
    /// An instrument of which nothing is known but its kind.
    pub fn new(kind: Kind) -> Self {
        Self {
            kind,
            maker: String::new(),
            model: String::new(),
            serial: String::new(),
            value_money: None,
            runs: vec![],
            joints: vec![],
            overlays: vec![],
            fits: vec![],
        }
    }

    /// Another finish for the runs that wear the instrument's coat, of those that are asked for.
    pub fn coat(&mut self, finish: crate::Finish, which: impl Fn(&Run) -> bool) {
        for run in self.runs.iter_mut().filter(|r| r.role.takes_the_coat()) {
            if which(run) {
                run.finish = finish;
            }
        }
    }

    /// A run by its name.
    pub fn run(&self, id: &RunId) -> Option<&Run> {
        self.runs.iter().find(|r| r.id == *id)
    }

    /// A joint by its name.
    pub fn joint(&self, id: &JointId) -> Option<&Joint> {
        self.joints.iter().find(|j| j.id == *id)
    }

    /// An overlay by its name.
    pub fn overlay(&self, id: &OverlayId) -> Option<&Overlay> {
        self.overlays.iter().find(|o| o.id == *id)
    }

    /// A moving fit by its name.
    pub fn fit(&self, id: &FitId) -> Option<&MovingFit> {
        self.fits.iter().find(|f| f.id == *id)
    }

    /// The joints at one end of a run.
    pub fn joints_at(&self, end: &RunEnd) -> Vec<&Joint> {
        self.joints.iter().filter(|j| j.a == *end || j.b == *end).collect()
    }

    /// Whether two places are the same: one tube, or the two of a moving fit; no tube is anywhere.
    pub fn same_place(&self, a: Option<&RunId>, b: Option<&RunId>) -> bool {
        let (Some(a), Some(b)) = (a, b) else { return true };
        let together = |f: &MovingFit| [&f.inner, &f.outer].contains(&a) && [&f.inner, &f.outer].contains(&b);
        a == b || self.fits.iter().any(together)
    }

    /// The moving fits of a run.
    pub fn fits_of(&self, run: &RunId) -> Vec<&MovingFit> {
        self.fits.iter().filter(|f| f.inner == *run || f.outer == *run).collect()
    }
}

impl Survey {
    /// Whether anything is to be done: something is damaged, or work is asked for. Where nothing is, there is nothing to plan.
    pub fn has_work(&self) -> bool {
        self.has_damage() || !self.work.is_empty()
    }

    /// Whether anything is damaged: a dent, unsound metal, something that does not move as it should.
    pub fn has_damage(&self) -> bool {
        let bad = |f: &MovingFit| matches!(f.state, Some(FitState::Stiff | FitState::Binds | FitState::Stuck));
        !self.dents.is_empty() || !self.conditions.is_empty() || self.instrument.fits.iter().any(bad)
    }

    /// An instrument on which nothing was seen yet.
    pub fn of(instrument: Instrument) -> Self {
        Self {
            title: String::new(),
            customer: String::new(),
            surveyor: String::new(),
            date: String::new(),
            instrument,
            dents: vec![],
            conditions: vec![],
            work: vec![],
            wishes: Wishes::default(),
            cleaned: None,
        }
    }

    /// A condition by its name.
    pub fn condition(&self, id: &ConditionId) -> Option<&Condition> {
        self.conditions.iter().find(|c| c.id == *id)
    }

    /// Whether an overlay of the instrument is not there any more: it lies over nothing, ties nothing and need not come off.
    pub fn lacks(&self, overlay: &OverlayId) -> bool {
        self.conditions.iter().any(|c| c.kind == ConditionKind::MissingBrace && c.overlay.as_ref() == Some(overlay))
    }

    /// Work by its name.
    pub fn work(&self, id: &WorkId) -> Option<&Work> {
        self.work.iter().find(|w| w.id == *id)
    }

    /// A dent by its name.
    pub fn dent(&self, id: &DentId) -> Option<&Dent> {
        self.dents.iter().find(|d| d.id == *id)
    }
}
