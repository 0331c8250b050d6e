//! Rolled or burnished from outside over a mandrel, a stake, a dolly or a rod's head: the wall is worked down to the
//! support line by line, from the dent's rim inwards.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::strokes::{Head, Motion, Working, within};
use crate::support::{self, Work};
use crate::to_make::ToolToMake;
use crate::{MethodKind, Tool, ToolBody, ToolChoice};
use dent::stroke::Hold;
use units::text::{mm, newtons};
use units::{Text, text};

/// A roller is worked with both hands.
const HANDS: f64 = 2.0;
/// Room outside for a hand with a roller, mm. Common practice, no source.
const HAND_ROOM_MM: f64 = 35.0;

/// All rolling.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let limit = HANDS * case.rack.hand_push_n;
    // The largest roller first: a small one prints. A smaller one where it has the room that the larger one lacks.
    let mut rollers = case.tools_where(|_, b| if let ToolBody::Roller { diameter_mm } = *b { Some(diameter_mm) } else { None });
    rollers.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut why = Text::from("no roller on the rack");
    for (tool, diameter) in rollers {
        if let Some(closed) = case.outside_closed(diameter + HAND_ROOM_MM) {
            why = closed;
            continue;
        }
        match within(case, Head::new(diameter, Hold::Mandrel, Motion::Lines), limit) {
            Ok(working) => return from_outside(case, MethodKind::Rolling, tool, &working, limit),
            Err(weak) => why = text!("{} {}", tool.name, weak.words(case, "both hands give", limit)),
        }
    }
    (Vec::new(), vec![case.rejected(MethodKind::Rolling, None, why)])
}

/// Work from outside with a tool over a support that holds against its strokes. `limit_n` is what the hand gives, where it
/// is the hand that presses.
pub fn from_outside(case: &Case, kind: MethodKind, tool: &Tool, working: &Working, limit_n: f64) -> (Vec<Method>, Vec<Rejected>) {
    let force = working.at_hand(case, "F = F(wall)·part, the part of the whole force that a pass of this lift needs", &[], |_| 1.0);
    let mut out: (Vec<(Method, f64)>, Vec<Rejected>) = (Vec::new(), Vec::new());
    let (work, done) = if kind == MethodKind::Hammering { (Work::Blows, "hammered down") } else { (Work::Steady, "rolled down") };
    for access in &case.accesses {
        // A full support already found, for which less has to be opened, is not bettered here.
        let settled = |o: &Vec<crate::Opened>| {
            out.0.iter().any(|(w, fill)| *fill >= support::FULL && w.after.is_empty() && w.opens.iter().all(|x| o.contains(x)))
        };
        if access.opens.iter().all(settled) {
            continue;
        }
        let holds = |s: support::Support| {
            if s.bears_n >= force.value {
                Ok(s)
            } else {
                Err(text!("{} holds {}, {} are asked", s.words, newtons(s.bears_n), newtons(force.value)))
            }
        };
        match support::best(case, access, force.value, work).and_then(holds) {
            Ok(s) => {
                let because = text!(
                    "{} with {} {}, entered from {}, {} in; {}, each needs {}.",
                    done,
                    tool.name,
                    s.words,
                    access.path.entry.name,
                    mm(access.u_mm, 0),
                    working.words(),
                    newtons(force.value)
                );
                let tools: Vec<_> = std::iter::once(tool.id.clone()).chain(s.tool.clone()).collect();
                let choice = match s.make.clone() {
                    Some(piece) => ToolChoice::ToMake { make: ToolToMake { pieces: vec![piece] }, with: tools },
                    None => ToolChoice::Rack { tools },
                };
                let contact = s.contact(case, access, working.strokes.left_mm);
                let from_rack = matches!(choice, ToolChoice::Rack { .. });
                let fill = (s.round_mm / case.bore_to_fill_mm().max(1e-6)).min(1.0);
                let limit = limit_n.min(s.bears_n);
                let after: Vec<_> = s.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
                for opens in &access.opens {
                    let method =
                        case.method(kind, choice.clone(), s.size_mm, Some(access), opens.clone(), force.clone(), limit, because.clone());
                    let mut method = case.with_strokes(method, working.strokes);
                    method.risk = crate::practice::risk(kind, case.assessment, case.site.wall_mm.value, fill);
                    let left = working.strokes.left_mm / case.depth_mm();
                    method.finish_quality =
                        (crate::practice::finish_quality(kind, case.assessment, fill, case.runs_in_a_fit()) * (1.0 - left)).max(0.05);
                    method.after = after.clone();
                    method.pose = s.pose.clone();
                    method.contact = Some(contact.clone());
                    out.0.push((method, if from_rack { fill } else { 0.0 }));
                }
            }
            Err(why) => out.1.push(case.rejected(kind, Some(access), why)),
        }
    }
    (out.0.into_iter().map(|w| w.0).collect(), out.1)
}

#[cfg(test)]
mod tests {
    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((super::HANDS, super::HAND_ROOM_MM) == (2.0, 35.0));
    }
}
