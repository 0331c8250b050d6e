//! Strain in the dented wall: the components of ASME B31.8, Appendix R, and the effective strain of them.
//!
//! Sign: positive stretches. `outside` false means the inside surface.

use units::Source;

/// Source of the three components.
pub const COMPONENTS: Source = Source::published("ASME B31.8, Appendix R: ε₁ = (t/2)(1/R₀ − 1/R₁), ε₂ = −(t/2)(1/R₂), ε₃ = ½(d/L)²");
/// Source of [`effective`].
pub const EFFECTIVE: Source = Source::closed_form(
    "incompressible plasticity: ε_eff = (2/√3)√(ε_x² + ε_x ε_y + ε_y² + γ²/4), in place of the older combination of ASME B31.8 App. R (Gao et al., IPC2008-64565)",
);

/// Bending strain round the tube, ε₁ = (t/2)(1/R₀ − 1/R₁): on the inside surface with this sign, outside with the other.
/// Curvatures 1/mm, 1/R₁ negative where the wall is bent inwards past flat.
pub fn across(wall_mm: f64, curvature_true: f64, curvature_now: f64) -> f64 {
    wall_mm / 2.0 * (curvature_true - curvature_now)
}

/// Bending strain along the tube, ε₂ = −(t/2)(1/R₂). `curvature` 1/mm is 1/R₂, negative where the wall is bent inwards.
pub fn along(wall_mm: f64, curvature: f64) -> f64 {
    -wall_mm / 2.0 * curvature
}

/// Membrane strain along the tube, ε₃ = ½(d/L)², L the length of the dent along the tube.
pub fn membrane(depth_mm: f64, length_mm: f64) -> f64 {
    let r = depth_mm / length_mm.max(1e-6);
    0.5 * r * r
}

/// Effective strain of two normal strains and a shear strain γ.
pub fn effective(x: f64, y: f64, shear: f64) -> f64 {
    2.0 / 3.0_f64.sqrt() * (x * x + x * y + y * y + shear * shear / 4.0).max(0.0).sqrt()
}

/// One place of a section of the dent, made dimensionless: it stays the same place when depth, width or curvature change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Distance from the bottom over the half width.
    pub part: f64,
    /// Depth over the deepest.
    pub f: f64,
    /// Slope, times √(d/κ)/d.
    pub slope: f64,
    /// Second derivative over κ, the section's sharpest curvature: −1 at the bottom of a Gaussian dent.
    pub bend: f64,
}

/// A Gaussian section in 13 places from its bottom to 3 s (0.01 of the depth).
pub fn gaussian_section() -> [Sample; 13] {
    std::array::from_fn(|i| {
        let xi = i as f64 * 0.25;
        let f = (-xi * xi / 2.0).exp();
        Sample { part: 2.0 * xi / crate::geometry::WIDTH_OVER_S, f, slope: -xi * f, bend: (xi * xi - 1.0) * f }
    })
}

/// A place of the dent's surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Along the axis.
    pub along: Sample,
    /// Round the tube.
    pub across: Sample,
    /// Outside surface, or inside.
    pub outside: bool,
}

/// What the strain field depends on.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Wall, mm.
    pub wall_mm: f64,
    /// Mean radius of the sound tube, mm.
    pub radius_mm: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Sharpest curvature of the section along the axis, 1/mm.
    pub curvature_along: f64,
    /// Sharpest curvature of the section round the tube, 1/mm.
    pub curvature_across: f64,
    /// Membrane strain along the tube, taken as even over the dent.
    pub membrane: f64,
}

impl Field {
    /// Strains round and along the tube and the shear γ, at a place.
    ///
    /// The dent's surface is u = d f(x) g(y): changes of curvature −u_yy − u/R₀² round the tube, −u_xx along it, twist
    /// −u_xy, each times half the wall (thin shell theory, closed form).
    pub fn strains(&self, at: &Place) -> [f64; 3] {
        let half = self.wall_mm / 2.0;
        let round = -at.across.bend * at.along.f * self.curvature_across
            - self.depth_mm * at.along.f * at.across.f / (self.radius_mm * self.radius_mm);
        let lengthwise = -at.along.bend * at.across.f * self.curvature_along;
        let twist = at.along.slope * at.across.slope * (self.curvature_along * self.curvature_across).max(0.0).sqrt();
        let side = if at.outside { -1.0 } else { 1.0 };
        [side * half * round, side * half * lengthwise + self.membrane, 2.0 * half * twist]
    }

