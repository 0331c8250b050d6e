//! What the best choice can be worth at most, by Lagrange's relaxation: budget and benches are charged for at weights, and
//! then every horn takes what is best for it alone.
//!
//! Any weights that are not negative give a valid bound (closed form: weak duality; Fisher, Management Science 27 (1981), from
//! memory); good ones come from Shor's r-algorithm, subgradient steps in a space that is
//! dilated along the difference of two subgradients (Shor, Minimization Methods for Non-Differentiable Functions, 1985, from memory). A tool that
//! several horns share is charged to each by a share; shares that add up to one at most keep the bound valid.

use super::compiled::Compiled;

/// A tool in a part of the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Made {
    /// Nobody said.
    Open,
    /// It is paid, whoever needs it.
    Paid,
}

/// A part of the search: what may still be chosen.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// Picks that may still be chosen, horn after horn.
    pub alive: Vec<u32>,
    /// By horn: whether it may be left.
    pub skip: Vec<bool>,
    /// By tool.
    pub made: Vec<Made>,
    /// Weights: money, then bench by bench; value a capacity.
    pub weights: Vec<f64>,
    /// Nothing in it is worth more.
    pub bound: f64,
}

/// The figures of the picks as the relaxation reads them, and each tool's shares.
#[derive(Clone, Debug)]
pub(super) struct Relaxed<'c> {
    pub c: &'c Compiled,
    value: Vec<f64>,
    minutes: Vec<f64>,
    cost: Vec<f64>,
    bench: Vec<u32>,
    horn: Vec<u32>,
    /// By pick: tools with their index and the horn's place among the tool's users.
    tools: Vec<Vec<(u32, u32)>>,
    /// By tool, by user: its share.
    share: Vec<Vec<f64>>,
    capacity: Vec<f64>,
}

/// What one look at the relaxation found.
#[derive(Clone, Debug, Default)]
pub(super) struct Look {
    /// The bound; minus infinity where a must has nothing left.
    pub bound: f64,
    /// By horn: the best pick; `NONE` where leaving it is best.
    pub best: Vec<u32>,
    /// By horn: what the best is worth at these weights.
    pub best_score: Vec<f64>,
    /// By capacity: what there is less what is used, as a part of the capacity.
    pub spare: Vec<f64>,
    /// By pick in `alive`: its score.
    pub score: Vec<f64>,
}

/// No pick.
pub(super) const NONE: u32 = u32::MAX;

impl<'c> Relaxed<'c> {
    pub fn of(c: &'c Compiled) -> Self {
        let place = |t: usize, h: usize| c.users[t].iter().position(|u| *u == h).unwrap_or(0) as u32;
        Self {
            value: c.picks.iter().map(|p| p.value as f64).collect(),
            minutes: c.picks.iter().map(|p| p.minutes as f64).collect(),
            cost: c.picks.iter().map(|p| p.cost as f64).collect(),
            bench: c.picks.iter().map(|p| p.bench as u32).collect(),
            horn: c.picks.iter().map(|p| p.horn as u32).collect(),
            tools: c.picks.iter().map(|p| p.tools.iter().map(|t| (*t as u32, place(*t, p.horn))).collect()).collect(),
            share: c.users.iter().map(|u| vec![1.0 / u.len().max(1) as f64; u.len()]).collect(),
            capacity: std::iter::once(c.budget).chain(c.minutes.iter().copied()).map(|x| x.max(1) as f64).collect(),
            c,
        }
    }

    /// The whole problem as a part.
    pub fn whole(&self) -> Part {
        // A start at which each capacity weighs as much as the others.
        let total: f64 = self.c.of.iter().map(|(a, b)| self.value[*a..*b].iter().copied().fold(0.0, f64::max)).sum();
        Part {
            alive: (0..self.c.picks.len() as u32).collect(),
            skip: self.c.must.iter().map(|m| !m).collect(),
            made: vec![Made::Open; self.c.tools.len()],
            weights: vec![0.3 * total / self.capacity.len() as f64; self.capacity.len()],
            bound: total.max(0.0) + 1.0,
        }
    }

