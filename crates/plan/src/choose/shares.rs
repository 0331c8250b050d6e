//! The bound: every item's cost is shared out over the dents that could want it, and each dent then takes its cheapest way
//! alone. Dents that wait for each other pay a price for waiting ([`super::rings`]). Whatever the shares and the prices
//! are, no choice costs less than the sum; the best ones are found by going uphill.
//!
//! Source: Lagrangian relaxation of the strong formulation of facility location (from memory: Erlenkotter, Operations
//! Research 26 (1978); Held, Wolfe & Crowder, Mathematical Programming 6 (1974), for the step).

use super::EQUAL;
use super::rings::{Ring, Rings};
use super::shrink::Part;
use super::waits::Waits;

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
    /// Which ways may still be taken, dent after dent (see [`Table::first`]).
    pub alive: Vec<bool>,
    /// What each slot's dent pays of its item (see [`Table`]).
    share: Vec<f64>,
    /// The price of each ring known so far.
    price: Vec<f64>,
}

impl Node {
    /// No ring has a price.
    pub fn forget_rings(&mut self) {
        self.price.clear();
    }
}

/// What stays the same over the search. A slot is a dent with an item that one of its ways needs.
#[derive(Debug)]
pub struct Table {
    /// The first way of each dent when all are numbered through, and one past the last.
    pub first: Vec<usize>,
    /// Cost of each way alone.
    cost: Vec<f64>,
    /// Slots that each way needs.
    needs: Vec<Vec<usize>>,
    /// The first slot of each dent, and one past the last.
    slots: Vec<usize>,
    /// The item of each slot.
    item: Vec<usize>,
    waits: Waits,
}

/// A bound.
#[derive(Debug)]
pub struct Bound {
    /// No choice at this node costs less.
    pub value: f64,
    /// The way that each dent takes at the best shares, counted from its first.
    pub picks: Vec<usize>,
    /// Per item, how often the dents' picks wanted it lately, 0 to 1.
    pub wanted: Vec<f64>,
}

impl Table {
    /// Reads a part.
    pub fn new(part: &Part) -> Self {
        let (mut first, mut cost, mut needs, mut slots, mut item) = (vec![0], vec![], vec![], vec![0], vec![]);
        for ways in &part.ways {
            let mut mine: Vec<usize> = ways.iter().flat_map(|w| w.items.iter().copied()).collect();
            mine.sort_unstable();
            mine.dedup();
            let slot = |i: &usize| item.len() + mine.binary_search(i).unwrap_or(0);
            for w in ways {
                cost.push(w.cost);
                needs.push(w.items.iter().map(slot).collect());
            }
            item.extend(mine);
            first.push(cost.len());
            slots.push(item.len());
        }
        Self { first, cost, needs, slots, item, waits: Waits::new(part) }
    }

    /// How many dents there are.
    pub fn dents(&self) -> usize {
        self.first.len() - 1
    }

    /// The first node: all is free, nobody pays yet (the climb shares evenly first).
    pub fn root(&self, part: &Part) -> Node {
        Node {
            status: vec![Status::Free; part.items.len()],
            alive: vec![true; self.cost.len()],
            share: vec![0.0; self.item.len()],
            price: vec![],
        }
    }

    /// Follows up what was decided: ways that need something shut, or wait in a ring in any case, fall away, and what every
    /// way left of a dent needs is opened. False where a dent has no way left.
    pub fn propagate(&self, node: &mut Node) -> bool {
        loop {
            if !self.propagate_items(node) {
                return false;
            }
            if !self.waits.propagate(&self.first, &mut node.alive) {
                return true;
            }
        }
    }

    fn propagate_items(&self, node: &mut Node) -> bool {
        let mut needed: Vec<usize> = vec![0; self.item.len()];
        loop {
            let mut moved = false;
            needed.fill(0);
            for d in 0..self.dents() {
                let mut left = 0;
                for w in self.first[d]..self.first[d + 1] {
                    if !node.alive[w] {
                        continue;
                    }
                    if self.needs[w].iter().any(|s| node.status[self.item[*s]] == Status::Shut) {
                        node.alive[w] = false;
                        continue;
                    }
                    left += 1;
                    for s in &self.needs[w] {
                        needed[*s] += 1;
                    }
                }
                if left == 0 {
                    return false;
                }
                let mine = self.slots[d]..self.slots[d + 1];
                for (item, needed) in self.item[mine.clone()].iter().zip(&needed[mine]) {
                    if *needed == left && node.status[*item] == Status::Free {
                        node.status[*item] = Status::Open;
                        moved = true;
                    }
                }
            }
            if !moved {
                return true;
            }
        }
    }

