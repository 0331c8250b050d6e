//! The solver against what is not in it: every choice counted through, and problems whose best is known.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;

use common::{anything, district};
use contract::bare::{Bench, Choice, Instrument, Problem};
use contract::solve::{Ask, Solved, solve};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

fn solved(problem: &Problem) -> Solved {
    assert_eq!(problem.wrong(), Vec::<String>::new());
    solve(problem, &Ask::default(), &|| true, &mut |_| {})
}

/// Every choice counted through, horn by horn; only what is over already is not gone on with. The greatest value, or none
/// where no choice holds.
fn counted(p: &Problem) -> Option<f64> {
    struct State<'a> {
        p: &'a Problem,
        minutes: Vec<f64>,
        cost: Decimal,
        tools: Vec<u32>,
        best: Option<f64>,
    }
    fn go(s: &mut State, h: usize, value: f64) {
        let Some(i) = s.p.instruments.get(h) else {
            if s.best.is_none_or(|b| value > b) {
                s.best = Some(value);
            }
            return;
        };
        if !i.must {
            go(s, h + 1, value);
        }
        for o in &i.options {
            for (bench, minutes) in &o.minutes {
                let b = s.p.benches.iter().position(|x| x.id == *bench).unwrap();
                let which: Vec<usize> = o.tools.iter().map(|t| s.p.tools.iter().position(|x| x.id == *t).unwrap()).collect();
                s.minutes[b] += minutes;
                s.cost += o.cost;
                for t in &which {
                    if s.tools[*t] == 0 {
                        s.cost += s.p.tools[*t].cost;
                    }
                    s.tools[*t] += 1;
                }
                if s.minutes[b] <= s.p.benches[b].minutes + 1e-7 && s.cost <= s.p.budget {
                    go(s, h + 1, value + o.value);
                }
                s.minutes[b] -= minutes;
                s.cost -= o.cost;
                for t in &which {
                    s.tools[*t] -= 1;
                    if s.tools[*t] == 0 {
                        s.cost -= s.p.tools[*t].cost;
                    }
                }
            }
        }
    }
    let mut s = State { p, minutes: vec![0.0; p.benches.len()], cost: Decimal::ZERO, tools: vec![0; p.tools.len()], best: None };
    go(&mut s, 0, 0.0);
    s.best
}

fn same_as_counted(p: &Problem, which: &str) -> bool {
    let (found, best) = (solved(p), counted(p));
    assert!(found.proven, "{which}: not settled");
    match (&found.answer, best) {
        (Some(a), Some(best)) => {
            assert!((a.value - best).abs() < 1e-6 && (a.bound - best).abs() < 1e-6, "{which}: {} where {best} can be", a.value);
            assert!(p.holds(&a.chosen), "{which}: does not hold");
            true
        }
        (None, None) => false,
        (a, best) => panic!("{which}: {a:?} where counting finds {best:?}"),
    }
}

#[test]
fn as_good_as_counting_every_choice() {
    let mut held = 0;
    for seed in 0..400 {
        let (horns, benches) = (1 + seed as usize % 8, 1 + seed as usize % 3);
        held += u32::from(same_as_counted(&anything(seed, horns, benches), &format!("anything {seed}")));
    }
    assert!((100..390).contains(&held), "{held} of 400 hold: the test is to see both");
    for seed in 0..6 {
        same_as_counted(&district(seed, 8, 2), &format!("district {seed}"));
    }
    for seed in 0..4 {
        same_as_counted(&anything(1_000 + seed, 14, 1), &format!("fourteen {seed}"));
    }
    same_as_counted(&anything(2_001, 12, 2), "twelve on two benches");
}

/// A knapsack of ten things, the instance with capacity 165 and the best 309 (Kreher & Stinson, Combinatorial Algorithms, from memory): weights 23, 31,
/// 29, 44, 53, 38, 63, 85, 89, 82, profits 92, 57, 49, 68, 60, 43, 67, 84, 87, 72.
#[test]
fn the_textbook_knapsack_comes_to_309() {
    let weights = [23, 31, 29, 44, 53, 38, 63, 85, 89, 82];
    let profits = [92, 57, 49, 68, 60, 43, 67, 84, 87, 72];
    let instruments = weights
        .iter()
        .zip(profits)
        .enumerate()
        .map(|(i, (w, p))| {
            let minutes = BTreeMap::from([("b".to_owned(), f64::from(*w))]);
            let option = Choice { id: "take".to_owned(), cost: Decimal::ZERO, value: f64::from(p), minutes, tools: vec![] };
            Instrument { id: i.to_string(), must: false, options: vec![option] }
        })
        .collect();
    let p = Problem {
        budget: Decimal::ZERO,
        benches: vec![Bench { id: "b".to_owned(), minutes: 165.0 }],
        tools: vec![],
        instruments,
        answer: None,
    };
    let found = solved(&p);
    assert!(found.proven);
    let answer = found.answer.unwrap();
    assert_eq!((answer.value, answer.bound), (309.0, 309.0));
    assert_eq!(answer.chosen.keys().map(String::as_str).collect::<Vec<_>>(), ["0", "1", "2", "3", "5"]);
}

/// Fifty horns are settled, the same whatever the order of the horns, and nothing is above the bound.
#[test]
fn fifty_horns_are_settled() {
    for seed in [100, 101, 104] {
        let p = district(seed, 50, 3);
        let found = solved(&p);
        let a = found.answer.as_ref().unwrap();
        eprintln!("fifty {seed}: {} bound {} nodes {} greedy {:?}", a.value, a.bound, found.nodes, found.greedy);
        assert!(found.proven && a.value == a.bound && p.holds(&a.chosen));
        assert!(found.greedy.is_none_or(|g| g <= a.value));
        let mut turned = p.clone();
        turned.instruments.reverse();
        turned.benches.rotate_left(1);
        assert_eq!(solved(&turned).answer.unwrap().value, a.value);
    }
}
