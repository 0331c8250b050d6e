//! The exact choice against trying everything.

mod common;

use common::{any_small, instrument};
use fixtures::Dice;
use plan::choose::{MethodCost, Openable, Problem};

/// The cheapest choice by trying all of them.
fn try_everything(p: &Problem) -> Option<f64> {
    fn go(p: &Problem, d: usize, methods: &mut Vec<Option<usize>>, best: &mut f64) {
        if d == p.dents.len() {
            let opened = p.opened_by(methods);
            let cost = p.cost(methods, &opened);
            if cost < *best && orderable(p, methods) {
                *best = cost;
            }
            return;
        }
        if p.dents[d].is_empty() {
            return go(p, d + 1, methods, best);
        }
        for w in 0..p.dents[d].len() {
            methods[d] = Some(w);
            go(p, d + 1, methods, best);
        }
        methods[d] = None;
    }
    let mut best = f64::INFINITY;
    go(p, 0, &mut vec![None; p.dents.len()], &mut best);
    best.is_finite().then_some(best)
}

/// Whether the dents can be worked one after the other: by doing, again and again, one that waits for nothing.
fn orderable(p: &Problem, methods: &[Option<usize>]) -> bool {
    let method = |d: usize| methods[d].map(|w| &p.dents[d][w]);
    let mut done = vec![false; methods.len()];
    loop {
        let next = (0..methods.len())
            .find(|d| !done[*d] && method(*d).is_some_and(|w| w.after.iter().all(|a| done[*a] && method(*a).is_some_and(|x| x.works))));
        match next {
            Some(d) => done[d] = true,
            None => return (0..methods.len()).all(|d| done[d] || methods[d].is_none()),
        }
    }
}

#[test]
fn five_hundred_small_instruments_cost_what_trying_everything_costs() {
    let mut dice = Dice(7);
    let (mut solved, mut hopeless) = (0, 0);
    for case in 0..700 {
        let p = any_small(&mut dice);
        match (p.solve(), try_everything(&p)) {
            (Some(s), Some(best)) => {
                assert!((s.cost - best).abs() < 1e-7, "case {case}: {} against {best}\n{p:?}", s.cost);
                assert!(s.cost - s.bound <= 1e-7, "case {case}: the gap is not closed: {s:?}");
                assert!((p.cost(&s.methods, &s.opened) - s.cost).abs() < 1e-9 && orderable(&p, &s.methods));
                solved += 1;
            }
            (None, None) => hopeless += 1,
            (found, best) => panic!("case {case}: {found:?} against {best:?}\n{p:?}"),
        }
    }
    assert!(solved >= 500 && hopeless > 5, "{solved} solved, {hopeless} hopeless: the cases do not test what they should");
}

#[test]
fn dents_that_wait_for_each_other_all_round_too() {
    let mut dice = Dice(23);
    let (mut solved, mut hopeless) = (0, 0);
    for case in 0..600 {
        let mut p = any_small(&mut dice);
        let n = p.dents.len();
        for (d, methods) in p.dents.iter_mut().enumerate() {
            for w in methods {
                let others = (0..n).filter(|e| *e != d && dice.below(3) == 0);
                w.after = others.collect();
            }
        }
        match (p.solve(), try_everything(&p)) {
            (Some(s), Some(best)) => {
                assert!((s.cost - best).abs() < 1e-7 && s.cost - s.bound <= 1e-7, "case {case}: {s:?} against {best}\n{p:?}");
                assert!(orderable(&p, &s.methods));
                solved += 1;
            }
            (None, None) => hopeless += 1,
            (found, best) => panic!("case {case}: {found:?} against {best:?}\n{p:?}"),
        }
    }
    assert!(solved >= 200 && hopeless >= 100, "{solved} solved, {hopeless} hopeless: the cases do not test what they should");
}

#[test]
fn small_instruments_of_the_true_shape_too() {
    let mut dice = Dice(11);
    for case in 0..60 {
        let mut p = instrument(&mut dice, 4, 5, 3);
        for methods in &mut p.dents {
            methods.truncate(6);
        }
        let s = p.solve().unwrap();
        let best = try_everything(&p).unwrap();
        assert!((s.cost - best).abs() < 1e-7 && s.cost - s.bound <= 1e-7, "case {case}: {} against {best}", s.cost);
    }
}

