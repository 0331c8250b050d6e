//! What went into each dent's answer besides the survey, its assessment and the shop's hands: the ends by which its run is entered,
//! what must come off it, the tools that were looked at for it, what a person asked of it. A decision that meets none of
//! that leaves the answer as it is. Where only tools come or go, each method's answer is kept by itself: it is asked again
//! where it looked at one of them, or at what an earlier method left that is no longer the same. Nothing is guessed: what
//! is compared is all that the decisions can change.

use crate::access::{Access, Tried};
use crate::ball_train::Wall;
use crate::bench::Case;
use crate::body::Body;
use crate::constraints::{Constraints, Said};
use crate::fits::{Fits, Jams};
use crate::method::{Method, Rejected};
use crate::openings::{Entries, Leg, Openings};
use crate::rack::{Rack, Tool};
use crate::{MethodKind, ToolChoice};
use instrument::{Dent, End, OverlayId, Site, Survey};
use std::cell::{Cell, RefCell};
use std::sync::Arc;
use units::Text;

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
    off: Vec<(OverlayId, Result<Vec<crate::Opened>, Text>)>,
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

/// The rack's sound tools in its order, and whether each is there.
pub type Tools<'a> = Vec<(&'a Tool, bool)>;

/// The sound tools of a rack within what is decided.
pub fn tools<'a>(rack: &'a Rack, constraints: &Constraints) -> Tools<'a> {
    rack.sound_tools().into_iter().map(|t| (t, !constraints.away.contains_key(&t.id))).collect()
}

/// What an earlier method left that a later one asks after.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Left {
    /// What is reached already, with what opened.
    pub reached: bool,
    /// The methods that another begins with.
    pub found: bool,
    /// The rods that were tried.
    pub tried: bool,
}

/// What was tried at one opening by a method, and the plain bars known after it: [`Access::slim`], [`Access::stout`].
#[derive(Clone, Debug, PartialEq)]
struct Trials {
    rods: Vec<Tried>,
    slim: f64,
    stout: Option<(f64, Jams)>,
}

/// What one method said of a dent.
#[derive(Debug)]
struct Part {
    methods: Vec<Method>,
    rejected: Vec<Rejected>,
    /// What was tried for it, by opening; none where nothing was.
    trials: Vec<Trials>,
    /// Tools that it looked at, those that are away too: were they there, they would be.
    tools: Vec<bool>,
    asks: Left,
}

/// A rod solved at the dent, annealed or not: through which runs it came in, how far past true its head goes, mm, and what came of it.
type Solved = (bool, Vec<Leg>, Body, f64, Result<Fits, Jams>);

/// What of one dent no decision changes and takes long to work out.
#[derive(Clone, Debug, Default)]
struct Memory {
    rods: Vec<Arc<Solved>>,
    /// By whether it is annealed, the ball and the passage, in bits.
    walls: Vec<(bool, [u64; 2], Arc<Wall>)>,
}

/// No more rods of a dent are kept.
const MOST_RODS: usize = 200;

/// Kept while one dent is on the bench: what its methods look at, and what they said of it within other decisions.
#[derive(Debug)]
pub struct Notes<'a> {
    tools: &'a Tools<'a>,
    memory: RefCell<Memory>,
    earlier: Option<(&'a Record, &'a [bool])>,
    /// What the methods so far left that is the same as then.
    same: Cell<Left>,
    looked: RefCell<Vec<bool>>,
    asks: Cell<Left>,
    parts: RefCell<Vec<Arc<Part>>>,
}

impl<'a> Notes<'a> {
    /// For a dent; `earlier`: what its answer followed from within other decisions; `moved`: the tools that have come or gone since,
    /// where it sees the same otherwise.
    pub fn new(tools: &'a Tools<'a>, earlier: Option<&'a Record>, moved: Option<&'a [bool]>) -> Self {
        let same = Cell::new(Left { reached: true, found: true, tried: true });
        let memory = RefCell::new(earlier.map_or_else(Memory::default, |r| (*r.memory).clone()));
        let earlier = earlier.zip(moved);
        Self { tools, memory, earlier, same, looked: RefCell::default(), asks: Cell::default(), parts: RefCell::default() }
    }

    /// The tools that are there and that `pick` takes, in the rack's order.
    pub fn pick<T>(&self, pick: impl Fn(&Tool) -> Option<T>) -> Vec<(&'a Tool, T)> {
        let mut looked = vec![false; self.tools.len()];
        let mut found = Vec::new();
        for ((tool, here), looked) in self.tools.iter().zip(&mut looked) {
            if let Some(picked) = pick(tool) {
                *looked = true;
                if *here {
                    found.push((*tool, picked));
                }
            }
        }
        let mut all = self.looked.borrow_mut();
        all.resize(looked.len(), false);
        all.iter_mut().zip(looked).for_each(|(a, l)| *a |= l);
        found
    }

    /// Takes note that a method asks what earlier ones left.
    pub fn asks(&self, what: impl FnOnce(&mut Left)) {
        let mut asks = self.asks.get();
        what(&mut asks);
        self.asks.set(asks);
    }

    /// What came of a rod that an earlier job solved there, or `solve` says.
    pub fn rod(
        &self,
        annealed: bool,
        legs: &[Leg],
        (body, past_mm): (Body, f64),
        solve: impl FnOnce() -> Result<Fits, Jams>,
    ) -> Result<Fits, Jams> {
        let is = |s: &&Arc<Solved>| s.0 == annealed && s.2 == body && s.3 == past_mm && s.1 == legs;
        if let Some(known) = self.memory.borrow().rods.iter().find(is) {
            return known.4.clone();
        }
        let found = solve();
        let rods = &mut self.memory.borrow_mut().rods;
        if rods.len() >= MOST_RODS {
            rods.clear();
        }
        rods.push(Arc::new((annealed, legs.to_vec(), body, past_mm, found.clone())));
        found
    }

    /// What the wall asks of a ball: what is known, or what `reckon` says.
    pub fn wall(&self, annealed: bool, sizes_mm: [f64; 2], reckon: impl FnOnce() -> Wall) -> Arc<Wall> {
        let key = sizes_mm.map(f64::to_bits);
        if let Some(known) = self.memory.borrow().walls.iter().find(|w| w.0 == annealed && w.1 == key) {
            return Arc::clone(&known.2);
        }
        let wall = Arc::new(reckon());
        self.memory.borrow_mut().walls.push((annealed, key, Arc::clone(&wall)));
        wall
    }

    /// What a method said within other decisions, where it says the same now.
    fn known(&self, place: usize) -> Option<&'a Arc<Part>> {
        let (earlier, moved) = self.earlier?;
        let (part, same) = (earlier.parts.get(place)?, self.same.get());
        let left = |asks: bool, same: bool| !asks || same;
        let asks = part.asks;
        let as_left = left(asks.reached, same.reached) && left(asks.found, same.found) && left(asks.tried, same.tried);
        (as_left && !meets(&part.tools, moved)).then_some(part)
    }
}

fn meets(looked: &[bool], moved: &[bool]) -> bool {
    looked.iter().zip(moved).any(|(l, m)| *l && *m)
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
    let part = Part { methods, rejected, trials, tools: notes.looked.take(), asks };
    let then = notes.earlier.and_then(|(r, _)| r.parts.get(place));
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
