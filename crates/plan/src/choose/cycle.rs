//! Dents that wait for each other.

/// Dents that wait for each other in a ring, each for the next and the last for the first; or the one dent that waits for
/// a dent that is not worked; none where all can be put in an order. `after` gives what a dent waits for.
pub fn ring<'a>(dents: usize, after: impl Fn(usize) -> &'a [usize], worked: impl Fn(usize) -> bool) -> Option<Vec<usize>> {
    #[derive(Clone, Copy, PartialEq)]
    enum Seen {
        No,
        OnPath,
        Done,
    }
    let mut seen = vec![Seen::No; dents];
    for start in 0..dents {
        // Who waits for nobody is in no ring.
        if seen[start] != Seen::No || after(start).is_empty() {
            continue;
        }
        // Depth first: the path, and for each dent on it the next of its `after` to look at.
        let mut path = vec![(start, 0)];
        seen[start] = Seen::OnPath;
        while let Some((d, next)) = path.last_mut() {
            let d = *d;
            let Some(&e) = after(d).get(*next) else {
                seen[d] = Seen::Done;
                path.pop();
                continue;
            };
            *next += 1;
            if e >= dents {
                continue;
            }
            if !worked(e) {
                return Some(vec![d]);
            }
            match seen[e] {
                Seen::OnPath => {
                    let from = path.iter().position(|(x, _)| *x == e).unwrap_or(0);
                    return Some(path[from..].iter().map(|(x, _)| *x).collect());
                }
                Seen::No => {
                    seen[e] = Seen::OnPath;
                    path.push((e, 0));
                }
                Seen::Done => {}
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::ring;

    #[test]
    fn rings_are_found_and_orders_are_not_rings() {
        let chain: [&[usize]; 3] = [&[1], &[2], &[]];
        assert_eq!(ring(3, |d| chain[d], |_| true), None);
        let turn: [&[usize]; 4] = [&[1], &[2], &[1], &[0]];
        assert_eq!(ring(4, |d| turn[d], |_| true), Some(vec![1, 2]));
        assert_eq!(ring(3, |d| chain[d], |d| d != 2), Some(vec![1]));
    }
}
