//! Solves the bare problem: a greedy start, changes that make it better, and branch and bound until nothing better can be or
//! the caller says stop. It knows no clock: the same problem with the same limit of nodes gives the same answer on every
//! machine, however many cores it has.

mod compiled;
mod dual;
mod local;
mod mix;
mod pack;
mod tree;

use crate::bare::{Answer, Problem};
use compiled::{Chosen, Compiled, PARTS};
use dual::{Look, Part, Relaxed};
use mix::Mix;
use rayon::prelude::*;
use std::collections::BTreeMap;
use tree::{Tree, wanted};

/// By instrument: the option and the bench.
pub type Choices = BTreeMap<String, (String, String)>;

/// What is asked of a search.
#[derive(Clone, Debug)]
pub struct Ask<'a> {
    /// Choices to begin with; what of them does not hold is mended.
    pub start: Option<&'a Choices>,
    /// It stops after so many parts of the search.
    pub nodes: u64,
    /// It stops once the best choice is known to be within this part of the best that can be; 0: only when nothing is better.
    pub gap: f64,
}

impl Default for Ask<'_> {
    fn default() -> Self {
        Self { start: None, nodes: 2_000_000, gap: 0.0 }
    }
}

/// How far a search is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Points of the best choice so far; none where none holds yet.
    pub value: Option<f64>,
    /// Nothing is worth more.
    pub bound: f64,
    /// Parts of the search that were looked at.
    pub nodes: u64,
}

/// What a search came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// The best choice; none where none was found that holds.
    pub answer: Option<Answer>,
    /// Whether that settles it: nothing better can be, or, without an answer, nothing can hold.
    pub proven: bool,
    /// Parts of the search that were looked at.
    pub nodes: u64,
    /// Points of the greedy plan by value an hour, for comparison; none where it leaves a must.
    pub greedy: Option<f64>,
}

impl Solved {
    /// By which part of the bound the answer may be short of the best; none without an answer.
    pub fn gap(&self) -> Option<f64> {
        self.answer.as_ref().map(|a| if a.bound > 0.0 { (a.bound - a.value).max(0.0) / a.bound } else { 0.0 })
    }
}

/// Tasks of a round: so many whatever the machine has, so that the answer does not turn on it.
const TASKS: usize = 8;

struct Search<'a> {
    c: &'a Compiled,
    best: Option<Chosen>,
    open: Vec<Part>,
    nodes: u64,
}

/// Solves a problem that has no wrongs (`Problem::wrong`; what a wrong names is left out).
pub fn solve(problem: &Problem, ask: &Ask, keep_going: &(dyn Fn() -> bool + Sync), progress: &mut dyn FnMut(Progress)) -> Solved {
    let c = Compiled::of(problem);
    let mut greedy = local::by_value_per_hour(&c);
    let greedy_value = (greedy.missing == 0).then(|| greedy.value as f64 / PARTS);
    let mut relaxed = Relaxed::of(&c);
    let mut whole = relaxed.whole();
    let mut look = Look::default();
    let siblings = pack::siblings(&c);
    let mut s = Search { c: &c, best: None, open: vec![], nodes: 0 };
    s.offer(greedy.clone());
    relaxed.improve(&mut whole, &mut look, 250, 0.2, wanted(&c, s.best.as_ref()), |_| {});
    relaxed.share_tools(&mut whole, &mut look, 40, wanted(&c, s.best.as_ref()));
    let going: &dyn Fn() -> bool = &|| keep_going();
    if let Some(start) = ask.start {
        let mut start = started(&c, problem, start);
        local::improve(&c, &whole, &look, &mut start, going);
        s.offer(start);
    }
    let mut built = local::build(&c, &whole, &look);
    local::improve(&c, &whole, &look, &mut built, going);
    s.offer(built);
    local::improve(&c, &whole, &look, &mut greedy, going);
    s.offer(greedy);
    relaxed.improve(&mut whole, &mut look, 250, 0.02, wanted(&c, s.best.as_ref()), |_| {});
    let tree = Tree { relaxed: &relaxed, siblings: &siblings, keep_going };
    let root = whole.clone();
    s.open.push(whole);
    let (mut round, mut stale) = (0_u64, 0);
    loop {
        s.prune();
        let bound = s.bound();
        progress(Progress { value: s.best.as_ref().map(|b| b.value as f64 / PARTS), bound: bound / PARTS, nodes: s.nodes });
        let near = s.best.as_ref().is_some_and(|b| bound - b.value as f64 <= ask.gap * bound);
        if s.open.is_empty() || near || s.nodes >= ask.nodes || !keep_going() {
            break;
        }
        round += 1;
        // Every other round looks round the best choice, until that finds nothing more.
        let around = s.best.is_some() && c.horns() > 16 && round % 2 == 0 && stale < 12;
        if around {
            let better = s.around(&tree, &root, &look, round);
            stale = if better { 0 } else { stale + 1 };
        } else {
            s.deeper(&tree, round);
        }
    }
    let proven = s.open.is_empty();
    let bound = s.bound() / PARTS;
    let answer = s.best.as_ref().map(|best| answer(problem, &c, best, bound, proven));
    Solved { answer, proven, nodes: s.nodes, greedy: greedy_value }
}

/// The choices of the greedy plan by value an hour; musts it has no room for are left.
pub fn greedy(problem: &Problem) -> Choices {
    let c = Compiled::of(problem);
    named(problem, &c, &local::by_value_per_hour(&c))
}