#[test]
fn a_full_tuba_is_solved_with_its_gap_closed() {
    let mut dice = Dice(3);
    for case in 0..5 {
        let p = instrument(&mut dice, 60, 40, 30);
        let s = p.solve().unwrap();
        assert!(s.cost - s.bound <= 1e-7 * s.cost, "case {case}: gap {}", s.cost - s.bound);
        assert!(orderable(&p, &s.methods));
    }
}

fn method(cost: f64, opens: &[usize], after: &[usize]) -> MethodCost {
    MethodCost { cost, opens: opens.to_vec(), after: after.to_vec(), works: true }
}

#[test]
fn a_joint_opened_once_serves_two_dents() {
    let openables = vec![Openable { cost: 10.0, requires: vec![] }];
    let dent = vec![method(1.0, &[0], &[]), method(8.0, &[], &[])];
    let p = Problem { openables, dents: vec![dent.clone(), dent.clone()] };
    let s = p.solve().unwrap();
    assert_eq!((s.cost, s.opened), (12.0, vec![0]));
    // Alone, neither dent would pay for it.
    assert_eq!(Problem { dents: vec![dent], ..p }.solve().unwrap().cost, 8.0);
}

#[test]
fn one_heat_opens_two_joints() {
    let joint = |cost| Openable { cost, requires: vec![2] };
    let openables = vec![joint(3.0), joint(3.0), Openable { cost: 5.0, requires: vec![] }];
    let p = Problem { openables, dents: vec![vec![method(0.0, &[0], &[])], vec![method(0.0, &[1], &[]), method(7.0, &[], &[])]] };
    // The second joint costs 3 once the heat is there, 8 alone.
    assert_eq!(p.solve().unwrap().cost, 11.0);
}

#[test]
fn two_dents_never_wait_for_each_other() {
    let p = Problem {
        openables: vec![],
        dents: vec![vec![method(1.0, &[], &[1]), method(5.0, &[], &[])], vec![method(1.0, &[], &[0]), method(7.0, &[], &[])]],
    };
    assert_eq!(p.solve().unwrap().cost, 6.0);
}

#[test]
fn a_dent_that_is_left_clears_the_way_for_nobody() {
    let leave = MethodCost { cost: 0.0, opens: vec![], after: vec![], works: false };
    let p =
        Problem { openables: vec![], dents: vec![vec![method(1.0, &[], &[1]), method(9.0, &[], &[])], vec![leave, method(4.0, &[], &[])]] };
    assert_eq!(p.solve().unwrap().cost, 5.0);
}

#[test]
fn what_must_stay_shut_stays_shut() {
    let p = Problem { openables: vec![Openable { cost: 1.0, requires: vec![] }], dents: vec![vec![method(1.0, &[0], &[])]] };
    assert!(p.with_shut(&[0]).solve().is_none());
}

#[test]
fn a_stopped_search_states_its_gap() {
    let p = instrument(&mut Dice(5), 60, 40, 30);
    let (full, stopped) = (p.solve().unwrap(), p.solve_within(1).unwrap());
    assert!(stopped.bound <= full.cost + 1e-9 && stopped.cost >= full.cost - 1e-9);
}

/// One memory for all: each choice, the same with one cost changed, and the same cut short come out as without it, to the number of
/// choices looked at.
#[test]
fn what_is_known_of_parts_changes_no_answer() {
    let (mut dice, known) = (Dice(31), plan::choose::Solved::default());
    let mut searched = 0;
    for case in 0..150 {
        let mut p = if case % 3 == 0 { instrument(&mut dice, 20, 10, 6) } else { any_small(&mut dice) };
        for turn in 0..3 {
            for (most, cut) in [(200_000, f64::INFINITY), (200_000, f64::INFINITY), (2, f64::INFINITY), (1_000, 60.0)] {
                let asked = p.solve_under(most, cut);
                assert_eq!(p.solve_knowing(most, cut, &known), asked, "case {case}, turn {turn}: {most}, {cut}");
                searched += usize::from(asked.is_some_and(|s| s.nodes > 2));
            }
            let d = dice.below(p.dents.len());
            if let Some(m) = p.dents[d].first_mut() {
                m.cost += 1.0;
            }
        }
    }
    assert!(searched > 50, "{searched} were more than a glance: the test says nothing");
}
