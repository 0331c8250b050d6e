//! Rolled or burnished from outside over a mandrel, a stake, a dolly or a rod's head: the wall is worked down to the
//! support in many light strokes.

use crate::bench::Case;
use crate::support::{self, Work};
use crate::way::{RuledOut, Way};
use crate::{Method, ToolBody, ToolChoice};
use units::{Figure, Known, Origin, Source, Unit};

/// Passes over which the depth is brought back: each moves the wall a little. Common practice, no source.
const PASSES: (f64, f64) = (60.0, 20.0);
/// A roller is worked with both hands.
const HANDS: f64 = 2.0;
/// Room outside for a hand with a roller, mm. Common practice, no source.
const HAND_ROOM_MM: f64 = 35.0;

/// All rolling.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    let force = force(case, "passes over which the depth is brought back", PASSES);
    let limit = HANDS * case.rack.hand_push_n;
    if force.value > limit {
        let why = format!("each pass asks {:.0} N, both hands give {limit:.0} N", force.value);
        return (Vec::new(), vec![case.ruled_out(Method::Rolling, None, why)]);
    }
    let room = |b: &ToolBody| if let ToolBody::Roller { diameter_mm } = *b { Some(diameter_mm + HAND_ROOM_MM) } else { None };
    from_outside(case, Method::Rolling, &force, Some(limit), "roller", room)
}

/// Work from outside over a support. `limit_n` is what the hand gives, where it is the hand that presses; `room` picks
/// the tool and says how much room it wants outside, mm.
pub fn from_outside(
    case: &Case,
    method: Method,
    force: &Figure,
    limit_n: Option<f64>,
    what: &str,
    room: impl Fn(&ToolBody) -> Option<f64>,
) -> (Vec<Way>, Vec<RuledOut>) {
    let mut out: (Vec<(Way, f64)>, Vec<RuledOut>) = (Vec::new(), Vec::new());
    let mut tools = case.tools_where(|_, b| room(b));
    tools.sort_by(|a, b| a.1.total_cmp(&b.1));
    let Some((tool, room)) = tools.into_iter().next() else {
        out.1.push(case.ruled_out(method, None, format!("no {what} on the rack")));
        return (Vec::new(), out.1);
    };
    if let Some(why) = case.outside_closed(room) {
        out.1.push(case.ruled_out(method, None, why));
        return (Vec::new(), out.1);
    }
    let (work, done) = if method == Method::Hammering { (Work::Blows, "hammered down") } else { (Work::Steady, "rolled down") };
    for access in &case.accesses {
        // A full support already found, for which less has to be opened, is not bettered here.
        let settled = |o: &Vec<crate::Opened>| {
            out.0.iter().any(|(w, fill)| *fill >= support::FULL && w.after.is_empty() && w.opens.iter().all(|x| o.contains(x)))
        };
        if access.opens.iter().all(settled) {
            continue;
        }
        match support::best(case, access, force.value, work) {
            Ok(s) => {
                let because = format!(
                    "{done} with {} {}, entered from {}, {:.0} mm in; each stroke asks {:.0} N.",
                    tool.name, s.words, access.path.entry.name, access.u_mm, force.value
                );
                let tools: Vec<_> = std::iter::once(tool.id.clone()).chain(s.tool).collect();
                let choice = match s.make {
                    Some(make) => ToolChoice::ToMake { make, with: tools },
                    None => ToolChoice::Rack { tools },
                };
                let from_rack = matches!(choice, ToolChoice::Rack { .. });
                let fill = (s.round_mm / case.bore_to_fill_mm().max(1e-6)).min(1.0);
                let limit = limit_n.unwrap_or(f64::INFINITY).min(s.bears_n);
                let after: Vec<_> = s.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
                for opens in &access.opens {
                    let mut way =
                        case.way(method, choice.clone(), s.size_mm, Some(access), opens.clone(), force.clone(), limit, because.clone());
                    way.risk = crate::practice::risk(method, case.assessment, case.site.wall_mm.value, fill);
                    way.truth = crate::practice::truth(method, case.assessment, fill, case.runs_in_a_fit());
                    way.after = after.clone();
                    way.pose = s.pose.clone();
                    out.0.push((way, if from_rack { fill } else { 0.0 }));
                }
            }
            Err(why) => out.1.push(case.ruled_out(method, Some(access), why)),
        }
    }
    (out.0.into_iter().map(|w| w.0).collect(), out.1)
}

/// A stroke's force: the lift is shared over the strokes and the force goes with the root of the lift.
pub fn force(case: &Case, name: &'static str, strokes: (f64, f64)) -> Figure {
    let n = Known::new(name, strokes.0, strokes.1, Unit::One, Origin::Assumed);
    let source = Source::from_memory(
        "lift force ∝ √lift (Wierzbicki & Suh, Int. J. Mech. Sci. 30, 1988), shared over the strokes of common practice",
    );
    case.force_at_hand("F = F(wall)/√n", source, n, |f, n| f / n.max(1.0).sqrt())
}
