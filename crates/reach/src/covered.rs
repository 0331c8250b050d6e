//! A guard or a ferrule that stays on over a dent while it is worked from inside: whether it may, what both sheets ask, and the dent on the
//! bench with it on.
//!
//! Premises. The guard was on when the tube was dented, and was dented with it: it comes back with it. (Over a dent that was there before the
//! guard it would ask less.) It lies on the whole dent. What is not in the survey (how thick it is, of what, how far its solder runs) is
//! taken for what is usual, with a spread, and said.

use crate::bench::{Case, keep_least};
use crate::constraints::Constraints;
use crate::left_on::{Covered, LeftOn};
use crate::opened::Opened;
use crate::openings::union;
use dent::{Advice, Assessment, Form};
use instrument::{Concerns, Condition, Dent, Overlay, OverlayKind, Site, Survey};
use metal::two_sheets::{Bond, SOURCE, Sheet, limit_load_times, springs_times};
use metal::{Alloy, Temper};
use units::text::{mm, newtons};
use units::{Figure, Input, Known, Origin, Text, Unit, text};

/// A guard is about as thick as the wall that it lies on; known to this part of it, one standard deviation. Common practice, no source.
pub const THICK_SD: f64 = 0.25;
/// Guards and ferrules are mostly of nickel silver. Common practice, no source.
pub const ALLOY: Alloy = Alloy::NickelSilver;
/// A guard is formed to the same round as the tube that it lies on, and as hard; known to so many numbers hard, one standard deviation.
/// Common practice, no source.
pub const TEMPER_SD: f64 = 1.0;
/// How far solder bonds it to the wall: 0 not at all, 1 all over; its mean and standard deviation. It is run in along the edges: under
/// three dents in four the sheets lie loose on each other, under the fourth solder has run between them (0 and 1 with these likelihoods:
/// 1/4 and √(3/16)). Own judgment, no source.
pub const BOND: (f64, f64) = (0.25, 0.433);
/// A dent deeper than this part of the diameter has torn the guard from its solder or folded it at its edge: it comes off. Common practice, no
/// source.
pub const DEEPEST: f64 = 0.33;

const FORMULA: &str = "limit load of both sheets over the wall's alone, (slipping)^(1 − b)·(bonded)^b; slipping Σσt²/4, bonded the plastic moment of one section, σt²/4 the wall's alone; b how far solder bonds them";
const SPRINGS: &str =
    "over-push of the wall alone times what both spring over what it springs alone, M/(EI), (slipping)^(1 − b)·(bonded)^b";

/// Whether an overlay may stay on over a dent that is worked from inside; or why it comes off.
pub fn may_stay(
    survey: &Survey,
    (dent, site): (&Dent, &Site),
    a: &Assessment,
    over: &Overlay,
    constraints: &Constraints,
) -> Result<(), Text> {
    let name = &over.name;
    if let Some(said) = constraints.off.get(&over.id) {
        return Err(text!("{} comes off ({})", name, said.words()));
    }
    match over.kind {
        OverlayKind::Guard | OverlayKind::Ferrule => {}
        _ => return Err(text!("{} comes off: it holds the wall at one place and would be torn from it", name)),
    }
    if dent.pushed_in_by.as_ref() == Some(&over.id) {
        return Err(text!("{} pushed the dent in: it comes off", name));
    }
    if dent.crack.is_some() || dent.crease.is_some() {
        let what = if dent.crack.is_some() { "the crack has to be seen" } else { "a fold is eased from outside" };
        return Err(text!("{} comes off: {}", name, what));
    }
    if let Some(c) = survey.conditions.iter().find(|c| hides(c, over, site)) {
        return Err(text!("{} comes off: {} lies under it and has to be seen", name, c.kind.words()));
    }
    if constraints.anneal.contains(&dent.id) || matches!(a.advice, Advice::AnnealFirst | Advice::AnnealBetweenPasses) {
        return Err(text!("{} comes off: the place is annealed, and that flame melts its solder", name));
    }
    if !matches!(a.advice, Advice::WorkCold | Advice::Leave) {
        return Err(text!("{} comes off: the wall under it has to be seen", name));
    }
    // What a person or the customer keeps on is tried all the same.
    if constraints.on.contains_key(&over.id) {
        return Ok(());
    }
    if a.form > Form::Rounded {
        return Err(text!("{} comes off: the dent's edge is too sharp for it to come back with the wall", name));
    }
    let part = a.depth_over_diameter.value;
    if part > DEEPEST {
        let percent = |x: f64| format!("{:.0}", 100.0 * x);
        return Err(text!(
            "{} comes off: a dent {} % of the diameter deep has torn its solder, {} % is the most that it follows",
            name,
            percent(part),
            percent(DEEPEST)
        ));
    }
    Ok(())
}

/// Whether rotten, cracked or thin metal lies under it, or could.
fn hides(c: &Condition, over: &Overlay, site: &Site) -> bool {
    let there = |from: f64, to: f64| match (c.from_mm, c.to_mm) {
        (Some(a), Some(b)) => a.min(b) <= to && a.max(b) >= from,
        (Some(one), None) | (None, Some(one)) => (from..=to).contains(&one),
        (None, None) => true,
    };
    let on_it = |x: &instrument::Cover| x.run == site.run && c.is_on(&x.run) && there(x.from_mm, x.to_mm);
    c.kind.concerns() == Concerns::Metal && over.covers.iter().any(on_it)
}

