//! Symmetric matrix in the envelope of its rows, factorised as `LDLᵀ`.
//!
//! Envelope method (Jennings, The Computer Journal 9, 1966; George & Liu, Computer Solution of Large Sparse Positive Definite Systems,
//! 1981, chapter 4; both from memory): between the first entry of a row and its diagonal all is kept, for that is where the factor fills
//! in. A piece of tube is a strip of a dozen elements across, numbered along its length ([`crate::model`]), so an order that fills in
//! less would gain little. Rows go in blocks of four, so that what is loaded is used four times.

use crate::Error;

/// Rows of a block.
const B: usize = 4;

/// One column of a block.
type Four = [f64; B];

/// The columns of a block that belong to the rows of one other.
type Tile = [Four; B];

/// Lower triangle, block of rows by block of rows: of each block the columns from its first one to its diagonal, `B` values a column.
pub struct Symmetric {
    size: usize,
    /// First column of each block, a multiple of `B`.
    first: Vec<usize>,
    /// Where each block begins in `values`, and where the last one ends.
    starts: Vec<usize>,
    /// Values of the envelope, column by column of each block.
    values: Vec<Four>,
}

impl Symmetric {
    /// Builds the envelope from cliques of unknowns (one for each element).
    pub fn new(size: usize, cliques: impl Iterator<Item = Vec<usize>>) -> Self {
        let mut first: Vec<usize> = (0..size.div_ceil(B)).map(|b| b * B).collect();
        for clique in cliques {
            let low = clique.iter().min().map_or(0, |l| l / B * B);
            for row in clique {
                first[row / B] = first[row / B].min(low);
            }
        }
        let mut starts = vec![0];
        for (b, f) in first.iter().enumerate() {
            starts.push(starts[b] + (b + 1) * B - f);
        }
        let values = vec![[0.0; B]; starts[first.len()]];
        Self { size, first, starts, values }
    }

    /// Number of unknowns.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size
    }

    /// Where entry (row, column), or its twin in the lower triangle, lies among the values; none outside the envelope.
    #[must_use]
    pub fn position(&self, row: usize, column: usize) -> Option<usize> {
        let (r, c) = (row.max(column), row.min(column));
        let first = self.first[r / B];
        (c >= first).then(|| (self.starts[r / B] + c - first) * B + r % B)
    }

    /// Adds to the entry at a [`Self::position`].
    #[inline]
    pub fn add(&mut self, position: usize, by: f64) {
        self.values[position / B][position % B] += by;
    }

    /// Makes all entries zero.
    pub fn clear(&mut self) {
        self.values.fill([0.0; B]);
    }

    /// Adds to an entry of the diagonal.
    pub fn stiffen(&mut self, unknown: usize, by: f64) {
        if let Some(p) = self.position(unknown, unknown) {
            self.add(p, by);
        }
    }

    /// Factorises the present values as `LDLᵀ` and solves in place. Negative pivots are allowed: a wall that snaps has them.
    ///
    /// # Errors
    /// [`Error::Factorisation`] on a zero pivot or a result that is not a number.
    pub fn solve(&self, rhs: &mut [f64]) -> Result<(), Error> {
        let (l, pivots) = self.factors();
        let mut x = rhs.to_vec();
        x.resize(pivots.len(), 0.0);
        for (b, &from) in self.first.iter().enumerate() {
            let columns = &l[self.starts[b]..self.starts[b + 1]];
            let (done, own) = x.split_at_mut(b * B);
            let mut sums = [0.0; B];
            for (column, y) in columns.iter().zip(&done[from..]) {
                for r in 0..B {
                    sums[r] += column[r] * y;
                }
            }
            for c in 0..B {
                own[c] -= sums[c];
                for r in c + 1..B {
                    sums[r] += columns[columns.len() - B + c][r] * own[c];
                }
            }
        }
        for (v, d) in x.iter_mut().zip(&pivots) {
            *v /= d;
        }
        for (b, &from) in self.first.iter().enumerate().rev() {
            let columns = &l[self.starts[b]..self.starts[b + 1]];
            let (before, own) = x.split_at_mut(b * B);
            for c in (0..B).rev() {
                for r in c + 1..B {
                    own[c] -= columns[columns.len() - B + c][r] * own[r];
                }
            }
            let own: Four = std::array::from_fn(|r| own[r]);
            for (column, y) in columns.iter().zip(&mut before[from..]) {
                *y -= column[0] * own[0] + column[1] * own[1] + column[2] * own[2] + column[3] * own[3];
            }
        }
        rhs.copy_from_slice(&x[..self.size]);
        if rhs.iter().all(|v| v.is_finite()) { Ok(()) } else { Err(Error::Factorisation("zero pivot".into())) }
    }

    /// The factor in the places of the values (of the tile on the diagonal what lies below it counts), and the pivots.
    fn factors(&self) -> (Vec<Four>, Vec<f64>) {
        let mut l = self.values.clone();
        let mut pivots: Vec<f64> = Vec::with_capacity(self.first.len() * B);
        let mut scaled: Vec<Four> = Vec::new();
        for (b, &from) in self.first.iter().enumerate() {
            let (done, own) = l.split_at_mut(self.starts[b]);
            let own = &mut own[..self.starts[b + 1] - self.starts[b]];
            // Columns of L·D first, as the sums for the columns after them need them.
            for j in from / B..b {
                let start = from.max(self.first[j]);
                let beside = &done[self.starts[j] + start - self.first[j]..self.starts[j + 1]];
                let (before, tile) = own.split_at_mut(j * B - from);
                let mut tile: Tile = std::array::from_fn(|c| tile[c]);
                let (beside, corner) = beside.split_at(beside.len() - B);
                less_products(&mut tile, &before[start - from..], beside);
                for c in 1..B {
                    for k in 0..c {
                        for r in 0..B {
                            tile[c][r] -= tile[k][r] * corner[k][c];
                        }
                    }
                }
                own[j * B - from..j * B - from + B].copy_from_slice(&tile);
            }
            let (before, tile) = own.split_at_mut(b * B - from);
            // Of L·D both are wanted, with D and without.
            scaled.clear();
            scaled.extend_from_slice(before);
            for (column, d) in before.iter_mut().zip(&pivots[from..]) {
                *column = column.map(|v| v / d);
            }
            let mut last: Tile = std::array::from_fn(|c| tile[c]);
            less_products(&mut last, &scaled, before);
            for c in 0..B {
                // What fills the last block up stands for no unknown.
                let pivot = if b * B + c < self.size { last[c][c] } else { 1.0 };
                pivots.push(pivot);
                let below: Four = std::array::from_fn(|r| if r > c { last[c][r] / pivot } else { 0.0 });
                for k in c + 1..B {
                    for r in k..B {
                        last[k][r] -= below[r] * last[c][k];
                    }
                }
                tile[c] = below;
            }
        }
        (l, pivots)
    }
}

