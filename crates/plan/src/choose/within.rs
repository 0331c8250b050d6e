//! The exact choice within a limit of time.
//!
//! A price on every minute gives a bound for each price (Lagrangian relaxation, from memory: Everett, Operations Research 11 (1963)), and the
//! best price is found exactly: the bound is concave and piecewise linear in it, so that going where the lines of one choice that is
//! too long and of one that fits cross ends at its top. What the price alone cannot decide — a knapsack's gap — is branched on: a dent
//! that the two choices at the top work differently takes the method of the longer one, or any but that.

use super::problem::{EQUAL, Problem, Solution};

/// A choice with the minutes of its parts.
#[derive(Clone, Copy, Debug)]
pub struct Timed<'p> {
    /// The choice.
    pub problem: &'p Problem,
    /// Minutes of each openable.
    pub openable_min: &'p [f64],
    /// Minutes of each method of each dent.
    pub method_min: &'p [Vec<f64>],
}

/// The cheapest choice within a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    /// It.
    pub solution: Solution,
    /// Its minutes.
    pub minutes: f64,
    /// No choice within the limit costs less.
    pub bound: f64,
    /// Problems looked at.
    pub nodes: usize,
}

/// Methods that may not be taken: dent and method.
type Barred = Vec<(usize, usize)>;

/// What is known of a part of the choices.
struct Node {
    bound: f64,
    barred: Barred,
    /// Where to part it.
    at: (usize, usize),
}

/// What the best price says.
enum Priced {
    /// Nothing here fits, or nothing here is better than what is known.
    Done,
    /// The gap between the two choices at the top is to be branched on.
    Open { bound: f64, at: (usize, usize) },
}

impl Timed<'_> {
    /// Minutes of a choice.
    pub fn minutes(&self, s: &Solution) -> f64 {
        let open: f64 = s.opened.iter().map(|o| self.openable_min[*o]).sum();
        open + s.methods.iter().enumerate().filter_map(|(d, w)| w.map(|w| self.method_min[d][w])).sum::<f64>()
    }

    /// The quickest choice, whatever it costs.
    pub fn quickest(&self) -> Option<Solution> {
        self.solve(&vec![], 0.0, 1.0).map(|s| s.0)
    }

    /// The cheapest choice that takes no longer; what is found after so many nodes is returned with its bound. None where nothing fits.
    pub fn within(&self, limit_min: f64, most_nodes: usize) -> Option<Within> {
        let mut best: Option<Solution> = None;
        let mut open: Vec<Node> = Vec::new();
        let mut nodes = 1;
        if let Priced::Open { bound, at } = self.price(&vec![], limit_min, &mut best) {
            open.push(Node { bound, barred: vec![], at });
        }
        while nodes < most_nodes
            && let Some(next) = (0..open.len()).min_by(|a, b| open[*a].bound.total_cmp(&open[*b].bound))
        {
            let node = open.swap_remove(next);
            if beats_nothing(node.bound, &best) {
                // The least bound of all: nothing that is left is better.
                open.clear();
                break;
            }
            let (dent, method) = node.at;
            let only = (0..self.problem.dents[dent].len()).filter(|w| *w != method).map(|w| (dent, w));
            let with = node.barred.iter().copied().chain(only).collect();
            let without = node.barred.iter().copied().chain([(dent, method)]).collect();
            for barred in [with, without] {
                nodes += 1;
                if let Priced::Open { bound, at } = self.price(&barred, limit_min, &mut best) {
                    open.push(Node { bound: bound.max(node.bound), barred, at });
                }
            }
        }
        let solution = best?;
        let bound = open.iter().map(|n| n.bound).fold(solution.cost, f64::min);
        Some(Within { minutes: self.minutes(&solution), solution, bound, nodes })
    }

    /// The best price of a minute for some of the choices; takes note of what fits.
    fn price(&self, barred: &Barred, limit_min: f64, best: &mut Option<Solution>) -> Priced {
        let fits = |s: &Solution| self.minutes(s) <= limit_min + 1e-9;
        let mut note = |s: &Solution| {
            if fits(s) && best.as_ref().is_none_or(|b| s.cost < b.cost) {
                *best = Some(s.clone());
            }
        };
        let Some((free, bound)) = self.solve(barred, 1.0, 0.0) else { return Priced::Done };
        note(&free);
        if fits(&free) {
            return Priced::Done;
        }
        // The quickest, whatever it costs.
        let Some((quick, _)) = self.solve(barred, 0.0, 1.0) else { return Priced::Done };
        if !fits(&quick) {
            return Priced::Done;
        }
        note(&quick);
        let (mut long, mut short, mut top) = (free, quick, bound);
        // Every turn finds a new corner of the hull, of which there are finitely many; rounding ends it too.
        for _ in 0..MOST_CORNERS {
            let saves = self.minutes(&long) - self.minutes(&short);
            let price = (short.cost - long.cost) / saves;
            if !(price.is_finite() && price > 0.0) {
                // The short one costs no more than the long one.
                top = top.max(short.cost.min(long.cost));
                break;
            }
            let Some((s, priced)) = self.solve(barred, 1.0, price) else { break };
            note(&s);
            top = top.max(priced - price * limit_min);
            let line = long.cost + price * self.minutes(&long);
            if s.cost + price * self.minutes(&s) >= line - EQUAL * line.abs().max(1.0) {
                break;
            }
            if fits(&s) {
                short = s;
            } else {
                long = s;
            }
        }
        if beats_nothing(top, best) {
            return Priced::Done;
        }
        let minutes = |d: usize, s: &Solution| s.methods[d].map_or(0.0, |w| self.method_min[d][w]);
        let differ = (0..long.methods.len()).filter(|d| long.methods[*d] != short.methods[*d]);
        let widest = differ
            .max_by(|a, b| (minutes(*a, &long) - minutes(*a, &short)).abs().total_cmp(&(minutes(*b, &long) - minutes(*b, &short)).abs()));
        match widest.and_then(|d| Some((d, long.methods[d]?))) {
            Some(at) => Priced::Open { bound: top, at },
            // They open the same for the same methods: one cannot be longer.
            None => Priced::Done,
        }
    }

    /// The cheapest where a unit of cost counts so much and a minute so much, with its own cost, and a bound on the sum.
    fn solve(&self, barred: &Barred, cost: f64, minute: f64) -> Option<(Solution, f64)> {
        let mut p = self.problem.clone();
        let weigh = |c: f64, m: f64| if c.is_finite() { cost * c + minute * m } else { c };
        for (o, m) in p.openables.iter_mut().zip(self.openable_min) {
            o.cost = weigh(o.cost, *m);
        }
        for (methods, minutes) in p.dents.iter_mut().zip(self.method_min) {
            for (w, m) in methods.iter_mut().zip(minutes) {
                w.cost = weigh(w.cost, *m);
            }
        }
        for (d, w) in barred {
            p.dents[*d][*w].cost = f64::INFINITY;
        }
        let mut s = p.solve()?;
        let bound = s.bound;
        s.cost = self.problem.cost(&s.methods, &s.opened);
        s.bound = s.cost;
        s.cost.is_finite().then_some((s, bound))
    }
}

/// Whether no choice of this bound costs less than the best that is known.
fn beats_nothing(bound: f64, best: &Option<Solution>) -> bool {
    best.as_ref().is_some_and(|b| bound >= b.cost - EQUAL * b.cost.abs().max(1.0))
}

/// Corners of the hull that are looked at for one price.
const MOST_CORNERS: usize = 60;