    /// Looks at a part with its weights.
    pub fn look(&self, part: &Part, look: &mut Look) {
        let w = &part.weights;
        let horns = self.c.horns();
        look.best.clear();
        look.best.resize(horns, NONE);
        look.best_score.clear();
        look.best_score.extend(part.skip.iter().map(|s| if *s { 0.0 } else { f64::NEG_INFINITY }));
        look.score.clear();
        look.spare.clear();
        look.spare.extend(self.capacity.iter());
        look.spare[0] = self.c.budget as f64;
        self.c.minutes.iter().enumerate().for_each(|(b, m)| look.spare[1 + b] = *m as f64);
        for (t, made) in part.made.iter().enumerate() {
            if *made == Made::Paid {
                look.spare[0] -= self.c.tools[t] as f64;
            }
        }
        let mut bound: f64 = w.iter().zip(&look.spare).zip(&self.capacity).map(|((w, s), k)| w * s / k).sum();
        let money = w[0] / self.capacity[0];
        let per_minute: Vec<f64> = w[1..].iter().zip(&self.capacity[1..]).map(|(w, k)| w / k).collect();
        for k in &part.alive {
            let i = *k as usize;
            let mut cost = self.cost[i];
            for (t, place) in &self.tools[i] {
                if part.made[*t as usize] == Made::Open {
                    cost += self.share[*t as usize][*place as usize] * self.c.tools[*t as usize] as f64;
                }
            }
            let score = self.value[i] - money * cost - per_minute[self.bench[i] as usize] * self.minutes[i];
            look.score.push(score);
            let h = self.horn[i] as usize;
            if score > look.best_score[h] {
                look.best_score[h] = score;
                look.best[h] = *k;
            }
        }
        for h in 0..horns {
            bound += look.best_score[h];
            let best = look.best[h];
            if best == NONE {
                continue;
            }
            let i = best as usize;
            let mut cost = self.cost[i];
            for (t, place) in &self.tools[i] {
                if part.made[*t as usize] == Made::Open {
                    cost += self.share[*t as usize][*place as usize] * self.c.tools[*t as usize] as f64;
                }
            }
            look.spare[0] -= cost;
            look.spare[1 + self.bench[i] as usize] -= self.minutes[i];
        }
        look.spare.iter_mut().zip(&self.capacity).for_each(|(s, k)| *s /= k);
        // What adding up in binary fractions may have lost.
        look.bound = bound + 1e-9 * bound.abs() + 1e-3;
    }

    /// Steps of Shor's r-algorithm; leaves the best weights and bound in the part and the look at them in `look`. `each` is
    /// shown every look. Stops early where the bound falls below `enough`. `stride` is the first step, as a part of the weights.
    pub fn improve(&self, part: &mut Part, look: &mut Look, steps: usize, stride: f64, enough: f64, mut each: impl FnMut(&Look)) {
        let n = part.weights.len();
        let mut at = part.weights.clone();
        self.look(part, look);
        each(look);
        let (mut best, mut kept) = (look.bound, at.clone());
        let mut g = slope(look, &at);
        let mut space: Vec<f64> = (0..n * n).map(|k| if k / n == k % n { 1.0 } else { 0.0 }).collect();
        let mut step = stride * at.iter().copied().fold(1.0, f64::max);
        let mut left = steps;
        while left > 0 && best >= enough && best.is_finite() {
            let turned = times(&space, &g, n, true);
            let norm = turned.iter().map(|x| x * x).sum::<f64>().sqrt();
            if norm < 1e-12 {
                break;
            }
            let way: Vec<f64> = times(&space, &turned, n, false).iter().map(|x| x / norm).collect();
            let mut taken = 0;
            let mut next = g.clone();
            while left > 0 {
                left -= 1;
                taken += 1;
                at.iter_mut().zip(&way).for_each(|(x, d)| *x -= step * d);
                part.weights.iter_mut().zip(&at).for_each(|(w, x)| *w = x.max(0.0));
                self.look(part, look);
                each(look);
                if look.bound < best {
                    best = look.bound;
                    kept.clone_from(&part.weights);
                }
                next = slope(look, &at);
                if next.iter().zip(&way).map(|(g, d)| g * d).sum::<f64>() <= 0.0 || best < enough {
                    break;
                }
                if taken % 3 == 0 {
                    step *= 1.5;
                }
            }
            if taken == 1 {
                step *= 0.8;
            }
            let change: Vec<f64> = next.iter().zip(&g).map(|(a, b)| a - b).collect();
            let mut turned = times(&space, &change, n, true);
            let norm = turned.iter().map(|x| x * x).sum::<f64>().sqrt();
            if norm > 1e-12 {
                turned.iter_mut().for_each(|x| *x /= norm);
                dilate(&mut space, &turned, n);
            }
            g = next;
        }
        part.weights = kept;
        self.look(part, look);
        part.bound = part.bound.min(look.bound);
    }

