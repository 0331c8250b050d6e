//! The exact choice: what to open and a way for each dent, at least total cost.
//!
//! Abstract: openables (joints, overlays, and "a heat begun here", which its joints require) with costs, each with others
//! that it requires; dents with ways, each with a cost, what it needs open and which dents must be worked before.
//! Opening once serves every dent. Solved by depth-first branch and bound with a bound in which every openable that is
//! not decided yet is shared out over the dents that could use it; what no dent shares falls apart into independent
//! parts, each solved alone.

use std::collections::BTreeSet;

/// Something that can be opened.
#[derive(Clone, Debug, PartialEq)]
pub struct Openable {
    /// Cost of opening and closing it, ≥ 0; infinite where it must stay shut.
    pub cost: f64,
    /// Others that must be open too.
    pub requires: Vec<usize>,
}

/// A way to work a dent.
#[derive(Clone, Debug, PartialEq)]
pub struct WayCost {
    /// Its own cost, ≥ 0.
    pub cost: f64,
    /// What must be open.
    pub opens: Vec<usize>,
    /// Dents that must be worked before.
    pub after: Vec<usize>,
}

/// A choice to be made.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Problem {
    /// What can be opened.
    pub openables: Vec<Openable>,
    /// Ways of each dent; a dent without ways is not worked.
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
    /// No choice costs less than this.
    pub bound: f64,
    /// Choices looked at.
    pub nodes: u64,
}

/// Choices looked at before the search stops and states its gap.
pub const MOST_NODES: u64 = 400_000;

#[derive(Clone, Copy, PartialEq)]
enum Decided {
    Not,
    Open,
    Shut,
}

impl Problem {
    /// Solves it. `None` where a dent has ways but none can be taken (all need something that must stay shut, or wait for
    /// each other).
    pub fn solve(&self) -> Option<Solution> {
        let closed = self.closures();
        let mut solution = Solution { ways: vec![None; self.dents.len()], opened: vec![], cost: 0.0, bound: 0.0, nodes: 0 };
        for part in self.parts(&closed) {
            let mut search = Search { problem: self, closed: &closed, dents: &part, users: self.users(&closed, &part), best: None, best_cost: f64::INFINITY, bound: f64::INFINITY, nodes: 0 };
            let forbidden = BTreeSet::new();
            let mut decided = vec![Decided::Not; self.openables.len()];
            search.branch(&mut decided, &forbidden);
            solution.nodes += search.nodes;
            solution.bound += search.bound.min(search.best_cost);
            for (dent, way) in part.iter().zip(search.best?) {
                solution.ways[*dent] = Some(way);
            }
        }
        solution.opened = self.opened_by(&closed, &solution.ways);
        solution.cost = self.cost(&solution.ways, &solution.opened);
        // The parts' bounds were summed in another order than the cost.
        solution.bound = solution.bound.min(solution.cost);
        if solution.nodes < MOST_NODES && (solution.cost - solution.bound) <= 1e-9 * solution.cost.max(1.0) {
            solution.bound = solution.cost;
        }
        Some(solution)
    }

    /// The same problem with some openables kept shut and some ways of dents left out.
    #[must_use]
    pub fn without(&self, shut: &[usize], ways: &[(usize, usize)]) -> Self {
        let mut p = self.clone();
        for o in shut {
            p.openables[*o].cost = f64::INFINITY;
        }
        for (dent, way) in ways {
            if p.dents[*dent].len() > 1 {
                p.dents[*dent][*way].cost = f64::INFINITY;
            }
        }
        p
    }

    /// Every openable with all that it requires, itself included.
    fn closures(&self) -> Vec<Vec<usize>> {
        (0..self.openables.len())
            .map(|o| {
                let mut seen = BTreeSet::from([o]);
                let mut stack = vec![o];
                while let Some(x) = stack.pop() {
                    for r in self.openables[x].requires.iter().copied().filter(|r| *r < self.openables.len()) {
                        if seen.insert(r) {
                            stack.push(r);
                        }
                    }
                }
                seen.into_iter().collect()
            })
            .collect()
    }