/// Takes from a tile the products of the columns of two blocks: from entry `[c][r]` those of row `r` of the first with row `c` of the
/// second.
fn less_products(tile: &mut Tile, a: &[Four], b: &[Four]) {
    let mut sums = *tile;
    let count = a.len().min(b.len());
    let (a, b) = (&a[..count], &b[..count]);
    for k in 0..count {
        for c in 0..B {
            for r in 0..B {
                sums[c][r] -= a[k][r] * b[k][c];
            }
        }
    }
    *tile = sums;
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    /// Against nalgebra's dense LU with pivoting: matrices of random cliques, with pivots of both signs, of every size modulo the block.
    #[test]
    fn solves_as_a_dense_matrix() {
        let mut seed = 1_u64;
        let mut dice = move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as f64 / f64::from(1_u32 << 31)
        };
        for size in [1, 3, 4, 5, 30, 31, 32, 33, 90] {
            let cliques: Vec<Vec<usize>> = (0..size)
                .map(|i| {
                    let near = (0..4).map(|_| (i + (dice() * 11.0) as usize).min(size - 1));
                    let mut all: Vec<usize> = near.chain([i]).collect();
                    all.sort_unstable();
                    all.dedup();
                    all
                })
                .collect();
            let mut sparse = Symmetric::new(size, cliques.iter().cloned());
            let mut dense = DMatrix::<f64>::zeros(size, size);
            for clique in &cliques {
                for &r in clique {
                    for &c in clique.iter().filter(|c| **c <= r) {
                        let v = if r == c { if r % 3 == 0 { -9.0 } else { 9.0 } } else { dice() - 0.5 };
                        let at = sparse.position(c, r).unwrap();
                        sparse.add(at, v);
                        dense[(r, c)] += v;
                        if r != c {
                            dense[(c, r)] += v;
                        }
                    }
                }
            }
            let rhs: Vec<f64> = (0..size).map(|_| dice() - 0.5).collect();
            let mut got = rhs.clone();
            sparse.solve(&mut got).unwrap();
            let wanted = dense.lu().solve(&DVector::from_vec(rhs)).unwrap();
            for (g, w) in got.iter().zip(wanted.iter()) {
                assert!((g - w).abs() < 1e-9 * (1.0 + w.abs()), "{size}: {g} {w}");
            }
        }
    }

    #[test]
    fn a_zero_pivot_is_said() {
        let empty = Symmetric::new(5, std::iter::once(vec![0, 1, 2, 3, 4]));
        assert!(empty.solve(&mut [1.0; 5]).is_err());
    }
}
