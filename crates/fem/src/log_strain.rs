//! Large strain: from the deformation gradient to the second Piola–Kirchhoff stress and its tangent, by way of the
//! logarithmic strain `½ ln C`.
//!
//! Source: Miehe, Apel & Lambrecht, Comput. Methods Appl. Mech. Engrg. 191 (2002) (from memory). The derivatives of
//! the tensor logarithm are written with divided differences (Daleckii & Krein; Higham, Functions of Matrices, from
//! memory), which need no case distinction for equal eigenvalues.

use crate::Error;
use crate::material::{History, Metal};
use crate::tensor::{Mat3, Mat6, PAIRS, Sym6, VOIGT, eigen, full, into_frame, out_of_frame, six, transpose_times};

/// Stress and tangent at an integration point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Second Piola–Kirchhoff stress, N/mm².
    pub stress: Sym6,
    /// Its derivative to the engineering Green strain, N/mm².
    pub tangent: Mat6,
    /// The new memory.
    pub history: History,
}

/// First divided difference of `½ ln x`.
fn first(a: f64, b: f64) -> f64 {
    let r = (a - b) / (a + b);
    let r2 = r * r;
    // ln(a/b) = 2 atanh r; the series avoids 0/0.
    let ratio = if r2 < 1e-4 { 1.0 + r2 * (1.0 / 3.0 + r2 * (0.2 + r2 / 7.0)) } else { r.atanh() / r };
    ratio / (a + b)
}

/// Second divided difference of `½ ln x`.
fn second(a: f64, b: f64, c: f64) -> f64 {
    let (mut x, mut z) = (a.min(b).min(c), a.max(b).max(c));
    let y = a + b + c - x - z;
    if z - x > 1e-3 * z {
        return (first(x, y) - first(y, z)) / (x - z);
    }
    // Taylor about the mean m: f''/2 + f''''/24 · h₂(deviations); the third-order term is below 1e-9 here.
    let m = (a + b + c) / 3.0;
    x -= m;
    z -= m;
    let w = y - m;
    let h2 = x * x + w * w + z * z + x * w + w * z + x * z;
    -0.25 / (m * m) - 0.125 / (m * m * m * m) * h2
}

/// Logarithmic strain ½ ln C at deformation gradient `f`, tensor components.
///
/// # Errors
/// [`Error::Inverted`] where the metal is turned inside out or squeezed beyond sense.
pub fn strain(f: &Mat3) -> Result<Sym6, Error> {
    let (l, n) = stretches(f)?;
    Ok(six(&out_of_frame(&logarithms(&l), &n)))
}

/// Eigenvalues of C and their directions.
fn stretches(f: &Mat3) -> Result<([f64; 3], Mat3), Error> {
    let (l, n) = eigen(&transpose_times(f, f));
    if l.iter().any(|v| !(1e-2..1e2).contains(v)) || crate::tensor::det(f) <= 0.0 {
        return Err(Error::Inverted);
    }
    Ok((l, n))
}

fn logarithms(l: &[f64; 3]) -> Mat3 {
    let mut e = [[0.0; 3]; 3];
    for i in 0..3 {
        e[i][i] = 0.5 * l[i].ln();
    }
    e
}

/// Stress, tangent and new memory at deformation gradient `f`.
///
/// # Errors
/// [`Error::Inverted`] where the metal is turned inside out or squeezed beyond sense.
pub fn respond(metal: &Metal, f: &Mat3, old: &History) -> Result<Point, Error> {
    let (l, n) = stretches(f)?;
    let r = metal.respond(&six(&out_of_frame(&logarithms(&l), &n)), old);
    let t = into_frame(&full(&r.stress), &n);
    let direction = six(&into_frame(&full(&r.direction), &n));
    let mut s = [[0.0; 3]; 3];
    let mut p = [0.0; 6];
    for (k, &(i, j)) in PAIRS.iter().enumerate() {
        p[k] = 2.0 * first(l[i], l[j]);
        s[i][j] = p[k] * t[i][j];
        s[j][i] = s[i][j];
    }
    let mut d = r.tangent(&direction);
    for (i, row) in d.iter_mut().enumerate() {
        for (j, v) in row.iter_mut().enumerate() {
            *v *= p[i] * p[j];
        }
    }
    for i in 0..3 {
        for j in 0..3 {
            for k in 0..3 {
                let h = |a: usize, b: usize| if a == b { 1.0 } else { 0.5 };
                d[VOIGT[i][k]][VOIGT[k][j]] += 8.0 * t[i][j] * second(l[i], l[k], l[j]) * h(i, k) * h(k, j);
            }
        }
    }
    Ok(Point { stress: six(&out_of_frame(&s, &n)), tangent: rotate(&d, &n), history: r.history })
}