    fn needs(&self, closed: &[Vec<usize>], dent: usize, way: usize) -> BTreeSet<usize> {
        self.dents[dent][way].opens.iter().filter_map(|o| closed.get(*o)).flatten().copied().collect()
    }

    fn possible(&self, closed: &[Vec<usize>], dent: usize, way: usize) -> bool {
        self.dents[dent][way].cost.is_finite() && self.needs(closed, dent, way).iter().all(|o| self.openables[*o].cost.is_finite())
    }

    /// Dents that share an openable or wait for each other belong together.
    fn parts(&self, closed: &[Vec<usize>]) -> Vec<Vec<usize>> {
        let mut root: Vec<usize> = (0..self.dents.len()).collect();
        fn find(root: &mut [usize], mut i: usize) -> usize {
            while root[i] != i {
                root[i] = root[root[i]];
                i = root[i];
            }
            i
        }
        let mut first_user: Vec<Option<usize>> = vec![None; self.openables.len()];
        for (d, ways) in self.dents.iter().enumerate() {
            for w in 0..ways.len() {
                for o in self.needs(closed, d, w) {
                    match first_user[o] {
                        Some(other) => {
                            let (a, b) = (find(&mut root, d), find(&mut root, other));
                            root[a] = b;
                        }
                        None => first_user[o] = Some(d),
                    }
                }
                for other in ways[w].after.iter().copied().filter(|x| *x < self.dents.len()) {
                    let (a, b) = (find(&mut root, d), find(&mut root, other));
                    root[a] = b;
                }
            }
        }
        let mut parts: Vec<Vec<usize>> = vec![Vec::new(); self.dents.len()];
        for d in (0..self.dents.len()).filter(|d| !self.dents[*d].is_empty()) {
            let r = find(&mut root, d);
            parts[r].push(d);
        }
        parts.retain(|p| !p.is_empty());
        parts
    }

    /// How many dents of a part could use each openable.
    fn users(&self, closed: &[Vec<usize>], part: &[usize]) -> Vec<f64> {
        let mut users = vec![0.0; self.openables.len()];
        for d in part {
            let mut mine = BTreeSet::new();
            for w in 0..self.dents[*d].len() {
                mine.extend(self.needs(closed, *d, w));
            }
            for o in mine {
                users[o] += 1.0;
            }
        }
        users
    }

    fn opened_by(&self, closed: &[Vec<usize>], ways: &[Option<usize>]) -> Vec<usize> {
        let mut opened = BTreeSet::new();
        for (d, w) in ways.iter().enumerate() {
            if let Some(w) = w {
                opened.extend(self.needs(closed, d, *w));
            }
        }
        opened.into_iter().collect()
    }

    /// Cost of a choice.
    pub fn cost(&self, ways: &[Option<usize>], opened: &[usize]) -> f64 {
        let open: f64 = opened.iter().map(|o| self.openables[*o].cost).sum();
        let work: f64 = ways.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.dents[d][w].cost)).sum();
        open + work
    }

    /// The cheapest choice by trying all of them: for tests on small problems.
    pub fn brute_force(&self) -> Option<f64> {
        let closed = self.closures();
        let working: Vec<usize> = (0..self.dents.len()).filter(|d| !self.dents[*d].is_empty()).collect();
        let mut ways: Vec<Option<usize>> = vec![None; self.dents.len()];
        let mut best = f64::INFINITY;
        self.try_all(&closed, &working, &mut ways, &mut best);
        best.is_finite().then_some(best)
    }

    fn try_all(&self, closed: &[Vec<usize>], left: &[usize], ways: &mut Vec<Option<usize>>, best: &mut f64) {
        let Some((d, rest)) = left.split_first() else {
            if cycle(&self.dents, ways).is_none() {
                *best = best.min(self.cost(ways, &self.opened_by(closed, ways)));
            }
            return;
        };
        for w in 0..self.dents[*d].len() {
            if self.possible(closed, *d, w) {
                ways[*d] = Some(w);
                self.try_all(closed, rest, ways, best);
            }
        }
        ways[*d] = None;
    }
}

