//! The ground state: one instrument and what is wrong with it, as it lies on the bench.

use crate::{Condition, Dent, Joint, MovingFit, Overlay, Run};
use serde::{Deserialize, Serialize};

/// What kind of instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
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
    /// Unsound metal apart from dents.
    pub conditions: Vec<Condition>,
    /// What the customer will not have.
    pub wishes: Wishes,
    /// Whether the instrument was flushed and degreased before the survey; none: not said.
    pub cleaned: Option<bool>,
}
