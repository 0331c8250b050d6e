//! Drawn through a ring: the tube, free at both ends, lies on a mandrel of its own bore and is pulled with it through a
//! ring of its own outside. The mandrel's nose has lifted the dent; the ring lays the ridges down and makes the tube
//! round and of one size from end to end.

use crate::bench::Case;
use crate::drive_force::FRICTION;
use crate::method::{Method, Rejected};
use crate::openings::union;
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice, ToolId};
use instrument::Segment;
use std::f64::consts::PI;
use units::text::{mm, newtons};
use units::{Figure, Known, Origin, Source, Text, Unit, text};

/// Half angle of the ring's mouth, degrees. Common practice, no source: 8° to 15° in tube drawing.
pub const MOUTH_DEG: f64 = 10.0;
/// Part of the wall that the ring pinches so that it lies on the mandrel all round. Common practice, no source.
pub const PINCH: f64 = 0.04;
/// A ring on the rack may pinch from this part of the wall to that. Common practice, no source: less does not touch it,
/// more makes the tube thin and hard.
const PINCHES: (f64, f64) = (0.01, 0.10);
/// Friction on the mandrel, which goes along with the tube: polished and oiled. From memory of tube-drawing handbooks, 0.05
/// to 0.10.
pub const ON_MANDREL: (f64, f64) = (0.08, 0.02);
/// The tube behind the ring must not be drawn itself: part of its flow stress that the pull may reach. Common practice, no
/// source (tube mills plan for 0.6 to 0.7).
const MOST_PULL: f64 = 0.6;
/// Bore that changes by more than this from end to end is no cylinder, mm. Common practice, no source.
const CYLINDRICAL_MM: f64 = 0.1;
/// Travel of a screw or arbor press, mm: a short tube is pushed through in it. Common practice, no source.
const PRESS_TRAVEL_MM: f64 = 150.0;
/// The ring lays flat what a sharp form leaves: of that loss of truth so much is won back. Common practice, no source.
const RIDGES_WON: f64 = 0.5;

/// Stress in the tube behind the ring, N/mm²: σ₀·(1 + B)/B·[1 − (t₁/t₀)^B], B = (μ_ring − μ_mandrel)/tan α.
///
/// From memory of Sachs's slab method for tube drawing on a mandrel that goes along (Hoffman & Sachs, Introduction to the
/// Theory of Plasticity for Engineers, 1953); for B → 0 the ideal work σ₀·ln(t₀/t₁) (closed form).
pub fn drawing_stress_mpa(flow_mpa: f64, pinch: f64, ring_friction: f64, mandrel_friction: f64, mouth_deg: f64) -> f64 {
    let left = 1.0 - pinch.clamp(0.0, 0.9);
    let b = (ring_friction - mandrel_friction) / mouth_deg.to_radians().tan().max(1e-6);
    if b.abs() < 1e-6 { -flow_mpa * left.ln() } else { flow_mpa * (1.0 + b) / b * (1.0 - left.powf(b)) }
}

/// All draws through a ring.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    match draw(case) {
        Ok(methods) => (methods, Vec::new()),
        Err(why) => (Vec::new(), vec![case.rejected(MethodKind::DrawRing, None, why)]),
    }
}

fn force(case: &Case, pinch: f64) -> Figure {
    let more = [
        case.flow(),
        case.site.wall_mm.clone().named("wall at the dent"),
        Known::new("friction in the ring, greased steel on brass", FRICTION.0, FRICTION.1, Unit::One, Origin::Handbook),
        Known::new("friction on the mandrel, oiled", ON_MANDREL.0, ON_MANDREL.1, Unit::One, Origin::Handbook),
    ];
    let bore = case.bore_mm();
    let source = Source::from_memory("slab method for tube drawing on a moving mandrel (Hoffman & Sachs 1953), reach::draw_ring");
    Figure::derive_positive(
        Unit::N,
        "F = σ₀·(1 + B)/B·[1 − (t₁/t₀)^B]·π(D + t)t₁, B = (μ ring − μ mandrel)/tan 10°",
        source,
        &more,
        move |x| {
            let (flow, wall) = (x[0], x[1].max(0.0));
            drawing_stress_mpa(flow, pinch, x[2], x[3], MOUTH_DEG) * PI * (bore + wall) * wall * (1.0 - pinch)
        },
    )
}