/// Tangent from the frame of the columns of `n` back to the global one (engineering strains).
fn rotate(d: &Mat6, n: &Mat3) -> Mat6 {
    // Engineering strain in the frame = q · engineering strain outside.
    let mut q = [[0.0; 6]; 6];
    for (a, &(i, j)) in PAIRS.iter().enumerate() {
        for (b, &(k, l)) in PAIRS.iter().enumerate() {
            let twice = if i == j { 1.0 } else { 2.0 };
            let both = n[k][i] * n[l][j] + n[l][i] * n[k][j];
            q[a][b] = twice * 0.5 * both;
        }
    }
    let mut dq = [[0.0; 6]; 6];
    for (i, row) in dq.iter_mut().enumerate() {
        for k in 0..6 {
            for j in 0..6 {
                row[j] += d[i][k] * q[k][j];
            }
        }
    }
    let mut out = [[0.0; 6]; 6];
    for k in 0..6 {
        for (i, row) in out.iter_mut().enumerate() {
            for j in 0..6 {
                row[j] += q[k][i] * dq[k][j];
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tensor::IDENTITY;

    const BRASS: Metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 145.0, eps0: 0.02, n: 0.45 };

    fn bump(f: &Mat3, strain: usize, by: f64) -> Mat3 {
        // A symmetric push of C in one engineering component, kept as a stretch: F' = F U, UᵀC U = C + 2δE exactly
        // would need a root; to first order F' = F(1 + C⁻¹ δE).
        let (i, j) = PAIRS[strain];
        let mut de = [[0.0; 3]; 3];
        de[i][j] += 0.5 * by;
        de[j][i] += 0.5 * by;
        let c = transpose_times(f, f);
        let (ci, _) = crate::tensor::inverse(&c).unwrap();
        let mut g = *f;
        for a in 0..3 {
            for b in 0..3 {
                for k in 0..3 {
                    for m in 0..3 {
                        g[a][b] += f[a][k] * ci[k][m] * de[m][b];
                    }
                }
            }
        }
        g
    }

    #[test]
    fn tangent_is_the_derivative_of_the_stress() {
        let cases = [
            (IDENTITY, History::default()),
            ([[1.0003, 0.0002, 0.0], [0.0001, 0.9998, 0.0001], [0.0, 0.0002, 1.0]], History::default()),
            ([[1.08, 0.03, -0.02], [0.05, 0.95, 0.01], [0.02, -0.04, 0.98]], History::default()),
            (
                [[1.02, 0.06, 0.0], [-0.06, 1.02, 0.01], [0.0, 0.0, 0.96]],
                History { plastic: [0.01, -0.004, -0.006, 0.002, 0.0, 0.001], alpha: 0.02 },
            ),
        ];
        for (f, old) in cases {
            let base = respond(&BRASS, &f, &old).unwrap();
            for b in 0..6 {
                let h = 1e-6;
                let up = respond(&BRASS, &bump(&f, b, h), &old).unwrap().stress;
                let down = respond(&BRASS, &bump(&f, b, -h), &old).unwrap().stress;
                for a in 0..6 {
                    let fd = (up[a] - down[a]) / (2.0 * h);
                    assert!((fd - base.tangent[a][b]).abs() < 2e-4 * 112_000.0, "{a}{b}: {fd} {}", base.tangent[a][b]);
                }
            }
        }
    }

    #[test]
    fn rotation_alone_makes_no_stress() {
        let (s, c) = 0.7_f64.sin_cos();
        let p = respond(&BRASS, &[[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]], &History::default()).unwrap();
        assert!(p.stress.iter().all(|v| v.abs() < 1e-8));
    }

    #[test]
    fn divided_differences_meet_at_their_seam() {
        for (a, b, c) in [(1.0, 1.000_999, 1.0005), (1.3, 1.3013, 1.3), (0.8, 0.8, 0.8)] {
            let near = second(a, b, c);
            let exact = -0.25 / ((a + b + c) / 3.0_f64).powi(2);
            assert!((near - exact).abs() < 1e-5, "{near} {exact}");
        }
        let wide = second(1.0, 2.0, 4.0);
        let by_hand = ((4f64.ln() - 2f64.ln()) / 4.0 - 2f64.ln() / 2.0) / 3.0;
        assert!((wide - by_hand).abs() < 1e-12);
    }
}