    /// The best bound within so many steps; stops as soon as it reaches the best choice's cost or the `cut` (nothing better
    /// can be here). The node's
    /// shares are left at their best. Rings that the picks run into join the known ones.
    pub fn bound(&self, part: &Part, rings: &mut Rings, node: &mut Node, (best, cut): (f64, f64), steps: usize) -> Bound {
        let fixed: f64 = part.items.iter().zip(&node.status).filter(|(_, s)| **s == Status::Open).map(|(c, _)| c).sum();
        let least = best.min(cut);
        node.price.resize(rings.all().len(), 0.0);
        let mut flat = Flat::new(self, part, rings, node);
        let mut wanted = vec![0.0; part.items.len()];
        let mut now = Bound { value: f64::NEG_INFINITY, picks: Vec::new(), wanted: Vec::new() };
        let mut kept = (flat.share.clone(), flat.prices());
        let mut pace = 1.0;
        let mut waited = 0;
        for step in 0..steps.max(1) {
            let value = fixed + flat.pick();
            if value > now.value {
                now.value = value;
                now.picks.clone_from(&flat.picks);
                kept.0.clone_from(&flat.share);
                kept.1 = flat.prices();
                waited = 0;
                if let Some(ring) = rings.meet(self, part, |d| flat.way(d)) {
                    flat.join(&rings.all()[ring], ring, 0.0);
                }
            } else {
                waited += 1;
                if waited >= 5 {
                    pace *= 0.6;
                    waited = 0;
                }
            }
            let norm = flat.pull(&mut wanted);
            if value >= least - EQUAL * least.abs().max(1.0) || norm <= 0.0 || step + 1 == steps || pace < 1e-3 {
                break;
            }
            // Without a best choice yet, a tenth above the bound serves as the goal.
            let goal = if best.is_finite() { least } else { least.min(now.value.abs() * 1.1 + 1.0) };
            flat.climb(pace * (goal - value).max(1e-9) / norm, &part.items);
        }
        flat.share = kept.0;
        flat.put_back(node);
        node.price.resize(rings.all().len(), 0.0);
        node.price.fill(0.0);
        for (ring, price) in kept.1 {
            node.price[ring] = price;
        }
        for (d, w) in now.picks.iter_mut().enumerate() {
            *w = flat.ways[flat.dents[d].0 + *w].way - self.first[d];
        }
        now.wanted = wanted;
        now
    }

    /// Cost of each way at a node's shares and prices; infinite where it cannot be taken.
    fn reduced(&self, rings: &Rings, node: &Node) -> Vec<f64> {
        let mut cost: Vec<f64> = (0..self.cost.len())
            .map(|w| if node.alive[w] { self.cost[w] + self.needs[w].iter().map(|s| node.share[*s]).sum::<f64>() } else { f64::INFINITY })
            .collect();
        for (ring, price) in rings.all().iter().zip(&node.price).filter(|(_, p)| **p > 0.0) {
            for w in ring.ways() {
                cost[w] += price;
            }
        }
        cost
    }

