//! The choice within a limit of time against trying everything.

mod common;

use common::any_small;
use fixtures::Dice;
use plan::choose::{Problem, Timed};

/// Cost and minutes of every choice that can be put in an order.
fn all(p: &Problem, minutes: &Timed) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let mut methods: Vec<Option<usize>> = p.dents.iter().map(|d| (!d.is_empty()).then_some(0)).collect();
    loop {
        let opened = p.opened_by(&methods);
        let cost = p.cost(&methods, &opened);
        if cost.is_finite() && p.ring(&methods).is_none() {
            let open: f64 = opened.iter().map(|o| minutes.openable_min[*o]).sum();
            let work: f64 = methods.iter().enumerate().filter_map(|(d, w)| w.map(|w| minutes.method_min[d][w])).sum();
            found.push((cost, open + work));
        }
        // The next one, counting up.
        let Some(d) = (0..methods.len()).find(|d| methods[*d].is_some_and(|w| w + 1 < p.dents[*d].len())) else { return found };
        for w in methods[..d].iter_mut().flatten() {
            *w = 0;
        }
        methods[d] = methods[d].map(|w| w + 1);
    }
}

#[test]
fn three_hundred_instruments_under_five_limits_cost_what_trying_everything_costs() {
    let mut dice = Dice(31);
    let (mut kept, mut hopeless, mut parted) = (0, 0, 0);
    for case in 0..300 {
        let p = any_small(&mut dice);
        let openable_min: Vec<f64> = p.openables.iter().map(|_| dice.between(0.0, 40.0)).collect();
        let method_min: Vec<Vec<f64>> = p.dents.iter().map(|d| d.iter().map(|_| dice.between(0.0, 60.0)).collect()).collect();
        let timed = Timed { problem: &p, openable_min: &openable_min, method_min: &method_min };
        let all = all(&p, &timed);
        let longest = all.iter().map(|c| c.1).fold(0.0, f64::max);
        let shortest = all.iter().map(|c| c.1).fold(f64::INFINITY, f64::min).min(longest);
        for part in [-0.1, 0.05, 0.2, 0.4, 0.7] {
            let limit = shortest + part * (longest - shortest);
            let best = all.iter().filter(|c| c.1 <= limit).map(|c| c.0).fold(f64::INFINITY, f64::min);
            match timed.within(limit, 10_000) {
                Some(found) => {
                    assert!(
                        (found.solution.cost - best).abs() < 1e-7,
                        "case {case}, {limit}: {} against {best}\n{p:?}",
                        found.solution.cost
                    );
                    assert!(
                        found.minutes <= limit + 1e-6 && found.bound <= best + 1e-7 && found.bound >= best - 1e-6 * best.abs().max(1.0)
                    );
                    assert!(p.ring(&found.solution.methods).is_none());
                    kept += 1;
                    parted += usize::from(found.nodes > 1);
                }
                None => {
                    assert!(best.is_infinite(), "case {case}, {limit}: nothing found, {best} fits\n{p:?}");
                    hopeless += 1;
                }
            }
        }
    }
    assert!(kept > 700 && hopeless > 50 && parted > 100, "{kept} kept, {hopeless} hopeless, {parted} parted");
}
