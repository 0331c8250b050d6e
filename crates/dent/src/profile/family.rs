//! The shapes about which a profile is expanded: round bottoms from flat to narrow, and kinked ones.
//!
//! Every round shape has depth 1 and curvature 1 at its bottom in ξ = x/s, so that the dent's curvature is d/s² whatever the
//! shape. Which of them the points speak for is found by evidence; what none of them has is left to the Hermite functions.

/// A shape of depth 1.
pub struct Shape {
    /// Depth at ξ.
    pub f: fn(f64) -> f64,
    /// Half of the width at half depth, in s: sets the scale of the Hermite functions.
    pub half: f64,
}

/// Round bottoms: Gaussian; long tails (Pearson's type VII with exponents 3 and 1); straighter flanks and narrower bottoms
/// (hyperbolic); flat bottom.
pub const ROUND: [Shape; 6] = [
    Shape { f: |x| (-x * x / 2.0).exp(), half: 1.177_41 },
    Shape { f: |x| (1.0 + x * x / 6.0).powi(-3), half: 1.248_81 },
    Shape { f: |x| 1.0 / (1.0 + x * x / 2.0), half: std::f64::consts::SQRT_2 },
    Shape { f: |x| (-1.44 * ((1.0 + x * x / 1.44).sqrt() - 1.0)).exp(), half: 1.311_47 },
    Shape { f: |x| (-0.36 * ((1.0 + x * x / 0.36).sqrt() - 1.0)).exp(), half: 1.649_51 },
    Shape { f: |x| (-x * x / 2.0 - 0.2 * x.powi(4)).exp(), half: 0.996_18 },
];

/// Kinked bottoms: hollow flanks, flanks running out like a Gaussian, straight flanks with a short foot.
pub const KINKED: [Shape; 3] = [
    Shape { f: |x| (-x.abs()).exp(), half: std::f64::consts::LN_2 },
    Shape { f: |x| (-x.abs() - 0.3 * x * x).exp(), half: 0.589_05 },
    Shape {
        // A softened corner at the foot, 0.08 wide; over its value at the top.
        f: |x| 0.08 * (((1.0 - x.abs()) / 0.08).exp()).ln_1p() / 1.000_000_298,
        half: 0.500_15,
    },
];

/// Step of the difference quotients, in s.
const STEP: f64 = 0.03;

impl Shape {
    /// The shape, its shift and its widening at ξ: f, f', ξf'.
    pub fn columns(&self, xi: f64) -> [f64; 3] {
        let slope = ((self.f)(xi + STEP) - (self.f)(xi - STEP)) / (2.0 * STEP);
        [(self.f)(xi), slope, xi * slope]
    }

    /// Value and first three derivatives (per ξ) of the three columns of a round shape, by central differences of fourth
    /// (third derivative: second) order.
    pub fn jets(&self, xi: f64) -> [[f64; 4]; 3] {
        let h = 2.0 * STEP;
        let at: [[f64; 3]; 5] = std::array::from_fn(|i| self.columns(xi + h * (i as f64 - 2.0)));
        std::array::from_fn(|c| {
            let [a, b, m, d, e] = at.map(|v| v[c]);
            [
                m,
                (a - 8.0 * b + 8.0 * d - e) / (12.0 * h),
                (-a + 16.0 * b - 30.0 * m + 16.0 * d - e) / (12.0 * h * h),
                (e - 2.0 * d + 2.0 * b - a) / (2.0 * h.powi(3)),
            ]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_are_normed() {
        for s in &ROUND {
            assert!(((s.f)(0.0) - 1.0).abs() < 1e-9 && ((s.f)(s.half) - 0.5).abs() < 1e-3, "{}", (s.f)(s.half));
            assert!((s.jets(0.0)[0][2] + 1.0).abs() < 1e-4, "{}", s.jets(0.0)[0][2]);
        }
        for s in &KINKED {
            assert!(((s.f)(0.0) - 1.0).abs() < 1e-4 && ((s.f)(s.half) - 0.5).abs() < 2e-3, "{} {}", (s.f)(0.0), (s.f)(s.half));
        }
    }

    #[test]
    fn jets_are_the_gaussian_s_derivatives() {
        for xi in [-2.0_f64, 0.0, 0.7, 3.1] {
            let f = (-xi * xi / 2.0).exp();
            let want = [f, -xi * f, (xi * xi - 1.0) * f, (3.0 * xi - xi.powi(3)) * f];
            for (got, want) in ROUND[0].jets(xi)[0].iter().zip(want) {
                assert!((got - want).abs() < 6e-3, "{xi}: {got} {want}");
            }
        }
    }
}
