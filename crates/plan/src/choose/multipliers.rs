//! The bound: every item's cost is shared out over the dents that could want it, and each dent then takes its cheapest method
//! alone. Dents that wait for each other pay a price for waiting ([`super::cycle_cuts`]). Whatever the shares and the prices
//! are, no choice costs less than the sum; the best ones are found by going uphill.
//!
//! Source: Lagrangian relaxation of the strong formulation of facility location (from memory: Erlenkotter, Operations
//! Research 26 (1978); Held, Wolfe & Crowder, Mathematical Programming 6 (1974), for the step).

use super::cycle_cuts::{CycleCut, CycleCuts};
use super::presolve::Part;
use super::problem::EQUAL;
use super::table::{Node, Status, Table};

/// A bound.
#[derive(Debug)]
pub struct Bound {
    /// No choice at this node costs less.
    pub value: f64,
    /// The method that each dent takes at the best shares, counted from its first.
    pub picks: Vec<usize>,
    /// Per item, how often the dents' picks wanted it lately, 0 to 1.
    pub wanted: Vec<f64>,
}

impl Table {
    /// The best bound within so many steps; stops as soon as it reaches the best choice's cost or the `cut` (nothing better
    /// can be here). The node's
    /// shares are left at their best. CycleCuts that the picks run into join the known ones.
    pub fn bound(&self, part: &Part, cuts: &mut CycleCuts, node: &mut Node, (best, cut): (f64, f64), steps: usize) -> Bound {
        let fixed: f64 = part.items.iter().zip(&node.status).filter(|(_, s)| **s == Status::Open).map(|(c, _)| c).sum();
        let least = best.min(cut);
        node.price.resize(cuts.all().len(), 0.0);
        let mut flat = Flat::new(self, part, cuts, node);
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
                if let Some(ring) = cuts.meet(self, part, |d| flat.method(d)) {
                    flat.join(&cuts.all()[ring], ring, 0.0);
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
        node.price.resize(cuts.all().len(), 0.0);
        node.price.fill(0.0);
        for (ring, price) in kept.1 {
            node.price[ring] = price;
        }
        for (d, w) in now.picks.iter_mut().enumerate() {
            *w = flat.methods[flat.dents[d].0 + *w].method - self.first[d];
        }
        now.wanted = wanted;
        now
    }
}

/// A method that may still be taken.
struct LiveMethod {
    method: usize,
    cost: f64,
    /// First and last of its slots.
    slots: (usize, usize),
}

/// A ring that the node's methods can still run into.
struct LiveCut {
    ring: usize,
    price: f64,
    /// Live methods that count, by dent and place among the dent's live methods.
    methods: Vec<(usize, usize)>,
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
    methods: Vec<LiveMethod>,
    /// What the rings add to each live method.
    extra: Vec<f64>,
    /// Slots of the methods, one method after the other.
    slots: Vec<u32>,
    /// First and last way of each dent.
    dents: Vec<(usize, usize)>,
    /// Where a method stands among the live ones; `usize::MAX` where it cannot be taken.
    live: Vec<usize>,
    items: Vec<LiveItem>,
    /// What each slot's dent pays of its item.
    share: Vec<f64>,
    /// The table's slot of each slot here.
    owner: Vec<usize>,
    /// 1 where the pick of the slot's dent wants the item, 0 elsewhere.
    wants: Vec<f64>,
    /// The pick of each dent, counted from its first method here.
    picks: Vec<usize>,
    cuts: Vec<LiveCut>,
}

impl Flat {
    /// Gives each free item's cost to the dents that can still want it, in proportion to their shares so far.
    fn new(table: &Table, part: &Part, cuts: &CycleCuts, node: &Node) -> Self {
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
            methods: Vec::with_capacity(table.cost.len()),
            extra: Vec::new(),
            slots: Vec::with_capacity(2 * table.cost.len()),
            dents: Vec::with_capacity(n),
            live: vec![usize::MAX; table.cost.len()],
            items,
            share,
            owner,
            wants: vec![0.0; count],
            picks: vec![0; n],
            cuts: Vec::new(),
        };
        for d in 0..n {
            let first = f.methods.len();
            for w in (table.first[d]..table.first[d + 1]).filter(|w| node.alive[*w]) {
                let from = f.slots.len();
                f.slots.extend(table.needs[w].iter().map(|s| slot_of[*s]).filter(|s| *s != u32::MAX));
                f.live[w] = f.methods.len();
                f.methods.push(LiveMethod { method: w, cost: table.cost[w], slots: (from, f.slots.len()) });
            }
            f.dents.push((first, f.methods.len()));
        }
        f.extra = vec![0.0; f.methods.len()];
        for i in &f.items {
            level(&mut f.share[i.slots.0..i.slots.1], part.items[i.item]);
        }
        for (i, (ring, price)) in cuts.all().iter().zip(&node.price).enumerate() {
            f.join(ring, i, *price);
        }
        f
    }

    /// A ring from here on; not where one of its dents can no longer wait, so that it cannot close.
    fn join(&mut self, ring: &CycleCut, number: usize, price: f64) {
        let mut methods = Vec::with_capacity(ring.members.len());
        for (d, waiting) in &ring.members {
            let before = methods.len();
            let live = waiting.iter().map(|w| self.live[*w]).filter(|w| *w != usize::MAX);
            methods.extend(live.map(|w| (*d, w - self.dents[*d].0)));
            if methods.len() == before {
                return;
            }
        }
        for (d, w) in &methods {
            self.extra[self.dents[*d].0 + w] += price;
        }
        self.cuts.push(LiveCut { ring: number, price, methods, most: ring.most(), over: 0.0 });
    }

    fn prices(&self) -> Vec<(usize, f64)> {
        self.cuts.iter().filter(|r| r.price > 0.0).map(|r| (r.ring, r.price)).collect()
    }

    /// The table's number of the method that a dent takes.
    fn method(&self, d: usize) -> usize {
        self.methods[self.dents[d].0 + self.picks[d]].method
    }

    /// Every dent takes its cheapest method; returns the sum.
    fn pick(&mut self) -> f64 {
        self.wants.fill(0.0);
        let mut value = 0.0;
        for (d, (first, last)) in self.dents.iter().enumerate() {
            let mut least = f64::INFINITY;
            for (w, (method, extra)) in self.methods[*first..*last].iter().zip(&self.extra[*first..*last]).enumerate() {
                // Methods stand cheapest first, and nobody pays less than nothing for an item or a ring.
                if method.cost >= least {
                    break;
                }
                let mut cost = method.cost + extra;
                for slot in &self.slots[method.slots.0..method.slots.1] {
                    cost += self.share[*slot as usize];
                }
                if cost < least {
                    least = cost;
                    self.picks[d] = w;
                }
            }
            value += least;
            if let Some(method) = self.methods.get(first + self.picks[d]) {
                for slot in &self.slots[method.slots.0..method.slots.1] {
                    self.wants[*slot as usize] = 1.0;
                }
            }
        }
        value - self.cuts.iter().map(|r| r.price * r.most).sum::<f64>()
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
        for r in &mut self.cuts {
            r.over = r.methods.iter().filter(|(d, w)| self.picks[*d] == *w).count() as f64 - r.most;
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
        for r in &mut self.cuts {
            let price = (r.price + size * r.over).max(0.0);
            moved |= price != r.price;
            r.price = price;
        }
        if moved {
            self.extra.fill(0.0);
            for r in self.cuts.iter().filter(|r| r.price > 0.0) {
                for (d, w) in &r.methods {
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