    /// Effective strain at a place.
    pub fn effective(&self, at: &Place) -> f64 {
        let [x, y, shear] = self.strains(at);
        effective(x, y, shear)
    }

    /// The place where the effective strain is greatest, over both surfaces of the whole dent, and that strain.
    pub fn worst(&self, along: &[Sample], across: &[Sample]) -> (Place, f64) {
        const NOWHERE: Sample = Sample { part: 0.0, f: 1.0, slope: 0.0, bend: -1.0 };
        let mut worst = (Place { along: NOWHERE, across: NOWHERE, outside: false }, f64::NEG_INFINITY);
        for a in along {
            for c in across {
                for outside in [false, true] {
                    let place = Place { along: *a, across: *c, outside };
                    let e = self.effective(&place);
                    // A later place must be clearly worse: the bottom is named before its neighbours.
                    if e > worst.1 * (1.0 + 1e-9) || worst.1 == f64::NEG_INFINITY {
                        worst = (place, e);
                    }
                }
            }
        }
        worst
    }
}

impl Place {
    /// The place in the words of the bench.
    pub fn words(&self) -> String {
        let surface = if self.outside { "outside surface" } else { "inside surface" };
        let far = |part: f64| {
            if part < 0.12 {
                0
            } else if part < 0.55 {
                1
            } else {
                2
            }
        };
        let place = match (far(self.along.part.abs()), far(self.across.part.abs())) {
            (0, 0) => "bottom",
            (0, 1) => "flank beside the bottom, round the tube",
            (1, 0) => "flank beside the bottom, along the tube",
            (1, 1) => "flank, slantwise from the bottom",
            (0 | 1, 2) => "edge, round the tube",
            (2, 0 | 1) => "edge, along the tube",
            _ => "edge, slantwise from the bottom",
        };
        format!("{place}, {surface}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_field_is_that_of_the_surface_by_finite_differences() {
        let (d, sa, sc, t, r) = (2.0, 5.0, 4.0, 0.5, 10.0);
        let u = |x: f64, y: f64| d * (-x * x / (2.0 * sa * sa) - y * y / (2.0 * sc * sc)).exp();
        let field = Field {
            wall_mm: t,
            radius_mm: r,
            depth_mm: d,
            curvature_along: d / (sa * sa),
            curvature_across: d / (sc * sc),
            membrane: 0.01,
        };
        let section = gaussian_section();
        for i in [0, 2, 5, 9] {
            for j in [0, 3, 7] {
                let (x, y, h) = (section[i].part * 2.146 * sa, section[j].part * 2.146 * sc, 1e-3);
                let u_xx = (u(x + h, y) - 2.0 * u(x, y) + u(x - h, y)) / (h * h);
                let u_yy = (u(x, y + h) - 2.0 * u(x, y) + u(x, y - h)) / (h * h);
                let u_xy = (u(x + h, y + h) - u(x + h, y - h) - u(x - h, y + h) + u(x - h, y - h)) / (4.0 * h * h);
                let place = Place { along: section[i], across: section[j], outside: true };
                let [ex, ey, g] = field.strains(&place);
                let want = [t / 2.0 * (u_yy + u(x, y) / (r * r)), t / 2.0 * u_xx + 0.01, t * u_xy];
                for (got, want) in [ex, ey, g].into_iter().zip(want) {
                    assert!((got - want).abs() < 2e-4 * t, "{i} {j}: {got} {want}");
                }
            }
        }
    }

    #[test]
    fn a_deep_round_dent_is_worst_at_its_bottom_inside() {
        let field = Field { wall_mm: 0.5, radius_mm: 10.0, depth_mm: 2.0, curvature_along: 0.1, curvature_across: 0.1, membrane: 0.005 };
        let section = gaussian_section();
        let (place, e) = field.worst(&section, &section);
        assert_eq!(place.words(), "bottom, inside surface");
        assert!(e > 0.0);
    }
}
