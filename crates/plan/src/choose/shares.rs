//! The bound: every item's cost is shared out over the dents that could want it, and each dent then takes its cheapest way
//! alone. Whatever the shares are, no choice costs less than the sum; the best shares are found by going uphill.
//!
//! Source: Lagrangian relaxation of the strong formulation of facility location (from memory: Erlenkotter, Operations
//! Research 26 (1978); Held, Wolfe & Crowder, Mathematical Programming 6 (1974), for the step).

use super::EQUAL;
use super::shrink::Part;

/// Whether an item is decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Not decided.
    Free,
    /// Open: paid for.
    Open,
    /// Shut: no way may need it.
    Shut,
}

/// A place in the search.
#[derive(Clone, Debug)]
pub struct Node {
    /// Each item.
    pub status: Vec<Status>,
    /// Which ways of each dent may still be taken.
    pub alive: Vec<Vec<bool>>,
    /// The share of each dent in each of its items (see [`Table::mine`]).
    pub share: Vec<Vec<f64>>,
}

/// What stays the same over the search.
#[derive(Debug)]
pub struct Table {
    /// The items that each dent's ways need.
    pub mine: Vec<Vec<usize>>,
    /// Per dent and way: places in `mine` of what it needs.
    pub local: Vec<Vec<Vec<usize>>>,
    /// Per item: dents that could want it, with the place in their `mine`.
    pub users: Vec<Vec<(usize, usize)>>,
}

/// A bound.
#[derive(Debug)]
pub struct Bound {
    /// No choice at this node costs less.
    pub value: f64,
    /// The way that each dent takes at the best shares.
    pub picks: Vec<usize>,
    /// Per item, how often the dents' picks wanted it lately, 0 to 1.
    pub wanted: Vec<f64>,
}

impl Table {
    /// Reads a part.
    pub fn new(part: &Part) -> Self {
        let mut users = vec![Vec::new(); part.items.len()];
        let (mut mine, mut local) = (Vec::new(), Vec::new());
        for (d, ways) in part.ways.iter().enumerate() {
            let mut all: Vec<usize> = ways.iter().flat_map(|w| w.items.iter().copied()).collect();
            all.sort_unstable();
            all.dedup();
            for (k, item) in all.iter().enumerate() {
                users[*item].push((d, k));
            }
            let place = |item: &usize| all.binary_search(item).unwrap_or(0);
            local.push(ways.iter().map(|w| w.items.iter().map(place).collect()).collect());
            mine.push(all);
        }
        Self { mine, local, users }
    }

    /// The first node: all is free, every item is shared evenly.
    pub fn root(&self, part: &Part) -> Node {
        let share = self.mine.iter().map(|m| m.iter().map(|i| part.items[*i] / self.users[*i].len().max(1) as f64).collect()).collect();
        Node { status: vec![Status::Free; part.items.len()], alive: part.ways.iter().map(|w| vec![true; w.len()]).collect(), share }
    }

    /// Follows up what was decided: ways that need something shut fall away, and what every way left of a dent needs is
    /// opened. False where a dent has no way left.
    pub fn propagate(&self, node: &mut Node) -> bool {
        loop {
            let mut moved = false;
            for (d, mine) in self.mine.iter().enumerate() {
                let mut needed = vec![0_usize; mine.len()];
                let mut left = 0;
                for (w, items) in self.local[d].iter().enumerate() {
                    if !node.alive[d][w] {
                        continue;
                    }
                    if items.iter().any(|k| node.status[mine[*k]] == Status::Shut) {
                        node.alive[d][w] = false;
                        continue;
                    }
                    left += 1;
                    for k in items {
                        needed[*k] += 1;
                    }
                }
                if left == 0 {
                    return false;
                }
                for (k, n) in needed.iter().enumerate() {
                    if *n == left && node.status[mine[k]] == Status::Free {
                        node.status[mine[k]] = Status::Open;
                        moved = true;
                    }
                }
            }
            if !moved {
                return true;
            }
        }
    }

