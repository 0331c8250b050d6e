//! Force that moves the wall from inside: the table of the own finite-element model ([`crate::force_table`]) where its
//! groups cover the case, and beyond its edge the limit-load formula's growth from there.

use crate::force_table::{self, Question};
use metal::limit_load::wedge_dent_force_n;
use std::borrow::Cow;
use units::Source;

/// The formula of [`force_inside`] inside the table.
pub const FORMULA: &str = "σ₀t² × table(D/t, σ₀/E, n, ball 0.62 D, d/D; in a cradle up to D/t 47, held round from 80 on) × bend × doubt; σ₀, n by the wall's stresses after 1 % and 15 % strain, before the dent";

/// Source of [`force_inside`] inside the table.
pub const TABLE: Source = Source::own_model(
    "table of the own finite-element model of a dented tube pushed true by a ball: within 3 % in the cradle (D/t to 47), 11 % held round (80 to 160) and 30 % in thinner walls, one standard deviation, of 41 fresh runs of the model, the model within 1 % of CalculiX (docs/validation.md); other forms of dent by common practice",
);

/// Source of [`force_inside`] outside the table.
pub const BEYOND: Source = Source::own_model(
    "edge of the own finite-element model's table (docs/validation.md), from there on in proportion to 16 M₀ √[(2π/3)(d/t)·¾], M₀ = σt²/4 (tube dented by a blunt wedge, Wierzbicki & Suh, Int. J. Mech. Sci. 30 (1988), from memory)",
);

/// Doubt of the model inside the table's range, one standard deviation as a part of the force: the tool (a ball of a quarter
/// of the tube's diameter in place of 0.62 of it asks for a fifth less: 10 %); the form of the dent (one made by a ball half as
/// large asks for the same where shallow, for 15 % less where deep: docs/validation.md), working it up in many small pushes,
/// friction and residual stress (20 %). Common practice, no source.
pub const DOUBT: f64 = 0.22;

/// The same once away from the table (see [`force_table::Answer::away`]). Common practice, no source.
pub const DOUBT_BEYOND: f64 = 0.40;

/// Doubt of the model's over-push, one standard deviation as a part of it: a ball at one place against working over the whole
/// dent (bending of the wall alone asks from as much, in a thick tube, to half as much, in a thin one: docs/validation.md), Bauschinger
/// effect, residual stress. Common practice, no source.
pub const OVERPUSH_DOUBT: f64 = 0.35;

/// Source of the over-push.
pub const OVERPUSH: Source = Source::own_model(
    "table of the own finite-element model of a dented tube pushed true by a ball: within 2 % in the cradle (D/t to 47), 5 % held round (80 to 160) and 9 % in thinner walls, one standard deviation, of 41 fresh runs of the model, which is within 1 % of CalculiX (docs/validation.md); beyond the table its edge's part of the depth, in proportion to σ₀/E",
);

/// Ball of the table's question over the tube's mean diameter: the largest that the table has. A repairer takes the largest that passes.
pub const BALL_PART: f64 = 0.62;

/// Plastic strains at which the model's stress–strain curve is laid through the metal's: between them lie the mean strains of a
/// dent and its way back.
pub const NEAR: f64 = 0.01;
/// See [`NEAR`].
pub const FAR: f64 = 0.15;

/// What the force depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inside {
    /// Young's modulus, N/mm².
    pub e_mpa: f64,
    /// Flow stress of the wall before it was dented, after a plastic strain of [`NEAR`] more, N/mm².
    pub near_mpa: f64,
    /// The same after [`FAR`], N/mm².
    pub far_mpa: f64,
    /// Mean diameter of the tube, mm.
    pub diameter_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Depth of the dent, mm.
    pub depth_mm: f64,
    /// Factor for a bend, 1 where the tube is straight.
    pub bend_factor: f64,
}

/// The force and how well the table covers it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Force {
    /// Greatest force from inside on the dent's way out, N.
    pub n: f64,
    /// Which of [`force_table::GROUPS`] lie outside the table.
    pub outside: [bool; 5],
    /// How far outside the table ([`force_table::Answer::away`]).
    pub away: f64,
    /// Which part of the answer is of a held wall ([`force_table::Answer::held`]).
    pub held: f64,
    /// Which part of the held wall's error is that of the thinnest ([`force_table::Answer::thin`]).
    pub thin: f64,
    /// Peak plastic strain on the surface that the dent added, by the model's own dent (one made by a ball of half the diameter).
    pub strain_dent: f64,
    /// The same added by the way back.
    pub strain_back: f64,
    /// Greatest of both together.
    pub strain_both: f64,
    /// Over-push over the depth. Outside the table its edge's, in proportion to σ₀/E where that group lies outside (elastic
    /// unloading gives back σ/E, closed form).
    pub over_push_part: f64,
}

/// σ₀ (N/mm²) and n of the model's hardening curve σ₀(1 + α/0.02)ⁿ, laid through the metal's stresses after the plastic strains
/// [`NEAR`] and [`FAR`] (closed form).
pub fn laid_through(near_mpa: f64, far_mpa: f64) -> (f64, f64) {
    let (near, far) = (1.0 + NEAR / 0.02, 1.0 + FAR / 0.02);
    let n = ((far_mpa / near_mpa).ln() / (far / near).ln()).max(0.0);
    (near_mpa * near.powf(-n), n)
}

