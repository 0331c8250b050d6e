//! The order of the steps against trying every order.

use fixtures::Dice;
use plan::order::{Task, order};
use proptest::prelude::*;

/// The least cost by trying every order.
fn try_everything(tasks: &[Task], costs: &[f64]) -> Option<f64> {
    fn go(tasks: &[Task], costs: &[f64], done: &mut Vec<usize>, so_far: f64, best: &mut f64) {
        if so_far >= *best {
            return;
        }
        if done.len() == tasks.len() {
            *best = so_far;
            return;
        }
        for t in 0..tasks.len() {
            if !done.contains(&t) && tasks[t].after.iter().all(|a| done.contains(a)) {
                let same = done.last().is_some_and(|l| tasks[*l].setup == tasks[t].setup);
                // Setting up a thing that costs nothing does not disturb the fixture that stands: as in the search, every
                // change of set-up begins the next one anew.
                let cost = if same { 0.0 } else { costs[tasks[t].setup] };
                done.push(t);
                go(tasks, costs, done, so_far + cost, best);
                done.pop();
            }
        }
    }
    let mut best = f64::INFINITY;
    go(tasks, costs, &mut Vec::new(), 0.0, &mut best);
    best.is_finite().then_some(best)
}

fn tasks(dice: &mut Dice, n: usize, setups: usize) -> (Vec<Task>, Vec<f64>) {
    let tasks = (0..n)
        .map(|i| Task {
            setup: dice.below(setups),
            after: (0..i).filter(|_| dice.below(4) == 0).collect(),
            rank: (dice.below(5) as u32, 0),
        })
        .collect();
    (tasks, (0..setups).map(|_| 1.0 + dice.below(6) as f64).collect())
}

#[test]
fn no_order_is_cheaper() {
    let mut dice = Dice(19);
    for case in 0..300 {
        let (n, setups) = (2 + dice.below(7), 1 + dice.below(4));
        let (tasks, costs) = tasks(&mut dice, n, setups);
        let found = order(&tasks, &costs).unwrap();
        let best = try_everything(&tasks, &costs).unwrap();
        assert!(
            (found.cost - best).abs() < 1e-9 && found.bound == found.cost,
            "case {case}: {found:?} against {best}\n{tasks:?} {costs:?}"
        );
    }
}

#[test]
fn tasks_that_wait_in_a_ring_have_no_order() {
    let task = |after: &[usize]| Task { setup: 0, after: after.to_vec(), rank: (0, 0) };
    assert_eq!(order(&[task(&[1]), task(&[0])], &[1.0]), None);
}

proptest! {
    #[test]
    fn every_task_comes_once_and_after_all_that_it_waits_for(seed in any::<u64>(), n in 1..120_usize, setups in 1..30_usize) {
        let mut dice = Dice(seed);
        let (tasks, costs) = tasks(&mut dice, n, setups);
        let found = order(&tasks, &costs).unwrap();
        let mut place = vec![usize::MAX; n];
        for (i, t) in found.tasks.iter().enumerate() {
            prop_assert_eq!(place[*t], usize::MAX);
            place[*t] = i;
        }
        for (t, task) in tasks.iter().enumerate() {
            prop_assert!(place[t] < n && task.after.iter().all(|a| place[*a] < place[t]));
        }
        prop_assert!(found.bound <= found.cost + 1e-9);
        // The cost is what the sequence costs.
        let cost: f64 = found.tasks.iter().enumerate().filter(|(i, t)| *i == 0 || tasks[found.tasks[i - 1]].setup != tasks[**t].setup).map(|(_, t)| costs[tasks[*t].setup]).sum();
        prop_assert!((cost - found.cost).abs() < 1e-9, "{} {}", cost, found.cost);
    }
}
