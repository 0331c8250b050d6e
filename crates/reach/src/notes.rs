//! Kept while one dent is on the bench: which tools its methods looked at, what each said, what was solved for it.

use crate::access::Tried;
use crate::ball_wall::Wall;
use crate::body::Body;
use crate::constraints::Constraints;
use crate::fits::{Fits, Jams};
use crate::left_on::WorkedAs;
use crate::method::{Method, Rejected};
use crate::openings::Leg;
use crate::rack::{Rack, Tool};
use std::cell::{Cell, RefCell};
use std::sync::Arc;

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
pub struct Trials {
    pub(crate) rods: Vec<Tried>,
    pub(crate) slim: f64,
    pub(crate) stout: Option<(f64, Jams)>,
}

/// What one method said of a dent.
#[derive(Debug)]
pub struct Part {
    /// Its place among those that are asked.
    pub(crate) place: usize,
    pub(crate) methods: Vec<Method>,
    pub(crate) rejected: Vec<Rejected>,
    /// What was tried for it, by opening; none where nothing was.
    pub(crate) trials: Vec<Trials>,
    /// Tools that it looked at, those that are away too: were they there, they would be.
    pub(crate) tools: Vec<bool>,
    pub(crate) asks: Left,
}

/// A rod solved at the dent, as what its wall is worked: through which runs it came in, how far past true its head goes, mm, and what came of it.
type Solved = (WorkedAs, Vec<Leg>, Body, f64, Result<Fits, Jams>);

/// What of one dent no decision changes and takes long to work out.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    pub(crate) rods: Vec<Arc<Solved>>,
    /// By what the wall is worked as, the ball and the passage, in bits.
    walls: Vec<(WorkedAs, [u64; 2], Arc<Wall>)>,
}

/// No more rods of a dent are kept.
const MOST_RODS: usize = 200;

/// Kept while one dent is on the bench: what its methods look at, and what they said of it within other decisions.
#[derive(Debug)]
pub struct Notes<'a> {
    pub(crate) tools: &'a Tools<'a>,
    pub(crate) memory: RefCell<Memory>,
    earlier: Option<(&'a [Arc<Part>], &'a [bool])>,
    /// What the methods so far left that is the same as then.
    pub(crate) same: Cell<Left>,
    pub(crate) looked: RefCell<Vec<bool>>,
    pub(crate) asks: Cell<Left>,
    pub(crate) parts: RefCell<Vec<Arc<Part>>>,
}

impl<'a> Notes<'a> {
    /// For a dent; `earlier`: what its answer followed from within other decisions; `moved`: the tools that have come or gone since,
    /// where it sees the same otherwise.
    pub fn new(tools: &'a Tools<'a>, earlier: Option<(&'a [Arc<Part>], &'a Memory)>, moved: Option<&'a [bool]>) -> Self {
        let same = Cell::new(Left { reached: true, found: true, tried: true });
        let memory = RefCell::new(earlier.map_or_else(Memory::default, |(_, memory)| memory.clone()));
        let earlier = earlier.map(|(parts, _)| parts).zip(moved);
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
        as_what: WorkedAs,
        legs: &[Leg],
        (body, past_mm): (Body, f64),
        solve: impl FnOnce() -> Result<Fits, Jams>,
    ) -> Result<Fits, Jams> {
        let is = |s: &&Arc<Solved>| s.0 == as_what && s.2 == body && s.3 == past_mm && s.1 == legs;
        if let Some(known) = self.memory.borrow().rods.iter().find(is) {
            return known.4.clone();
        }
        let found = solve();
        let rods = &mut self.memory.borrow_mut().rods;
        if rods.len() >= MOST_RODS {
            rods.clear();
        }
        rods.push(Arc::new((as_what, legs.to_vec(), body, past_mm, found.clone())));
        found
    }

    /// What the wall asks of a ball: what is known, or what `reckon` says.
    pub fn wall(&self, as_what: WorkedAs, sizes_mm: [f64; 2], reckon: impl FnOnce() -> Wall) -> Arc<Wall> {
        let key = sizes_mm.map(f64::to_bits);
        if let Some(known) = self.memory.borrow().walls.iter().find(|w| w.0 == as_what && w.1 == key) {
            return Arc::clone(&known.2);
        }
        let wall = Arc::new(reckon());
        self.memory.borrow_mut().walls.push((as_what, key, Arc::clone(&wall)));
        wall
    }

    /// What a method said within other decisions, whatever it says now.
    pub(crate) fn earlier(&self, place: usize) -> Option<&'a Arc<Part>> {
        self.earlier?.0.iter().find(|p| p.place == place)
    }

    /// What a method said within other decisions, where it says the same now.
    pub(crate) fn known(&self, place: usize) -> Option<&'a Arc<Part>> {
        let (earlier, moved) = self.earlier?;
        let (part, same) = (earlier.iter().find(|p| p.place == place)?, self.same.get());
        let left = |asks: bool, same: bool| !asks || same;
        let asks = part.asks;
        let as_left = left(asks.reached, same.reached) && left(asks.found, same.found) && left(asks.tried, same.tried);
        (as_left && !meets(&part.tools, moved)).then_some(part)
    }
}

pub fn meets(looked: &[bool], moved: &[bool]) -> bool {
    looked.iter().zip(moved).any(|(l, m)| *l && *m)
}
