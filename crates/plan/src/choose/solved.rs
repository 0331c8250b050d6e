//! Parts of choices that were solved, kept by all that they are made of: another level of the work, the search for alternatives and
//! the next decision ask many of them again.

use super::found::Found;
use super::presolve::Part;
use crate::kept::Kept;

/// Parts by their numbers, in bits; with each answer how many choices it was allowed to look at.
#[derive(Debug, Default)]
pub struct Solved(Kept<Vec<u64>, (u64, Found)>);

impl Solved {
    /// What was found for the same part under the same cut, or what `solve` finds. Where the search was stopped, or would be,
    /// what it was allowed decides too: then it is asked anew.
    pub(super) fn part(&self, part: &Part, most: u64, cut: f64, solve: impl FnOnce() -> Found) -> Found {
        let key = key(part, cut);
        if let Some((allowed, found)) = self.0.find(&key)
            && found.nodes < allowed.min(most)
        {
            return found;
        }
        let found = solve();
        self.0.keep(key, (most, found.clone()));
        found
    }
}

/// All that decides what is found: not the places of its dents and methods in the whole.
fn key(part: &Part, cut: f64) -> Vec<u64> {
    let mut key = vec![cut.to_bits(), part.items.len() as u64, part.methods.len() as u64];
    key.extend(part.items.iter().map(|c| c.to_bits()));
    for methods in &part.methods {
        key.push(methods.len() as u64);
        for m in methods {
            key.extend([m.cost.to_bits(), u64::from(m.works), m.items.len() as u64, m.after.len() as u64]);
            key.extend(m.items.iter().chain(&m.after).map(|x| *x as u64));
        }
    }
    key
}
