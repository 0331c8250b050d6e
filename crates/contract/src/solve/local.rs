//! Good choices fast: horn after horn by the relaxation's scores, then changes of one horn and of two.

use super::compiled::{Chosen, Compiled};
use super::dual::{Look, NONE, Part};

/// Builds a choice: musts first, then the horns whose best is worth most at the weights; each takes the best that still fits.
pub(super) fn build(c: &Compiled, part: &Part, look: &Look) -> Chosen {
    let mut chosen = Chosen::none(c);
    let mut of: Vec<Vec<(f64, usize)>> = vec![vec![]; c.horns()];
    for (k, score) in part.alive.iter().zip(&look.score) {
        of[c.picks[*k as usize].horn].push((*score, *k as usize));
    }
    of.iter_mut().for_each(|o| o.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1))));
    let mut order: Vec<usize> = (0..c.horns()).collect();
    let best = |h: usize| of[h].first().map_or(f64::NEG_INFINITY, |o| o.0);
    order.sort_by(|a, b| part.skip[*a].cmp(&part.skip[*b]).then(best(*b).total_cmp(&best(*a))).then(a.cmp(b)));
    for h in order {
        for (_, k) in &of[h] {
            chosen.set(c, h, Some(*k));
            if chosen.fits(c) {
                break;
            }
            chosen.set(c, h, None);
        }
    }
    chosen
}

/// The greedy plan that a shop makes without a search: the options by their value an hour, while there is room. Musts go
/// first, each by its cheapest.
pub(super) fn by_value_per_hour(c: &Compiled) -> Chosen {
    let mut chosen = Chosen::none(c);
    let rate = |k: usize| c.picks[k].value as f64 / c.picks[k].minutes.max(1) as f64;
    let mut musts: Vec<usize> = (0..c.picks.len()).filter(|k| c.must[c.picks[*k].horn]).collect();
    musts.sort_by_key(|k| (c.picks[*k].cost, c.picks[*k].minutes, *k));
    let mut all: Vec<usize> = (0..c.picks.len()).filter(|k| !c.must[c.picks[*k].horn]).collect();
    all.sort_by(|a, b| rate(*b).total_cmp(&rate(*a)).then(a.cmp(b)));
    for k in musts.into_iter().chain(all) {
        let h = c.picks[k].horn;
        if chosen.pick[h].is_none() {
            chosen.set(c, h, Some(k));
            if !chosen.fits(c) {
                chosen.set(c, h, None);
            }
        }
    }
    chosen
}

/// Picks that are worth trying in changes of two: those least behind their horn's best.
fn near(part: &Part, look: &Look, c: &Compiled, most: usize) -> Vec<usize> {
    let mut behind: Vec<(f64, usize)> = part
        .alive
        .iter()
        .zip(&look.score)
        .map(|(k, s)| {
            let best = look.best_score[c.picks[*k as usize].horn];
            (if best.is_finite() { best - s } else { 0.0 }, *k as usize)
        })
        .collect();
    behind.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    behind.truncate(most);
    behind.into_iter().map(|b| b.1).collect()
}

/// Changes one horn at a time and two at a time while that makes it better.
pub(super) fn improve(c: &Compiled, part: &Part, look: &Look, chosen: &mut Chosen, keep_going: &dyn Fn() -> bool) {
    const TRIED: usize = 700;
    let near = near(part, look, c, TRIED);
    let may_skip = |h: usize| part.skip[h];
    for _ in 0..30 {
        let before = chosen.clone();
        for k in &part.alive {
            let h = c.picks[*k as usize].horn;
            attempt(c, chosen, &[(h, Some(*k as usize))]);
        }
        for (n, a) in near.iter().enumerate() {
            if n % 16 == 0 && !keep_going() {
                return;
            }
            let (ha, was) = (c.picks[*a].horn, chosen.pick[c.picks[*a].horn]);
            let more = c.picks[*a].value - was.map_or(0, |w| c.picks[w].value);
            if was == Some(*a) || (more <= 0 && was.is_some()) {
                continue;
            }
            // Another horn gives way: to a lesser pick, or wholly.
            let mut done = false;
            for b in &near {
                let hb = c.picks[*b].horn;
                let Some(now) = chosen.pick[hb] else { continue };
                if hb == ha || now == *b || c.picks[*b].value - c.picks[now].value + more <= 0 {
                    continue;
                }
                if attempt(c, chosen, &[(ha, Some(*a)), (hb, Some(*b))]) {
                    done = true;
                    break;
                }
            }
            for hb in 0..c.horns() {
                if done {
                    break;
                }
                let Some(now) = chosen.pick[hb] else { continue };
                if hb != ha && may_skip(hb) && c.picks[now].value < more {
                    done = attempt(c, chosen, &[(ha, Some(*a)), (hb, None)]);
                }
            }
        }
        if *chosen == before {
            return;
        }
    }
}

/// Makes the changes where they fit and better the choice; else leaves it as it was.
fn attempt(c: &Compiled, chosen: &mut Chosen, changes: &[(usize, Option<usize>)]) -> bool {
    let before = (chosen.missing, chosen.value, chosen.cost, chosen.minutes.iter().sum::<i64>());
    let was: Vec<(usize, Option<usize>)> = changes.iter().map(|(h, _)| (*h, chosen.pick[*h])).collect();
    if was.iter().zip(changes).all(|(a, b)| a.1 == b.1) {
        return false;
    }
    changes.iter().for_each(|(h, k)| chosen.set(c, *h, *k));
    let after = (chosen.missing, chosen.value, chosen.cost, chosen.minutes.iter().sum::<i64>());
    let better = (before.0, after.1, before.2, before.3) > (after.0, before.1, after.2, after.3);
    if better && chosen.fits(c) {
        return true;
    }
    was.iter().for_each(|(h, k)| chosen.set(c, *h, *k));
    false
}

/// The relaxation's own choice, where every horn takes its best.
pub(super) fn as_relaxed(c: &Compiled, look: &Look) -> Chosen {
    let mut chosen = Chosen::none(c);
    for (h, k) in look.best.iter().enumerate() {
        if *k != NONE {
            chosen.set(c, h, Some(*k as usize));
        }
    }
    chosen
}
