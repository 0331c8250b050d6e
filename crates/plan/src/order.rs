//! The order of the steps: every step after those that must come before it, with the fewest heats and changes of fixture.
//!
//! Steps are done in set-ups (a heat at one place, a run in its fixture, the hand alone). Doing all that can be done in a
//! set-up before leaving it never costs more (an exchange argument: what is done early only frees more), and a set-up that
//! can be finished now may as well be: so only set-ups that must be come back to ask for a decision. Those are searched,
//! best first, under the bound that every set-up with something left to do costs once more.

use std::collections::{BTreeMap, BinaryHeap, HashMap};

/// A step to be ordered.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// The set-up it is done in.
    pub setup: usize,
    /// Tasks that must come before.
    pub after: Vec<usize>,
    /// Where it would stand if nothing else mattered; lower is earlier.
    pub rank: (u32, u32),
}

/// An order.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// The tasks, first to last.
    pub tasks: Vec<usize>,
    /// What the set-ups cost in this order.
    pub cost: f64,
    /// No order costs less.
    pub bound: f64,
}

/// States looked at before the search settles for the best method it can see.
const MOST_STATES: usize = 20_000;

/// Orders tasks. `costs` is what each set-up costs whenever it is begun, ≥ 0. None where tasks wait for each other in a
/// ring.
pub fn order(tasks: &[Task], costs: &[f64]) -> Option<Order> {
    let problem = Problem::new(tasks, costs);
    let all = problem.full();
    let floor: f64 = (0..costs.len()).filter(|s| tasks.iter().any(|t| t.setup == *s)).map(|s| costs[s]).sum();
    let search = problem.search();
    let (path, cost, certified) = match search {
        Some((path, cost)) => (path, cost, true),
        None => {
            let (path, cost) = problem.greedy(&all)?;
            (path, cost, false)
        }
    };
    Some(Order { tasks: path, cost, bound: if certified { cost } else { floor } })
}

struct Problem<'t> {
    tasks: &'t [Task],
    costs: &'t [f64],
    /// Tasks of each set-up, by rank.
    members: Vec<Vec<usize>>,
}

type Done = Vec<u64>;

fn has(done: &Done, t: usize) -> bool {
    done[t / 64] >> (t % 64) & 1 == 1
}

fn add(done: &mut Done, t: usize) {
    done[t / 64] |= 1 << (t % 64);
}

impl<'t> Problem<'t> {
    fn new(tasks: &'t [Task], costs: &'t [f64]) -> Self {
        let mut members = vec![Vec::new(); costs.len()];
        for (i, t) in tasks.iter().enumerate() {
            members[t.setup].push(i);
        }
        for m in &mut members {
            m.sort_by_key(|i| (tasks[*i].rank, *i));
        }
        Self { tasks, costs, members }
    }

    fn full(&self) -> Done {
        let mut done = self.none();
        for t in 0..self.tasks.len() {
            add(&mut done, t);
        }
        done
    }

    fn none(&self) -> Done {
        vec![0; self.tasks.len().div_ceil(64).max(1)]
    }

    fn ready(&self, done: &Done, t: usize) -> bool {
        !has(done, t) && self.tasks[t].after.iter().all(|a| has(done, *a))
    }

    /// Does all that can be done in a set-up; the tasks in the order in which they were done.
    fn exhaust(&self, done: &mut Done, setup: usize) -> Vec<usize> {
        let mut did = Vec::new();
        while let Some(t) = self.members[setup].iter().copied().find(|t| self.ready(done, *t)) {
            add(done, t);
            did.push(t);
        }
        did
    }

    fn left(&self, done: &Done, setup: usize) -> bool {
        self.members[setup].iter().any(|t| !has(done, *t))
    }

    /// Set-ups in which something can be done now, by the rank of their first ready task.
    fn open(&self, done: &Done) -> Vec<usize> {
        let mut open: Vec<((u32, u32), usize)> = (0..self.members.len())
            .filter_map(|s| self.members[s].iter().filter(|t| self.ready(done, **t)).map(|t| self.tasks[*t].rank).min().map(|r| (r, s)))
            .collect();
        open.sort_unstable();
        open.into_iter().map(|(_, s)| s).collect()
    }

    /// Finishes set-ups as long as one can be finished, or costs nothing to come back to; returns their cost.
    fn advance(&self, done: &mut Done, path: &mut Vec<usize>) -> f64 {
        let mut cost = 0.0;
        'again: loop {
            for s in self.open(done) {
                let mut after = done.clone();
                let did = self.exhaust(&mut after, s);
                if self.costs[s] == 0.0 || !self.left(&after, s) {
                    cost += self.costs[s];
                    *done = after;
                    path.extend(did);
                    continue 'again;
                }
            }
            return cost;
        }
    }

    fn floor(&self, done: &Done) -> f64 {
        (0..self.costs.len()).filter(|s| self.left(done, *s)).map(|s| self.costs[s]).sum()
    }

    /// Best first. None where there are too many states, or no order at all.
    fn search(&self) -> Option<(Vec<usize>, f64)> {
        struct Open {
            bound: f64,
            cost: f64,
            done: Done,
            path: Vec<usize>,
            number: usize,
        }
        impl PartialEq for Open {
            fn eq(&self, other: &Self) -> bool {
                self.cmp(other).is_eq()
            }
        }
        impl Eq for Open {}
        impl PartialOrd for Open {
            fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
                Some(self.cmp(other))
            }
        }
        impl Ord for Open {
            fn cmp(&self, other: &Self) -> std::cmp::Ordering {
                // The heap gives the greatest first: least bound, then the furthest on, then the oldest.
                other.bound.total_cmp(&self.bound).then(self.path.len().cmp(&other.path.len())).then(other.number.cmp(&self.number))
            }
        }
        let full = self.full();
        let (mut done, mut path) = (self.none(), Vec::new());
        let cost = self.advance(&mut done, &mut path);
        let mut heap = BinaryHeap::from([Open { bound: cost + self.floor(&done), cost, done, path, number: 0 }]);
        let mut seen: HashMap<Done, f64> = HashMap::new();
        let mut number = 0;
        while let Some(o) = heap.pop() {
            if o.done == full {
                return Some((o.path, o.cost));
            }
            if seen.get(&o.done).is_some_and(|c| *c <= o.cost) {
                continue;
            }
            seen.insert(o.done.clone(), o.cost);
            if seen.len() > MOST_STATES {
                return None;
            }
            for s in self.open(&o.done) {
                let (mut done, mut path) = (o.done.clone(), o.path.clone());
                path.extend(self.exhaust(&mut done, s));
                let cost = o.cost + self.costs[s] + self.advance(&mut done, &mut path);
                number += 1;
                heap.push(Open { bound: cost + self.floor(&done), cost, done, path, number });
            }
        }
        None
    }

    /// Without looking ahead: finish what can be finished, else the set-up in which most can be done.
    fn greedy(&self, full: &Done) -> Option<(Vec<usize>, f64)> {
        let (mut done, mut path) = (self.none(), Vec::new());
        let mut cost = self.advance(&mut done, &mut path);
        while done != *full {
            let doable: BTreeMap<usize, usize> = self
                .open(&done)
                .into_iter()
                .map(|s| {
                    let mut after = done.clone();
                    (s, self.exhaust(&mut after, s).len())
                })
                .collect();
            let (s, _) = doable.iter().max_by_key(|(s, n)| (**n, std::cmp::Reverse(**s)))?;
            path.extend(self.exhaust(&mut done, *s));
            cost += self.costs[*s] + self.advance(&mut done, &mut path);
        }
        Some((path, cost))
    }
}
