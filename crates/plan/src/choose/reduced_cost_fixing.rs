//! Strikes out what no better choice can hold, by its reduced cost.
//!
//! Source: reduced-cost fixing (from memory: Nemhauser & Wolsey, Integer and Combinatorial Optimization, 1988).

use super::cycle_cuts::CycleCuts;
use super::presolve::Part;
use super::problem::EQUAL;
use super::table::{Node, Status, Table};

impl Table {
    /// Cost of each method at a node's shares and prices; infinite where it cannot be taken.
    fn reduced(&self, cuts: &CycleCuts, node: &Node) -> Vec<f64> {
        let mut cost: Vec<f64> = (0..self.cost.len())
            .map(|w| if node.alive[w] { self.cost[w] + self.needs[w].iter().map(|s| node.share[*s]).sum::<f64>() } else { f64::INFINITY })
            .collect();
        for (ring, price) in cuts.all().iter().zip(&node.price).filter(|(_, p)| **p > 0.0) {
            for w in ring.methods() {
                cost[w] += price;
            }
        }
        cost
    }

    /// Strikes out what cannot be part of anything cheaper than `best`: methods that are too dear at these shares, items that
    /// would make it too dear when open; opens items without which it would be too dear.
    pub fn fix(&self, part: &Part, cuts: &CycleCuts, node: &mut Node, bound: f64, best: f64) {
        let gap = best + EQUAL * best.abs().max(1.0) - bound;
        let cost = self.reduced(cuts, node);
        let (mut shut, mut open) = (vec![0.0; part.items.len()], part.items.clone());
        // Per slot: the cheapest method with its item, were the item free, and the cheapest without.
        let (mut with, mut without) = (vec![f64::INFINITY; self.item.len()], vec![f64::INFINITY; self.item.len()]);
        let mut order: Vec<usize> = Vec::new();
        let mut sought: Vec<usize> = Vec::new();
        for d in 0..self.dents() {
            let mine = self.first[d]..self.first[d + 1];
            let least = cost[mine.clone()].iter().copied().fold(f64::INFINITY, f64::min);
            for w in mine.clone() {
                if cost[w] - least > gap {
                    node.alive[w] = false;
                }
            }
            order.clear();
            order.extend(mine.filter(|w| cost[*w].is_finite()));
            order.sort_unstable_by(|a, b| cost[*a].total_cmp(&cost[*b]));
            // The cheapest method without an item is the first that lacks it; few methods have to be looked at for that.
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
                if open[item] > gap {
                    *status = Status::Shut;
                } else if shut[item] > gap {
                    *status = Status::Open;
                }
            }
        }
    }
}