    /// Strikes out what cannot be part of anything cheaper than `best`: ways that are too dear at these shares, items that
    /// would make it too dear when open; opens items without which it would be too dear.
    pub fn strike(&self, part: &Part, rings: &Rings, node: &mut Node, bound: f64, best: f64) {
        let room = best + EQUAL * best.abs().max(1.0) - bound;
        let cost = self.reduced(rings, node);
        let (mut shut, mut open) = (vec![0.0; part.items.len()], part.items.clone());
        // Per slot: the cheapest way with its item, were the item free, and the cheapest without.
        let (mut with, mut without) = (vec![f64::INFINITY; self.item.len()], vec![f64::INFINITY; self.item.len()]);
        let mut order: Vec<usize> = Vec::new();
        let mut sought: Vec<usize> = Vec::new();
        for d in 0..self.dents() {
            let mine = self.first[d]..self.first[d + 1];
            let least = cost[mine.clone()].iter().copied().fold(f64::INFINITY, f64::min);
            for w in mine.clone() {
                if cost[w] - least > room {
                    node.alive[w] = false;
                }
            }
            order.clear();
            order.extend(mine.filter(|w| cost[*w].is_finite()));
            order.sort_unstable_by(|a, b| cost[*a].total_cmp(&cost[*b]));
            // The cheapest way without an item is the first that lacks it; few ways have to be looked at for that.
            sought.clear();
            sought.extend(self.slots[d]..self.slots[d + 1]);
            for w in &order {
                for s in &self.needs[*w] {
                    with[*s] = with[*s].min(cost[*w] - node.share[*s]);
                }
                sought.retain(|s| {
                    let has = self.needs[*w].contains(s);
                    if !has {
                        without[*s] = cost[*w];
                    }
                    has
                });
            }
            for s in self.slots[d]..self.slots[d + 1] {
                let item = self.item[s];
                if node.status[item] == Status::Free {
                    shut[item] += without[s] - least;
                    open[item] += with[s].min(without[s]) - least;
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

/// A ring that the node's ways can still run into.
struct LiveRing {
    ring: usize,
    price: f64,
    /// Live ways that count, by dent and place among the dent's live ways.
    ways: Vec<(usize, usize)>,
    most: f64,
    /// By how much the picks pass what is allowed.
    over: f64,
}

/// An item that is free and wanted by somebody.
struct LiveItem {
    item: usize,
    /// First and last of its slots.
    slots: (usize, usize),
    /// The part of those who could want it that do.
    mean: f64,
}

/// What the climb needs of a node, laid flat: one slot for each dent and free item that it can still want, item after item.
struct Flat {
    ways: Vec<LiveWay>,
    /// What the rings add to each live way.
    extra: Vec<f64>,
    /// Slots of the ways, one way after the other.
    slots: Vec<u32>,
    /// First and last way of each dent.
    dents: Vec<(usize, usize)>,
    /// Where a way stands among the live ones; `usize::MAX` where it cannot be taken.
    live: Vec<usize>,
    items: Vec<LiveItem>,
    /// What each slot's dent pays of its item.
    share: Vec<f64>,
    /// The table's slot of each slot here.
    owner: Vec<usize>,
    /// 1 where the pick of the slot's dent wants the item, 0 elsewhere.
    wants: Vec<f64>,
    /// The pick of each dent, counted from its first way here.
    picks: Vec<usize>,
    rings: Vec<LiveRing>,
}

impl Flat {
    /// Gives each free item's cost to the dents that can still want it, in proportion to their shares so far.
    fn new(table: &Table, part: &Part, rings: &Rings, node: &Node) -> Self {
        let n = table.dents();
        let mut used = vec![false; table.item.len()];
        for needs in (0..table.cost.len()).filter(|w| node.alive[*w]).map(|w| &table.needs[w]) {
            needs.iter().for_each(|s| used[*s] = true);
        }
        // Slots are numbered item after item: where each item's begin, then where its next one goes.
        let mut next = vec![0; part.items.len() + 1];
        for (item, _) in table.item.iter().zip(&used).filter(|(i, u)| **u && node.status[**i] == Status::Free) {
            next[item + 1] += 1;
        }
        for i in 0..part.items.len() {
            next[i + 1] += next[i];
        }
        let count = next[part.items.len()];
        let items = (0..part.items.len()).filter(|i| next[*i] < next[i + 1]);
        let items: Vec<LiveItem> = items.map(|item| LiveItem { item, slots: (next[item], next[item + 1]), mean: 0.0 }).collect();
        let (mut share, mut owner) = (vec![0.0; count], vec![0; count]);
        let mut slot_of = vec![u32::MAX; table.item.len()];
        for (s, item) in table.item.iter().enumerate().filter(|(s, i)| used[*s] && node.status[**i] == Status::Free) {
            let slot = next[*item];
            next[*item] += 1;
            slot_of[s] = slot as u32;
            (share[slot], owner[slot]) = (node.share[s], s);
        }
        let mut f = Self {
            ways: Vec::with_capacity(table.cost.len()),
            extra: Vec::new(),
            slots: Vec::with_capacity(2 * table.cost.len()),
            dents: Vec::with_capacity(n),
            live: vec![usize::MAX; table.cost.len()],
            items,
            share,
            owner,
            wants: vec![0.0; count],
            picks: vec![0; n],
            rings: Vec::new(),
        };
        for d in 0..n {
            let first = f.ways.len();
            for w in (table.first[d]..table.first[d + 1]).filter(|w| node.alive[*w]) {
                let from = f.slots.len();
                f.slots.extend(table.needs[w].iter().map(|s| slot_of[*s]).filter(|s| *s != u32::MAX));
                f.live[w] = f.ways.len();
                f.ways.push(LiveWay { way: w, cost: table.cost[w], slots: (from, f.slots.len()) });
            }
            f.dents.push((first, f.ways.len()));
        }
        f.extra = vec![0.0; f.ways.len()];
        for i in &f.items {
            level(&mut f.share[i.slots.0..i.slots.1], part.items[i.item]);
        }
        for (i, (ring, price)) in rings.all().iter().zip(&node.price).enumerate() {
            f.join(ring, i, *price);
        }
        f
    }

    /// A ring from here on; not where one of its dents can no longer wait, so that it cannot close.
    fn join(&mut self, ring: &Ring, number: usize, price: f64) {
        let mut ways = Vec::with_capacity(ring.members.len());
        for (d, waiting) in &ring.members {
            let before = ways.len();
            let live = waiting.iter().map(|w| self.live[*w]).filter(|w| *w != usize::MAX);
            ways.extend(live.map(|w| (*d, w - self.dents[*d].0)));
            if ways.len() == before {
                return;
            }
        }
        for (d, w) in &ways {
            self.extra[self.dents[*d].0 + w] += price;
        }
        self.rings.push(LiveRing { ring: number, price, ways, most: ring.most(), over: 0.0 });
    }

    fn prices(&self) -> Vec<(usize, f64)> {
        self.rings.iter().filter(|r| r.price > 0.0).map(|r| (r.ring, r.price)).collect()
    }

    /// The table's number of the way that a dent takes.
    fn way(&self, d: usize) -> usize {
        self.ways[self.dents[d].0 + self.picks[d]].way
    }

    /// Every dent takes its cheapest way; returns the sum.
    fn pick(&mut self) -> f64 {
        self.wants.fill(0.0);
        let mut value = 0.0;
        for (d, (first, last)) in self.dents.iter().enumerate() {
            let mut least = f64::INFINITY;
            for (w, (way, extra)) in self.ways[*first..*last].iter().zip(&self.extra[*first..*last]).enumerate() {
                // Ways stand cheapest first, and nobody pays less than nothing for an item or a ring.
                if way.cost >= least {
                    break;
                }
                let mut cost = way.cost + extra;
                for slot in &self.slots[way.slots.0..way.slots.1] {
                    cost += self.share[*slot as usize];
                }
                if cost < least {
                    least = cost;
                    self.picks[d] = w;
                }
            }
            value += least;
            if let Some(way) = self.ways.get(first + self.picks[d]) {
                for slot in &self.slots[way.slots.0..way.slots.1] {
                    self.wants[*slot as usize] = 1.0;
                }
            }
        }
        value - self.rings.iter().map(|r| r.price * r.most).sum::<f64>()
    }

    /// Who wants what, and which rings close: the square of the slope, and a running mean of how much each item is wanted.
    fn pull(&mut self, wanted: &mut [f64]) -> f64 {
        let mut norm = 0.0;
        for i in &mut self.items {
            let k: f64 = self.wants[i.slots.0..i.slots.1].iter().sum();
            i.mean = k / (i.slots.1 - i.slots.0) as f64;
            wanted[i.item] = 0.9 * wanted[i.item] + 0.1 * i.mean;
            norm += k * (1.0 - i.mean);
        }
        for r in &mut self.rings {
            r.over = r.ways.iter().filter(|(d, w)| self.picks[*d] == *w).count() as f64 - r.most;
            if r.over > 0.0 || r.price > 0.0 {
                norm += r.over * r.over;
            }
        }
        norm
    }

    /// Uphill: who wants an item pays more of it, who does not pays less; a ring that closes gets dearer, one that does not
    /// cheaper.
    fn climb(&mut self, size: f64, costs: &[f64]) {
        for i in self.items.iter().filter(|i| i.mean != 0.0 && i.mean != 1.0) {
            let share = &mut self.share[i.slots.0..i.slots.1];
            for (s, wants) in share.iter_mut().zip(&self.wants[i.slots.0..i.slots.1]) {
                *s = (*s + size * (wants - i.mean)).max(0.0);
            }
            level(share, costs[i.item]);
        }
        let mut moved = false;
        for r in &mut self.rings {
            let price = (r.price + size * r.over).max(0.0);
            moved |= price != r.price;
            r.price = price;
        }
        if moved {
            self.extra.fill(0.0);
            for r in self.rings.iter().filter(|r| r.price > 0.0) {
                for (d, w) in &r.ways {
                    self.extra[self.dents[*d].0 + w] += r.price;
                }
            }
        }
    }

    fn put_back(&self, node: &mut Node) {
        node.share.fill(0.0);
        for (share, slot) in self.share.iter().zip(&self.owner) {
            node.share[*slot] = *share;
        }
    }
}

/// Brings the shares of an item to its cost, in proportion; evenly where nobody pays yet.
fn level(share: &mut [f64], cost: f64) {
    let sum: f64 = share.iter().sum();
    if sum > 0.0 {
        let scale = cost / sum;
        share.iter_mut().for_each(|s| *s *= scale);
    } else {
        share.fill(cost / share.len() as f64);
    }
}