/// Dents whose chosen ways wait for each other in a ring; none where the choice can be ordered. Waiting for a dent that is
/// not worked never ends, so such a dent counts as a ring of one.
fn cycle(dents: &[Vec<WayCost>], ways: &[Option<usize>]) -> Option<Vec<usize>> {
    fn visit(d: usize, dents: &[Vec<WayCost>], ways: &[Option<usize>], state: &mut [u8], path: &mut Vec<usize>) -> Option<Vec<usize>> {
        let way = ways[d]?;
        state[d] = 1;
        path.push(d);
        for &e in dents[d][way].after.iter().filter(|e| **e < dents.len()) {
            if ways[e].is_none() {
                return Some(vec![d]);
            }
            if state[e] == 1 {
                let from = path.iter().position(|x| *x == e).unwrap_or(0);
                return Some(path[from..].to_vec());
            }
            if state[e] == 0
                && let Some(ring) = visit(e, dents, ways, state, path)
            {
                return Some(ring);
            }
        }
        state[d] = 2;
        path.pop();
        None
    }
    let mut state = vec![0; dents.len()];
    (0..dents.len()).find_map(|d| if state[d] == 0 { visit(d, dents, ways, &mut state, &mut Vec::new()) } else { None })
}

struct Search<'p> {
    problem: &'p Problem,
    closed: &'p [Vec<usize>],
    dents: &'p [usize],
    users: Vec<f64>,
    best: Option<Vec<usize>>,
    best_cost: f64,
    /// Least bound of what was left unexplored; infinite while nothing was.
    bound: f64,
    nodes: u64,
}

