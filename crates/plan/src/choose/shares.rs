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
        let (mut mine, mut local) = (Vec::new(), Vec::new());
        for ways in &part.ways {
            let mut all: Vec<usize> = ways.iter().flat_map(|w| w.items.iter().copied()).collect();
            all.sort_unstable();
            all.dedup();
            let place = |item: &usize| all.binary_search(item).unwrap_or(0);
            local.push(ways.iter().map(|w| w.items.iter().map(place).collect()).collect());
            mine.push(all);
        }
        Self { mine, local }
    }

    /// The first node: all is free, nobody pays yet (the climb shares evenly first).
    pub fn root(&self, part: &Part) -> Node {
        let share = self.mine.iter().map(|m| vec![0.0; m.len()]).collect();
        Node { status: vec![Status::Free; part.items.len()], alive: part.ways.iter().map(|w| vec![true; w.len()]).collect(), share }
    }

    /// Follows up what was decided: ways that need something shut fall away, and what every way left of a dent needs is
    /// opened. False where a dent has no way left.
    pub fn propagate(&self, node: &mut Node) -> bool {
        let mut needed: Vec<usize> = Vec::new();
        loop {
            let mut moved = false;
            for (d, mine) in self.mine.iter().enumerate() {
                needed.clear();
                needed.resize(mine.len(), 0);
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
        let mut flat = Flat::new(self, part, node);
        let mut wanted = vec![0.0; part.items.len()];
        let mut now = Bound { value: f64::NEG_INFINITY, picks: Vec::new(), wanted: Vec::new() };
        let mut best_share = flat.share.clone();
        let mut pace = 1.0;
        let mut waited = 0;
        for step in 0..steps.max(1) {
            let value = fixed + flat.pick();
            if value > now.value {
                now.value = value;
                now.picks.clone_from(&flat.picks);
                best_share.clone_from(&flat.share);
                waited = 0;
            } else {
                waited += 1;
                if waited >= 5 {
                    pace *= 0.6;
                    waited = 0;
                }
            }
            let norm = flat.pull(&mut wanted);
            if value >= best - EQUAL * best.abs().max(1.0) || norm <= 0.0 || step + 1 == steps || pace < 1e-3 {
                break;
            }
            // Without a best choice yet, a tenth above the bound serves as the goal.
            let goal = if best.is_finite() { best } else { now.value.abs() * 1.1 + 1.0 };
            flat.climb(pace * (goal - value).max(1e-9) / norm, &part.items);
        }
        flat.share = best_share;
        flat.put_back(node);
        now.picks = now.picks.iter().enumerate().map(|(d, w)| flat.ways[flat.dents[d].0 + w].way).collect();
        now.wanted = wanted;
        now
    }

    /// Strikes out what cannot be part of anything cheaper than `best`: ways that are too dear at these shares, items that
    /// would make it too dear when open; opens items without which it would be too dear.
    pub fn strike(&self, part: &Part, node: &mut Node, bound: f64, best: f64) {
        let room = best + EQUAL * best.abs().max(1.0) - bound;
        // Cost of each way at the shares, and of each dent's cheapest.
        let mut reduced: Vec<Vec<f64>> = Vec::with_capacity(part.ways.len());
        let mut least: Vec<f64> = Vec::with_capacity(part.ways.len());
        for (d, ways) in part.ways.iter().enumerate() {
            let costs: Vec<f64> = ways
                .iter()
                .enumerate()
                .map(|(w, way)| {
                    if node.alive[d][w] {
                        way.cost + self.local[d][w].iter().map(|k| node.share[d][*k]).sum::<f64>()
                    } else {
                        f64::INFINITY
                    }
                })
                .collect();
            let lowest = costs.iter().copied().fold(f64::INFINITY, f64::min);
            for (w, cost) in costs.iter().enumerate() {
                if cost - lowest > room {
                    node.alive[d][w] = false;
                }
            }
            reduced.push(costs);
            least.push(lowest);
        }
        let (mut shut, mut open) = (vec![0.0; part.items.len()], part.items.clone());
        for (d, mine) in self.mine.iter().enumerate() {
            let mut free = vec![f64::INFINITY; mine.len()];
            let mut order: Vec<usize> = (0..reduced[d].len()).filter(|w| reduced[d][*w].is_finite()).collect();
            order.sort_unstable_by(|a, b| reduced[d][*a].total_cmp(&reduced[d][*b]));
            // The cheapest way without an item is the first that lacks it; few ways have to be looked at for that.
            let mut without = vec![f64::INFINITY; mine.len()];
            let mut sought: Vec<usize> = (0..mine.len()).collect();
            for w in order {
                let (cost, local) = (reduced[d][w], &self.local[d][w]);
                for k in local {
                    free[*k] = free[*k].min(cost - node.share[d][*k]);
                }
                sought.retain(|k| {
                    let has = local.contains(k);
                    if !has {
                        without[*k] = cost;
                    }
                    has
                });
            }
            for (k, item) in mine.iter().enumerate() {
                if node.status[*item] == Status::Free {
                    shut[*item] += without[k] - least[d];
                    open[*item] += free[k].min(without[k]) - least[d];
                }
            }
        }
        for (item, status) in node.status.iter_mut().enumerate() {
            if *status == Status::Free {
                if open[item] > room {
                    *status = Status::Shut;
                } else if shut[item] > room {
                    *status = Status::Open;
                }
            }
        }
    }
}

/// A way that may still be taken.
struct LiveWay {
    way: usize,
    cost: f64,
    /// First and last of its slots.
    slots: (usize, usize),
}

/// What the climb needs of a node, laid flat: one slot for each dent and free item that it can still want.
struct Flat {
    ways: Vec<LiveWay>,
    /// Slots of the ways, one way after the other.
    slots: Vec<usize>,
    /// First and last way of each dent.
    dents: Vec<(usize, usize)>,
    /// Per item that is free and wanted by somebody: its number and its slots.
    items: Vec<(usize, Vec<usize>)>,
    /// What each dent pays of each item.
    share: Vec<f64>,
    /// Dent and place among its items of each slot.
    owner: Vec<(usize, usize)>,
    /// Whether the pick of the slot's dent wants the item.
    wants: Vec<bool>,
    /// The pick of each dent, counted from its first way here.
    picks: Vec<usize>,
    /// Per item: the part of those who could want it that do.
    mean: Vec<f64>,
}

impl Flat {
    /// Gives each free item's cost to the dents that can still want it, in proportion to their shares so far.
    fn new(table: &Table, part: &Part, node: &Node) -> Self {
        let mut f = Self {
            ways: Vec::new(),
            slots: Vec::new(),
            dents: Vec::with_capacity(part.ways.len()),
            items: Vec::new(),
            share: Vec::new(),
            owner: Vec::new(),
            wants: Vec::new(),
            picks: vec![0; part.ways.len()],
            mean: Vec::new(),
        };
        let mut of_item: Vec<Vec<usize>> = vec![Vec::new(); part.items.len()];
        for (d, mine) in table.mine.iter().enumerate() {
            let mut slot_of = vec![usize::MAX; mine.len()];
            let first = f.ways.len();
            for (w, items) in table.local[d].iter().enumerate() {
                if !node.alive[d][w] {
                    continue;
                }
                let from = f.slots.len();
                for k in items {
                    if node.status[mine[*k]] != Status::Free {
                        continue;
                    }
                    if slot_of[*k] == usize::MAX {
                        slot_of[*k] = f.share.len();
                        of_item[mine[*k]].push(f.share.len());
                        f.share.push(node.share[d][*k]);
                        f.owner.push((d, *k));
                    }
                    f.slots.push(slot_of[*k]);
                }
                f.ways.push(LiveWay { way: w, cost: part.ways[d][w].cost, slots: (from, f.slots.len()) });
            }
            f.dents.push((first, f.ways.len()));
        }
        f.wants = vec![false; f.share.len()];
        f.items = of_item.into_iter().enumerate().filter(|(_, slots)| !slots.is_empty()).collect();
        f.mean = vec![0.0; f.items.len()];
        for (item, slots) in &f.items {
            level(&mut f.share, slots, part.items[*item]);
        }
        f
    }

    /// Every dent takes its cheapest way; returns the sum.
    fn pick(&mut self) -> f64 {
        self.wants.fill(false);
        let mut value = 0.0;
        for (d, (first, last)) in self.dents.iter().enumerate() {
            let mut least = f64::INFINITY;
            for (w, way) in self.ways[*first..*last].iter().enumerate() {
                let mut cost = way.cost;
                // Ways stand cheapest first, and nobody pays less than nothing for an item.
                if cost >= least {
                    break;
                }
                for slot in &self.slots[way.slots.0..way.slots.1] {
                    cost += self.share[*slot];
                }
                if cost < least {
                    least = cost;
                    self.picks[d] = w;
                }
            }
            value += least;
            if let Some(way) = self.ways.get(first + self.picks[d]) {
                for slot in &self.slots[way.slots.0..way.slots.1] {
                    self.wants[*slot] = true;
                }
            }
        }
        value
    }

    /// Who wants what: the square of the slope, and a running mean of how much each item is wanted.
    fn pull(&mut self, wanted: &mut [f64]) -> f64 {
        let mut norm = 0.0;
        for ((item, slots), mean) in self.items.iter().zip(&mut self.mean) {
            let k = slots.iter().filter(|s| self.wants[**s]).count() as f64;
            *mean = k / slots.len() as f64;
            wanted[*item] = 0.9 * wanted[*item] + 0.1 * *mean;
            norm += k * (1.0 - *mean);
        }
        norm
    }

    /// Uphill: who wants an item pays more of it, who does not pays less.
    fn climb(&mut self, size: f64, costs: &[f64]) {
        for ((item, slots), mean) in self.items.iter().zip(&self.mean) {
            if *mean == 0.0 || *mean == 1.0 {
                continue;
            }
            for s in slots {
                let wants = if self.wants[*s] { 1.0 } else { 0.0 };
                self.share[*s] = (self.share[*s] + size * (wants - mean)).max(0.0);
            }
            level(&mut self.share, slots, costs[*item]);
        }
    }

    fn put_back(&self, node: &mut Node) {
        for share in &mut node.share {
            share.fill(0.0);
        }
        for (share, (d, k)) in self.share.iter().zip(&self.owner) {
            node.share[*d][*k] = *share;
        }
    }
}

/// Brings the shares of an item to its cost, in proportion; evenly where nobody pays yet.
fn level(share: &mut [f64], slots: &[usize], cost: f64) {
    let sum: f64 = slots.iter().map(|s| share[*s]).sum();
    let scale = if sum > 0.0 { cost / sum } else { 0.0 };
    for s in slots {
        share[*s] = if sum > 0.0 { share[*s] * scale } else { cost / slots.len() as f64 };
    }
}
