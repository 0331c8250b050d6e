//! The assessment of one dent, put together.

use crate::advice::{self, Grounds};
use crate::effects::{self, Measures};
use crate::inputs::{self, Inputs};
use crate::model::{self, Case, Fold, Worst};
use crate::profile::{self, Fit};
use crate::spread::{Laid, Spread};
use crate::{Assessment, Missing, annealed, force, form, geometry, strain, wall_strain};
use instrument::{Dent, Direction, Role, Site, Survey};
use metal::{ductility, springback};
use rayon::prelude::*;
use units::{Figure, Input, Known, Origin, Source, Unit};

/// Radius beyond which a wall counts as flat, mm: bounds of an interval that holds flat are given as this.
pub const FLAT_MM: f64 = 10_000.0;

const SURVEYED: Source = Source::common_practice("as surveyed; what was not measured is guessed and said so");

/// Assesses every dent that lies in a run of the instrument, in the survey's order.
pub fn assess_all(survey: &Survey) -> Vec<Assessment> {
    survey.dents.par_iter().filter_map(|d| survey.site(d).map(|s| assess(d, &s))).collect()
}

/// Assesses one dent. Profiles that cannot be fitted are named in `missing`; the depth and widths stand in.
pub fn assess(dent: &Dent, site: &Site) -> Assessment {
    let along = (!dent.profile_along.is_empty()).then(|| profile::fit(&dent.profile_along));
    let across = (!dent.profile_across.is_empty()).then(|| profile::fit(&dent.profile_across));
    let fits = [along, across].map(|f| match f {
        None => (None, None),
        Some(Ok(fit)) => (Some(fit), None),
        Some(Err(e)) => (None, Some(e.to_string())),
    });
    let [(along, along_error), (across, across_error)] = fits;
    let mut a = assess_with(dent, site, along.as_ref(), across.as_ref());
    for (error, which) in [(along_error, "along"), (across_error, "round")] {
        if let Some(error) = error {
            a.missing.push(Missing {
                what: format!("a usable profile {which} the tube"),
                instead: format!("depth and widths, because {error}").into(),
                share: 0.0,
            });
        }
    }
    a
}

/// What the force of one dent is asked with, at the best estimates: where it lies in the force table ([`force::place`]).
pub fn force_case(dent: &Dent, site: &Site) -> force::Inside {
    let inputs = Inputs::gather(dent, site, None, None);
    let gaussian = strain::gaussian_section();
    let given = Given { dent, site, along: None, across: None, gaussian: &gaussian, fold: None };
    given.case(&inputs).run(&inputs.values(), None).0.inside
}

