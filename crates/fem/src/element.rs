//! The twenty-node brick: shape functions, integration rule, internal force and stiffness.
//!
//! Node order is that of the open input format of CalculiX's element C3D20R: four corners below, four above, then
//! the middles of the edges below, above, and upright. Local axes ξ along the tube, η around, ζ through the wall.

use crate::Error;
use crate::log_strain;
use crate::material::{History, Metal};
use crate::tensor::{Mat3, VOIGT, inverse};

/// Nodes of an element.
pub const NODES: usize = 20;
/// Degrees of freedom of an element.
pub const DOFS: usize = 60;

/// Local coordinates of the nodes.
pub const LOCAL: [[f64; 3]; NODES] = [
    [-1.0, -1.0, -1.0],
    [1.0, -1.0, -1.0],
    [1.0, 1.0, -1.0],
    [-1.0, 1.0, -1.0],
    [-1.0, -1.0, 1.0],
    [1.0, -1.0, 1.0],
    [1.0, 1.0, 1.0],
    [-1.0, 1.0, 1.0],
    [0.0, -1.0, -1.0],
    [1.0, 0.0, -1.0],
    [0.0, 1.0, -1.0],
    [-1.0, 0.0, -1.0],
    [0.0, -1.0, 1.0],
    [1.0, 0.0, 1.0],
    [0.0, 1.0, 1.0],
    [-1.0, 0.0, 1.0],
    [-1.0, -1.0, 0.0],
    [1.0, -1.0, 0.0],
    [1.0, 1.0, 0.0],
    [-1.0, 1.0, 0.0],
];

/// Shape functions at a local point.
#[must_use]
pub fn shape(x: [f64; 3]) -> [f64; NODES] {
    std::array::from_fn(|a| {
        let p = LOCAL[a];
        let l: [f64; 3] = std::array::from_fn(|k| 1.0 + x[k] * p[k]);
        match p.iter().position(|v| *v == 0.0) {
            None => 0.125 * l[0] * l[1] * l[2] * (l[0] + l[1] + l[2] - 5.0),
            Some(k) => {
                let (m, n) = ((k + 1) % 3, (k + 2) % 3);
                0.25 * (1.0 - x[k] * x[k]) * l[m] * l[n]
            }
        }
    })
}

/// Derivatives of the shape functions to the local coordinates.
#[must_use]
pub fn shape_gradient(x: [f64; 3]) -> [[f64; 3]; NODES] {
    std::array::from_fn(|a| {
        let p = LOCAL[a];
        let l: [f64; 3] = std::array::from_fn(|k| 1.0 + x[k] * p[k]);
        let sum = l[0] + l[1] + l[2] - 5.0;
        match p.iter().position(|v| *v == 0.0) {
            None => std::array::from_fn(|k| {
                let (m, n) = ((k + 1) % 3, (k + 2) % 3);
                0.125 * p[k] * l[m] * l[n] * (sum + l[k])
            }),
            Some(k) => {
                let (m, n) = ((k + 1) % 3, (k + 2) % 3);
                let bubble = 1.0 - x[k] * x[k];
                let mut g = [0.0; 3];
                g[k] = -0.5 * x[k] * l[m] * l[n];
                g[m] = 0.25 * bubble * p[m] * l[n];
                g[n] = 0.25 * bubble * l[m] * p[n];
                g
            }
        }
    })
}

/// Integration points with weights: two by two in the plane of the wall, `sub_layers` pairs through it.
///
/// One pair is the reduced rule of C3D20R. Two pairs in one element give the plastic limit moment of a bent wall
/// exactly (one pair is 15 % too strong: 1/(2√3) against 1/4), and are what a stack of two C3D20R has.
#[must_use]
pub fn rule(sub_layers: usize) -> Vec<([f64; 3], f64)> {
    let g = 1.0 / 3.0_f64.sqrt();
    let half = 1.0 / sub_layers as f64;
    let mut points = Vec::with_capacity(8 * sub_layers);
    for layer in 0..sub_layers {
        let middle = -1.0 + half * (2 * layer + 1) as f64;
        for z in [middle - g * half, middle + g * half] {
            for y in [-g, g] {
                for x in [-g, g] {
                    points.push(([x, y, z], half));
                }
            }
        }
    }
    points
}

/// What an element keeps of an integration point: gradients in the undeformed body and the volume it stands for.
#[derive(Debug, Clone)]
pub struct Site {
    /// ∂N/∂X of each node, 1/mm.
    pub gradient: [[f64; 3]; NODES],
    /// Volume, mm³.
    pub volume: f64,
}

/// Prepares the integration points of one element from its undeformed nodes.
///
/// # Errors
/// [`Error::Inverted`] where the element is turned inside out before any load.
pub fn sites(nodes: &[[f64; 3]; NODES], rule: &[([f64; 3], f64)]) -> Result<Vec<Site>, Error> {
    rule.iter()
        .map(|&(x, weight)| {
            let local = shape_gradient(x);
            let mut j: Mat3 = [[0.0; 3]; 3];
            for (g, p) in local.iter().zip(nodes) {
                for r in 0..3 {
                    for c in 0..3 {
                        j[r][c] += p[r] * g[c];
                    }
                }
            }
            let (inv, d) = inverse(&j).ok_or(Error::Inverted)?;
            if d <= 0.0 {
                return Err(Error::Inverted);
            }
            let gradient = std::array::from_fn(|a| std::array::from_fn(|c| (0..3).map(|k| local[a][k] * inv[k][c]).sum()));
            Ok(Site { gradient, volume: weight * d })
        })
        .collect()
}

