//! Rolled or burnished from outside over a mandrel or a rod's head: the wall is worked down to the support in
//! many light strokes.

use crate::bench::Case;
use crate::support;
use crate::way::{RuledOut, Way};
use crate::{Method, ToolBody, ToolChoice};
use units::{Figure, Known, Origin, Source, Unit};

/// Strokes over which the depth is brought back: each moves the wall a little. Common practice, no source.
const STROKES: (f64, f64) = (12.0, 3.0);
/// Room outside for a hand with a roller, mm. Common practice, no source.
const HAND_ROOM_MM: f64 = 35.0;

/// All rolling.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    from_outside(case, Method::Rolling, STROKES, "roller", |b| {
        if let ToolBody::Roller { diameter_mm } = *b { Some(diameter_mm + HAND_ROOM_MM) } else { None }
    })
}

/// Work from outside over a support. `room` picks the tool and says how much room it wants outside, mm.
pub fn from_outside(
    case: &Case,
    method: Method,
    strokes: (f64, f64),
    what: &str,
    room: impl Fn(&ToolBody) -> Option<f64>,
) -> (Vec<Way>, Vec<RuledOut>) {
    let mut out = (Vec::new(), Vec::new());
    let mut tools = case.tools_where(|_, b| room(b));
    tools.sort_by(|a, b| a.1.total_cmp(&b.1));
    let Some((tool, room)) = tools.into_iter().next() else {
        out.1.push(case.ruled_out(method, None, format!("no {what} on the rack")));
        return out;
    };
    if let Some(why) = case.outside_closed(room) {
        out.1.push(case.ruled_out(method, None, why));
        return out;
    }
    let force = force(case, strokes);
    let limit = case.rack.hand_push_n;
    if force.value > limit {
        out.1.push(case.ruled_out(method, None, format!("each stroke asks {:.0} N, the hand gives {limit:.0} N", force.value)));
        return out;
    }
    for access in &case.accesses {
        match support::best(case, access, force.value) {
            Ok(s) => {
                let because = format!(
                    "{} with {} {}, entered from {}, {:.0} mm in; a stroke asks {:.0} N.",
                    worked(method),
                    tool.name,
                    s.words,
                    access.path.entry.name,
                    access.u_mm,
                    force.value
                );
                for opens in &access.opens {
                    let choice = ToolChoice::Rack { tools: vec![tool.id.clone(), s.tool.clone()] };
                    let mut way = case.way(
                        method,
                        choice,
                        s.size_mm,
                        Some(access),
                        opens.clone(),
                        force.clone(),
                        limit.min(s.bears_n),
                        because.clone(),
                    );
                    way.after = s.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
                    way.pose = s.pose.clone();
                    out.0.push(way);
                }
            }
            Err(why) => out.1.push(case.ruled_out(method, Some(access), why)),
        }
    }
    out
}

fn worked(method: Method) -> &'static str {
    if method == Method::Hammering { "hammered down" } else { "rolled down" }
}

/// A stroke's force: the lift is shared over the strokes and the force goes with the root of the lift.
fn force(case: &Case, strokes: (f64, f64)) -> Figure {
    let n = Known::new("strokes over which the depth is brought back", strokes.0, strokes.1, Unit::One, Origin::Assumed);
    let source = Source::from_memory(
        "lift force ∝ √lift (Wierzbicki & Suh, Int. J. Mech. Sci. 30, 1988), shared over the strokes of common practice",
    );
    case.force_at_hand("F = F(wall)/√n", source, n, |f, n| f / n.max(1.0).sqrt())
}
