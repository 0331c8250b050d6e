//! Strain at the end of a crack that was stopped by a small drilled hole.
//!
//! Kirsch's elastic factor 3 is that of a hole in a sheet that is *pulled*. A dent's wall is *bent*, and far beyond yield. In
//! bending a thin plate's hole raises the strain by (5 + 3ν)/(3 + ν) = 1.80. Once the metal flows, stress and strain part: by
//! Neuber's rule the product of both factors stays the square of the elastic one, so that in metal which hardens as εⁿ the
//! strain is raised by K^(2/(1+n)). Neuber's rule is an upper bound once the whole section flows, the elastic factor a lower
//! one; between them the truth is not known, and both are the interval.

use units::Source;
use units::figure::Z90;

/// Source of [`factor`].
pub const SOURCE: Source = Source::from_memory(
    "hole in a thin bent plate, K = (5 + 3ν)/(3 + ν) (Goodier, Phil. Mag. 22 (1936); Reissner, J. Appl. Mech. 12 (1945)); Neuber, J. Appl. Mech. 28 (1961): Kσ Kε = K², with σ ∝ εⁿ Kε = K^(2/(1+n)); the two taken as 5 % and 95 % points",
);

/// Elastic strain concentration at a round hole, wide against the wall, in a plate bent one way.
pub fn bent_plate(poisson: f64) -> f64 {
    (5.0 + 3.0 * poisson) / (3.0 + poisson)
}

/// Neuber's strain concentration in metal that hardens as εⁿ, from the elastic one.
pub fn neuber(elastic: f64, n: f64) -> f64 {
    elastic.powf(2.0 / (1.0 + n.clamp(0.0, 1.0)))
}

/// Strain at a drilled crack's end over that around it: mean of the logarithm's interval, and one standard deviation as a part of it.
pub fn factor(poisson: f64, n: f64) -> (f64, f64) {
    let (low, high) = (bent_plate(poisson), neuber(bent_plate(poisson), n));
    ((low * high).sqrt(), (high / low).ln() / (2.0 * Z90))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// f(r) cos mθ on a plate: f and its first three derivatives at r = 1.
    type Radial = [f64; 4];

    fn power(p: f64) -> Radial {
        [1.0, p, p * (p - 1.0), p * (p - 1.0) * (p - 2.0)]
    }

    /// Radial moment, hoop moment and Kirchhoff's edge force at r = 1 over −D, of f(r) cos mθ.
    fn edge(f: Radial, m: f64, nu: f64) -> [f64; 3] {
        let [f0, f1, f2, f3] = f;
        let hoop = f1 - m * m * f0;
        // (∇²f)' at r = 1.
        let rise = f3 + f2 - f1 - m * m * f1 + 2.0 * m * m * f0;
        [f2 + nu * hoop, hoop + nu * f2, rise - (1.0 - nu) * m * m * (f1 - f0)]
    }

    /// Kirchhoff's plate with a free hole of radius 1 under M_x = 1 far away, solved harmonic by harmonic.
    fn by_plate_theory(nu: f64) -> f64 {
        // w = −r²[(1 − ν) + (1 + ν) cos 2θ]/(4 D (1 − ν²)) far away; −D taken out.
        let far0 = power(2.0).map(|v| v * (1.0 - nu) / (4.0 * (1.0 - nu * nu)));
        let far2 = power(2.0).map(|v| v * (1.0 + nu) / (4.0 * (1.0 - nu * nu)));
        // m = 0: ln r; f = 0, 1, −1, 2.
        let log = [0.0, 1.0, -1.0, 2.0];
        let a = -edge(far0, 0.0, nu)[0] / edge(log, 0.0, nu)[0];
        let hoop0 = edge(far0, 0.0, nu)[1] + a * edge(log, 0.0, nu)[1];
        // m = 2: r⁻² and 1, so that moment and edge force vanish.
        let (p, q, far) = (edge(power(-2.0), 2.0, nu), edge(power(0.0), 2.0, nu), edge(far2, 2.0, nu));
        let det = p[0] * q[2] - p[2] * q[0];
        let b = (-far[0] * q[2] + far[2] * q[0]) / det;
        let c = (-far[2] * p[0] + far[0] * p[2]) / det;
        let hoop2 = far[1] + b * p[1] + c * q[1];
        // At θ = 90° cos 2θ = −1.
        hoop0 - hoop2
    }

    #[test]
    fn the_hole_in_a_bent_plate_is_kirchhoff_s() {
        for nu in [0.0, 0.25, 0.34] {
            assert!((bent_plate(nu) - by_plate_theory(nu)).abs() < 1e-12, "{nu}: {} {}", bent_plate(nu), by_plate_theory(nu));
        }
    }

    #[test]
    fn neuber_s_product_is_the_square() {
        // σ ∝ εⁿ on both sides: the stress factor is the strain factor to the power of n.
        for n in [0.0, 0.05, 0.3, 1.0] {
            let strain = neuber(1.8, n);
            assert!((strain * strain.powf(n) - 1.8 * 1.8).abs() < 1e-12);
        }
        // Elastic (n = 1): both are the elastic factor.
        assert!((neuber(1.8, 1.0) - 1.8).abs() < 1e-12);
        let (f, sd) = factor(0.34, 0.1);
        assert!(bent_plate(0.34) < f && f < neuber(bent_plate(0.34), 0.1) && sd > 0.05 && f < 3.0);
    }
}
