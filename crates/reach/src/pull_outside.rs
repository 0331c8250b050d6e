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
/// Pulls over which studs set one after another bring the depth back. Common practice, no source.
const PULLS: (f64, f64) = (20.0, 6.0);

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
    let share = Known::new("pulls over which the depth is brought back", PULLS.0, PULLS.1, Unit::One, Origin::Assumed);
    let source = Source::from_memory(
        "lift force ∝ √lift (Wierzbicki & Suh, Int. J. Mech. Sci. 30, 1988), shared over the pulls of common practice: stud by stud from the rim inwards",
    );
    let force = case.force_at_hand("F = F(wall)/√n", source, share, |f, n| f / n.max(1.0).sqrt());
    let studs = case.tools_where(|_, b| if let ToolBody::PullStud { foot_mm } = *b { Some(foot_mm) } else { None });
    let holds = |foot: f64| PI / 4.0 * foot * foot * SOLDER_HOLDS_MPA;
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
    // A slide hammer or a pull bridge gives what the foot holds.
    let limit = holds(foot);
    let because = format!(
        "last resort, from outside: {words} soldered on holds {limit:.0} N, a pull with the slide hammer asks {:.0} N, {:.0} pulls; the heat burns the finish and softens the wall, and it does not come quite true.",
        force.value, PULLS.0
    );
    let mut way = case.way(Method::PullOutside, tool, foot, None, opens, force, limit, because);
    // The stud's size says nothing of how it fills the bore: figures without that factor.
    way.risk = crate::practice::risk(Method::PullOutside, case.assessment, case.site.wall_mm.value, 1.0);
    way.truth = crate::practice::truth(Method::PullOutside, case.assessment, 1.0, false);
    out.0.push(way);
    out
}
