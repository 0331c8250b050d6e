//! CycleCuts of dents that wait for each other, as the bound knows them: not all of their members may wait.
//!
//! They are collected as the search runs into them, and hold everywhere in it. Source: cycle cuts of the linear ordering
//! polytope (from memory: Grötschel, Jünger & Reinelt, Operations Research 32 (1984)).

use super::cycle;
use super::presolve::{Part, SmallMethod};
use super::table::Table;

/// CycleCuts kept at most; beyond that the search breaks them one by one.
const MOST_CUTS: usize = 256;

/// A ring: of its members one at least takes a method that is not listed.
#[derive(Debug, PartialEq)]
pub struct CycleCut {
    /// Each member, and its methods (in the table's numbers) that close its part of the ring.
    pub members: Vec<(usize, Vec<usize>)>,
}

impl CycleCut {
    /// How many members may take a listed method.
    pub fn most(&self) -> f64 {
        self.members.len() as f64 - 1.0
    }

    /// All listed methods.
    pub fn methods(&self) -> impl Iterator<Item = usize> + '_ {
        self.members.iter().flat_map(|m| m.1.iter().copied())
    }
}

/// The rings known so far.
#[derive(Debug, Default)]
pub struct CycleCuts(Vec<CycleCut>);

impl CycleCuts {
    /// All of them.
    pub fn all(&self) -> &[CycleCut] {
        &self.0
    }

    /// The number of the ring that a choice runs into, where there is one that is not known yet; it is then.
    pub fn meet(&mut self, table: &Table, part: &Part, method: impl Fn(usize) -> usize) -> Option<usize> {
        if self.0.len() >= MOST_CUTS {
            return None;
        }
        let pick = |d: usize| &part.methods[d][method(d) - table.first[d]];
        let ring =
            pair(table.dents(), |d| &pick(d).after).or_else(|| cycle::ring(table.dents(), |d| &pick(d).after[..], |d| pick(d).works))?;
        let listed = |d: usize, closes: &dyn Fn(&SmallMethod) -> bool| {
            (d, (0..part.methods[d].len()).filter(|w| closes(&part.methods[d][*w])).map(|w| table.first[d] + w).collect())
        };
        let two = match ring[..] {
            [d] => Some((d, pick(d).after.iter().copied().find(|e| !pick(*e).works)?)),
            [d, e] => Some((d, e)),
            _ => None,
        };
        let members = match two {
            // Who waits for another waits for one that is worked, and that does not wait for him.
            Some((d, e)) => vec![listed(d, &|w| w.after.contains(&e)), listed(e, &|w| w.after.contains(&d) || !w.works)],
            None => (0..ring.len()).map(|i| listed(ring[i], &|w| w.after.contains(&ring[(i + 1) % ring.len()]))).collect(),
        };
        let ring = CycleCut { members };
        if self.0.contains(&ring) {
            return None;
        }
        self.0.push(ring);
        Some(self.0.len() - 1)
    }
}

/// Two dents that wait for each other: the shortest rings bound best.
fn pair<'a>(dents: usize, after: impl Fn(usize) -> &'a [usize]) -> Option<Vec<usize>> {
    (0..dents).find_map(|d| after(d).iter().find(|e| after(**e).contains(&d)).map(|e| vec![d, *e]))
}
