//! Branch and bound: a part of the search is bounded by the relaxation, thinned by what its bound rules out, and parted: by a
//! tool that is made or not, by the option of a horn, and by benches only once every option stands.

use super::compiled::{Chosen, Compiled};
use super::dual::{Look, Made, NONE, Part, Relaxed};
use super::local;
use super::pack::{pack, pack_hard};

/// What a search through a part found.
#[derive(Debug, Default)]
pub(super) struct Explored {
    /// Parts that were not looked at.
    pub left: Vec<Part>,
    /// A better choice.
    pub found: Option<Chosen>,
    /// Parts that were looked at.
    pub nodes: u64,
}

/// A search with what it needs.
pub(super) struct Tree<'a> {
    pub relaxed: &'a Relaxed<'a>,
    pub siblings: &'a [Vec<u32>],
    pub keep_going: &'a (dyn Fn() -> bool + Sync),
}

/// What a better choice must be worth at least; below every value where none was found yet.
pub(super) fn wanted(c: &Compiled, best: Option<&Chosen>) -> f64 {
    best.map_or(0.0, |b| (b.value + c.grain) as f64)
}

impl Tree<'_> {
    /// Searches a part depth first, at most `quota` parts of it.
    pub fn explore(&self, start: Part, best: Option<&Chosen>, quota: u64) -> Explored {
        let c = self.relaxed.c;
        let mut out = Explored::default();
        let mut stack = vec![start];
        let mut look = Look::default();
        while let Some(mut part) = stack.pop() {
            let want = wanted(c, out.found.as_ref().or(best));
            if part.bound < want {
                continue;
            }
            if out.nodes >= quota || (out.nodes % 16 == 15 && !(self.keep_going)()) {
                stack.push(part);
                break;
            }
            out.nodes += 1;
            if !self.thin(&mut part) {
                continue;
            }
            let mut shifts = Shifts::new(c);
            self.relaxed.improve(&mut part, &mut look, 12, 0.01, want, |l| shifts.see(c, l));
            if part.bound < want || !look.bound.is_finite() {
                continue;
            }
            self.fix(&mut part, &look, want);
            if let Some(found) = self.choice(&look, want) {
                out.found = Some(found);
                if part.bound < wanted(c, out.found.as_ref()) {
                    continue;
                }
            }
            self.branch(part, &look, &shifts, &mut stack, (best, &mut out.found));
        }
        out.left = stack;
        out
    }

    /// The relaxation's own choice where it holds, or can be made to by shifting benches.
    fn choice(&self, look: &Look, want: f64) -> Option<Chosen> {
        let c = self.relaxed.c;
        let mut chosen = local::as_relaxed(c, look);
        if chosen.missing > 0 || chosen.cost > c.budget || (chosen.value as f64) < want {
            return None;
        }
        (chosen.fits(c) || pack(c, self.siblings, &mut chosen)).then_some(chosen)
    }

    /// Takes out what cannot be for want of room, and pays the tools that are needed in any case. False where nothing is
    /// left of the part.
    fn thin(&self, part: &mut Part) -> bool {
        let c = self.relaxed.c;
        let horns = c.horns();
        let mut count = vec![0_u32; horns];
        let mut least = vec![i64::MAX; horns];
        let mut only = vec![0_usize; horns];
        for k in &part.alive {
            let p = &c.picks[*k as usize];
            count[p.horn] += 1;
            least[p.horn] = least[p.horn].min(p.cost);
            only[p.horn] = *k as usize;
        }
        let decided = |h: usize| !part.skip[h] && count[h] == 1;
        let mut minutes = c.minutes.clone();
        let mut money = c.budget;
        for h in 0..horns {
            if part.skip[h] {
                continue;
            }
            if count[h] == 0 {
                return false;
            }
            money -= least[h];
            if decided(h) {
                let p = &c.picks[only[h]];
                minutes[p.bench] -= p.minutes;
                p.tools.iter().for_each(|t| part.made[*t] = Made::Paid);
            }
        }
        money -= part.made.iter().zip(&c.tools).filter(|(m, _)| **m == Made::Paid).map(|(_, cost)| cost).sum::<i64>();
        if money < 0 || minutes.iter().any(|m| *m < 0) {
            return false;
        }
        let decided: Vec<bool> = (0..horns).map(decided).collect();
        let skip = &part.skip;
        part.alive.retain(|k| {
            let p = &c.picks[*k as usize];
            let own = if skip[p.horn] { 0 } else { least[p.horn] };
            decided[p.horn] || (p.minutes <= minutes[p.bench] && p.cost - own <= money)
        });
        true
    }

    /// Takes out the picks that no better choice can hold (their bound says so), and holds the horns that every better one
    /// must hold.
    fn fix(&self, part: &mut Part, look: &Look, want: f64) {
        let c = self.relaxed.c;
        let mut scores = look.score.iter();
        let room = look.bound - want;
        let mut best_score = look.best_score.clone();
        part.alive.retain(|k| {
            let score = scores.next().copied().unwrap_or(f64::INFINITY);
            let best = best_score[c.picks[*k as usize].horn];
            !(best.is_finite() && room < best - score)
        });
        for (h, skip) in part.skip.iter_mut().enumerate() {
            *skip = *skip && room >= best_score[h];
        }
        best_score.clear();
    }

    fn branch(&self, part: Part, look: &Look, shifts: &Shifts, stack: &mut Vec<Part>, best: (Option<&Chosen>, &mut Option<Chosen>)) {
        let c = self.relaxed.c;
        if let Some(t) = self.open_tool(&part, look, wanted(c, best.1.as_ref().or(best.0))) {
            let mut without = part.clone();
            without.alive.retain(|k| !c.picks[*k as usize].tools.contains(&t));
            let mut with = part;
            with.made[t] = Made::Paid;
            stack.push(without);
            stack.push(with);
            return;
        }
        // The scores of what is left, horn by horn: the option's best score.
        let mut look_now = Look::default();
        self.relaxed.look(&part, &mut look_now);
        let mut options: Vec<Vec<(f64, usize)>> = vec![vec![]; c.horns()];
        let mut benches = vec![0_u32; c.horns()];
        for (k, score) in part.alive.iter().zip(&look_now.score) {
            let p = &c.picks[*k as usize];
            benches[p.horn] += 1;
            match options[p.horn].iter_mut().find(|o| o.1 == p.option) {
                Some(o) => o.0 = o.0.max(*score),
                None => options[p.horn].push((*score, p.option)),
            }
        }
        let ways = |h: usize| options[h].len() + usize::from(part.skip[h]);
        let undecided = (0..c.horns()).filter(|h| ways(*h) > 1);
        let regret = |h: usize| {
            let mut scores: Vec<f64> = options[h].iter().map(|o| o.0).chain(part.skip[h].then_some(0.0)).collect();
            scores.sort_by(|a, b| b.total_cmp(a));
            scores.first().zip(scores.get(1)).map_or(f64::INFINITY, |(a, b)| a - b)
        };
        let chosen = undecided.max_by(|a, b| shifts.of(*a).cmp(&shifts.of(*b)).then(regret(*b).total_cmp(&regret(*a))).then(b.cmp(a)));
        if let Some(h) = chosen {
            let mut ways: Vec<(f64, Option<usize>)> = options[h].iter().map(|o| (o.0, Some(o.1))).collect();
            if part.skip[h] {
                ways.push((0.0, None));
            }
            // The best last: it is taken off the stack first.
            ways.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, option) in ways {
                let mut child = part.clone();
                child.alive.retain(|k| {
                    let p = &c.picks[*k as usize];
                    p.horn != h || Some(p.option) == option
                });
                child.skip[h] = option.is_none();
                stack.push(child);
            }
            return;
        }
        self.branch_on_benches(part, &benches, stack, best);
    }

    /// Every option stands: what is left is on which bench.
    fn branch_on_benches(
        &self,
        mut part: Part,
        benches: &[u32],
        stack: &mut Vec<Part>,
        (best, found): (Option<&Chosen>, &mut Option<Chosen>),
    ) {
        let c = self.relaxed.c;
        let mut chosen = Chosen::none(c);
        for k in &part.alive {
            let h = c.picks[*k as usize].horn;
            if chosen.pick[h].is_none() {
                chosen.set(c, h, Some(*k as usize));
            }
        }
        let want = wanted(c, found.as_ref().or(best));
        // With every option settled the value is known: a bound below it says that no sharing out over benches holds.
        if chosen.missing > 0 || chosen.cost > c.budget || (chosen.value as f64) < want || part.bound < chosen.value as f64 {
            return;
        }
        let before = chosen.clone();
        /// Starts from which the packing is tried at a leaf.
        const TRIES: u64 = 40;
        if chosen.fits(c) || pack(c, self.siblings, &mut chosen) {
            *found = Some(chosen);
            return;
        }
        let value = before.value as f64;
        self.relaxed.improve(&mut part, &mut Look::default(), 60, 0.1, value, |_| {});
        if part.bound < value {
            return;
        }
        if pack_hard(c, self.siblings, &mut chosen, TRIES) {
            *found = Some(chosen);
            return;
        }
        let longest = |h: usize| before.pick[h].map_or(0, |k| c.picks[k].minutes);
        let Some(h) = (0..c.horns()).filter(|h| benches[*h] > 1).max_by_key(|h| (longest(*h), std::cmp::Reverse(*h))) else { return };
        // Of benches on which all takes as long, as much room is left and the same horns may come, one is tried.
        let mut room = c.minutes.clone();
        for (g, n) in benches.iter().enumerate() {
            if let (1, Some(k)) = (n, before.pick[g]) {
                room[c.picks[k].bench] -= c.picks[k].minutes;
            }
        }
        let mut guests: Vec<Vec<usize>> = vec![vec![]; c.minutes.len()];
        for k in &part.alive {
            let p = &c.picks[*k as usize];
            if benches[p.horn] > 1 {
                guests[p.bench].push(p.horn);
            }
        }
        let mut tried: Vec<(usize, i64, &[usize])> = vec![];
        for k in part.alive.iter().filter(|k| c.picks[**k as usize].horn == h) {
            let bench = c.picks[*k as usize].bench;
            let like = (c.twin[bench], room[bench], &guests[bench][..]);
            if tried.contains(&like) {
                continue;
            }
            tried.push(like);
            let mut child = part.clone();
            child.alive.retain(|j| c.picks[*j as usize].horn != h || j == k);
            stack.push(child);
        }
    }

    /// The tool whose making is least settled and costs most; none where each is settled.
    fn open_tool(&self, part: &Part, look: &Look, want: f64) -> Option<usize> {
        let c = self.relaxed.c;
        let mut using = vec![0_u32; c.tools.len()];
        let mut might = vec![0_u32; c.tools.len()];
        let mut last: Vec<usize> = vec![usize::MAX; c.tools.len()];
        for k in &part.alive {
            let p = &c.picks[*k as usize];
            for t in &p.tools {
                if last[*t] != p.horn {
                    last[*t] = p.horn;
                    might[*t] += 1;
                }
            }
        }
        for k in look.best.iter().filter(|k| **k != NONE) {
            c.picks[*k as usize].tools.iter().for_each(|t| using[*t] += 1);
        }
        (0..c.tools.len())
            .filter(|t| part.made[*t] == Made::Open && c.tools[*t] > 0 && might[*t] > 1 && using[*t] > 0 && using[*t] < might[*t])
            .map(|t| (self.relaxed.unsettled(t, part, look), t))
            .filter(|(unsettled, _)| *unsettled > 0.1 * (part.bound - want).max(c.grain as f64))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
            .map(|x| x.1)
    }
}

/// How often the relaxation changed its mind about a horn: what is parted in two there is undecided.
struct Shifts {
    last: Vec<u32>,
    changes: Vec<u32>,
}

impl Shifts {
    fn new(c: &Compiled) -> Self {
        Self { last: vec![NONE - 1; c.horns()], changes: vec![0; c.horns()] }
    }

    fn see(&mut self, c: &Compiled, look: &Look) {
        for (h, best) in look.best.iter().enumerate() {
            let option = if *best == NONE { NONE } else { c.picks[*best as usize].option as u32 };
            if self.last[h] != option {
                self.changes[h] += u32::from(self.last[h] != NONE - 1);
                self.last[h] = option;
            }
        }
    }

    fn of(&self, h: usize) -> u32 {
        self.changes[h]
    }
}
