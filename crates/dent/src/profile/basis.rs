//! Hermite functions: what a profile can have beyond the shape about which it is expanded.
//!
//! They die out where the dent does. With variances that fall geometrically they are the eigenfunctions of a Gaussian
//! process of squared-exponential covariance (Rasmussen & Williams, Gaussian Processes for Machine Learning, 2006, section
//! 4.3.1, from memory), so the fit is a smoothing spline of that process.

/// Hermite functions used. The last reaches to √(2·13 + 1) = 5.2 times the scale.
pub const HERMITE: usize = 14;

/// Value and first three derivatives of the Hermite functions at ξ (per ξ).
pub fn hermite(xi: f64) -> [[f64; 4]; HERMITE] {
    let mut psi = [0.0; HERMITE + 1];
    psi[0] = std::f64::consts::PI.powf(-0.25) * (-xi * xi / 2.0).exp();
    psi[1] = 2.0_f64.sqrt() * xi * psi[0];
    for k in 1..HERMITE {
        let n = k as f64;
        psi[k + 1] = xi * (2.0 / (n + 1.0)).sqrt() * psi[k] - (n / (n + 1.0)).sqrt() * psi[k - 1];
    }
    std::array::from_fn(|k| {
        let n = k as f64;
        let before = if k > 0 { psi[k - 1] } else { 0.0 };
        let first = (n / 2.0).sqrt() * before - ((n + 1.0) / 2.0).sqrt() * psi[k + 1];
        let bend = xi * xi - 2.0 * n - 1.0;
        [psi[k], first, bend * psi[k], 2.0 * xi * psi[k] + bend * first]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_those_of_finite_differences() {
        for x in [-2.5, -0.7, 0.0, 0.6, 3.2] {
            let h = 1e-4;
            let (a, m, b) = (hermite(x - h), hermite(x), hermite(x + h));
            for k in 0..HERMITE {
                for order in 0..3 {
                    let slope = (b[k][order] - a[k][order]) / (2.0 * h);
                    assert!((slope - m[k][order + 1]).abs() < 1e-5, "{k} {order} at {x}: {slope} {}", m[k][order + 1]);
                }
            }
        }
    }

    #[test]
    fn functions_are_orthonormal() {
        let steps = 4000;
        let mut gram = [[0.0; HERMITE]; HERMITE];
        for i in 0..steps {
            let h = hermite(20.0 * (f64::from(i) + 0.5) / f64::from(steps) - 10.0);
            for (j, row) in gram.iter_mut().enumerate() {
                for (k, cell) in row.iter_mut().enumerate() {
                    *cell += h[j][0] * h[k][0] * 20.0 / f64::from(steps);
                }
            }
        }
        for (j, row) in gram.iter().enumerate() {
            for (k, cell) in row.iter().enumerate() {
                assert!((cell - f64::from(u8::from(j == k))).abs() < 1e-6);
            }
        }
    }
}
