//! What went into each dent's answer besides the survey, its assessment and the shop's hands: the ends by which its run is entered,
//! what must come off it, the tools that were looked at for it, what a person asked of it. A decision that meets none of
//! that leaves the answer as it is; one that does has it worked out again. Nothing is guessed: what is compared is all that the decisions can change.

use crate::MethodKind;
use crate::constraints::{Constraints, Said};
use crate::openings::{Entries, Openings};
use crate::rack::{Tool, ToolId};
use instrument::{Dent, End, OverlayId, Site, Survey};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::Arc;

/// How a run is entered by its two ends.
pub type Ends = Arc<[Entries; 2]>;

/// Both ends of a run.
pub fn ends(openings: &Openings, run: usize) -> Ends {
    Arc::new([End::Start, End::Finish].map(|side| openings.entries(run, side)))
}

/// What the decisions let a dent's answer see.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    ends: Ends,
    /// What comes off with each overlay of its run and with what pushed it in, or why it stays.
    off: Vec<(OverlayId, Result<Vec<crate::Opened>, String>)>,
    asked: Option<MethodKind>,
    anneal: bool,
    keep_dominated: bool,
}

impl Seen {
    /// Of one dent.
    pub fn new(survey: &Survey, openings: &Openings, ends: &Ends, (dent, site): (&Dent, &Site), constraints: &Constraints) -> Self {
        let covers = |o: &&instrument::Overlay| o.covers.iter().any(|c| c.run == dent.run);
        let over = survey.instrument.overlays.iter().filter(covers).map(|o| &o.id);
        let mut all: Vec<&OverlayId> = over.chain(&site.under).chain(&dent.pushed_in_by).collect();
        all.sort();
        all.dedup();
        Self {
            ends: Arc::clone(ends),
            off: all.into_iter().map(|id| (id.clone(), openings.overlay_off(id))).collect(),
            asked: constraints.methods.get(&dent.id).copied(),
            anneal: constraints.anneal.contains(&dent.id),
            keep_dominated: constraints.keep_dominated,
        }
    }
}

/// The tools of the rack that are looked at for one dent, those that are away too: were they there, they would be.
#[derive(Debug, Default)]
pub struct Looked(RefCell<Marks>);

#[derive(Debug, Default)]
struct Marks {
    here: Vec<bool>,
    away: Vec<bool>,
    made: bool,
}

impl Looked {
    /// The tools that are there and that `pick` takes, in the rack's order.
    pub fn pick<'a, T>(&self, here: &[&'a Tool], away: &[&'a Tool], pick: impl Fn(&Tool) -> Option<T>) -> Vec<(&'a Tool, T)> {
        let found: Vec<(usize, T)> = here.iter().enumerate().filter_map(|(i, t)| Some((i, pick(t)?))).collect();
        let would: Vec<usize> = (0..away.len()).filter(|i| pick(away[*i]).is_some()).collect();
        let mut marks = self.0.borrow_mut();
        marks.here.resize(here.len(), false);
        marks.away.resize(away.len(), false);
        found.iter().for_each(|(i, _)| marks.here[*i] = true);
        would.into_iter().for_each(|i| marks.away[i] = true);
        found.into_iter().map(|(i, picked)| (here[i], picked)).collect()
    }

    /// A tool to make was found for it: whether tools are made at all decides something.
    pub fn made(&self) {
        self.0.borrow_mut().made = true;
    }

    fn tools(&self, here: &[&Tool], away: &[&Tool]) -> BTreeSet<ToolId> {
        let marks = self.0.borrow();
        let named = |tools: &[&Tool], marks: &[bool]| -> Vec<ToolId> {
            tools.iter().zip(marks).filter(|(_, m)| **m).map(|(t, _)| t.id.clone()).collect()
        };
        named(here, &marks.here).into_iter().chain(named(away, &marks.away)).collect()
    }
}

/// What one answer followed from.
#[derive(Clone, Debug)]
pub struct Record {
    seen: Seen,
    tools: Arc<BTreeSet<ToolId>>,
    made: bool,
}

impl Record {
    /// Taken when the answer is known.
    pub fn new(seen: Seen, looked: &Looked, here: &[&Tool], away: &[&Tool]) -> Self {
        Self { seen, tools: Arc::new(looked.tools(here, away)), made: looked.0.borrow().made }
    }
}

/// What the answers of a survey followed from, in the dents' order.
#[derive(Clone, Debug, Default)]
pub struct Remembered {
    away: BTreeSet<ToolId>,
    no_tools: Option<Said>,
    records: Vec<Option<Record>>,
}

impl Remembered {
    /// As worked out within what was decided.
    pub fn new(constraints: &Constraints, records: Vec<Option<Record>>) -> Self {
        Self { away: constraints.away.keys().cloned().collect(), no_tools: constraints.make_no_tools.clone(), records }
    }

    /// The record of a dent's answer, where that is the same within other decisions.
    pub fn same(&self, dent: usize, seen: &Seen, constraints: &Constraints) -> Option<&Record> {
        let known = self.records.get(dent)?.as_ref()?;
        let moved = |id: &ToolId| self.away.contains(id) != constraints.away.contains_key(id);
        let other_tools = known.tools.iter().any(moved) || (known.made && self.no_tools != constraints.make_no_tools);
        (known.seen == *seen && !other_tools).then_some(known)
    }
}
