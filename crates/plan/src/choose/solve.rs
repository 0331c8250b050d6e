//! The search asked, and its answer with the bound.

use super::problem::{EQUAL, MOST_NODES, Problem, Solution};
use super::solved::Solved;
use super::{presolve, search};

impl Problem {
    /// Solves it. `None` where a dent has methods but none can be taken (all need something that must stay shut, or wait for
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
        self.answer(search::solve(self, most_nodes, cut, None))
    }

    /// As [`Problem::solve_under`], and what is known of the problem's parts is not searched again.
    pub fn solve_knowing(&self, most_nodes: u64, cut: f64, known: &Solved) -> Option<Solution> {
        self.answer(search::solve(self, most_nodes, cut, Some(known)))
    }

    fn answer(&self, found: super::found::Found) -> Option<Solution> {
        let methods = found.methods?;
        let opened = self.opened_by(&methods);
        let cost = self.cost(&methods, &opened);
        let gap = found.cost - found.bound;
        let bound = if gap > EQUAL * cost.abs().max(1.0) { cost - gap } else { cost };
        Some(Solution { methods, opened, cost, bound, nodes: found.nodes })
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

    /// The same problem without the methods that another of the same dent beats, whatever is shut besides.
    #[must_use]
    pub fn without_dominated(&self) -> Self {
        let mut p = self.clone();
        for (methods, beaten) in p.dents.iter_mut().zip(presolve::dominated(self)) {
            for w in beaten {
                methods[w].cost = f64::INFINITY;
            }
        }
        p
    }
}
