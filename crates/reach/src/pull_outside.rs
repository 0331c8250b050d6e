//! Pulled from outside by a stud soldered on: the last resort where nothing reaches. It marks, it needs heat
//! and it does not come true.

use crate::bench::Case;
use crate::way::{RuledOut, ToolToMake, Way};
use crate::{Method, ToolBody, ToolChoice};
use instrument::Role;
use std::f64::consts::PI;
use units::{Known, Origin, Source, Unit};

/// What a soft-soldered foot holds in a straight pull, N/mm². From memory of solder makers' tables: tin–lead
/// bulk tensile strength about 40; half of it for a hand-made joint (common practice).
pub const SOLDER_HOLDS_MPA: f64 = 20.0;
/// Studs set side by side along a dent at most. Common practice, no source.
const MOST_STUDS: f64 = 6.0;

/// The pull from outside.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    let mut out = (Vec::new(), Vec::new());
    if matches!(case.site.role, Role::Casing | Role::Piston | Role::HandSlideInner | Role::TuningSlideInner) || !case.site.fits.is_empty() {
        out.1.push(case.ruled_out(
            Method::PullOutside,
            None,
            "solder and a stud's pull have no place on a part that runs in a moving fit: it would not come true to the fit's hundredths",
        ));
        return out;
    }
    let opens = case.off.clone().unwrap_or_default();
    let share = Known::new("studs that share the pull", 3.0, 0.8, Unit::One, Origin::Assumed);
    let source = Source::common_practice("the dent is drawn out stud by stud from its rim inwards");
    let force = case.force_at_hand("F = F(wall)/studs", source, share, |f, n| f / n.clamp(1.0, MOST_STUDS));
    let studs = case.tools_where(|_, b| if let ToolBody::PullStud { foot_mm } = *b { Some(foot_mm) } else { None });
    let holds = |foot: f64| PI / 4.0 * foot * foot * SOLDER_HOLDS_MPA;
    let hand = case.rack.lean_n;
    let found = studs.iter().filter(|s| holds(s.1) >= force.value).min_by(|a, b| a.1.total_cmp(&b.1));
    let (tool, foot, words) = match found {
        Some((tool, foot)) => (ToolChoice::Rack { tools: vec![tool.id.clone()] }, *foot, tool.name.clone()),
        None => {
            let foot = ((4.0 * force.value / (PI * SOLDER_HOLDS_MPA)).sqrt()).ceil().max(4.0);
            let why = match studs.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
                Some((t, f)) => format!("{} holds {:.0} N, {:.0} N are asked", t.name, holds(*f), force.value),
                None => "no pull stud on the rack".to_owned(),
            };
            let make = ToolToMake {
                body: ToolBody::PullStud { foot_mm: foot },
                words: format!("pull stud with a {foot:.0} mm foot"),
                because: format!("{why}; a soldered foot of {foot:.0} mm holds {:.0} N", holds(foot)),
            };
            let words = make.words.clone();
            (ToolChoice::ToMake { make, with: Vec::new() }, foot, words)
        }
    };
    let limit = holds(foot).min(hand);
    if force.value > limit {
        out.1.push(case.ruled_out(
            Method::PullOutside,
            None,
            format!("the wall asks {:.0} N a stud, {limit:.0} N are at hand", force.value),
        ));
        return out;
    }
    let because = format!(
        "last resort, from outside: {words} soldered on holds {:.0} N, {:.0} N are asked; the heat burns the finish and softens the wall, and it does not come quite true.",
        holds(foot),
        force.value
    );
    let mut way = case.way(Method::PullOutside, tool, foot, None, opens, force, limit, because);
    // The stud's size says nothing of how it fills the bore: figures without that factor.
    way.risk = crate::practice::risk(Method::PullOutside, case.assessment, case.site.wall_mm.value, 1.0);
    way.truth = crate::practice::truth(Method::PullOutside, case.assessment, 1.0, false);
    out.0.push(way);
    out
}
