//! Cuts a choice into pieces that share nothing, so that a question about one piece does not ask the others again.

use super::problem::Problem;

/// A piece with the places of its dents and openables in the whole.
#[derive(Clone, Debug)]
pub struct Component {
    /// The piece.
    pub problem: Problem,
    /// Its dents.
    pub dents: Vec<usize>,
    /// Its openables.
    pub openables: Vec<usize>,
}

impl Problem {
    /// Its pieces; openables that nobody wants and dents without methods are in none.
    pub fn components(&self) -> Vec<Component> {
        let (n, closed) = (self.dents.len(), self.closures());
        let mut root: Vec<usize> = (0..n + self.openables.len()).collect();
        fn find(root: &mut [usize], mut i: usize) -> usize {
            while root[i] != i {
                root[i] = root[root[i]];
                i = root[i];
            }
            i
        }
        for (d, methods) in self.dents.iter().enumerate() {
            for w in methods {
                let opens = w.opens.iter().filter_map(|o| closed.get(*o)).flatten().map(|o| n + o);
                for x in opens.chain(w.after.iter().copied().filter(|a| *a < n)) {
                    let (a, b) = (find(&mut root, d), find(&mut root, x));
                    root[a] = b;
                }
            }
        }
        let mut place: Vec<Option<usize>> = vec![None; root.len()];
        let mut pieces: Vec<Component> = Vec::new();
        for d in (0..n).filter(|d| !self.dents[*d].is_empty()) {
            let r = find(&mut root, d);
            let p = *place[r].get_or_insert_with(|| {
                pieces.push(Component { problem: Problem::default(), dents: vec![], openables: vec![] });
                pieces.len() - 1
            });
            pieces[p].dents.push(d);
        }
        for o in 0..self.openables.len() {
            if let Some(p) = place[find(&mut root, n + o)] {
                pieces[p].openables.push(o);
            }
        }
        for piece in &mut pieces {
            let of = |all: &[usize], x: usize| all.binary_search(&x).ok();
            let openables = piece.openables.iter().map(|o| {
                let mut open = self.openables[*o].clone();
                open.requires = open.requires.iter().filter_map(|r| of(&piece.openables, *r)).collect();
                open
            });
            piece.problem.openables = openables.collect();
            piece.problem.dents = piece
                .dents
                .iter()
                .map(|d| {
                    self.dents[*d]
                        .iter()
                        .map(|w| {
                            let mut w = w.clone();
                            w.opens = w.opens.iter().filter_map(|o| of(&piece.openables, *o)).collect();
                            // A dent without methods never clears the way; it is in no piece, so the method that waits falls.
                            if w.after.iter().any(|a| of(&piece.dents, *a).is_none()) {
                                w.cost = f64::INFINITY;
                            }
                            w.after = w.after.iter().filter_map(|a| of(&piece.dents, *a)).collect();
                            w
                        })
                        .collect()
                })
                .collect();
        }
        pieces
    }
}
