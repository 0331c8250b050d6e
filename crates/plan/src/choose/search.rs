//! Branch and bound over what to open, depth first, with the bound of [`super::multipliers`]. Where the first bound strikes out
//! much, what is left is made small anew: it often falls into parts.

use super::cycle;
use super::cycle_cuts::CycleCuts;
use super::found::Found;
use super::multipliers::Bound;
use super::presolve::{self, Part};
use super::problem::{EQUAL, MethodCost, Openable, Problem};
use super::solved::Solved;
use super::table::{Node, Status, Table};
use std::collections::HashSet;

/// Steps uphill at the first node and at the others.
const STEPS: (usize, usize) = (80, 20);
/// What is left is made small anew where no more than this part of the methods is.
const MUCH_STRUCK: f64 = 0.8;

struct Search<'p> {
    part: &'p Part,
    table: Table,
    cuts: CycleCuts,
    best: Option<Vec<usize>>,
    best_cost: f64,
    /// Least bound of what was left unseen.
    unseen: f64,
    nodes: u64,
    most: u64,
    /// Choices that cost this or more are not wanted.
    cut: f64,
    /// Sets of open items that were tried already.
    tried: HashSet<Vec<bool>>,
}

/// Solves a problem part by part, looking at no more than about `most` choices; nothing is found where every choice costs
/// `cut` or more.
pub fn solve(problem: &Problem, most: u64, cut: f64, known: Option<&Solved>) -> Found {
    let small = presolve::presolve(problem);
    let mut methods = Some(vec![None; problem.dents.len()]);
    let (mut cost, mut bound, mut nodes) = (0.0, 0.0, 0);
    for part in &small.parts {
        // Costs are never below 0, so a part may cost what the parts before it have left of the cut.
        let most = most.saturating_sub(nodes).max(1);
        let found = match known {
            Some(known) => known.part(part, most, cut - cost, || solve_part(part, most, cut - cost)),
            None => solve_part(part, most, cut - cost),
        };
        nodes += found.nodes;
        cost += found.cost;
        bound += found.bound;
        match (&mut methods, found.methods) {
            (Some(all), Some(found)) => {
                for ((d, w), methods) in part.dents.iter().zip(found).zip(&part.methods) {
                    all[*d] = w.and_then(|w| methods.get(w)).map(|m| m.method);
                }
            }
            _ => {
                methods = None;
                break;
            }
        }
    }
    Found { methods, cost, bound, nodes }
}

fn solve_part(part: &Part, most: u64, cut: f64) -> Found {
    let table = Table::new(part);
    let mut root = table.root(part);
    let mut search = Search {
        part,
        table,
        cuts: CycleCuts::default(),
        best: None,
        best_cost: f64::INFINITY,
        unseen: f64::INFINITY,
        nodes: 0,
        most,
        cut,
        tried: HashSet::new(),
    };
    if part.methods.iter().all(|w| !w.is_empty()) {
        search.start();
        search.branch(&mut root, STEPS.0);
    }
    // By their places in the part.
    let methods = search.best.map(|b| b.into_iter().map(Some).collect());
    Found { methods, cost: search.best_cost, bound: search.unseen.min(search.best_cost).min(cut), nodes: search.nodes }
}

