//! Force that moves the wall from inside. The one place where the force is made: a table of an own model can take the
//! formula's place here without a change anywhere else.

use metal::limit_load::wedge_dent_force_n;
use units::Source;

/// The formula of [`force_inside`], written out.
pub const FORMULA: &str = "16 M₀ √[(2π/3)(d/t)·¾] × bend × doubt, M₀ = σ t²/4, σ the mean flow stress of the worked wall";

/// Source of [`force_inside`].
pub const FORCE: Source = Source::from_memory(
    "tube dented by a blunt wedge, Wierzbicki & Suh, Int. J. Mech. Sci. 30 (1988), its hinges run backwards from inside; flow stress of the wall as worked by the dent; bends by common practice",
);

/// Doubt of the formula: a dent is pushed up by a ball or a rod's head, not by a wedge across the whole tube. Standard
/// deviation as a part of the force. Common practice, no source; the own finite-element model's one comparison so far
/// (docs/validation.md: a ball, 0.56 of the wedge formula's force) lies one such deviation below the formula.
pub const DOUBT: f64 = 0.40;

/// What the force depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inside {
    /// Mean flow stress of the wall while it is moved, N/mm².
    pub flow_mpa: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Depth of the dent, mm.
    pub depth_mm: f64,
    /// Factor for a bend, 1 where the tube is straight.
    pub bend_factor: f64,
}

/// Force from inside that starts the dent on its way out, N.
pub fn force_inside(i: &Inside) -> f64 {
    // Ends free to draw in (axial ratio 0): the dent is short against the run.
    wedge_dent_force_n(i.flow_mpa, i.wall_mm, i.depth_mm, 0.0) * i.bend_factor
}

/// Source of [`bend_factor`].
pub const BEND: Source = Source::common_practice(
    "a doubly curved wall resists more than a singly curved one, outside and inside of a bend alike: factor 1 + D/(2 R_b), known to half of what it adds",
);

/// Factor by which a bend of centreline radius R_b stiffens the wall, and its standard deviation.
pub fn bend_factor(diameter_mm: f64, bend_radius_mm: f64) -> (f64, f64) {
    // A tube cannot be bent tighter than onto itself: R_b ≥ D/2.
    let adds = (diameter_mm / (2.0 * bend_radius_mm.max(diameter_mm / 2.0).max(1e-6))).clamp(0.0, 1.0);
    (1.0 + adds, adds / 2.0)
}
