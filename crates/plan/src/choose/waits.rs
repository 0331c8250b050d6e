//! Which dents must be worked before which, whatever else is chosen: what every method left of a dent waits for.

use super::presolve::Part;

/// A set of dents.
type Set = Vec<u64>;

fn has(set: &[u64], d: usize) -> bool {
    set[d / 64] & (1 << (d % 64)) != 0
}

/// What each method waits for, laid flat.
#[derive(Debug)]
pub struct Waits {
    dents: usize,
    words: usize,
    /// Per method: the dents that it waits for.
    after: Vec<u64>,
    /// Per method: whether the dent is gone afterwards.
    works: Vec<bool>,
    /// Whether any method waits at all.
    any: bool,
}

impl Waits {
    /// Reads a part; its methods are numbered through, dent after dent.
    pub fn new(part: &Part) -> Self {
        let words = part.methods.len().div_ceil(64);
        let methods: Vec<_> = part.methods.iter().flatten().collect();
        let mut after = vec![0; words * methods.len()];
        for (w, method) in methods.iter().enumerate() {
            for e in &method.after {
                after[w * words + e / 64] |= 1 << (e % 64);
            }
        }
        let any = methods.iter().any(|w| !w.after.is_empty());
        Self { dents: part.methods.len(), words, after, works: methods.iter().map(|w| w.works).collect(), any }
    }

    /// Strikes out the methods that wait for a dent which itself must wait for theirs, and the methods that leave a dent for which
    /// another must wait. True where any method fell. `first`: the first method of each dent, and one past the last.
    ///
    /// A dent with no method left stays so; who calls sees it.
    pub fn propagate(&self, first: &[usize], alive: &mut [bool]) -> bool {
        if !self.any {
            return false;
        }
        let (n, words) = (self.dents, self.words);
        let mut before: Set = vec![0; n * words];
        for d in 0..n {
            let mut left = (first[d]..first[d + 1]).filter(|w| alive[*w]);
            let mine = &mut before[d * words..(d + 1) * words];
            if let Some(w) = left.next() {
                mine.copy_from_slice(&self.after[w * words..(w + 1) * words]);
            }
            for w in left {
                for (m, a) in mine.iter_mut().zip(&self.after[w * words..(w + 1) * words]) {
                    *m &= a;
                }
            }
        }
        let mut fell = false;
        // A dent for which another must wait is worked.
        let mut awaited: Set = vec![0; words];
        for d in 0..n {
            for (a, b) in awaited.iter_mut().zip(&before[d * words..]) {
                *a |= b;
            }
        }
        for d in (0..n).filter(|d| has(&awaited, *d)) {
            let mine = first[d]..first[d + 1];
            for (alive, _) in alive[mine.clone()].iter_mut().zip(&self.works[mine]).filter(|(a, works)| **a && !**works) {
                *alive = false;
                fell = true;
            }
        }
        // Warshall's closure: whatever must come before what must come before d must come before d.
        let mut via: Set = vec![0; words];
        for e in (0..n).filter(|e| has(&awaited, *e)) {
            via.copy_from_slice(&before[e * words..(e + 1) * words]);
            for d in 0..n {
                let mine = &mut before[d * words..(d + 1) * words];
                if has(mine, e) {
                    for (m, v) in mine.iter_mut().zip(&via) {
                        *m |= v;
                    }
                }
            }
        }
        for d in 0..n {
            let ring = |e: usize| e == d || has(&before[e * words..], d);
            let mine = first[d]..first[d + 1];
            let after = self.after[mine.start * words..].chunks_exact(words);
            for (alive, after) in alive[mine].iter_mut().zip(after).filter(|(a, _)| **a) {
                if members(after).any(ring) {
                    *alive = false;
                    fell = true;
                }
            }
        }
        fell
    }
}

fn members(set: &[u64]) -> impl Iterator<Item = usize> + '_ {
    set.iter().enumerate().flat_map(|(i, word)| {
        std::iter::successors(Some(*word), |x| Some(x & x.wrapping_sub(1)))
            .take_while(|x| *x != 0)
            .map(move |x| 64 * i + x.trailing_zeros() as usize)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choose::presolve::SmallMethod;

    fn part(methods: &[&[(&[usize], bool)]]) -> Part {
        let method =
            |(after, works): &(&[usize], bool)| SmallMethod { method: 0, cost: 0.0, items: vec![], after: after.to_vec(), works: *works };
        Part {
            dents: (0..methods.len()).collect(),
            methods: methods.iter().map(|w| w.iter().map(method).collect()).collect(),
            items: vec![],
        }
    }

    fn left(part: &Part) -> Vec<bool> {
        let mut first = vec![0];
        for w in &part.methods {
            first.push(first[first.len() - 1] + w.len());
        }
        let mut alive = vec![true; first[first.len() - 1]];
        while Waits::new(part).propagate(&first, &mut alive) {}
        alive
    }

    #[test]
    fn nobody_waits_for_a_dent_that_must_wait_for_him() {
        // 0 waits for 1 in any case, and 1, which then may not be left, for 2: 2 is not left either, and waits for nobody.
        let p = part(&[&[(&[1], true)], &[(&[2], true), (&[0, 2], true), (&[], false)], &[(&[0], true), (&[], true), (&[], false)]]);
        assert_eq!(left(&p), [true, true, false, false, false, true, false]);
    }

    #[test]
    fn a_dent_that_must_be_worked_is_not_left() {
        let p = part(&[&[(&[1], true), (&[1], true)], &[(&[], true), (&[], false)]]);
        assert_eq!(left(&p), [true, true, true, false]);
    }
}
