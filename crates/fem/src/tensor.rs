//! Three by three matrices, symmetric tensors in six components, and eigenvalues.
//!
//! Six components run xx, yy, zz, xy, yz, zx. A stress or a *tensor* strain holds the plain components; an
//! *engineering* strain holds twice the shear components.

/// Three by three matrix, row by row.
pub type Mat3 = [[f64; 3]; 3];
/// Symmetric tensor: xx, yy, zz, xy, yz, zx.
pub type Sym6 = [f64; 6];
/// Six by six matrix, row by row.
pub type Mat6 = [[f64; 6]; 6];

/// Row and column of each of the six components.
pub const PAIRS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];
/// Component number of each row and column.
pub const VOIGT: [[usize; 3]; 3] = [[0, 3, 5], [3, 1, 4], [5, 4, 2]];
/// The unit matrix.
pub const IDENTITY: Mat3 = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// Six components as a full matrix (tensor components, no factor on the shears).
#[must_use]
pub fn full(s: &Sym6) -> Mat3 {
    [[s[0], s[3], s[5]], [s[3], s[1], s[4]], [s[5], s[4], s[2]]]
}

/// Full symmetric matrix as six tensor components.
#[must_use]
pub fn six(m: &Mat3) -> Sym6 {
    [m[0][0], m[1][1], m[2][2], m[0][1], m[1][2], m[2][0]]
}

/// Determinant.
#[must_use]
pub fn det(m: &Mat3) -> f64 {
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
}

/// Inverse with the determinant; `None` for a singular matrix.
#[must_use]
pub fn inverse(m: &Mat3) -> Option<(Mat3, f64)> {
    let d = det(m);
    if !d.is_normal() {
        return None;
    }
    let mut r = [[0.0; 3]; 3];
    for (i, row) in r.iter_mut().enumerate() {
        for (j, v) in row.iter_mut().enumerate() {
            let (a, b) = ((j + 1) % 3, (j + 2) % 3);
            let (c, e) = ((i + 1) % 3, (i + 2) % 3);
            *v = (m[a][c] * m[b][e] - m[a][e] * m[b][c]) / d;
        }
    }
    Some((r, d))
}

/// `aᵀ b`.
#[must_use]
pub fn transpose_times(a: &Mat3, b: &Mat3) -> Mat3 {
    let mut r = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..3 {
            r[i][j] = a[0][i] * b[0][j] + a[1][i] * b[1][j] + a[2][i] * b[2][j];
        }
    }
    r
}

/// `nᵀ m n`: a symmetric tensor seen in the frame whose axes are the columns of `n`.
#[must_use]
pub fn into_frame(m: &Mat3, n: &Mat3) -> Mat3 {
    let mut mn = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..3 {
            mn[i][j] = m[i][0] * n[0][j] + m[i][1] * n[1][j] + m[i][2] * n[2][j];
        }
    }
    transpose_times(n, &mn)
}

/// `n m nᵀ`: the way back from [`into_frame`].
#[must_use]
pub fn out_of_frame(m: &Mat3, n: &Mat3) -> Mat3 {
    let t = [[n[0][0], n[1][0], n[2][0]], [n[0][1], n[1][1], n[2][1]], [n[0][2], n[1][2], n[2][2]]];
    into_frame(m, &t)
}

/// Eigenvalues and eigenvectors (as columns) of a symmetric matrix; repeated eigenvalues do no harm, which in closed forms they
/// do: an undeformed element has three equal ones.
#[must_use]
pub fn eigen(m: &Mat3) -> ([f64; 3], Mat3) {
    let found = nalgebra::Matrix3::from_fn(|i, j| m[i][j]).symmetric_eigen();
    let vectors = std::array::from_fn(|i| std::array::from_fn(|j| found.eigenvectors[(i, j)]));
    (found.eigenvalues.into(), vectors)
}
