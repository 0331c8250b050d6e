//! A rigid frictionless ball against the faces of the wall, by a stiff penalty at the faces' integration points.

use crate::mesh::Mesh;

/// Nodes of a face.
pub const FACE: usize = 8;

/// The ball and how stiffly it presses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// Centre, mm.
    pub centre_mm: [f64; 3],
    /// Radius, mm.
    pub radius_mm: f64,
    /// Pressure for each mm of overlap, N/mm³.
    pub stiffness_n_mm3: f64,
}

/// An integration point of a face.
#[derive(Debug, Clone)]
pub struct FacePoint {
    /// Shape functions of the face's nodes.
    pub shape: [f64; FACE],
    /// Area, mm² (undeformed).
    pub area: f64,
}

/// A face of the wall that may meet the ball.
#[derive(Debug, Clone)]
pub struct Face {
    /// Its nodes.
    pub nodes: [usize; FACE],
    /// Its integration points.
    pub points: Vec<FacePoint>,
}

/// The faces on the inside (`outer = false`) or outside of a structured mesh.
#[must_use]
pub fn faces(mesh: &Mesh, outer: bool) -> Vec<Face> {
    let local: [usize; FACE] = if outer { [4, 5, 6, 7, 12, 13, 14, 15] } else { [0, 1, 2, 3, 8, 9, 10, 11] };
    let zeta = if outer { 1.0 } else { -1.0 };
    let layers = mesh.counts[2];
    let wanted = if outer { layers - 1 } else { 0 };
    let g = 0.6_f64.sqrt();
    let gauss = [(-g, 5.0 / 9.0), (0.0, 8.0 / 9.0), (g, 5.0 / 9.0)];
    mesh.elements
        .iter()
        .enumerate()
        .filter(|(i, _)| i % layers == wanted)
        .map(|(_, element)| {
            let nodes = local.map(|a| element[a]);
            let mut points = Vec::with_capacity(9);
            for (y, wy) in gauss {
                for (x, wx) in gauss {
                    let at = [x, y, zeta];
                    let (n, d) = (crate::element::shape(at), crate::element::shape_gradient(at));
                    let (mut along, mut around) = ([0.0; 3], [0.0; 3]);
                    for &a in &local {
                        for k in 0..3 {
                            along[k] += d[a][0] * mesh.nodes[element[a]][k];
                            around[k] += d[a][1] * mesh.nodes[element[a]][k];
                        }
                    }
                    let normal: [f64; 3] = std::array::from_fn(|k| {
                        let (m, n) = ((k + 1) % 3, (k + 2) % 3);
                        along[m] * around[n] - along[n] * around[m]
                    });
                    let area = normal.iter().map(|v| v * v).sum::<f64>().sqrt();
                    points.push(FacePoint { shape: local.map(|a| n[a]), area: wx * wy * area });
                }
            }
            Face { nodes, points }
        })
        .collect()
}

/// Push of the ball on one face: nodal forces on the wall, and the stiffness (24 by 24, row by row). `None` when clear.
#[must_use]
pub fn push(ball: &Ball, face: &Face, place: &[[f64; 3]; FACE]) -> Option<([f64; 24], Box<[[f64; 24]; 24]>)> {
    let mut force = [0.0; 24];
    let mut matrix = Box::new([[0.0; 24]; 24]);
    let mut touched = false;
    for point in &face.points {
        let mut d = ball.centre_mm.map(|c| -c);
        for (n, p) in point.shape.iter().zip(place) {
            for k in 0..3 {
                d[k] += n * p[k];
            }
        }
        let distance = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
        let overlap = ball.radius_mm - distance;
        if overlap <= 0.0 || distance < 1e-9 * ball.radius_mm {
            continue;
        }
        touched = true;
        let n = d.map(|v| v / distance);
        let k = ball.stiffness_n_mm3 * point.area;
        let side = overlap / distance;
        for a in 0..FACE {
            for i in 0..3 {
                force[3 * a + i] += k * overlap * n[i] * point.shape[a];
                for b in 0..FACE {
                    for j in 0..3 {
                        let same = if i == j { 1.0 } else { 0.0 };
                        matrix[3 * a + i][3 * b + j] += k * point.shape[a] * point.shape[b] * (n[i] * n[j] - side * (same - n[i] * n[j]));
                    }
                }
            }
        }
    }
    touched.then_some((force, matrix))
}
