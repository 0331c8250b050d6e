//! What is decided before anything is searched: what stays shut or on, where no flame may be lit, which tools are away, which
//! method a person wants. The rack, the openings, the methods and the plan all ask here.

use crate::MethodKind;
use crate::opened::Opened;
use crate::rack::ToolId;
use instrument::{DentId, Finish, Instrument, JointId, JointKind, OverlayId, RunId, Survey};
use metal::Filler;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Who decided.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "by")]
pub enum Said {
    /// The customer wants it kept shut.
    WishShut,
    /// The customer wants it kept on.
    WishOn,
    /// The customer wants this finish kept.
    WishFinish {
        /// The finish.
        finish: Finish,
    },
    /// A tool is lent out.
    Lent {
        /// Until the end of this day.
        until: String,
    },
    /// A person, with or without a name and a reason.
    Person {
        /// Who.
        who: String,
        /// Why.
        why: String,
    },
}

impl Said {
    /// For a reason that cites it.
    pub fn words(&self) -> String {
        match self {
            Self::WishShut => "the customer wants it kept shut".to_owned(),
            Self::WishOn => "the customer wants it kept on".to_owned(),
            Self::WishFinish { finish } => format!("the customer wants the {} kept", finish.words()),
            Self::Lent { until } => format!("away until {until}"),
            Self::Person { who, why } => match (who.is_empty(), why.is_empty()) {
                (true, true) => "by overrule".to_owned(),
                (false, true) => format!("overruled by {who}"),
                (true, false) => format!("overruled: {why}"),
                (false, false) => format!("overruled by {who}: {why}"),
            },
        }
    }
}

/// What is decided. Where a person and the customer's wish speak of the same thing, the person's word stands.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Constraints {
    /// Joints that stay shut.
    pub shut: BTreeMap<JointId, Said>,
    /// Overlays that stay on.
    pub on: BTreeMap<OverlayId, Said>,
    /// Overlays that come off over whatever is worked under them.
    pub off: BTreeMap<OverlayId, Said>,
    /// Runs on which no flame may ever be lit.
    pub no_flame: BTreeMap<RunId, Said>,
    /// Runs whose finish is to be kept: a flame that spoils it is lit only where nothing else is possible.
    pub keep_finish: BTreeMap<RunId, Said>,
    /// Tools that are not to be had.
    pub away: BTreeMap<ToolId, Said>,
    /// That no tool is to be made.
    pub make_no_tools: Option<Said>,
    /// Methods that a person wants for a dent: they are not left out for a better one.
    pub methods: BTreeMap<DentId, MethodKind>,
    /// For comparison: methods that another dominates stay in the list.
    pub keep_dominated: bool,
    /// Dents that a person wants annealed whatever the assessment advises.
    pub anneal: BTreeSet<DentId>,
    /// Braces that are missing: they tie nothing and need not come off.
    pub missing: BTreeSet<OverlayId>,
}

impl Constraints {
    /// What the customer wishes.
    pub fn wishes(survey: &Survey) -> Self {
        let wishes = &survey.wishes;
        let mut all = Self::default();
        all.missing.extend(survey.instrument.overlays.iter().map(|o| &o.id).filter(|o| survey.lacks(o)).cloned());
        all.shut.extend(wishes.keep_shut.iter().map(|j| (j.clone(), Said::WishShut)));
        all.on.extend(wishes.keep_on.iter().map(|o| (o.clone(), Said::WishOn)));
        if wishes.keep_finish {
            let finished = survey.instrument.runs.iter().filter(|r| r.finish.spoiled_from_degc().is_some());
            all.keep_finish.extend(finished.map(|r| (r.id.clone(), Said::WishFinish { finish: r.finish })));
        }
        all
    }

    /// Why something must stay as it is; none where it may be opened. (What is made of one piece never opens, whatever anybody says.)
    pub fn barred(&self, instrument: &Instrument, what: &Opened) -> Option<&Said> {
        let kept = match what {
            Opened::Joint(id) => self.shut.get(id),
            Opened::Overlay(id) => self.on.get(id),
        };
        kept.or_else(|| filler_of(instrument, what).and_then(|_| runs_of(instrument, what).into_iter().find_map(|r| self.no_flame.get(r))))
    }

    /// Whether opening something asks for a flame that spoils a finish that is to be kept.
    pub fn unwanted(&self, instrument: &Instrument, what: &Opened) -> bool {
        let Some(filler) = filler_of(instrument, what) else { return false };
        runs_of(instrument, what).into_iter().any(|r| self.spoils(instrument, r, filler.worked_at_degc()).is_some())
    }

    /// Who wants the finish of a run kept that a flame of so many °C spoils; none where it does no harm.
    pub fn spoils(&self, instrument: &Instrument, run: &RunId, degc: f64) -> Option<&Said> {
        let said = self.keep_finish.get(run)?;
        let limit = instrument.run(run)?.finish.spoiled_from_degc()?;
        (degc >= limit).then_some(said)
    }
}

/// The filler that holds something and is melted to open it; none where it comes apart cold.
pub fn filler_of(instrument: &Instrument, what: &Opened) -> Option<Filler> {
    match what {
        Opened::Joint(id) => match instrument.joint(id)?.kind {
            JointKind::SoftSoldered { filler } | JointKind::SilverBrazed { filler } => Some(filler),
            _ => None,
        },
        Opened::Overlay(id) => instrument.overlay(id)?.filler,
    }
}

fn runs_of<'i>(instrument: &'i Instrument, what: &Opened) -> Vec<&'i RunId> {
    match what {
        Opened::Joint(id) => instrument.joint(id).map_or_else(Vec::new, |j| vec![&j.a.run, &j.b.run]),
        Opened::Overlay(id) => instrument.overlay(id).map_or_else(Vec::new, |o| o.covers.iter().map(|c| &c.run).collect()),
    }
}