impl Search<'_> {
    /// Good choices to start from: everything open, then shutting what is not worth its money.
    fn start(&mut self) {
        self.improve(vec![true; self.part.items.len()]);
        self.improve(vec![false; self.part.items.len()]);
    }

    fn good_enough(&self, bound: f64) -> bool {
        bound >= self.cut || bound >= self.best_cost - EQUAL * self.best_cost.abs().max(1.0)
    }

    fn branch(&mut self, node: &mut Node, steps: usize) {
        self.nodes += 1;
        if !self.table.propagate(node) {
            return;
        }
        let bound = self.table.bound(self.part, &mut self.cuts, node, (self.best_cost, self.cut), steps);
        if self.good_enough(bound.value) {
            return;
        }
        self.offer(&bound.picks);
        self.improve(self.used(&bound.picks));
        if self.good_enough(bound.value) {
            return;
        }
        if self.nodes >= self.most {
            self.unseen = self.unseen.min(bound.value);
            return;
        }
        self.table.fix(self.part, &self.cuts, node, bound.value, self.best_cost.min(self.cut));
        if !self.table.propagate(node) {
            return;
        }
        if self.nodes == 1 && self.afresh(node) {
            return;
        }
        match self.undecided(node, &bound) {
            Some((item, first)) => {
                for status in [first, if first == Status::Open { Status::Shut } else { Status::Open }] {
                    let mut child = node.clone();
                    child.status[item] = status;
                    self.branch(&mut child, STEPS.1);
                }
            }
            None => {
                // All is decided, some of it only just now: what every dent takes under it when no ring has a price.
                let mut bare = node.clone();
                bare.forget_cuts();
                let last = self.table.bound(self.part, &mut self.cuts, &mut bare, (self.best_cost, self.cut), 1);
                if !self.good_enough(last.value) {
                    self.offer(&last.picks);
                    self.break_ring(node, &last.picks);
                }
            }
        }
    }

    /// Solves what a node leaves as a problem of its own. False where it leaves too much for that to pay.
    fn afresh(&mut self, node: &Node) -> bool {
        let first = &self.table.first;
        let left: Vec<Vec<usize>> =
            (0..self.table.dents()).map(|d| (0..first[d + 1] - first[d]).filter(|w| node.alive[first[d] + w]).collect()).collect();
        if left.iter().map(Vec::len).sum::<usize>() as f64 > MUCH_STRUCK * node.alive.len() as f64 {
            return false;
        }
        let paid = |i: usize| node.status[i] == Status::Open;
        let items = &self.part.items;
        let fixed: f64 = (0..items.len()).filter(|i| paid(*i)).map(|i| items[i]).sum();
        let openable = |i: usize| Openable { cost: if paid(i) { 0.0 } else { items[i] }, requires: vec![] };
        let method = |d: usize, w: usize| {
            let method = &self.part.methods[d][w];
            MethodCost { cost: method.cost, opens: method.items.clone(), after: method.after.clone(), works: method.works }
        };
        let problem = Problem {
            openables: (0..items.len()).map(openable).collect(),
            dents: left.iter().enumerate().map(|(d, methods)| methods.iter().map(|w| method(d, *w)).collect()).collect(),
        };
        let found = solve(&problem, self.most.saturating_sub(self.nodes).max(1), self.best_cost.min(self.cut) - fixed, None);
        self.nodes += found.nodes;
        self.unseen = self.unseen.min(fixed + found.bound);
        let picks =
            |methods: Vec<Option<usize>>| methods.iter().enumerate().map(|(d, w)| w.map(|w| left[d][w])).collect::<Option<Vec<_>>>();
        if let Some(picks) = found.methods.and_then(picks) {
            self.offer(&picks);
        }
        true
    }

    /// The free item on which most money hangs, and what to try first.
    fn undecided(&self, node: &Node, bound: &Bound) -> Option<(usize, Status)> {
        let mut live = vec![false; self.part.items.len()];
        for (d, methods) in self.part.methods.iter().enumerate() {
            for (w, method) in methods.iter().enumerate() {
                if node.alive[self.table.first[d] + w] {
                    for i in &method.items {
                        live[*i] = true;
                    }
                }
            }
        }
        let weight = |i: usize| {
            let x = bound.wanted[i].clamp(0.0, 1.0);
            self.part.items[i] * (0.05 + x.min(1.0 - x))
        };
        let item =
            (0..live.len()).filter(|i| live[*i] && node.status[*i] == Status::Free).max_by(|a, b| weight(*a).total_cmp(&weight(*b)))?;
        let taken = bound.picks.iter().enumerate().any(|(d, w)| self.part.methods[d][*w].items.contains(&item));
        Some((item, if taken { Status::Open } else { Status::Shut }))
    }

    /// All is decided and only dents that wait for each other stand in the way: one of them must wait no longer.
    fn break_ring(&mut self, node: &Node, picks: &[usize]) {
        let Some(ring) = self.ring(picks) else { return };
        let part = self.part;
        let waits = |d: usize, for_: usize, w: usize| part.methods[d][w].after.contains(&for_);
        let starts = self.table.first.clone();
        let first = |d: usize| starts[d];
        if let [d] = ring[..] {
            let Some(e) = self.part.methods[d][picks[d]].after.iter().copied().find(|e| !self.part.methods[*e][picks[*e]].works) else {
                return;
            };
            let mut waits_not = node.clone();
            for w in 0..self.part.methods[d].len() {
                waits_not.alive[first(d) + w] &= !waits(d, e, w);
            }
            self.branch(&mut waits_not, STEPS.1);
            let mut is_worked = node.clone();
            for w in 0..self.part.methods[d].len() {
                is_worked.alive[first(d) + w] &= waits(d, e, w);
            }
            for (w, method) in self.part.methods[e].iter().enumerate() {
                is_worked.alive[first(e) + w] &= method.works;
            }
            self.branch(&mut is_worked, STEPS.1);
            return;
        }
        // The first dent of the ring that no longer waits is the first, or the second, and so on.
        let mut kept = node.clone();
        for (i, &d) in ring.iter().enumerate() {
            let next = ring[(i + 1) % ring.len()];
            let mut child = kept.clone();
            for w in 0..self.part.methods[d].len() {
                let waits = waits(d, next, w);
                child.alive[first(d) + w] &= !waits;
                kept.alive[first(d) + w] &= waits;
            }
            self.branch(&mut child, STEPS.1);
        }
    }

    fn ring(&self, picks: &[usize]) -> Option<Vec<usize>> {
        cycle::ring(picks.len(), |d| &self.part.methods[d][picks[d]].after[..], |d| self.part.methods[d][picks[d]].works)
    }

    fn cost(&self, picks: &[usize]) -> f64 {
        let mut open = vec![false; self.part.items.len()];
        let mut cost = 0.0;
        for (d, w) in picks.iter().enumerate() {
            let method = &self.part.methods[d][*w];
            cost += method.cost;
            for i in &method.items {
                if !std::mem::replace(&mut open[*i], true) {
                    cost += self.part.items[*i];
                }
            }
        }
        cost
    }

    /// Keeps a choice where it is the best so far and can be put in an order.
    fn offer(&mut self, picks: &[usize]) {
        let cost = self.cost(picks);
        if cost < self.best_cost.min(self.cut) && self.ring(picks).is_none() {
            self.best_cost = cost;
            self.best = Some(picks.to_vec());
        }
    }

    /// The cheapest method of each dent with only `open` open, looking on from the one in `from` (methods stand cheapest first).
    /// None where a dent has no method.
    fn within(&self, open: &[bool], from: &[usize]) -> Option<Vec<usize>> {
        from.iter().enumerate().map(|(d, w)| (*w..self.part.methods[d].len()).find(|w| self.fits(d, *w, open))).collect()
    }

    fn fits(&self, d: usize, w: usize, open: &[bool]) -> bool {
        self.part.methods[d][w].items.iter().all(|i| open[*i])
    }

    /// Moves dents that wait in a ring to later methods until none does; false where that fails. Each turn moves one dent to a
    /// later method, so this ends; not every ring can be broken so.
    fn unring(&self, open: &[bool], picks: &mut [usize]) -> bool {
        while let Some(ring) = self.ring(picks) {
            let step = ring
                .iter()
                .filter_map(|&d| {
                    let next = (picks[d] + 1..self.part.methods[d].len()).find(|w| self.fits(d, *w, open))?;
                    Some((self.part.methods[d][next].cost - self.part.methods[d][picks[d]].cost, d, next))
                })
                .min_by(|a, b| a.0.total_cmp(&b.0));
            match step {
                Some((_, d, next)) => picks[d] = next,
                None => return false,
            }
        }
        true
    }

    fn used(&self, picks: &[usize]) -> Vec<bool> {
        let mut used = vec![false; self.part.items.len()];
        for (d, w) in picks.iter().enumerate() {
            for i in &self.part.methods[d][*w].items {
                used[*i] = true;
            }
        }
        used
    }

    /// How much dearer a choice gets when some dents move to other methods. `count`: how many picks want each item.
    fn dearer(&self, picks: &[usize], count: &mut [usize], moves: &[(usize, usize)]) -> f64 {
        let mut more = 0.0;
        for (d, w) in moves {
            let (old, new) = (&self.part.methods[*d][picks[*d]], &self.part.methods[*d][*w]);
            more += new.cost - old.cost;
            for i in &old.items {
                count[*i] -= 1;
                if count[*i] == 0 {
                    more -= self.part.items[*i];
                }
            }
            for i in &new.items {
                if count[*i] == 0 {
                    more += self.part.items[*i];
                }
                count[*i] += 1;
            }
        }
        for (d, w) in moves {
            self.part.methods[*d][*w].items.iter().for_each(|i| count[*i] -= 1);
            self.part.methods[*d][picks[*d]].items.iter().for_each(|i| count[*i] += 1);
        }
        more
    }

    /// From what is open, shuts one item after the other as long as that saves money; keeps the best.
    fn improve(&mut self, open: Vec<bool>) {
        // Far down in the tree it hardly ever finds anything new.
        let often = self.nodes < 4 || self.nodes.is_multiple_of(16);
        if !often || !self.tried.insert(open.clone()) {
            return;
        }
        let Some(mut picks) = self.within(&open, &vec![0; self.part.methods.len()]) else { return };
        loop {
            // Dents whose pick wants an item, and how many they are.
            let mut takers: Vec<Vec<usize>> = vec![Vec::new(); self.part.items.len()];
            for (d, w) in picks.iter().enumerate() {
                for i in &self.part.methods[d][*w].items {
                    takers[*i].push(d);
                }
            }
            let mut count: Vec<usize> = takers.iter().map(Vec::len).collect();
            let mut used: Vec<bool> = count.iter().map(|n| *n > 0).collect();
            let mut best: Option<(f64, Vec<(usize, usize)>)> = None;
            for i in 0..used.len() {
                // Only those who want this item have to look on: what is cheapest without it comes later in their list.
                if !std::mem::replace(&mut used[i], false) {
                    continue;
                }
                let next = |d: usize| Some((d, (picks[d] + 1..self.part.methods[d].len()).find(|w| self.fits(d, *w, &used))?));
                let moves: Option<Vec<(usize, usize)>> = takers[i].iter().map(|d| next(*d)).collect();
                if let Some(moves) = moves {
                    let saves = -self.dearer(&picks, &mut count, &moves);
                    if saves > best.as_ref().map_or(0.0, |b| b.0) {
                        best = Some((saves, moves));
                    }
                }
                used[i] = true;
            }
            match best {
                Some((_, moves)) => moves.into_iter().for_each(|(d, w)| picks[d] = w),
                None => break,
            }
        }
        let open = self.used(&picks);
        if self.unring(&open, &mut picks) {
            self.offer(&picks);
        } else if let Some(mut wide) = self.within(&vec![true; self.part.items.len()], &vec![0; self.part.methods.len()])
            && self.best.is_none()
            && self.unring(&vec![true; self.part.items.len()], &mut wide)
        {
            // Better any choice to begin with than none.
            self.offer(&wide);
        }
    }
}