/// Force and over-push with what lies over the dent on. Of several the one that asks most: they lie beside each other, not on
/// each other.
pub fn covered(case: &Case, over: &[&Overlay]) -> Option<Covered> {
    over.first()?;
    let (flow, e_mpa) = (case.flow().value, case.e_mpa());
    let wall = Sheet { flow_mpa: flow, e_mpa, wall_mm: case.site.wall_mm.value.max(1e-3) };
    let usual = wall.wall_mm;
    let thickness = Known::new("thickness of what lies over the dent", usual, THICK_SD * usual, Unit::Mm, Origin::Assumed);
    let at = |numbers: f64| ALLOY.yield_mpa(Temper(numbers));
    let temper = case.site.temper.value.clamp(0.0, 8.0);
    let spread = (0.5 * (at(temper + TEMPER_SD).value - at((temper - TEMPER_SD).max(0.0)).value)).hypot(at(temper).sd);
    let yields = Known::new("yield strength of what lies over the dent", at(temper).value, spread, Unit::MPa, Origin::Assumed);
    let bond = Known::new("how far solder bonds it, 0 loose to 1 all over", BOND.0, BOND.1, Unit::One, Origin::Assumed);
    let over_e_mpa = ALLOY.physical().e_mpa.value;
    let inputs = [thickness.clone(), yields.clone(), bond];
    // The wall's own spread is in its force already.
    let times = |of: fn(&Sheet, &Sheet, Bond) -> f64, x: &[f64]| {
        let over = Sheet { flow_mpa: x[1].max(1.0), e_mpa: over_e_mpa, wall_mm: x[0].max(0.0) };
        of(&wall, &over, Bond::Loose).powf(1.0 - x[2]) * of(&wall, &over, Bond::Soldered).powf(x[2])
    };
    let force_times = Figure::derive_positive(Unit::One, FORMULA, SOURCE, &inputs, |x| times(limit_load_times, x));
    let a = case.assessment;
    let with = |alone: &Figure, name: &'static str, unit: Unit, formula: &'static str, of: fn(&Sheet, &Sheet, Bond) -> f64| {
        let known: Vec<Known> = std::iter::once(alone.known(name)).chain(inputs.iter().cloned()).collect();
        through(alone, Figure::derive_positive(unit, formula, SOURCE, &known, |x| x[0] * times(of, &x[1..])))
    };
    let assessment = Assessment {
        force_inside_n: with(&a.force_inside_n, "force that moves the wall alone", Unit::N, FORMULA, limit_load_times),
        overpush_mm: with(&a.overpush_mm, "over-push of the wall alone", Unit::Mm, SPRINGS, springs_times),
        after_anneal: None,
        ..a.clone()
    };
    let sheet = Sheet { flow_mpa: yields.value, e_mpa: over_e_mpa, wall_mm: thickness.value };
    let times_of = |bond: Bond| format!("{:.1}", limit_load_times(&wall, &sheet, bond));
    let names: Vec<&str> = over.iter().map(|o| o.name.as_str()).collect();
    let note = text!(
        " {} {} on and {} out with the wall: {} from inside in place of {}. That is {} times the wall's alone where the two slip on each other, {} times where solder holds them all over. It is soldered at its edges, so nearer the first. Taken for {} thick, of {}: the survey does not say.",
        names.join(" and "),
        if names.len() == 1 { "stays" } else { "stay" },
        if names.len() == 1 { "goes" } else { "go" },
        newtons(assessment.force_inside_n.value),
        newtons(a.force_inside_n.value),
        times_of(Bond::Loose),
        times_of(Bond::Soldered),
        mm(thickness.value, 2),
        ALLOY.name()
    );
    Some(Covered {
        left_on: LeftOn { overlays: over.iter().map(|o| o.id.clone()).collect(), thickness_mm: thickness, force_times },
        assessment,
        note,
    })
}

/// A dent as it was put on the bench, worked from inside with what `covered` names left on over it, and only `off` off besides; none
/// where every way in asks for that to come off all the same.
pub fn left_on<'s>(mut case: Case<'s>, covered: &'s Covered, off: Vec<Opened>) -> Option<Case<'s>> {
    let stays = |o: &Opened| matches!(o, Opened::Overlay(id) if covered.left_on.overlays.contains(id));
    for access in &mut case.accesses {
        access.opens = access.path.entry.opens.iter().map(|o| union(o, &off)).filter(|o| !o.iter().any(stays)).collect();
        keep_least(&mut access.opens);
    }
    case.accesses.retain(|a| !a.opens.is_empty());
    case.note += covered.note.clone();
    (case.assessment, case.off, case.left_on) = (&covered.assessment, Ok(off), Some(&covered.left_on));
    (!case.accesses.is_empty()).then_some(case)
}

/// The same with the inputs of the first input in its place.
fn through(first: &Figure, mut figure: Figure) -> Figure {
    if !first.reason.inputs.is_empty() && !figure.reason.inputs.is_empty() {
        let own = figure.reason.inputs.remove(0);
        let leaves = first.reason.inputs.iter().map(|i| Input { known: i.known.clone(), share: i.share * own.share });
        figure.reason.inputs = leaves.chain(std::mem::take(&mut figure.reason.inputs)).collect();
    }
    figure
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((THICK_SD, TEMPER_SD, DEEPEST, BOND.0) == (0.25, 1.0, 0.33, 0.25));
        // Of a thing that is 1 with likelihood p and else 0: mean p, variance p (1 − p).
        assert!((BOND.1 - (BOND.0 * (1.0 - BOND.0)).sqrt()).abs() < 1e-3);
        assert_eq!(ALLOY, Alloy::NickelSilver);
    }
}