/// Internal force and stiffness of an element.
#[derive(Debug, Clone)]
pub struct Stiffness {
    /// Internal force, N.
    pub force: [f64; DOFS],
    /// Stiffness, N/mm; the upper triangle (`column ≥ row`) is filled, row by row.
    pub matrix: Box<[[f64; DOFS]; DOFS]>,
}

impl Default for Stiffness {
    fn default() -> Self {
        Self { force: [0.0; DOFS], matrix: Box::new([[0.0; DOFS]; DOFS]) }
    }
}

/// Deformation gradient of an integration point at the nodes' displacements.
#[must_use]
pub fn deformation(site: &Site, u: &[[f64; 3]; NODES]) -> Mat3 {
    let mut f = crate::tensor::IDENTITY;
    for (u, g) in u.iter().zip(&site.gradient) {
        for i in 0..3 {
            for k in 0..3 {
                f[i][k] += u[i] * g[k];
            }
        }
    }
    f
}

/// Adds up one element at displacement `u`; writes the new memory of its points.
///
/// Source: total Lagrangian formulation, Bathe, Finite Element Procedures, ch. 6 (from memory).
///
/// # Errors
/// [`Error::Inverted`] from the metal.
pub fn integrate(
    metal: &Metal,
    sites: &[Site],
    u: &[[f64; 3]; NODES],
    old: &[History],
    new: &mut [History],
    out: &mut Stiffness,
) -> Result<(), Error> {
    out.force = [0.0; DOFS];
    for row in out.matrix.iter_mut() {
        *row = [0.0; DOFS];
    }
    let mut turned = [[0.0; DOFS]; 9];
    for ((site, old), new) in sites.iter().zip(old).zip(new) {
        let g = &site.gradient;
        let f = deformation(site, u);
        let p = log_strain::respond(metal, &f, old)?;
        *new = p.history;
        let w = site.volume;
        let stress = crate::tensor::full(&p.stress);
        // First Piola–Kirchhoff stress P = F S, and its derivative to F: A_iJkL = F_iI C_IJKL F_kK + δ_ik S_JL; the force of node a is
        // P·∇N_a and the stiffness ∇N_a·A·∇N_b. Half the work of B'DB.
        let mut pk: Mat3 = [[0.0; 3]; 3];
        for i in 0..3 {
            for j in 0..3 {
                pk[i][j] = w * (f[i][0] * stress[0][j] + f[i][1] * stress[1][j] + f[i][2] * stress[2][j]);
            }
        }
        for (a, [gx, gy, gz]) in g.iter().enumerate() {
            for i in 0..3 {
                out.force[3 * a + i] += pk[i][0] * gx + pk[i][1] * gy + pk[i][2] * gz;
            }
        }
        // half[m][k][l] = C_m(L,K) F_kK: the tangent's second pair turned by F.
        let mut half = [[[0.0; 3]; 3]; 6];
        for m in 0..6 {
            for k in 0..3 {
                for l in 0..3 {
                    half[m][k][l] = (0..3).map(|n| p.tangent[m][VOIGT[n][l]] * f[k][n]).sum::<f64>() * w;
                }
            }
        }
        // Row (i, J), column (k, L).
        let mut modulus = [[0.0; 9]; 9];
        for i in 0..3 {
            for j in 0..3 {
                for k in 0..3 {
                    for l in 0..3 {
                        let geometric = if i == k { w * stress[j][l] } else { 0.0 };
                        modulus[3 * i + j][3 * k + l] = geometric + (0..3).map(|n| f[i][n] * half[VOIGT[n][j]][k][l]).sum::<f64>();
                    }
                }
            }
        }
        // turned[iJ][3 b + k] = A_iJkL ∂N_b/∂X_L.
        for (row, m) in turned.iter_mut().zip(&modulus) {
            for (c, [gx, gy, gz]) in row.chunks_exact_mut(3).zip(g) {
                for k in 0..3 {
                    c[k] = m[3 * k] * gx + m[3 * k + 1] * gy + m[3 * k + 2] * gz;
                }
            }
        }
        for (a, [gx, gy, gz]) in g.iter().enumerate() {
            for i in 0..3 {
                let r = 3 * a + i;
                let (x, y, z) = (&turned[3 * i], &turned[3 * i + 1], &turned[3 * i + 2]);
                let row = &mut out.matrix[r][r..];
                for (((v, x), y), z) in row.iter_mut().zip(&x[r..]).zip(&y[r..]).zip(&z[r..]) {
                    *v += gx * x + gy * y + gz * z;
                }
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_functions_sum_to_one_and_gradients_are_their_derivatives() {
        let x = [0.3, -0.6, 0.2];
        assert!((shape(x).iter().sum::<f64>() - 1.0).abs() < 1e-14);
        let g = shape_gradient(x);
        for k in 0..3 {
            let (mut up, mut down) = (x, x);
            up[k] += 1e-6;
            down[k] -= 1e-6;
            let (su, sd) = (shape(up), shape(down));
            for a in 0..NODES {
                assert!(((su[a] - sd[a]) / 2e-6 - g[a][k]).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn two_pairs_give_the_limit_moment_exactly() {
        // Fully plastic wall: M₀ = ∫|z| dz over −½..½ = 1/4 (with σ₀ = t = 1).
        let moment = |layers| rule(layers).iter().map(|(x, w)| x[2].abs() * 0.5 * w * 0.5 / 4.0).sum::<f64>();
        assert!((moment(2) - 0.25).abs() < 1e-14);
        assert!((moment(1) - 0.5 / 3f64.sqrt()).abs() < 1e-14);
    }
}
