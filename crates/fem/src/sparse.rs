//! Symmetric sparse matrix with a fixed pattern, factorised by faer.

use crate::Error;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::cholesky::{SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side};

/// Lower triangle, column by column, with its symbolic factorisation.
pub struct Symmetric {
    starts: Vec<usize>,
    rows: Vec<usize>,
    /// Values in the order of the pattern.
    pub values: Vec<f64>,
    symbolic: SymbolicCholesky<usize>,
}

impl Symmetric {
    /// Builds the pattern from cliques of unknowns (one for each element, one for each contact face).
    ///
    /// # Errors
    /// [`Error::Factorisation`] when faer cannot order the matrix.
    pub fn new(size: usize, cliques: impl Iterator<Item = Vec<usize>>) -> Result<Self, Error> {
        let mut columns: Vec<Vec<usize>> = (0..size).map(|i| vec![i]).collect();
        for clique in cliques {
            for &c in &clique {
                columns[c].extend(clique.iter().copied().filter(|&r| r > c));
            }
        }
        let (mut starts, mut rows) = (vec![0], Vec::new());
        for mut column in columns {
            column.sort_unstable();
            column.dedup();
            rows.extend(column);
            starts.push(rows.len());
        }
        let pattern = SymbolicSparseColMatRef::new_checked(size, size, &starts, None, &rows);
        let symbolic = factorize_symbolic_cholesky(pattern, Side::Lower, SymmetricOrdering::Amd, Default::default())
            .map_err(|e| Error::Factorisation(format!("{e:?}")))?;
        let values = vec![0.0; rows.len()];
        Ok(Self { starts, rows, values, symbolic })
    }

    /// Number of unknowns.
    #[must_use]
    pub fn size(&self) -> usize {
        self.starts.len() - 1
    }

    /// Where entry (row, column) of the lower triangle lies in `values`.
    #[must_use]
    pub fn position(&self, row: usize, column: usize) -> Option<usize> {
        let (r, c) = (row.max(column), row.min(column));
        let (from, to) = (self.starts[c], self.starts[c + 1]);
        self.rows[from..to].binary_search(&r).ok().map(|k| from + k)
    }

    /// Adds to an entry of the diagonal.
    pub fn stiffen(&mut self, unknown: usize, by: f64) {
        // Each column of the lower triangle begins with its diagonal.
        self.values[self.starts[unknown]] += by;
    }

    /// Factorises the present values as `LDLᵀ` and solves in place. Negative pivots are allowed: a wall that snaps has them.
    ///
    /// # Errors
    /// [`Error::Factorisation`] on a zero pivot or a result that is not a number.
    pub fn solve(&self, rhs: &mut [f64]) -> Result<(), Error> {
        let n = self.size();
        let pattern = SymbolicSparseColMatRef::new_checked(n, n, &self.starts, None, &self.rows);
        let matrix = SparseColMatRef::new(pattern, &self.values);
        let mut l = vec![0.0; self.symbolic.len_val()];
        let scratch = self.symbolic.factorize_numeric_ldlt_scratch::<f64>(Par::Seq, Default::default());
        let mut memory = MemBuffer::new(scratch);
        let factor = self
            .symbolic
            .factorize_numeric_ldlt(
                &mut l,
                matrix,
                Side::Lower,
                Default::default(),
                Par::Seq,
                MemStack::new(&mut memory),
                Default::default(),
            )
            .map_err(|e| Error::Factorisation(format!("{e:?}")))?;
        let mut memory = MemBuffer::new(factor.solve_in_place_scratch::<f64>(1, Par::Seq));
        factor.solve_in_place_with_conj(Conj::No, MatMut::from_column_major_slice_mut(rhs, n, 1), Par::Seq, MemStack::new(&mut memory));
        if rhs.iter().all(|v| v.is_finite()) { Ok(()) } else { Err(Error::Factorisation("zero pivot".into())) }
    }
}
