//! Precedences without those that follow from others.

/// The same precedences without edges that follow from others (the transitive reduction). Unchanged where they close a cycle.
pub(super) fn without_what_follows(after: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let n = after.len();
    // What each step waits for, directly or not, filled in an order in which every step comes after all that it waits for.
    let mut before: Vec<Option<Vec<bool>>> = vec![None; n];
    let mut left: Vec<usize> = (0..n).collect();
    while !left.is_empty() {
        let (ready, not): (Vec<usize>, Vec<usize>) = left.iter().copied().partition(|i| after[*i].iter().all(|j| before[*j].is_some()));
        if ready.is_empty() {
            return after;
        }
        for i in &ready {
            let mut all = vec![false; n];
            for j in &after[*i] {
                all[*j] = true;
                for (k, waits) in before[*j].iter().flatten().enumerate() {
                    all[k] |= waits;
                }
            }
            before[*i] = Some(all);
        }
        left = not;
    }
    let follows = |i: usize, j: usize| after[i].iter().any(|k| before[*k].as_ref().is_some_and(|b| b[j]));
    (0..n).map(|i| after[i].iter().copied().filter(|j| !follows(i, *j)).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::without_what_follows;
    use proptest::prelude::*;

    fn closure(after: &[Vec<usize>]) -> Vec<Vec<bool>> {
        let n = after.len();
        let mut all = vec![vec![false; n]; n];
        for (i, a) in after.iter().enumerate() {
            for j in a {
                all[i][*j] = true;
            }
        }
        // Warshall's algorithm (from memory: Journal of the ACM 9 (1962)).
        for k in 0..n {
            for i in 0..n {
                for j in 0..n {
                    all[i][j] |= all[i][k] && all[k][j];
                }
            }
        }
        all
    }

    proptest! {
        #[test]
        fn what_is_left_out_follows(edges in proptest::collection::vec((0..14_usize, 0..14_usize), 0..60)) {
            let mut after = vec![Vec::new(); 14];
            for (a, b) in edges {
                if a > b && !after[a].contains(&b) {
                    after[a].push(b);
                }
            }
            let less = without_what_follows(after.clone());
            prop_assert_eq!(closure(&less), closure(&after));
            // None of those that are left follows from the rest.
            for i in 0..14 {
                for j in &less[i] {
                    let mut without = less.clone();
                    without[i].retain(|k| k != j);
                    prop_assert!(!closure(&without)[i][*j]);
                }
            }
        }
    }

    #[test]
    fn a_cycle_is_left_as_it_is() {
        let cycle = vec![vec![1], vec![2], vec![0, 1]];
        assert_eq!(without_what_follows(cycle.clone()), cycle);
    }
}
