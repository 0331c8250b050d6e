//! Structured meshes of twenty-node bricks: a block, and a piece of tube.

use crate::element::{LOCAL, NODES};

/// Nodes and elements.
#[derive(Debug, Clone)]
pub struct Mesh {
    /// Undeformed positions, mm.
    pub nodes: Vec<[f64; 3]>,
    /// Node numbers of each element, in the order of [`crate::element::LOCAL`].
    pub elements: Vec<[usize; NODES]>,
    /// Position of each node in the lattice of half elements: along ξ, η, ζ.
    pub lattice: Vec<[usize; 3]>,
    /// Elements along ξ, η, ζ.
    pub counts: [usize; 3],
}

impl Mesh {
    /// A lattice of `counts` elements, whose corner lines stand at `cuts` (one more than the count in each direction)
    /// and whose nodes `place` puts in space.
    #[must_use]
    pub fn structured(cuts: [&[f64]; 3], place: impl Fn([f64; 3]) -> [f64; 3]) -> Self {
        let counts: [usize; 3] = std::array::from_fn(|k| cuts[k].len() - 1);
        let at = |k: usize, i: usize| if i % 2 == 0 { cuts[k][i / 2] } else { 0.5 * (cuts[k][i / 2] + cuts[k][i / 2 + 1]) };
        let size: [usize; 3] = std::array::from_fn(|k| 2 * counts[k] + 1);
        let mut number = vec![usize::MAX; size[0] * size[1] * size[2]];
        let index = |p: [usize; 3]| (p[0] * size[1] + p[1]) * size[2] + p[2];
        let (mut nodes, mut lattice) = (Vec::new(), Vec::new());
        for i in 0..size[0] {
            for j in 0..size[1] {
                for k in 0..size[2] {
                    // A serendipity brick has corners and edge middles only.
                    if i % 2 + j % 2 + k % 2 <= 1 {
                        number[index([i, j, k])] = nodes.len();
                        nodes.push(place([at(0, i), at(1, j), at(2, k)]));
                        lattice.push([i, j, k]);
                    }
                }
            }
        }
        let mut elements = Vec::with_capacity(counts[0] * counts[1] * counts[2]);
        for i in 0..counts[0] {
            for j in 0..counts[1] {
                for k in 0..counts[2] {
                    elements.push(std::array::from_fn(|a| {
                        let p = [i, j, k];
                        // Local −1, 0, 1 become 0, 1, 2 half elements.
                        number[index(std::array::from_fn(|d| 2 * p[d] + (LOCAL[a][d] + 1.0) as usize))]
                    }));
                }
            }
        }
        Self { nodes, elements, lattice, counts }
    }

    /// A block with one corner at the origin.
    #[must_use]
    pub fn block(size_mm: [f64; 3], counts: [usize; 3]) -> Self {
        let cuts: [Vec<f64>; 3] = std::array::from_fn(|k| (0..=counts[k]).map(|i| size_mm[k] * i as f64 / counts[k] as f64).collect());
        Self::structured([&cuts[0], &cuts[1], &cuts[2]], |p| p)
    }

    /// Half a tube round (clock 0 at +y to π at −y, x ≥ 0), from z = 0 to the end of `z_cuts_mm`.
    #[must_use]
    pub fn half_tube(mean_radius_mm: f64, wall_mm: f64, z_cuts_mm: &[f64], clock_cuts: &[f64], layers: usize) -> Self {
        let r: Vec<f64> = (0..=layers).map(|i| mean_radius_mm + wall_mm * (i as f64 / layers as f64 - 0.5)).collect();
        Self::structured([z_cuts_mm, clock_cuts, &r], |[z, clock, r]| [r * clock.sin(), r * clock.cos(), z])
    }

    /// Nodes whose place in the lattice satisfies `pick`.
    pub fn select<'a>(&'a self, pick: impl Fn([usize; 3]) -> bool + 'a) -> impl Iterator<Item = usize> + 'a {
        self.lattice.iter().enumerate().filter(move |(_, p)| pick(**p)).map(|(i, _)| i)
    }
}

/// Cuts from 0 to `end` in `count` elements that grow geometrically, the first of size `first` (or evenly, if `first`
/// is no smaller than the even size).
#[must_use]
pub fn graded(end: f64, count: usize, first: f64) -> Vec<f64> {
    let even = end / count as f64;
    let (mut lo, mut hi) = (1.0_f64, 10.0_f64);
    if first < even {
        for _ in 0..200 {
            let q = 0.5 * (lo + hi);
            let sum = first * (q.powi(count as i32) - 1.0) / (q - 1.0);
            if sum > end { hi = q } else { lo = q }
        }
    }
    let q = if first < even { 0.5 * (lo + hi) } else { 1.0 };
    let mut at = 0.0;
    let mut step = 1.0;
    let mut cuts = vec![0.0];
    for _ in 0..count {
        at += step;
        step *= q;
        cuts.push(at);
    }
    cuts.iter().map(|c| c * end / at).collect()
}
