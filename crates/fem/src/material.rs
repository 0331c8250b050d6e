//! The metal: elastic, then isotropic hardening (J2), in logarithmic strain.

use crate::tensor::{Mat6, Sym6};

/// Elastic constants and the hardening curve `σ(α) = σ₀ (1 + α/ε₀)ⁿ` against accumulated plastic strain α.
///
/// Source of the curve: Swift 1952 (from memory). `n = 0` is perfect plasticity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metal {
    /// Young's modulus, N/mm².
    pub e_n_mm2: f64,
    /// Poisson's ratio.
    pub nu: f64,
    /// First yield stress σ₀, N/mm².
    pub sigma0_n_mm2: f64,
    /// Prestrain ε₀ of the curve.
    pub eps0: f64,
    /// Hardening exponent n.
    pub n: f64,
}

/// What an integration point remembers.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct History {
    /// Plastic part of the logarithmic strain, tensor components.
    pub plastic: Sym6,
    /// Accumulated plastic strain.
    pub alpha: f64,
}

/// Stress, tangent and new memory for a given strain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Response {
    /// Stress conjugate to the logarithmic strain, N/mm².
    pub stress: Sym6,
    /// Bulk modulus, N/mm².
    pub bulk: f64,
    /// Factor `2G(1 − 3GΔα/q)` on the deviator, N/mm².
    pub shear2: f64,
    /// Factor on `n ⊗ n`, N/mm²; zero for an elastic step.
    pub along: f64,
    /// Unit deviator of the trial stress, tensor components.
    pub direction: Sym6,
    /// The new memory.
    pub history: History,
}

impl Metal {
    /// Flow stress and its slope at accumulated plastic strain `alpha`, N/mm².
    #[must_use]
    pub fn flow(&self, alpha: f64) -> (f64, f64) {
        let base = 1.0 + alpha / self.eps0;
        let s = self.sigma0_n_mm2 * base.powf(self.n);
        (s, self.n * s / (self.eps0 * base))
    }

    /// Backward-Euler return to the yield surface with its consistent tangent.
    ///
    /// Source: Simo & Hughes, Computational Inelasticity, box 3.1 (from memory); the strain is logarithmic, after
    /// Miehe, Apel & Lambrecht 2002 (from memory), so that the small-strain algorithm holds at large strain.
    #[must_use]
    pub fn respond(&self, strain: &Sym6, old: &History) -> Response {
        let g = self.e_n_mm2 / (2.0 * (1.0 + self.nu));
        let bulk = self.e_n_mm2 / (3.0 * (1.0 - 2.0 * self.nu));
        let elastic: Sym6 = std::array::from_fn(|i| strain[i] - old.plastic[i]);
        let trace = elastic[0] + elastic[1] + elastic[2];
        let mean = trace / 3.0;
        let s: Sym6 = std::array::from_fn(|i| 2.0 * g * (elastic[i] - if i < 3 { mean } else { 0.0 }));
        let norm = (s[0] * s[0] + s[1] * s[1] + s[2] * s[2] + 2.0 * (s[3] * s[3] + s[4] * s[4] + s[5] * s[5])).sqrt();
        let q = 1.5_f64.sqrt() * norm;
        let (y, _) = self.flow(old.alpha);
        let pressure = bulk * trace;
        if q <= y {
            let stress = std::array::from_fn(|i| s[i] + if i < 3 { pressure } else { 0.0 });
            return Response { stress, bulk, shear2: 2.0 * g, along: 0.0, direction: [0.0; 6], history: *old };
        }
        let direction: Sym6 = s.map(|v| v / norm);
        // The residual is concave in Δα (flow stress concave), so Newton from the elastic side needs few turns.
        let mut da = (q - y) / (3.0 * g + self.flow(old.alpha).1);
        for _ in 0..50 {
            let (flow, slope) = self.flow(old.alpha + da);
            let r = q - 3.0 * g * da - flow;
            da += r / (3.0 * g + slope);
            if r.abs() < 1e-12 * q {
                break;
            }
        }
        let (_, slope) = self.flow(old.alpha + da);
        let factor = 1.0 - 3.0 * g * da / q;
        let mut history = *old;
        history.alpha += da;
        for (p, n) in history.plastic.iter_mut().zip(&direction) {
            *p += 1.5_f64.sqrt() * da * n;
        }
        let stress = std::array::from_fn(|i| factor * s[i] + if i < 3 { pressure } else { 0.0 });
        let along = 6.0 * g * g * (da / q - 1.0 / (3.0 * g + slope));
        Response { stress, bulk, shear2: 2.0 * g * factor, along, direction, history }
    }
}

impl Response {
    /// Tangent for engineering strains, with the plastic direction given in whichever frame is wanted.
    #[must_use]
    pub fn tangent(&self, direction: &Sym6) -> Mat6 {
        let mut c = [[0.0; 6]; 6];
        for (i, row) in c.iter_mut().enumerate() {
            for (j, v) in row.iter_mut().enumerate() {
                *v = self.along * direction[i] * direction[j];
                if i < 3 && j < 3 {
                    *v += self.bulk - self.shear2 / 3.0;
                }
                if i == j {
                    *v += if i < 3 { self.shear2 } else { 0.5 * self.shear2 };
                }
            }
        }
        c
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BRASS: Metal = Metal { e_n_mm2: 112_000.0, nu: 0.34, sigma0_n_mm2: 145.0, eps0: 0.02, n: 0.45 };

    /// Uniaxial stress from the three-dimensional return: the lateral strain is found by bisection.
    fn pull(metal: &Metal, axial: f64, old: &History) -> (f64, History) {
        let (mut lo, mut hi) = (-axial.abs(), axial.abs());
        for _ in 0..200 {
            let lateral = 0.5 * (lo + hi);
            if metal.respond(&[axial, lateral, lateral, 0.0, 0.0, 0.0], old).stress[1] > 0.0 { hi = lateral } else { lo = lateral }
        }
        let lateral = 0.5 * (lo + hi);
        let r = metal.respond(&[axial, lateral, lateral, 0.0, 0.0, 0.0], old);
        (r.stress[0], r.history)
    }

    #[test]
    fn uniaxial_pull_follows_the_hardening_curve() {
        // Closed form: σ = σ₀(1 + α/ε₀)ⁿ with α = ε − σ/E.
        for strain in [0.002, 0.01, 0.05, 0.15] {
            let (stress, history) = pull(&BRASS, strain, &History::default());
            let alpha = strain - stress / BRASS.e_n_mm2;
            assert!((history.alpha - alpha).abs() < 1e-9, "{} {alpha}", history.alpha);
            assert!((stress - 145.0 * (1.0 + alpha / 0.02).powf(0.45)).abs() < 1e-6 * stress);
        }
    }

    #[test]
    fn unloading_is_elastic() {
        let (top, history) = pull(&BRASS, 0.05, &History::default());
        let (lower, after) = pull(&BRASS, 0.05 - 0.0005, &history);
        assert_eq!(after, history);
        assert!(((top - lower) / 0.0005 - BRASS.e_n_mm2).abs() < 1e-3 * BRASS.e_n_mm2);
    }
}