    /// The best bound within so many steps; stops as soon as it reaches `best` (nothing better can be here). The node's
    /// shares are left at their best.
    pub fn bound(&self, part: &Part, node: &mut Node, best: f64, steps: usize) -> Bound {
        let fixed: f64 = part.items.iter().zip(&node.status).filter(|(_, s)| **s == Status::Open).map(|(c, _)| c).sum();
        let active = self.spread(part, node);
        let mut wanted = vec![0.0; part.items.len()];
        let mut picks = vec![0; part.ways.len()];
        let mut now = Bound { value: f64::NEG_INFINITY, picks: picks.clone(), wanted: Vec::new() };
        let mut best_share = node.share.clone();
        let mut pace = 1.0;
        let mut waited = 0;
        for step in 0..steps.max(1) {
            let mut value = fixed;
            for (d, ways) in part.ways.iter().enumerate() {
                let mut least = f64::INFINITY;
                for (w, way) in ways.iter().enumerate() {
                    if node.alive[d][w] {
                        let cost = way.cost + self.local[d][w].iter().map(|k| node.share[d][*k]).sum::<f64>();
                        if cost < least {
                            least = cost;
                            picks[d] = w;
                        }
                    }
                }
                value += least;
            }
            if value > now.value {
                now.value = value;
                now.picks.clone_from(&picks);
                best_share.clone_from(&node.share);
                waited = 0;
            } else {
                waited += 1;
                if waited >= 6 {
                    pace *= 0.6;
                    waited = 0;
                }
            }
            // Uphill: who wants an item pays more of it, who does not pays less.
            let mut norm = 0.0;
            let mut pull: Vec<Option<f64>> = vec![None; part.items.len()];
            for (item, users) in active.iter().enumerate() {
                if node.status[item] != Status::Free || users.is_empty() {
                    continue;
                }
                let k = users.iter().filter(|(d, k)| self.local[*d][picks[*d]].contains(k)).count() as f64;
                let n = users.len() as f64;
                wanted[item] = 0.9 * wanted[item] + 0.1 * if k > 0.0 { k / n } else { 0.0 };
                norm += k * (1.0 - k / n);
                pull[item] = Some(k / n);
            }
            if value >= best - EQUAL * best.abs().max(1.0) || norm <= 0.0 || step + 1 == steps || pace < 1e-4 {
                break;
            }
            // Without a best choice yet, a tenth above the bound serves as the goal.
            let goal = if best.is_finite() { best } else { now.value.abs() * 1.1 + 1.0 };
            let size = pace * (goal - value).max(1e-9) / norm;
            for (item, users) in active.iter().enumerate() {
                let Some(mean) = pull[item] else { continue };
                if mean == 0.0 {
                    continue;
                }
                let mut sum = 0.0;
                for (d, k) in users {
                    let wants = if self.local[*d][picks[*d]].contains(k) { 1.0 } else { 0.0 };
                    let s = (node.share[*d][*k] + size * (wants - mean)).max(0.0);
                    node.share[*d][*k] = s;
                    sum += s;
                }
                let scale = if sum > 0.0 { part.items[item] / sum } else { 0.0 };
                for (d, k) in users {
                    node.share[*d][*k] = if sum > 0.0 { node.share[*d][*k] * scale } else { part.items[item] / users.len() as f64 };
                }
            }
        }
        node.share = best_share;
        now.wanted = wanted;
        now
    }

    /// Strikes out ways that cannot be part of anything cheaper than `best`.
    pub fn strike(&self, part: &Part, node: &mut Node, bound: f64, best: f64) {
        for (d, ways) in part.ways.iter().enumerate() {
            let reduced = |w: usize| ways[w].cost + self.local[d][w].iter().map(|k| node.share[d][*k]).sum::<f64>();
            let least = (0..ways.len()).filter(|w| node.alive[d][*w]).map(reduced).fold(f64::INFINITY, f64::min);
            for w in 0..ways.len() {
                if node.alive[d][w] && bound - least + reduced(w) > best + EQUAL * best.abs().max(1.0) {
                    node.alive[d][w] = false;
                }
            }
        }
    }

    /// Gives each free item's cost to the dents that can still want it, in proportion to their shares so far, and nothing to
    /// anybody for what is open. Returns those dents per item.
    fn spread(&self, part: &Part, node: &mut Node) -> Vec<Vec<(usize, usize)>> {
        let mut active = vec![Vec::new(); part.items.len()];
        for (d, mine) in self.mine.iter().enumerate() {
            let mut live = vec![false; mine.len()];
            for (w, items) in self.local[d].iter().enumerate() {
                if node.alive[d][w] {
                    for k in items {
                        live[*k] = true;
                    }
                }
            }
            for (k, live) in live.iter().enumerate() {
                if *live && node.status[mine[k]] == Status::Free {
                    active[mine[k]].push((d, k));
                } else {
                    node.share[d][k] = 0.0;
                }
            }
        }
        for (item, users) in active.iter().enumerate() {
            let sum: f64 = users.iter().map(|(d, k)| node.share[*d][*k]).sum();
            for (d, k) in users {
                node.share[*d][*k] =
                    if sum > 0.0 { node.share[*d][*k] * part.items[item] / sum } else { part.items[item] / users.len() as f64 };
            }
        }
        active
    }
}