    /// How much of a tool's price the relaxation has not settled at these weights: what its users pay of it, or leave unpaid,
    /// whichever is less.
    pub fn unsettled(&self, t: usize, part: &Part, look: &Look) -> f64 {
        let uses = |h: usize| look.best[h] != NONE && self.tools[look.best[h] as usize].iter().any(|(u, _)| *u as usize == t);
        let paid: f64 = self.c.users[t].iter().zip(&self.share[t]).filter(|(h, _)| uses(**h)).map(|(_, s)| s).sum();
        part.weights[0] / self.capacity[0] * self.c.tools[t] as f64 * paid.min(1.0 - paid).max(0.0)
    }

    /// Shifts the tools' shares to the horns that would use them, which lowers the bound; returns the weights' best.
    pub fn share_tools(&mut self, part: &mut Part, look: &mut Look, rounds: usize, enough: f64) {
        if self.c.tools.is_empty() {
            return;
        }
        let mut best = part.bound;
        let mut kept = (self.share.clone(), part.weights.clone());
        for round in 0..rounds {
            let step = 0.5 / (1.0 + round as f64 / 4.0);
            self.look(part, look);
            for t in 0..self.c.tools.len() {
                let users = &self.c.users[t];
                let uses = |h: usize| look.best[h] != NONE && self.tools[look.best[h] as usize].iter().any(|(u, _)| *u as usize == t);
                let which: Vec<bool> = users.iter().map(|h| uses(*h)).collect();
                let using = which.iter().filter(|u| **u).count();
                if using == 0 || using == users.len() {
                    continue;
                }
                let share = &mut self.share[t];
                for (s, u) in share.iter_mut().zip(&which) {
                    *s = if *u { *s + step / using as f64 } else { *s * (1.0 - step) };
                }
                let sum: f64 = share.iter().sum();
                share.iter_mut().for_each(|s| *s /= sum * (1.0 + 1e-12));
            }
            part.bound = f64::INFINITY;
            self.improve(part, look, 40, 0.01, enough, |_| {});
            if part.bound < best {
                best = part.bound;
                kept = (self.share.clone(), part.weights.clone());
            }
        }
        (self.share, part.weights) = kept;
        part.bound = best;
        self.look(part, look);
    }
}

/// The slope of the bound at weights; below zero they are pushed back harder than any room pulls.
fn slope(look: &Look, at: &[f64]) -> Vec<f64> {
    look.spare.iter().zip(at).map(|(s, x)| if *x < 0.0 { s.min(0.0) - 1.5 } else { *s }).collect()
}

/// A square matrix, or its transpose, times a vector.
fn times(m: &[f64], x: &[f64], n: usize, transposed: bool) -> Vec<f64> {
    (0..n).map(|i| (0..n).map(|j| if transposed { m[j * n + i] } else { m[i * n + j] } * x[j]).sum()).collect()
}

/// Shrinks the space along a direction to a half.
fn dilate(space: &mut [f64], along: &[f64], n: usize) {
    let turned = times(space, along, n, false);
    for i in 0..n {
        for j in 0..n {
            space[i * n + j] -= 0.5 * turned[i] * along[j];
        }
    }
}
