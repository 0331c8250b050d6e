//! The least that must be opened to part two runs: a minimum cut of the instrument's graph.
//!
//! Runs are nodes; a soldered joint ties two, an overlay (ferrule, brace) ties all the runs that it covers.
//! Two runs come apart when no tie is left between them, even by a roundabout method. Source: max-flow min-cut,
//! Ford & Fulkerson 1956; augmenting by shortest paths, Edmonds & Karp, J. ACM 19 (1972) (from memory).

use std::collections::VecDeque;

/// Ties with their weight: what it costs to open one; infinite where it must not be opened.
#[derive(Clone, Debug, Default)]
pub struct Ties {
    nodes: usize,
    ties: Vec<(Vec<usize>, f64)>,
}

impl Ties {
    /// A graph of so many runs, untied.
    pub fn new(runs: usize) -> Self {
        Self { nodes: runs, ties: Vec::new() }
    }

    /// Adds a tie between two or more runs; returns its number.
    pub fn tie(&mut self, runs: Vec<usize>, weight: f64) -> usize {
        self.ties.push((runs, weight));
        self.ties.len() - 1
    }

    /// The ties that hold a run.
    pub fn holding(&self, run: usize) -> Vec<usize> {
        (0..self.ties.len()).filter(|t| self.ties[*t].0.contains(&run)).collect()
    }

    /// Whether all of these ties may be opened.
    pub fn may_open(&self, ties: &[usize]) -> bool {
        ties.iter().all(|t| self.ties[*t].1.is_finite())
    }

    /// The cheapest set of ties whose opening parts `a` from `b`; none where they cannot be parted.
    pub fn part(&self, a: usize, b: usize) -> Option<Vec<usize>> {
        if a == b {
            return None;
        }
        // Each tie is an arc from its 'in' node to its 'out' node with its weight; runs lead into and out of it freely.
        let n = self.nodes + 2 * self.ties.len();
        let mut arcs: Vec<(usize, f64)> = Vec::new();
        let mut from: Vec<Vec<usize>> = vec![Vec::new(); n];
        let mut arc = |x: usize, y: usize, c: f64| {
            from[x].push(arcs.len());
            arcs.push((y, c));
            from[y].push(arcs.len());
            arcs.push((x, 0.0));
        };
        for (t, (runs, weight)) in self.ties.iter().enumerate() {
            let (enter, leave) = (self.nodes + 2 * t, self.nodes + 2 * t + 1);
            arc(enter, leave, *weight);
            for r in runs {
                arc(*r, enter, f64::INFINITY);
                arc(leave, *r, f64::INFINITY);
            }
        }
        loop {
            let mut came: Vec<Option<usize>> = vec![None; n];
            let mut seen = vec![false; n];
            seen[a] = true;
            let mut queue = VecDeque::from([a]);
            while let Some(x) = queue.pop_front() {
                for &e in &from[x] {
                    let (y, c) = arcs[e];
                    if c > 0.0 && !seen[y] {
                        seen[y] = true;
                        came[y] = Some(e);
                        queue.push_back(y);
                    }
                }
            }
            if !seen[b] {
                return Some((0..self.ties.len()).filter(|t| seen[self.nodes + 2 * t] && !seen[self.nodes + 2 * t + 1]).collect());
            }
            let mut flow = f64::INFINITY;
            let mut at = b;
            while let Some(e) = came[at] {
                flow = flow.min(arcs[e].1);
                at = arcs[e ^ 1].0;
            }
            if flow.is_infinite() {
                return None;
            }
            at = b;
            while let Some(e) = came[at] {
                arcs[e].1 -= flow;
                arcs[e ^ 1].1 += flow;
                at = arcs[e ^ 1].0;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bow_comes_off_by_both_its_ends() {
        // branch 0 – bow 1 – branch 2, a brace between the branches: to part 0 from 1, both bow joints open
        // (2 × 20), not the joint and the brace and … whatever is cheaper.
        let mut t = Ties::new(3);
        let first = t.tie(vec![0, 1], 20.0);
        let second = t.tie(vec![1, 2], 20.0);
        let brace = t.tie(vec![0, 2], 50.0);
        assert_eq!(t.part(0, 1), Some(vec![first, second]));
        assert_eq!(t.holding(2), vec![second, brace]);
    }

    #[test]
    fn a_cheap_brace_goes_before_a_dear_joint() {
        let mut t = Ties::new(3);
        let first = t.tie(vec![0, 1], 20.0);
        t.tie(vec![1, 2], 80.0);
        let brace = t.tie(vec![0, 2], 15.0);
        assert_eq!(t.part(0, 1), Some(vec![first, brace]));
    }

    #[test]
    fn what_must_stay_shut_stays_shut() {
        let mut t = Ties::new(2);
        t.tie(vec![0, 1], f64::INFINITY);
        assert_eq!(t.part(0, 1), None);
    }

    #[test]
    fn a_slide_is_held_by_nothing() {
        assert_eq!(Ties::new(2).part(0, 1), Some(vec![]));
    }

    /// Against brute force over all subsets, on random small graphs.
    #[test]
    fn equals_brute_force() {
        let mut seed = 7u64;
        let mut next = |m: u64| {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) % m
        };
        for _ in 0..300 {
            let n = 5;
            let mut t = Ties::new(n);
            for _ in 0..7 {
                let (x, y) = (next(5) as usize, next(5) as usize);
                let mut runs = vec![x, y, next(5) as usize];
                runs.sort_unstable();
                runs.dedup();
                t.tie(runs, 1.0 + next(9) as f64);
            }
            let weight = |s: &[usize]| s.iter().map(|i| t.ties[*i].1).sum::<f64>();
            let parted = |open: &[usize]| {
                let mut group: Vec<usize> = (0..n).collect();
                for _ in 0..n {
                    for (i, (runs, _)) in t.ties.iter().enumerate() {
                        if !open.contains(&i) {
                            let least = runs.iter().map(|r| group[*r]).min().unwrap_or(0);
                            runs.iter().for_each(|r| group[*r] = least);
                        }
                    }
                }
                group[0] != group[1]
            };
            let best = (0u32..1 << t.ties.len())
                .map(|m| (0..t.ties.len()).filter(|i| m >> i & 1 == 1).collect::<Vec<_>>())
                .filter(|s| parted(s))
                .map(|s| weight(&s))
                .fold(f64::INFINITY, f64::min);
            let cut = t.part(0, 1).expect("finite weights can always be cut");
            assert!(parted(&cut));
            assert!((weight(&cut) - best).abs() < 1e-9);
        }
    }
}
