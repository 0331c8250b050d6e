//! A bend filled with a fusible alloy or pitch before it is worked from outside.
//!
//! The fill stands under the wall all round where no mandrel and no stake can follow the bend: it keeps the wall from
//! falling in while ridges and an oval are worked down. It lifts nothing. A dent that is low is raised first, from
//! inside, while the bend is empty; so a way of this kind begins with one of those that raise it.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::openings::union;
use crate::{MethodKind, Tool, ToolBody, ToolChoice, rub};
use dent::Form;
use dent::stroke::Hold;
use metal::Fill;
use std::f64::consts::PI;
use units::text::{kilograms, mm, newtons};
use units::{Figure, Text, text};

/// Depth over the bore from which a dent leaves ridges round it when it is raised. Common practice, no source.
const RIDGES_FROM: f64 = 0.08;
/// Part of the depth that a stroke over the fill may lift or lay down. Common practice, no source: light ones, the fill
/// takes a print.
const MOST_LIFT: f64 = 0.10;
/// More alloy than this is not melted for one bend, kg: the pot and the hand that pours. Common practice, no source.
pub const MOST_ALLOY_KG: f64 = 4.0;
/// Room outside for a hand with a roller, mm, and for a hammer's swing. Common practice, no source.
const ROOM_MM: (f64, f64) = (35.0, 90.0);
/// A roller is worked with both hands.
const HANDS: f64 = 2.0;
/// Of what a sharp form loses of truth, this much is won back: its ridges are laid down with the wall held. Common
/// practice, no source.
const RIDGES_WON: f64 = 0.5;

/// What the fill bears under a head of some diameter that sinks a lift deep, N: its hardness times the contact, spread
/// through the wall at 45°. π·(√(h·ℓ) + t)² (closed form: chord of a sphere; the spread is common practice).
pub fn fill_bears_n(fill: Fill, head_mm: f64, lift_mm: f64, wall_mm: f64) -> f64 {
    fill.bears_mpa() * PI * ((head_mm * lift_mm).max(0.0).sqrt() + wall_mm).powi(2)
}

/// Mass of a fill, kg, in a volume of mm³.
pub fn fill_kg(fill: Fill, mm3: f64) -> f64 {
    fill.density_kg_m3() * mm3 * 1e-9
}

/// All filling.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    match filled(case) {
        Ok(method) => (vec![method], Vec::new()),
        Err(why) => (Vec::new(), vec![case.rejected(MethodKind::FilledBend, None, why)]),
    }
}

/// What works it down from outside over the fill: the tool, a stroke, its force and what may be pressed.
struct Outside<'t> {
    tool: &'t Tool,
    force: Figure,
    limit_n: f64,
    verb: &'static str,
}

fn filled(case: &Case) -> Result<Method, Text> {
    let Some(radius) = case.bend_mm else {
        return Err("the tube is straight there: a mandrel or a stake holds its wall, nothing is filled".into());
    };
    let over = case.depth_mm() / case.bore_mm().max(1e-6);
    let ridged = over >= RIDGES_FROM || case.dent.crease.is_some() || matches!(case.assessment.form, Form::Sharp | Form::VShaped);
    if !ridged {
        return Err(text!(
            "{} % of the bore deep and smooth: raised from inside it leaves no ridge that would have to be held",
            format!("{:.0}", 100.0 * over)
        ));
    }
    if case.runs_in_a_fit() {
        return Err("a part that runs in a moving fit is brought true on a body of its own bore".into());
    }
    if case.site.red_rot {
        return Err("red rot: the alloy creeps into the rotten wall and does not come out".into());
    }
    let free = case.freed()?;
    let raises = [MethodKind::BallTrain, MethodKind::CurvedRod, MethodKind::StraightRod].map(|m| case.found(m)).concat();
    let easier = |w: &Method| (matches!(w.tool, ToolChoice::ToMake { .. }), w.minutes.mean());
    let raise = raises
        .into_iter()
        .min_by(|a, b| easier(a).0.cmp(&easier(b).0).then(easier(a).1.total_cmp(&easier(b).1)))
        .ok_or("nothing raises it from inside first, and a fill lifts nothing")?;
    let (pot, fill, kg) = fill_for(case)?;
    let outside = from_outside(case, fill)?;
    let because = text!(
        "raised first while empty ({}, {} at the hand). Then the bend (radius {}) is taken out and filled with {} of {} ({}). The ridges are {} with {} over the fill, {} a stroke. The fill keeps the wall from falling in, it lifts nothing.",
        match raise.kind {
            MethodKind::BallTrain => "balls driven through",
            MethodKind::CurvedRod => "curved rod",
            _ => "straight rod",
        },
        newtons(raise.force_hand_n.value),
        mm(radius, 0),
        kilograms(kg),
        pot.name,
        fill.name(),
        outside.verb,
        outside.tool.name,
        newtons(outside.force.value)
    );
    let more = [pot.id.clone(), outside.tool.id.clone()];
    let mut method = raise.clone();
    method.kind = MethodKind::FilledBend;
    method.fill = Some(fill);
    method.tool = match raise.tool {
        ToolChoice::Rack { mut tools } => {
            tools.extend(more);
            ToolChoice::Rack { tools }
        }
        ToolChoice::ToMake { make, mut with } => {
            with.extend(more);
            ToolChoice::ToMake { make, with }
        }
    };
    method.opens = union(&free, &raise.opens);
    if let Some(p) = &mut method.passage {
        p.opening.opens.clone_from(&method.opens);
    }
    // Whichever of the two asks more of what it has.
    if outside.force.value / outside.limit_n >= raise.force_hand_n.value / raise.force_limit_n.max(1e-9) {
        method.force_hand_n = outside.force;
        method.force_limit_n = outside.limit_n;
    }
    method.minutes = raise.minutes.plus(crate::practice::minutes(MethodKind::FilledBend, case.assessment, true, 0));
    let risk = crate::practice::risk(MethodKind::FilledBend, case.assessment, case.site.wall_mm.value, 1.0);
    method.risk = (raise.risk + risk).min(0.9);
    method.finish_quality = (crate::practice::finish_quality(MethodKind::FilledBend, case.assessment, 1.0, false)
        + RIDGES_WON * crate::practice::lost_by_form(case.assessment.form))
    .min(0.99);
    method.because = text!("{}{}", because, case.note);
    Ok(method)
}