fn draw(case: &Case) -> Result<Vec<Method>, Text> {
    let length = case.run.axis.length_mm();
    if case.run.axis.segments.iter().any(|s| matches!(s, Segment::Bend { .. })) {
        return Err("the tube is bent: a ring passes a straight tube only".into());
    }
    let (narrow, wide) = case.run.bore_mm.points.iter().fold((f64::INFINITY, 0.0_f64), |a, p| (a.0.min(p.value), a.1.max(p.value)));
    if wide - narrow > CYLINDRICAL_MM {
        return Err(text!("its bore grows from {} to {}: one ring fits one outside only", mm(narrow, 2).bare(), mm(wide, 2)));
    }
    if case.dent.crack.is_some() {
        return Err("a cracked tube tears in the ring".into());
    }
    let wall = case.site.wall_mm.value;
    let outside = case.bore_mm() + 2.0 * wall;
    let free = case.freed()?;
    // The mandrel, with what leads its nose under the dent.
    let mandrels = case.found(MethodKind::Mandrel);
    let mandrel = mandrels
        .iter()
        .min_by_key(|w| (matches!(w.tool, ToolChoice::ToMake { .. }), w.opens.len()))
        .ok_or("no mandrel gets under the dent, and without one the ring closes the tube in")?;
    let pinch_of = |bore: f64| 0.5 * (outside - bore) / wall.max(1e-6);
    let rings = case.tools_where(|t, b| match *b {
        ToolBody::DrawRing { bore_mm } => Some(pinch_of(bore_mm + t.wear_mm)).filter(|p| (PINCHES.0..=PINCHES.1).contains(p)),
        _ => None,
    });
    let ring = rings.into_iter().min_by(|a, b| (a.1 - PINCH).abs().total_cmp(&(b.1 - PINCH).abs()));
    let pinch = ring.as_ref().map_or(PINCH, |r| r.1);
    let force = force(case, pinch);
    let holds = MOST_PULL * case.flow().value * PI * (outside - wall) * wall * (1.0 - pinch);
    if force.value > holds {
        return Err(text!("the ring needs {}, the tube behind it is drawn itself at {}", newtons(force.value), newtons(holds)));
    }
    let pullers = case.tools_where(|_, b| match *b {
        ToolBody::DrawBench { length_mm, limit_n } => Some((length_mm, limit_n)),
        ToolBody::Press { limit_n, travel_mm } => Some((travel_mm.unwrap_or(PRESS_TRAVEL_MM), limit_n)),
        _ => None,
    });
    let puller =
        pullers.iter().filter(|p| p.1.0 >= length && p.1.1 >= force.value).max_by(|a, b| a.1.1.total_cmp(&b.1.1)).ok_or_else(|| {
            match pullers.iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0)) {
                Some((t, (travel, n))) if *travel < length => {
                    text!(
                        "{} travels {}, the tube is {} long (it gives {}, {} are asked)",
                        t.name,
                        mm(*travel, 0),
                        mm(length, 0),
                        newtons(*n),
                        newtons(force.value)
                    )
                }
                Some((t, (_, n))) => text!("{} gives {}, the ring needs {}", t.name, newtons(*n), newtons(force.value)),
                None => "no draw bench or press on the rack".into(),
            }
        })?;
    let limit = puller.1.1.min(holds);
    let mut with: Vec<ToolId> = vec![puller.0.id.clone()];
    let (mut makes, on_mandrel) = (
        Vec::new(),
        match &mandrel.tool {
            ToolChoice::Rack { tools } => tools.clone(),
            ToolChoice::ToMake { .. } => {
                return Err("the mandrel would have to be made first; with it alone the tube is rubbed down".into());
            }
        },
    );
    with.extend(on_mandrel.into_iter().filter(|t| *t != puller.0.id));
    let words = match &ring {
        Some((tool, p)) => {
            with.insert(0, tool.id.clone());
            text!("{} pinches {} % of the wall", tool.name, format!("{:.0}", 100.0 * p))
        }
        None => {
            let bore = ((outside - 2.0 * PINCH * wall) * 100.0).round() / 100.0;
            makes.push(ToolToMake::one(
                ToolBody::DrawRing { bore_mm: bore },
                text!(
                    "no ring on the rack pinches {} to {} % of a {} wall on {} outside",
                    format!("{:.0}", 100.0 * PINCHES.0),
                    format!("{:.0}", 100.0 * PINCHES.1),
                    mm(wall, 2),
                    mm(outside, 2)
                ),
            ));
            text!("a draw ring of {} pinches {} % of the wall", mm(bore, 2), format!("{:.0}", 100.0 * PINCH))
        }
    };
    let because = text!(
        "{} on {} of mandrel. {} draws the whole {} through with {}. Both ends are free.",
        words,
        mm(mandrel.size_mm, 2),
        puller.0.name,
        mm(length, 0),
        newtons(force.value)
    );
    let tool = match makes.pop() {
        Some(make) => ToolChoice::ToMake { make, with },
        None => ToolChoice::Rack { tools: with },
    };
    let Some(access) = case.accesses.iter().find(|a| mandrel.passage.as_ref().is_some_and(|p| p.opening.at == a.path.entry.at)) else {
        return Err("its mandrel's way in is not known".into());
    };
    let opens = union(&union(&free, &mandrel.opens), case.off.as_deref().unwrap_or_default());
    let mut method = case.method(MethodKind::DrawRing, tool, mandrel.size_mm, Some(access), opens, force, limit, because);
    method.finish_quality = (method.finish_quality + RIDGES_WON * crate::practice::lost_by_form(case.assessment.form)).min(0.99);
    method.after = mandrel.after.clone();
    method.contact.clone_from(&mandrel.contact);
    method.pose.clone_from(&mandrel.pose);
    Ok(vec![method])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice or from memory, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((PINCH, PINCHES, MOST_PULL) == (0.04, (0.01, 0.10), 0.6));
        assert!((CYLINDRICAL_MM, PRESS_TRAVEL_MM, RIDGES_WON) == (0.1, 150.0, 0.5));
        // Tube drawing: mouths of 8° to 15°, oiled mandrels of 0.05 to 0.10; the mandrel slides more easily than the ring.
        assert!((8.0..=15.0).contains(&MOUTH_DEG) && (0.05..=0.10).contains(&ON_MANDREL.0) && ON_MANDREL.0 < FRICTION.0);
        assert!(ON_MANDREL.1 > 0.01 && ON_MANDREL.1 < 0.03);
    }
}
