//! Two sheets that lie on each other and are bent together: a tube's wall and the guard or ferrule over it.
//!
//! Without bond they slip on each other: each bends about its own middle, and what they ask adds up. Soldered all over they are
//! one section. What is really there lies between: a guard is soldered along its edges, its middle lies free.
//!
//! The limit load of a dented wall is taken to go with its fully plastic moment M₀ (yield lines; the membrane's part goes with σt^1.5, which
//! lies between the two bounds for sheets alike). Both sheets are taken to be bent in the same way, one as the other, and as wide.

use units::Source;

/// A sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Stress at which it yields, N/mm².
    pub flow_mpa: f64,
    /// Elastic modulus, N/mm².
    pub e_mpa: f64,
    /// Thickness, mm.
    pub wall_mm: f64,
}

/// How two sheets hold together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bond {
    /// Not at all: they slip on each other.
    Loose,
    /// Soldered all over.
    Soldered,
}

/// Source of [`limit_load_times`] and [`springs_times`].
pub const SOURCE: Source = Source::closed_form(
    "fully plastic moment of two sheets a unit width: slipping Σσt²/4; bonded the moment about the line that halves the force, σ(t₁ + t₂)²/4 for one metal; elastic unloading by M/(EI)",
);

impl Sheet {
    /// Fully plastic moment a unit width, N.
    fn moment_n(&self) -> f64 {
        crate::limit_load::plastic_moment_n(self.flow_mpa, self.wall_mm, crate::limit_load::Width::Free)
    }

    /// Force that the whole section carries at yield, N/mm.
    fn yields_n_per_mm(&self) -> f64 {
        self.flow_mpa * self.wall_mm
    }

    /// Bending stiffness a unit width about its own middle, N mm.
    fn stiffness(&self) -> f64 {
        self.e_mpa * self.wall_mm.powi(3) / 12.0
    }
}

/// Fully plastic moment of both, N: where they are bonded, about the line with as much force on one side as on the other. It lies in the
/// sheet that carries more, x from that one's free face: σ₁x = σ₁(t₁ − x) + σ₂t₂.
fn moment_n(a: &Sheet, b: &Sheet, bond: Bond) -> f64 {
    match bond {
        Bond::Loose => a.moment_n() + b.moment_n(),
        Bond::Soldered => {
            let (s, w) = if a.yields_n_per_mm() >= b.yields_n_per_mm() { (a, b) } else { (b, a) };
            let x = 0.5 * (s.wall_mm + w.yields_n_per_mm() / s.flow_mpa);
            let rest = s.wall_mm - x;
            0.5 * s.flow_mpa * (x * x + rest * rest) + w.yields_n_per_mm() * (rest + 0.5 * w.wall_mm)
        }
    }
}

/// Bending stiffness of both a unit width, N mm: where they are bonded, about the middle of E·t (parallel axes).
fn stiffness(a: &Sheet, b: &Sheet, bond: Bond) -> f64 {
    let own = a.stiffness() + b.stiffness();
    match bond {
        Bond::Loose => own,
        Bond::Soldered => {
            let (ea, eb) = (a.e_mpa * a.wall_mm, b.e_mpa * b.wall_mm);
            own + ea * eb / (ea + eb) * (0.5 * (a.wall_mm + b.wall_mm)).powi(2)
        }
    }
}

/// Limit load of both over that of the first alone.
pub fn limit_load_times(first: &Sheet, over: &Sheet, bond: Bond) -> f64 {
    moment_n(first, over, bond) / first.moment_n().max(f64::MIN_POSITIVE)
}

/// What the first springs back from that load over what it springs back alone from its own: M/(EI). A loose sheet over it may press it
/// further back, but does not hold it: then they part.
pub fn springs_times(first: &Sheet, over: &Sheet, bond: Bond) -> f64 {
    let both = limit_load_times(first, over, bond) * first.stiffness() / stiffness(first, over, bond).max(f64::MIN_POSITIVE);
    match bond {
        Bond::Loose => both.max(1.0),
        Bond::Soldered => both,
    }
}