/// Assesses one dent with its profiles fitted already.
pub fn assess_with(dent: &Dent, site: &Site, along: Option<&Fit>, across: Option<&Fit>) -> Assessment {
    use inputs::*;
    let mut inputs = Inputs::gather(dent, site, along, across);
    let gaussian = strain::gaussian_section();
    let kink = |fit: Option<&Fit>| fit.is_some_and(Fit::kinked);
    // A kink in the profile round the tube is a fold that lies along it.
    let from_profile = match (kink(along), kink(across)) {
        (true, true) => Some(Direction::Oblique),
        (true, false) => Some(Direction::Across),
        (false, true) => Some(Direction::Along),
        (false, false) => None,
    };
    let crease = dent.crease.as_ref().map(|c| c.direction).or(from_profile).map(Fold::Crease);
    let fold = crease.or(inputs.known[FOLD].is_some().then_some(Fold::Edge));
    let given = Given { dent, site, along, across, gaussian: &gaussian, fold };
    let found = given.case(&inputs).run(&inputs.values(), None);
    inputs.doubt(found.0.force.doubt(), found.0.force.overpush_doubt(), found.0.force.table_doubt());
    let case = given.case(&inputs);
    let s = Spread::new(&case, found);
    let base = s.base;

    const SIZE: [usize; 4] = [DEPTH, ACROSS, ALONG, BORE];
    let guessed = |by: By, plain: usize| if by == By::Itself { vec![plain] } else { SIZE.to_vec() };
    let depth_mm =
        s.figure(Laid::Positive, Unit::Mm, "deepest depth below the true surface", SURVEYED, &guessed(inputs.depth_by, DEPTH), |o| {
            o.depth_mm
        });
    let width_along_mm =
        s.figure(Laid::Positive, Unit::Mm, "width where a tenth of the depth is left", SURVEYED, &guessed(inputs.along_by, ALONG), |o| {
            o.along_mm
        });
    let width_across_mm =
        s.figure(Laid::Positive, Unit::Mm, "width where a tenth of the depth is left", SURVEYED, &guessed(inputs.across_by, ACROSS), |o| {
            o.across_mm
        });
    let outside = Source::closed_form("outside diameter = bore + 2 walls");
    let depth_over_diameter =
        s.figure(Laid::Positive, Unit::One, "depth/(bore + 2 walls)", outside, &[DEPTH, ACROSS, ALONG, BORE, WALL], |o| {
            o.depth_over_diameter
        });

    const ROUND: [usize; 8] = [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ACROSS, FOLD, WALL, BORE];
    const LENGTHWISE: [usize; 8] = [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ALONG, FOLD, WALL, BORE];
    const SURFACE: [usize; 9] = [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ACROSS, CURVATURE_ALONG, FOLD, WALL, BORE];
    const STRAIN: [usize; 10] = [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ACROSS, CURVATURE_ALONG, FOLD, WALL, BORE, STRAINED];
    let now = s.figure(
        Laid::Plain,
        Unit::PerMm,
        "R₁ = 1/(1/R₀ + d/R₀² − κ), κ = d/s² or the fold's 1/(r + t/2)",
        geometry::WALL_CURVATURE,
        &ROUND,
        |o| o.curvature_now_across,
    );
    let radius_across_mm = radius(now);
    let lengthwise = s.figure(
        Laid::Positive,
        Unit::PerMm,
        "R₂ = 1/κ, κ = d/s² or the fold's 1/(r + t/2); the wall is bent inwards",
        geometry::CURVATURE,
        &LENGTHWISE,
        |o| o.curvature_now_along,
    );
    let radius_along_mm = radius(lengthwise);
    let sharpness =
        s.figure(Laid::Positive, Unit::One, "wall × sharpest curvature of the dent's own profile", form::SHARPNESS, &SURFACE, |o| {
            o.sharpness
        });
    let form = form::form(base.sharpness, crease.is_some());

    let passage_mm = s.figure(Laid::Positive, Unit::Mm, "bore − depth", geometry::PASSAGE, &SIZE, |o| o.passage_mm);
    let area_left = s.figure(Laid::Probability, Unit::One, "1 − (d·w·i₁ − d²·w·i₂/(2R))/(πR²)", geometry::AREA, &SIZE, |o| o.area_left);

    let strain_across =
        s.figure(Laid::Plain, Unit::One, "ε₁ = (t/2)(1/R₀ − 1/R₁), inside surface", strain::COMPONENTS, &ROUND, |o| {
            o.strain_across
        });
    let strain_along =
        s.figure(Laid::Plain, Unit::One, "ε₂ = (t/2)/|R₂|, inside surface", strain::COMPONENTS, &LENGTHWISE, |o| o.strain_along);
    let strain_membrane = s.figure(Laid::Positive, Unit::One, "ε₃ = ½(d/L)²", strain::COMPONENTS, &SIZE, |o| o.strain_membrane);
    // The table's peaks stand beside the mean strain that counts: a peak narrower than the wall is thick starts no crack of itself.
    let peak = |what: &str, strain: f64| {
        if base.force.outside == [false; 5] {
            format!("; at one point of the surface the finite-element model's {what} has {strain:.3}")
        } else {
            String::new()
        }
    };
    let closed = "ε_eff = (2/√3)√(ε_x² + ε_x ε_y + ε_y² + γ²/4), greatest over both surfaces of the whole dent";
    let (effective_formula, effective_source) = match base.worst {
        Worst::Fold => (closed.to_owned(), strain::EFFECTIVE),
        Worst::Surface(_) => (
            format!(
                "{closed}; times the finite-element model's strain over it; the closed form alone gives {:.3}{}",
                base.closed,
                peak("dent of this depth", base.force.strain_dent)
            ),
            wall_strain::SOURCE,
        ),
    };
    let strain_effective = s.figure(Laid::Positive, Unit::One, effective_formula, effective_source, &STRAIN, |o| o.effective);
    let worst_place = match base.worst {
        Worst::Surface(place) => place.words(),
        Worst::Fold if case.fold == Some(Fold::Edge) => "sharpest edge".to_owned(),
        Worst::Fold => "fold, inside surface".to_owned(),
    };

    const WORKED: [usize; 16] = [
        DEPTH,
        ACROSS,
        ALONG,
        SHAPE,
        CURVATURE_ACROSS,
        CURVATURE_ALONG,
        FOLD,
        WALL,
        BORE,
        TEMPER,
        STRENGTH,
        CAPACITY,
        KINEMATIC,
        EARLIER,
        STRAINED,
        BACK,
    ];
    let rolling = Source::closed_form("rolling strain (2/√3)·n·ln(1/0.8905) of n temper steps, strip rolled without growing wider");
    let strain_forming = s.figure(Laid::Positive, Unit::One, "2/√3 · temper steps · 0.116", rolling, &[TEMPER], |o| o.forming);
    let strain_accumulated = s.figure(
        Laid::Positive,
        Unit::One,
        format!("forming + dent + way back (+ earlier work){}", peak("dent with its way back", base.force.strain_both)),
        model::ACCUMULATED,
        &[
            DEPTH,
            ACROSS,
            ALONG,
            SHAPE,
            CURVATURE_ACROSS,
            CURVATURE_ALONG,
            FOLD,
            WALL,
            BORE,
            TEMPER,
            STRENGTH,
            KINEMATIC,
            EARLIER,
            STRAINED,
            BACK,
        ],
        |o| {
            let worked = if case.hardness_at_dent { o.effective } else { 0.0 };
            o.forming + worked + o.spent
        },
    );
    let ductility_used = s.figure(
        Laid::Positive,
        Unit::One,
        "(dent + way back + earlier work)/(strain that the temper bears)",
        ductility::CAPACITY,
        &WORKED,
        |o| o.spent / o.capacity.max(1e-9),
    );

    const CRACKED: [usize; 18] = [
        DEPTH,
        ACROSS,
        ALONG,
        SHAPE,
        CURVATURE_ACROSS,
        CURVATURE_ALONG,
        FOLD,
        WALL,
        BORE,
        TEMPER,
        STRENGTH,
        CAPACITY,
        KINEMATIC,
        EARLIER,
        PRESSED,
        STRAINED,
        BACK,
        HOLE,
    ];
    // The likelihood counts what is not known of strain and temper; the table's own scatter of the bearable strain is in
    // capacity_sd, so that input is left out of the first and of the figure's interval.
    let harm_part = s.log_sd(CAPACITY, |o| o.harm * o.concentration).min(2.0);
    let capacity_part = s.log_sd(CAPACITY, |o| o.capacity).min(2.0);
    let back_part = s.log_sd(CAPACITY, |o| o.back * o.concentration).min(2.0);
    const AFTER: [usize; 17] = [
        DEPTH,
        ACROSS,
        ALONG,
        SHAPE,
        CURVATURE_ACROSS,
        CURVATURE_ALONG,
        FOLD,
        WALL,
        BORE,
        TEMPER,
        STRENGTH,
        CAPACITY,
        KINEMATIC,
        EARLIER,
        STRAINED,
        BACK,
        HOLE,
    ];
    let unsound = site.red_rot || site.season_cracking;
    let cold = |o: &model::Out| {
        let local = o.harm * o.concentration;
        cracks((local, harm_part), (o.capacity, o.capacity_sd.hypot(capacity_part * o.capacity)), unsound)
    };
    let soft = ductility::capacity_annealed(site.alloy, base.kind);
    // Rot is not healed by an anneal.
    let left = if unsound { inputs::UNSOUND.0 } else { 1.0 };
    let after = |o: &model::Out| {
        let local = o.back * o.concentration;
        cracks((local, back_part), (soft.value * left, soft.sd * left), unsound)
    };
    let crack_likelihood = s.figure(
        Laid::Probability,
        Unit::Probability,
        "Φ((ln a − ln c)/√(s_a² + s_c²)), a way back + pressed part × (dent + earlier work), c bearable strain",
        ductility::CRACK,
        &CRACKED,
        cold,
    );
    let crack_likelihood_annealed = s.figure(
        Laid::Probability,
        Unit::Probability,
        "Φ((ln a − ln c)/√(s_a² + s_c²)), a way back alone, c bearable strain annealed",
        ductility::CRACK,
        &AFTER,
        after,
    );

    const SPRING: [usize; 13] =
        [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ACROSS, CURVATURE_ALONG, WALL, BORE, TEMPER, STRENGTH, KINEMATIC, EARLIER, OVERPUSH];
    let mut overpush_mm =
        s.figure(Laid::Positive, Unit::Mm, "depth × table(D/t, σ₀/E, n, ball 0.62 D, d/D)", force::OVERPUSH, &SPRING, |o| {
            o.overpush_mm
        });
    // For comparison: it has no part in the figure.
    let bending = Known::new("what bending of the wall alone would ask", base.bending_mm, 0.0, Unit::Mm, Origin::Computed);
    overpush_mm.reason.inputs.push(Input { known: bending, share: 0.0 });
    let passes = s.figure(
        Laid::Positive,
        Unit::One,
        "way back/4 % a pass, then tries until what is buffed out is left",
        springback::PASSES,
        &SPRING,
        |o| o.passes,
    );
    const PUSHED: [usize; 14] =
        [DEPTH, ACROSS, ALONG, SHAPE, CURVATURE_ACROSS, CURVATURE_ALONG, WALL, BORE, TEMPER, STRENGTH, EARLIER, FORMULA, BEND, TABLE];
    let (force_formula, force_source) = base.force.reason();
    let force_inside_n = s.figure(Laid::Positive, Unit::N, force_formula, force_source, &PUSHED, |o| o.force_n);

    let after_anneal = Some(annealed::after(&case, site, base.back));

    let bore = site.bore_mm.value;
    let passage_part = if bore > 0.0 { base.passage_mm / bore } else { 1.0 };
    let measures = Measures { passage_part, area_left: base.area_left, half_along_mm: base.along_mm / 2.0, form };
    let effects = effects::effects(dent, site, measures);
    let grounds = Grounds {
        depth_mm: base.depth_mm,
        diameter_mm: base.depth_mm / base.depth_over_diameter.max(1e-9),
        form,
        strain: base.effective,
        concentration: base.concentration,
        spent: base.spent,
        back: base.back,
        capacity: base.capacity,
        cold: crack_likelihood.value,
        annealed: crack_likelihood_annealed.value,
        halves: advice::halves(base.back, back_part * base.back, soft.value * left, soft.sd * left),
        temper: inputs.known[TEMPER].as_ref().map_or(0.0, |k| k.value),
        effects: &effects,
    };
    let (advice, advice_because) = advice::advice(dent, site, &grounds);
    let missing = missing(&inputs, &force_inside_n);
    Assessment {
        dent: dent.id.clone(),
        run: dent.run.clone(),
        depth_mm,
        width_along_mm,
        width_across_mm,
        depth_over_diameter,
        radius_across_mm,
        radius_along_mm,
        sharpness,
        form,
        passage_mm,
        area_left,
        strain_across,
        strain_along,
        strain_membrane,
        strain_effective,
        worst_place,
        strain_forming,
        strain_accumulated,
        ductility_used,
        crack_likelihood,
        crack_likelihood_annealed,
        overpush_mm,
        passes,
        force_inside_n,
        after_anneal,
        effects,
        advice,
        advice_because,
        missing,
    }
}

