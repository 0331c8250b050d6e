//! The exact choice: what to open, and a way for each dent, at the least total cost.
//!
//! Abstract: *openables* (joints, overlays, a heat that several of them share, a tool to make) with their costs, each with
//! others that it requires; *dents* with ways, each with a cost, what it needs open, and which dents must be worked before.
//! What is opened once serves every dent. Solved by branch and bound ([`search`]) after the problem was made small
//! ([`shrink`]); the answer carries a lower bound, so that the gap is proved to be zero or stated.

mod cycle;
mod pieces;
mod rings;
mod search;
mod shares;
mod shrink;
mod waits;

pub use pieces::Piece;
use serde::{Deserialize, Serialize};

/// Something that can be opened, heated or made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Openable {
    /// Cost of opening and closing it, ≥ 0; infinite where it must stay shut.
    pub cost: f64,
    /// Others that must be open too.
    pub requires: Vec<usize>,
}

/// A way to deal with a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WayCost {
    /// Its own cost, ≥ 0; infinite where it must not be taken.
    pub cost: f64,
    /// What must be open.
    pub opens: Vec<usize>,
    /// Dents that must be worked before.
    pub after: Vec<usize>,
    /// Whether the dent is gone afterwards; leaving it is a way too, but clears the way for nobody.
    pub works: bool,
}

/// A choice to be made.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Problem {
    /// What can be opened.
    pub openables: Vec<Openable>,
    /// Ways of each dent; a dent without ways stays as it is.
    pub dents: Vec<Vec<WayCost>>,
}

/// The cheapest choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// The way of each dent; none where it has none.
    pub ways: Vec<Option<usize>>,
    /// What is opened, rising.
    pub opened: Vec<usize>,
    /// Its cost.
    pub cost: f64,
    /// No choice costs less than this; equal to the cost where that is proved.
    pub bound: f64,
    /// Choices looked at.
    pub nodes: u64,
}

/// Choices looked at before the search stops and states its gap.
pub const MOST_NODES: u64 = 200_000;

/// Two costs closer than this part of themselves are equal: sums in another order differ by this much.
pub const EQUAL: f64 = 1e-9;

impl Problem {
    /// Solves it. `None` where a dent has ways but none can be taken (all need something that must stay shut, or wait for
    /// each other in a ring).
    pub fn solve(&self) -> Option<Solution> {
        self.solve_within(MOST_NODES)
    }

    /// As [`Problem::solve`], looking at no more than so many choices; what is found by then is returned with its gap.
    /// `None` too where nothing was found by then.
    pub fn solve_within(&self, most_nodes: u64) -> Option<Solution> {
        self.solve_under(most_nodes, f64::INFINITY)
    }

    /// As [`Problem::solve_within`], and `None` as soon as it is plain that every choice costs `cut` or more.
    pub fn solve_under(&self, most_nodes: u64, cut: f64) -> Option<Solution> {
        let found = search::solve(self, most_nodes, cut);
        let ways = found.ways?;
        let opened = self.opened_by(&ways);
        let cost = self.cost(&ways, &opened);
        let gap = found.cost - found.bound;
        let bound = if gap > EQUAL * cost.abs().max(1.0) { cost - gap } else { cost };
        Some(Solution { ways, opened, cost, bound, nodes: found.nodes })
    }

    /// The same problem with some openables kept shut.
    #[must_use]
    pub fn with_shut(&self, shut: &[usize]) -> Self {
        let mut p = self.clone();
        for o in shut {
            if let Some(o) = p.openables.get_mut(*o) {
                o.cost = f64::INFINITY;
            }
        }
        p
    }

    /// The same problem without the ways that another way of the same dent beats, whatever is shut besides.
    #[must_use]
    pub fn without_beaten(&self) -> Self {
        let mut p = self.clone();
        for (ways, beaten) in p.dents.iter_mut().zip(shrink::beaten(self)) {
            for w in beaten {
                ways[w].cost = f64::INFINITY;
            }
        }
        p
    }

    /// Every openable with all that it requires, itself included, rising.
    pub fn closures(&self) -> Vec<Vec<usize>> {
        (0..self.openables.len())
            .map(|o| {
                if self.openables[o].requires.is_empty() {
                    return vec![o];
                }
                let mut seen = vec![false; self.openables.len()];
                let mut stack = vec![o];
                while let Some(x) = stack.pop() {
                    if !std::mem::replace(&mut seen[x], true) {
                        stack.extend(self.openables[x].requires.iter().copied().filter(|r| *r < seen.len()));
                    }
                }
                (0..seen.len()).filter(|i| seen[*i]).collect()
            })
            .collect()
    }

    /// What a way costs with all that it needs and that is not `open` anyway; infinite where it can never be taken. `closed`:
    /// see [`Problem::closures`].
    pub fn with_needs(&self, closed: &[Vec<usize>], way: &WayCost, open: &[usize]) -> f64 {
        let needs = way.opens.iter().filter_map(|o| closed.get(*o)).flatten().copied();
        let mut needs: Vec<usize> = needs.filter(|o| !open.contains(o)).collect();
        needs.sort_unstable();
        needs.dedup();
        way.cost + needs.iter().map(|o| self.openables[*o].cost).sum::<f64>()
    }

    /// What a choice of ways opens, rising.
    pub fn opened_by(&self, ways: &[Option<usize>]) -> Vec<usize> {
        let closed = self.closures();
        let mut open = vec![false; self.openables.len()];
        for (d, w) in ways.iter().enumerate() {
            for o in w.iter().flat_map(|w| &self.dents[d][*w].opens).filter_map(|o| closed.get(*o)).flatten() {
                open[*o] = true;
            }
        }
        (0..open.len()).filter(|o| open[*o]).collect()
    }

    /// Cost of a choice.
    pub fn cost(&self, ways: &[Option<usize>], opened: &[usize]) -> f64 {
        let open: f64 = opened.iter().map(|o| self.openables[*o].cost).sum();
        let work: f64 = ways.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.dents[d][w].cost)).sum();
        open + work
    }

    /// Dents whose chosen ways wait for each other in a ring, or for a dent that is not worked (a ring of one: the dent
    /// that waits); none where the choice can be put in an order.
    pub fn ring(&self, ways: &[Option<usize>]) -> Option<Vec<usize>> {
        let after = |d: usize| ways[d].map_or(&[][..], |w| &self.dents[d][w].after[..]);
        let worked = |d: usize| ways[d].is_some_and(|w| self.dents[d][w].works);
        cycle::ring(self.dents.len(), after, worked)
    }
}
