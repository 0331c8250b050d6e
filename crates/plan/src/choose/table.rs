//! A part of the choice as numbers: dents, methods, items and the slots between them, and a place in the search over them.

use super::presolve::Part;
use super::waits::Waits;

/// Whether an item is decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Not decided.
    Free,
    /// Open: paid for.
    Open,
    /// Shut: no method may need it.
    Shut,
}

/// A place in the search.
#[derive(Clone, Debug)]
pub struct Node {
    /// Each item.
    pub status: Vec<Status>,
    /// Which methods may still be taken, dent after dent (see [`Table::first`]).
    pub alive: Vec<bool>,
    /// What each slot's dent pays of its item (see [`Table`]).
    pub(super) share: Vec<f64>,
    /// The price of each ring known so far.
    pub(super) price: Vec<f64>,
}

impl Node {
    /// No ring has a price.
    pub fn forget_cuts(&mut self) {
        self.price.clear();
    }
}

/// What stays the same over the search. A slot is a dent with an item that one of its methods needs.
#[derive(Debug)]
pub struct Table {
    /// The first way of each dent when all are numbered through, and one past the last.
    pub first: Vec<usize>,
    /// Cost of each method alone.
    pub(super) cost: Vec<f64>,
    /// Slots that each method needs.
    pub(super) needs: Vec<Vec<usize>>,
    /// The first slot of each dent, and one past the last.
    pub(super) slots: Vec<usize>,
    /// The item of each slot.
    pub(super) item: Vec<usize>,
    waits: Waits,
}

impl Table {
    /// Reads a part.
    pub fn new(part: &Part) -> Self {
        let (mut first, mut cost, mut needs, mut slots, mut item) = (vec![0], vec![], vec![], vec![0], vec![]);
        for methods in &part.methods {
            let mut mine: Vec<usize> = methods.iter().flat_map(|w| w.items.iter().copied()).collect();
            mine.sort_unstable();
            mine.dedup();
            let slot = |i: &usize| item.len() + mine.binary_search(i).unwrap_or(0);
            for w in methods {
                cost.push(w.cost);
                needs.push(w.items.iter().map(slot).collect());
            }
            item.extend(mine);
            first.push(cost.len());
            slots.push(item.len());
        }
        Self { first, cost, needs, slots, item, waits: Waits::new(part) }
    }

    /// How many dents there are.
    pub fn dents(&self) -> usize {
        self.first.len() - 1
    }

    /// The first node: all is free, nobody pays yet (the climb shares evenly first).
    pub fn root(&self, part: &Part) -> Node {
        Node {
            status: vec![Status::Free; part.items.len()],
            alive: vec![true; self.cost.len()],
            share: vec![0.0; self.item.len()],
            price: vec![],
        }
    }

    /// Follows up what was decided: methods that need something shut, or wait in a ring in any case, fall away, and what every
    /// method left of a dent needs is opened. False where a dent has no method left.
    pub fn propagate(&self, node: &mut Node) -> bool {
        loop {
            if !self.propagate_items(node) {
                return false;
            }
            if !self.waits.propagate(&self.first, &mut node.alive) {
                return true;
            }
        }
    }

    fn propagate_items(&self, node: &mut Node) -> bool {
        let mut needed: Vec<usize> = vec![0; self.item.len()];
        loop {
            let mut moved = false;
            needed.fill(0);
            for d in 0..self.dents() {
                let mut left = 0;
                for w in self.first[d]..self.first[d + 1] {
                    if !node.alive[w] {
                        continue;
                    }
                    if self.needs[w].iter().any(|s| node.status[self.item[*s]] == Status::Shut) {
                        node.alive[w] = false;
                        continue;
                    }
                    left += 1;
                    for s in &self.needs[w] {
                        needed[*s] += 1;
                    }
                }
                if left == 0 {
                    return false;
                }
                let mine = self.slots[d]..self.slots[d + 1];
                for (item, needed) in self.item[mine.clone()].iter().zip(&needed[mine]) {
                    if *needed == left && node.status[*item] == Status::Free {
                        node.status[*item] = Status::Open;
                        moved = true;
                    }
                }
            }
            if !moved {
                return true;
            }
        }
    }
}