/// Where a case lies in the table, pushed by a head of `head_mm`.
pub fn place(i: &Inside, head_mm: f64) -> Question {
    let (first, n) = laid_through(i.near_mpa, i.far_mpa);
    Question {
        mean_diameter_mm: i.diameter_mm,
        wall_mm: i.wall_mm,
        e_mpa: i.e_mpa,
        yield_mpa: first,
        flow_at_5_percent_mpa: first * 3.5_f64.powf(n),
        ball_mm: head_mm,
        depth_mm: i.depth_mm,
    }
}

/// What a head of another size asks, against the one that [`force_inside`] is given for ([`BALL_PART`] of the diameter).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeadFactor {
    /// Force with this head over the force with the usual one.
    pub force: f64,
    /// Over-push with this head over that with the usual one.
    pub over_push: f64,
    /// The head is smaller or larger than the table's: its edge answers, nothing is drawn on beyond it.
    pub outside: bool,
}

/// How force and over-push change with the head that is really used: multiply the figures of the assessment with it. `i` comes from
/// [`crate::force_case`]. A head that is no size changes nothing.
pub fn head_factor(i: &Inside, head_mm: f64) -> HeadFactor {
    let ask = |head_mm: f64| force_table::look_up(&place(i, head_mm));
    match (ask(head_mm), ask(BALL_PART * i.diameter_mm)) {
        (Some(a), Some(b)) => HeadFactor {
            force: a.force_out_n / b.force_out_n,
            over_push: a.over_push_mm / b.over_push_mm,
            outside: a.outside[force_table::HEAD],
        },
        _ => HeadFactor { force: 1.0, over_push: 1.0, outside: true },
    }
}

/// Force from inside that brings the dent out. Continuous at the table's edge.
pub fn force_inside(i: &Inside) -> Force {
    let question = place(i, BALL_PART * i.diameter_mm);
    let (first, flow) = (question.yield_mpa, question.flow_at_5_percent_mpa);
    // Ends free to draw in (axial ratio 0): the dent is short against the run.
    let wedge = |flow_mpa: f64, depth_mm: f64| wedge_dent_force_n(flow_mpa, i.wall_mm, depth_mm, 0.0);
    match force_table::look_up(&question) {
        Some(a) if a.outside == [false; 5] => {
            let mut f = Force::of(&a);
            f.n *= i.bend_factor;
            f
        }
        Some(a) => {
            let growth = wedge(flow, i.depth_mm) / wedge(a.edge.flow_mpa, a.edge.depth_mm);
            let mut f = Force::of(&a);
            f.n *= growth * i.bend_factor;
            f.over_push_part *= first / i.e_mpa / a.edge.yield_strain;
            f
        }
        // Sizes that are no sizes: the caller bounds them, so this is not met; the formula alone is the answer.
        None => Force {
            n: wedge(flow, i.depth_mm) * i.bend_factor,
            outside: [true; 5],
            away: 1.0,
            held: 0.0,
            thin: 0.0,
            strain_dent: 0.0,
            strain_back: 0.0,
            strain_both: 0.0,
            over_push_part: 1.0,
        },
    }
}

impl Force {
    /// What the table says, before the case's own factors.
    fn of(a: &force_table::Answer) -> Self {
        Self {
            n: a.force_out_n,
            outside: a.outside,
            away: a.away,
            held: a.held,
            thin: a.thin,
            strain_dent: a.strain_in,
            strain_back: a.strain_back,
            strain_both: a.strain_both,
            over_push_part: a.over_push_part,
        }
    }

    /// The table against fresh runs of its model, one standard deviation as a part of the force.
    pub fn table_doubt(&self) -> f64 {
        force_table::mixed(self.held, self.thin, |e| e.force_out_rms)
    }

    /// Doubt of the force beside the table's own, one standard deviation as a part of the force: rises from [`DOUBT`] at the
    /// table's edge to [`DOUBT_BEYOND`].
    pub fn doubt(&self) -> f64 {
        let a = self.away.clamp(0.0, 1.0);
        (DOUBT * DOUBT * (1.0 - a) + DOUBT_BEYOND * DOUBT_BEYOND * a).sqrt()
    }

    /// Doubt of the over-push, one standard deviation as a part of it: [`OVERPUSH_DOUBT`], which rises outside the table as that of
    /// the force, and the table's own.
    pub fn overpush_doubt(&self) -> f64 {
        (OVERPUSH_DOUBT * self.doubt() / DOUBT).hypot(force_table::mixed(self.held, self.thin, |e| e.over_push_rms))
    }

    /// Formula and source of the force.
    pub fn reason(&self) -> (Cow<'static, str>, Source) {
        if self.outside == [false; 5] {
            return (FORMULA.into(), TABLE);
        }
        let names: Vec<&str> = force_table::GROUPS.iter().zip(self.outside).filter(|(_, o)| *o).map(|(n, _)| *n).collect();
        let text = format!(
            "{FORMULA}; outside the table ({}): its edge × √d, t^1.5 and flow stress of the limit load from there",
            names.join(", ")
        );
        (text.into(), BEYOND)
    }
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