/// What a case is made of, but for its inputs.
struct Given<'a> {
    dent: &'a Dent,
    site: &'a Site,
    along: Option<&'a Fit>,
    across: Option<&'a Fit>,
    gaussian: &'a [strain::Sample],
    fold: Option<Fold>,
}

impl<'a> Given<'a> {
    fn case(&self, inputs: &'a Inputs) -> Case<'a> {
        Case {
            inputs,
            alloy: self.site.alloy,
            along: self.along.map_or(self.gaussian, |f| &f.section),
            across: self.across.map_or(self.gaussian, |f| &f.section),
            means: self.across.map_or(geometry::GAUSSIAN_MEANS, |f| f.means),
            fold: self.fold,
            hardness_at_dent: self.dent.hardness_hv.as_ref().is_some_and(|h| h.value.is_finite() && h.value > 0.0),
            crack_mm: match (&self.dent.crack, &self.site.crack_near) {
                (Some(_), _) => Some(0.0),
                (None, Some(near)) => near.distance_mm,
                (None, None) => None,
            },
            drawn: !matches!(self.site.role, Role::BellStem | Role::BellFlare | Role::Rim),
        }
    }
}

/// What was not measured, with its part of the force's variance, the most harmful first.
fn missing(inputs: &Inputs, force: &Figure) -> Vec<Missing> {
    let share = |input: Option<usize>| {
        let name = input.and_then(|l| inputs.known[l].as_ref()).map(|k| &k.name);
        force.reason.inputs.iter().find(|i| Some(&i.known.name) == name).map_or(0.0, |i| i.share)
    };
    let mut missing: Vec<Missing> =
        inputs.missing.iter().map(|l| Missing { what: l.what.to_owned(), instead: l.instead.clone(), share: share(l.input) }).collect();
    missing.sort_by(|a, b| b.share.total_cmp(&a.share));
    missing
}

/// A curvature turned into a radius, mm. Where the curvature's interval holds flat, the radius has no bound on that side
/// and is given as [`FLAT_MM`].
fn radius(curvature: Figure) -> Figure {
    let turn = |k: f64| {
        if k.abs() < 1.0 / FLAT_MM { FLAT_MM.copysign(k) } else { 1.0 / k }
    };
    let (value, a, b) = (turn(curvature.value), turn(curvature.low), turn(curvature.high));
    let holds_flat = curvature.low < 0.0 && curvature.high > 0.0;
    let (low, high) = if holds_flat { (-FLAT_MM, FLAT_MM) } else { (a.min(b), a.max(b)) };
    Figure { value, low, high, unit: Unit::Mm, reason: curvature.reason }
}

/// Likelihood that a strain, known to a part of itself, goes beyond what is borne. How much less unsound metal bears is known far worse
/// than the table, and is not in its scatter.
fn cracks((strain, part): (f64, f64), (borne, borne_sd): (f64, f64), unsound: bool) -> f64 {
    let unsound_sd = if unsound { inputs::UNSOUND.1 / inputs::UNSOUND.0 * borne } else { 0.0 };
    ductility::crack_likelihood(strain, part * strain, borne, borne_sd.hypot(unsound_sd))
}

#[cfg(test)]
mod tests {
    /// By hand: half of what is borne, that known to half of itself: ln c = ln 2 − ½ ln 1.25 = 0.5816, s = √ln 1.25 = 0.4724,
    /// Φ(−1.2312) = 0.1091. Sound metal whose strain and bearing are known for sure does not crack at half.
    #[test]
    fn what_rotten_metal_bears_is_not_known_well() {
        assert!((super::cracks((1.0, 0.0), (2.0, 0.0), true) - 0.1091).abs() < 1e-4);
        assert_eq!(super::cracks((1.0, 0.0), (2.0, 0.0), false), 0.0);
    }
}