/// Volume of the dent's run, mm³: its bore over its length, in a hundred slices.
fn volume_mm3(case: &Case) -> f64 {
    let length = case.run.axis.length_mm();
    (0..100).map(|i| case.run.bore_at(length * (f64::from(i) + 0.5) / 100.0).value.powi(2)).sum::<f64>() * PI / 4.0 * length / 100.0
}

/// The fill of the rack: an alloy without cadmium before one with, alloy before pitch, as far as the pot goes.
fn fill_for<'a>(case: &Case<'a>) -> Result<(&'a Tool, Fill, f64), Text> {
    let order = [Fill::Alloy95, Fill::Alloy124, Fill::Alloy70, Fill::Pitch];
    let volume = volume_mm3(case);
    let fills = case.tools_where(|_, b| if let ToolBody::Fill { fill } = *b { Some(fill) } else { None });
    let mut why = text!(
        "no fill on the rack: {} of {} (no cadmium) or {} of pitch",
        kilograms(fill_kg(Fill::Alloy95, volume)),
        Fill::Alloy95.name(),
        kilograms(fill_kg(Fill::Pitch, volume))
    );
    for fill in order {
        let Some((tool, _)) = fills.iter().find(|f| f.1 == fill) else { continue };
        let kg = fill_kg(fill, volume);
        if fill.is_alloy() && kg > MOST_ALLOY_KG {
            why = text!(
                "it would take {} of {}, and more than {} is not melted at a bench: pitch",
                kilograms(kg),
                fill.name(),
                kilograms(MOST_ALLOY_KG)
            );
            continue;
        }
        return Ok((tool, fill, kg));
    }
    Err(why)
}

/// The gentlest tool that does it: a roller before a hammer.
fn from_outside<'a>(case: &Case<'a>, fill: Fill) -> Result<Outside<'a>, Text> {
    let tools = case.tools_where(|_, b| match *b {
        ToolBody::Roller { diameter_mm } => Some((diameter_mm, HANDS * case.rack.hand_push_n, diameter_mm + ROOM_MM.0, "rolled down")),
        // A blow is not limited by what a hand presses.
        ToolBody::Hammer { face_radius_mm } => Some((2.0 * face_radius_mm, f64::INFINITY, ROOM_MM.1, "tapped down")),
        _ => None,
    });
    let mut why = Text::from("no roller or dent hammer on the rack");
    let mut found: Option<Outside> = None;
    for (tool, (head, hand, clearance, verb)) in tools {
        if let Some(closed) = case.outside_closed(clearance) {
            why = closed;
            continue;
        }
        let stroke = match rub::within(case, head, Hold::Mandrel, hand, MOST_LIFT) {
            Ok(s) => s,
            Err(least) => {
                why = text!("{}: every stroke springs back under {}, the hands give {}", tool.name, newtons(least), newtons(hand));
                continue;
            }
        };
        let force = rub::force(case, &stroke);
        let limit_n = hand.min(fill_bears_n(fill, head, stroke.lift_mm, case.site.wall_mm.value));
        if force.value > limit_n {
            why = text!("{}: a stroke needs {}, {} under it bears {}", tool.name, newtons(force.value), fill.name(), newtons(limit_n));
        } else if found.as_ref().is_none_or(|f| f.verb == "tapped down" && verb == "rolled down") {
            found = Some(Outside { tool, force, limit_n, verb });
        }
    }
    found.ok_or(why)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((RIDGES_FROM, MOST_LIFT, ROOM_MM, HANDS, RIDGES_WON) == (0.08, 0.10, (35.0, 90.0), 2.0, 0.5));
    }
}