impl Search<'_> {
    fn branch(&mut self, decided: &mut [Decided], forbidden: &BTreeSet<(usize, usize)>) {
        self.nodes += 1;
        let open_cost: f64 = decided.iter().zip(&self.problem.openables).filter(|(d, _)| **d == Decided::Open).map(|(_, o)| o.cost).sum();
        let mut bound = open_cost;
        let mut picked = Vec::with_capacity(self.dents.len());
        let mut wanted: Vec<f64> = vec![0.0; self.problem.openables.len()];
        for &d in self.dents {
            let mut best: Option<(f64, usize)> = None;
            for (w, way) in self.problem.dents[d].iter().enumerate() {
                if forbidden.contains(&(d, w)) || !self.problem.possible(self.closed, d, w) {
                    continue;
                }
                let needs = self.problem.needs(self.closed, d, w);
                if needs.iter().any(|o| decided[*o] == Decided::Shut) {
                    continue;
                }
                let share: f64 = needs.iter().filter(|o| decided[**o] == Decided::Not).map(|o| self.problem.openables[*o].cost / self.users[*o]).sum();
                let cost = way.cost + share;
                if best.is_none_or(|(c, _)| cost < c) {
                    best = Some((cost, w));
                }
            }
            let Some((cost, way)) = best else { return };
            bound += cost;
            picked.push(way);
            for o in self.problem.needs(self.closed, d, way) {
                if decided[o] == Decided::Not {
                    wanted[o] += self.problem.openables[o].cost;
                }
            }
        }
        if bound >= self.best_cost {
            return;
        }
        // What these picks truly cost: a candidate at every node.
        let mut ways = vec![None; self.problem.dents.len()];
        for (d, w) in self.dents.iter().zip(&picked) {
            ways[*d] = Some(*w);
        }
        let ring = cycle(&self.problem.dents, &ways);
        if ring.is_none() {
            let opened = self.problem.opened_by(self.closed, &ways);
            let cost = self.problem.cost(&ways, &opened);
            if cost < self.best_cost {
                self.best_cost = cost;
                self.best = Some(picked.clone());
            }
        }
        if self.nodes >= MOST_NODES {
            self.bound = self.bound.min(bound);
            return;
        }
        // Decide the openable on which most money hangs.
        let hangs = wanted.iter().enumerate().filter(|(_, c)| **c > 0.0).max_by(|a, b| a.1.total_cmp(b.1)).map(|(o, _)| o);
        if let Some(o) = hangs {
            decided[o] = Decided::Open;
            self.branch(decided, forbidden);
            decided[o] = Decided::Shut;
            self.branch(decided, forbidden);
            decided[o] = Decided::Not;
        } else if let Some(ring) = ring {
            // All that is wanted is decided; only the ring stands in the way: one of its ways must go.
            for d in ring {
                if let Some(w) = ways[d] {
                    let mut less = forbidden.clone();
                    less.insert((d, w));
                    self.branch(decided, &less);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small linear generator, so that the same problems come every time.
    struct Dice(u64);
    impl Dice {
        fn below(&mut self, n: u64) -> usize {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            usize::try_from((self.0 >> 33) % n).unwrap()
        }
        fn cost(&mut self) -> f64 {
            self.below(200) as f64 / 4.0
        }
    }

    pub(super) fn random(dice: &mut Dice, openables: usize, dents: usize, most_ways: u64) -> Problem {
        let open = (0..openables)
            .map(|i| Openable { cost: if dice.below(25) == 0 { f64::INFINITY } else { dice.cost() }, requires: if i > 0 && dice.below(3) == 0 { vec![dice.below(i as u64)] } else { vec![] } })
            .collect();
        let ways = (0..dents)
            .map(|d| {
                (0..=dice.below(most_ways))
                    .map(|_| WayCost {
                        cost: dice.cost(),
                        opens: (0..dice.below(4)).map(|_| dice.below(openables as u64)).collect(),
                        after: if dents > 1 && dice.below(6) == 0 { vec![(d + 1 + dice.below(dents as u64 - 1)) % dents] } else { vec![] },
                    })
                    .collect()
            })
            .collect();
        Problem { openables: open, dents: ways }
    }

    #[test]
    fn five_hundred_small_instruments_cost_what_trying_everything_costs() {
        let mut dice = Dice(7);
        for case in 0..500 {
            let (openables, dents) = (2 + dice.below(7), 1 + dice.below(6));
            let p = random(&mut dice, openables, dents, 4);
            let found = p.solve();
            match (found, p.brute_force()) {
                (Some(s), Some(best)) => {
                    assert!((s.cost - best).abs() < 1e-9, "case {case}: {} against {best}\n{p:?}", s.cost);
                    assert_eq!(s.bound, s.cost, "case {case}: the gap is not closed");
                }
                (None, None) => {}
                (found, best) => panic!("case {case}: {found:?} against {best:?}"),
            }
        }
    }

    #[test]
    fn a_joint_opened_once_serves_two_dents() {
        let open = vec![Openable { cost: 10.0, requires: vec![] }];
        let way = |cost, opens| WayCost { cost, opens, after: vec![] };
        let p = Problem { openables: open, dents: vec![vec![way(1.0, vec![0]), way(8.0, vec![])], vec![way(1.0, vec![0]), way(8.0, vec![])]] };
        let s = p.solve().unwrap();
        assert_eq!((s.cost, s.opened), (12.0, vec![0]));
        // Alone, neither dent would pay for it.
        let one = Problem { dents: vec![p.dents[0].clone()], ..p };
        assert_eq!(one.solve().unwrap().cost, 8.0);
    }

    #[test]
    fn two_dents_never_wait_for_each_other() {
        let way = |cost, after| WayCost { cost, opens: vec![], after };
        let p = Problem { openables: vec![], dents: vec![vec![way(1.0, vec![1]), way(5.0, vec![])], vec![way(1.0, vec![0]), way(7.0, vec![])]] };
        assert_eq!(p.solve().unwrap().cost, 6.0);
    }

    #[test]
    fn what_must_stay_shut_stays_shut() {
        let p = Problem { openables: vec![Openable { cost: f64::INFINITY, requires: vec![] }], dents: vec![vec![WayCost { cost: 1.0, opens: vec![0], after: vec![] }]] };
        assert!(p.solve().is_none());
    }
}
