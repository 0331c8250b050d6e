//! The choice as numbers, and what follows from it without a search.

use super::cycle;
use serde::{Deserialize, Serialize};

/// Choices looked at before the search stops and states its gap.
pub const MOST_NODES: u64 = 200_000;

/// Two costs closer than this part of themselves are equal: sums in another order differ by this much.
pub const EQUAL: f64 = 1e-9;
/// Something that can be opened, heated or made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Openable {
    /// Cost of opening and closing it, ≥ 0; infinite where it must stay shut.
    pub cost: f64,
    /// Others that must be open too.
    pub requires: Vec<usize>,
}

/// A method to deal with a dent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MethodCost {
    /// Its own cost, ≥ 0; infinite where it must not be taken.
    pub cost: f64,
    /// What must be open.
    pub opens: Vec<usize>,
    /// Dents that must be worked before.
    pub after: Vec<usize>,
    /// Whether the dent is gone afterwards; leaving it is a method too, but clears the way for nobody.
    pub works: bool,
}

/// A choice to be made.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Problem {
    /// What can be opened.
    pub openables: Vec<Openable>,
    /// Methods of each dent; a dent without methods stays as it is.
    pub dents: Vec<Vec<MethodCost>>,
}

/// The cheapest choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// The way of each dent; none where it has none.
    pub methods: Vec<Option<usize>>,
    /// What is opened, rising.
    pub opened: Vec<usize>,
    /// Its cost.
    pub cost: f64,
    /// No choice costs less than this; equal to the cost where that is proved.
    pub bound: f64,
    /// Choices looked at.
    pub nodes: u64,
}

impl Problem {
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

    /// What a method costs with all that it needs and that is not `open` anyway; infinite where it can never be taken. `closed`:
    /// see [`Problem::closures`].
    pub fn with_needs(&self, closed: &[Vec<usize>], method: &MethodCost, open: &[usize]) -> f64 {
        let needs = method.opens.iter().filter_map(|o| closed.get(*o)).flatten().copied();
        let mut needs: Vec<usize> = needs.filter(|o| !open.contains(o)).collect();
        needs.sort_unstable();
        needs.dedup();
        method.cost + needs.iter().map(|o| self.openables[*o].cost).sum::<f64>()
    }

    /// What a choice of methods opens, rising.
    pub fn opened_by(&self, methods: &[Option<usize>]) -> Vec<usize> {
        let closed = self.closures();
        let mut open = vec![false; self.openables.len()];
        for (d, w) in methods.iter().enumerate() {
            for o in w.iter().flat_map(|w| &self.dents[d][*w].opens).filter_map(|o| closed.get(*o)).flatten() {
                open[*o] = true;
            }
        }
        (0..open.len()).filter(|o| open[*o]).collect()
    }

    /// Cost of a choice.
    pub fn cost(&self, methods: &[Option<usize>], opened: &[usize]) -> f64 {
        let open: f64 = opened.iter().map(|o| self.openables[*o].cost).sum();
        let work: f64 = methods.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.dents[d][w].cost)).sum();
        open + work
    }

    /// Dents whose chosen methods wait for each other in a ring, or for a dent that is not worked (a ring of one: the dent
    /// that waits); none where the choice can be put in an order.
    pub fn ring(&self, methods: &[Option<usize>]) -> Option<Vec<usize>> {
        let after = |d: usize| methods[d].map_or(&[][..], |w| &self.dents[d][w].after[..]);
        let worked = |d: usize| methods[d].is_some_and(|w| self.dents[d][w].works);
        cycle::ring(self.dents.len(), after, worked)
    }
}
