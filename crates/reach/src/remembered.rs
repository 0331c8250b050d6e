//! What went into each dent's answer besides the survey, its assessment and the shop's hands: the ends by which its run is entered,
//! what must come off it, the tools that were looked at for it, what a person asked of it. A decision that meets none of
//! that leaves the answer as it is. Where only tools come or go, each method's answer is kept by itself: it is asked again
//! where it looked at one of them, or at what an earlier method left that is no longer the same. Nothing is guessed: what
//! is compared is all that the decisions can change.

use crate::access::Access;
use crate::bench::Case;
use crate::constraints::{Constraints, Said};
use crate::method::{Method, Rejected};
use crate::notes::{Left, Memory, Notes, Part, Tools, Trials, meets};
use crate::openings::Ends;
use crate::openings::Openings;
use crate::{MethodKind, ToolChoice};
use instrument::{Dent, OverlayId, Site, Survey};
use std::sync::Arc;
use units::Text;

/// What the decisions let a dent's answer see.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    ends: Ends,
    /// What comes off with each overlay of its run and with what pushed it in, or why it stays.
    off: Vec<(OverlayId, Result<Vec<crate::Opened>, Text>)>,
    /// Of the same, whether a person wants it off, and on.
    said: Vec<[bool; 2]>,
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
            said: all.iter().map(|id| [constraints.off.contains_key(*id), constraints.on.contains_key(*id)]).collect(),
            off: all.into_iter().map(|id| (id.clone(), openings.overlay_off(id))).collect(),
            asked: constraints.methods.get(&dent.id).copied(),
            anneal: constraints.anneal.contains(&dent.id),
            keep_dominated: constraints.keep_dominated,
        }
    }
}

/// Asks a method, or takes what it said within other decisions; `place`: its place among those that are asked.
pub fn ask(case: &Case, place: usize, method: impl Fn(&Case) -> (Vec<Method>, Vec<Rejected>)) -> (Vec<Method>, Vec<Rejected>) {
    let notes = case.notes;
    if let Some(part) = notes.known(place) {
        for (access, trials) in case.accesses.iter().zip(&part.trials) {
            access.tried.borrow_mut().extend(trials.rods.iter().cloned());
            access.slim.set(trials.slim);
            access.stout.set(trials.stout);
        }
        notes.parts.borrow_mut().push(Arc::clone(part));
        return (part.methods.clone(), part.rejected.clone());
    }
    let tried = |a: &Access| a.tried.borrow().len();
    let before: Vec<usize> = case.accesses.iter().map(tried).collect();
    notes.looked.take();
    notes.asks.set(Left::default());
    case.accesses.iter().for_each(|a| a.asked.set(false));
    let (methods, rejected) = method(case);
    let asks = Left { tried: case.accesses.iter().any(|a| a.asked.get()), ..notes.asks.get() };
    let trials = |(a, n): (&Access, usize)| Trials { rods: a.tried.borrow()[n..].to_vec(), slim: a.slim.get(), stout: a.stout.get() };
    let trials = if asks.tried { case.accesses.iter().zip(before).map(trials).collect() } else { vec![] };
    let part = Part { place, methods, rejected, trials, tools: notes.looked.take(), asks };
    let then = notes.earlier(place);
    let mut same = notes.same.get();
    same.reached &= then.is_some_and(|p| case.reaches(&p.methods).eq(case.reaches(&part.methods)));
    same.found &= then.is_some_and(|p| case.begins(&p.methods).eq(case.begins(&part.methods)));
    same.tried &= then.is_some_and(|p| p.trials == part.trials);
    notes.same.set(same);
    let said = (part.methods.clone(), part.rejected.clone());
    notes.parts.borrow_mut().push(Arc::new(part));
    said
}

/// What one answer followed from.
#[derive(Clone, Debug)]
pub struct Record {
    seen: Seen,
    parts: Vec<Arc<Part>>,
    /// A tool to make was found for it: whether tools are made at all decides something.
    made: bool,
    memory: Arc<Memory>,
}

impl Record {
    /// Whether the dent sees the same now but for tools.
    pub fn sees(&self, seen: &Seen) -> bool {
        self.seen == *seen
    }

    /// What its methods said, and what was solved for it.
    pub fn known(&self) -> (&[Arc<Part>], &Memory) {
        (&self.parts, &self.memory)
    }

    /// Taken when the answer is known.
    pub fn new(seen: Seen, notes: Notes) -> Self {
        let parts = notes.parts.into_inner();
        let made = parts.iter().flat_map(|p| &p.methods).any(|w| matches!(w.tool, ToolChoice::ToMake { .. }));
        Self { seen, parts, made, memory: Arc::new(notes.memory.into_inner()) }
    }
}

/// What the answers of a survey followed from, in the dents' order.
#[derive(Clone, Debug, Default)]
pub struct Remembered {
    here: Vec<bool>,
    no_tools: Option<Said>,
    records: Vec<Option<Record>>,
}

impl Remembered {
    /// As worked out within what was decided.
    pub fn new(tools: &Tools, constraints: &Constraints, records: Vec<Option<Record>>) -> Self {
        Self { here: tools.iter().map(|t| t.1).collect(), no_tools: constraints.make_no_tools.clone(), records }
    }

    /// The same without what one dent's answer followed from: that dent is asked anew, the others are not.
    #[must_use]
    pub fn without(&self, dent: usize) -> Self {
        let mut rest = self.clone();
        if let Some(record) = rest.records.get_mut(dent) {
            *record = None;
        }
        rest
    }

    /// Of the same rack's tools those that were there and are not, or are there again.
    pub fn moved(&self, tools: &Tools) -> Vec<bool> {
        tools.iter().zip(&self.here).map(|(now, then)| now.1 != *then).collect()
    }

    /// What a dent's answer followed from.
    pub fn record(&self, dent: usize) -> Option<&Record> {
        self.records.get(dent)?.as_ref()
    }

    /// Whether an answer is the same now that some tools have come or gone.
    pub fn same(&self, record: &Record, moved: &[bool], constraints: &Constraints) -> bool {
        let making = !record.made || self.no_tools == constraints.make_no_tools;
        making && !record.parts.iter().any(|p| meets(&p.tools, moved))
    }
}