fn named(problem: &Problem, c: &Compiled, chosen: &Chosen) -> Choices {
    let picks = chosen.pick.iter().flatten().map(|k| &c.picks[*k]);
    picks
        .map(|p| {
            let i = &problem.instruments[p.horn];
            (i.id.clone(), (i.options[p.option].id.clone(), problem.benches[p.bench].id.clone()))
        })
        .collect()
}

fn answer(problem: &Problem, c: &Compiled, best: &Chosen, bound: f64, proven: bool) -> Answer {
    let chosen = named(problem, c, best);
    let value = problem.tally(&chosen).map_or(0.0, |t| t.value);
    Answer { value, bound: if proven { value } else { bound.max(value) }, chosen }
}

/// A start as far as it is known and fits.
fn started(c: &Compiled, problem: &Problem, start: &Choices) -> Chosen {
    let mut chosen = Chosen::none(c);
    let musts_first = [true, false];
    for must in musts_first {
        for (h, i) in problem.instruments.iter().enumerate().filter(|(_, i)| i.must == must) {
            let Some((option, bench)) = start.get(&i.id) else { continue };
            let (from, to) = c.of[h];
            let named = |k: &usize| i.options[c.picks[*k].option].id == *option && problem.benches[c.picks[*k].bench].id == *bench;
            if let Some(k) = (from..to).find(named) {
                chosen.set(c, h, Some(k));
                if !chosen.fits(c) {
                    chosen.set(c, h, None);
                }
            }
        }
    }
    chosen
}

impl Search<'_> {
    fn offer(&mut self, chosen: Chosen) {
        if chosen.missing == 0 && chosen.fits(self.c) && self.best.as_ref().is_none_or(|b| chosen.betters(b)) {
            self.best = Some(chosen);
        }
    }

    fn prune(&mut self) {
        let want = wanted(self.c, self.best.as_ref());
        self.open.retain(|p| p.bound >= want);
    }

    /// Nothing is worth more; to a multiple of what all values are multiples of.
    fn bound(&self) -> f64 {
        let best = self.best.as_ref().map_or(0.0, |b| b.value as f64);
        let open = self.open.iter().map(|p| p.bound).fold(best, f64::max);
        let grain = self.c.grain as f64;
        ((open / grain).floor() * grain).max(best)
    }

    /// The parts with the highest bounds, each depth first for a while.
    fn deeper(&mut self, tree: &Tree, round: u64) {
        self.open.sort_by(|a, b| a.bound.total_cmp(&b.bound));
        let quota = (40 * round).min(4_000);
        let tasks = self.open.split_off(self.open.len().saturating_sub(TASKS));
        let best = self.best.clone();
        let explored: Vec<_> = tasks.into_par_iter().rev().map(|part| tree.explore(part, best.as_ref(), quota)).collect();
        for e in explored {
            self.nodes += e.nodes;
            self.open.extend(e.left);
            if let Some(found) = e.found {
                self.offer(found);
            }
        }
    }

    /// Frees some horns of the best choice and searches what else they could have; whether anything better was found.
    fn around(&mut self, tree: &Tree, root: &Part, look: &Look, round: u64) -> bool {
        let c = self.c;
        let Some(best) = self.best.clone() else { return false };
        let mut score = vec![f64::NEG_INFINITY; c.picks.len()];
        root.alive.iter().zip(&look.score).for_each(|(k, s)| score[*k as usize] = *s);
        let behind = |h: usize| {
            let now = best.pick[h].map_or(0.0, |k| score[k]);
            let (from, to) = c.of[h];
            // How near another way is to the best at the weights, or how far the chosen one is behind it.
            let other = (from..to).filter(|k| best.pick[h] != Some(*k)).map(|k| score[k]).fold(f64::NEG_INFINITY, f64::max);
            (now - other.max(if root.skip[h] && best.pick[h].is_some() { 0.0 } else { f64::NEG_INFINITY })).abs()
        };
        let mut near: Vec<(f64, usize)> = (0..c.horns()).map(|h| (behind(h), h)).collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let pool = (c.horns() / 2).clamp(12, 90);
        let near: Vec<usize> = near.into_iter().take(pool).map(|n| n.1).collect();
        let tasks: Vec<u64> = (0..TASKS as u64).collect();
        let explored: Vec<_> = tasks
            .into_par_iter()
            .map(|task| {
                let mut dice = Mix(round * 1_000 + task);
                let many = 8 + dice.below(8);
                let mut free = vec![false; c.horns()];
                for _ in 0..many {
                    free[near[dice.below(near.len())]] = true;
                }
                for _ in 0..3 {
                    free[dice.below(c.horns())] = true;
                }
                let mut part = root.clone();
                part.alive.retain(|k| {
                    let h = c.picks[*k as usize].horn;
                    free[h] || best.pick[h] == Some(*k as usize)
                });
                for (h, skip) in part.skip.iter_mut().enumerate() {
                    *skip = if free[h] { root.skip[h] } else { best.pick[h].is_none() };
                }
                tree.explore(part, Some(&best), 300)
            })
            .collect();
        let before = self.best.as_ref().map(|b| b.value);
        for e in explored {
            self.nodes += e.nodes;
            if let Some(found) = e.found {
                self.offer(found);
            }
        }
        self.best.as_ref().map(|b| b.value) > before
    }
}
