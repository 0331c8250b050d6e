//! Pulled from outside by a stud soldered on: the last resort where nothing reaches. It marks, it needs heat
//! and it does not come true.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::strokes::{Head, Motion, with_lift};
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice};
use dent::stroke::Hold;
use instrument::Role;
use std::f64::consts::PI;
use units::text::{mm, newtons};
use units::{Text, text};

/// What a soft-soldered foot holds in a straight pull, N/mm². From memory of solder makers' tables: tin–lead
/// bulk tensile strength about 40; half of it for a hand-made joint (common practice).
pub const SOLDER_HOLDS_MPA: f64 = 20.0;

/// Foot of a usual stud, mm. Common practice, no source.
const USUAL_FOOT_MM: f64 = 10.0;
/// The least foot that is made, mm. Common practice, no source.
const LEAST_FOOT_MM: f64 = 4.0;

/// What a soldered foot holds, N: its area times what solder holds.
fn holds_n(foot_mm: f64) -> f64 {
    PI / 4.0 * foot_mm * foot_mm * SOLDER_HOLDS_MPA
}

/// The foot that holds a force, mm.
fn foot_that_holds_mm(force_n: f64) -> f64 {
    (4.0 * force_n / (PI * SOLDER_HOLDS_MPA)).sqrt()
}

/// The pull from outside.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    if matches!(case.site.role, Role::Casing | Role::Piston | Role::HandSlideInner | Role::TuningSlideInner) || !case.site.fits.is_empty() {
        out.1.push(case.rejected(
            MethodKind::PullOutside,
            None,
            "solder and a stud's pull have no place on a part that runs in a moving fit: it would not come true to the fit's hundredths",
        ));
        return out;
    }
    let opens = case.off.clone().unwrap_or_default();
    // A stud pulls at one place, with nothing that moves on: the whole force, as a head of its foot's size asks it.
    let working = with_lift(case, Head::new(case.half_width_mm(), Hold::Hand, Motion::Whole), case.depth_mm());
    let foot = dent::force::head_factor(case.force_case(), USUAL_FOOT_MM).force;
    let force = working.at_hand(case, "F = F(wall)·part·(foot's factor), the whole depth in one pull at one place", &[], |_| foot);
    let studs = case.tools_where(|_, b| if let ToolBody::PullStud { foot_mm } = *b { Some(foot_mm) } else { None });

    let found = studs.iter().filter(|s| holds_n(s.1) >= force.value).min_by(|a, b| a.1.total_cmp(&b.1));
    let (tool, foot, words) = match found {
        Some((tool, foot)) => (ToolChoice::Rack { tools: vec![tool.id.clone()] }, *foot, Text::from(tool.name.as_str())),
        None => {
            let foot = (foot_that_holds_mm(force.value)).ceil().max(LEAST_FOOT_MM);
            let why = match studs.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
                Some((t, f)) => text!("{} holds {}, {} are asked", t.name, newtons(holds_n(*f), 0), newtons(force.value, 0)),
                None => "no pull stud on the rack".into(),
            };
            let make = ToolToMake::one(
                ToolBody::PullStud { foot_mm: foot },
                text!("{}; a soldered foot of {} holds {}", why, mm(foot, 0), newtons(holds_n(foot), 0)),
            );
            let words = make.words();
            (ToolChoice::ToMake { make, with: Vec::new() }, foot, words)
        }
    };
    // A slide hammer or a pull bridge gives what the foot holds.
    let limit = holds_n(foot);
    let because = text!(
        "last resort, from outside: {} soldered on holds {}, to pull the dent out at one place with the slide hammer asks {}; the heat burns the finish and softens the wall, and it does not come quite true.",
        words,
        newtons(limit, 0),
        newtons(force.value, 0)
    );
    let method = case.method(MethodKind::PullOutside, tool, foot, None, opens, force, limit, because);
    let mut method = case.with_strokes(method, working.strokes);
    // The stud's size says nothing of how it fills the bore: figures without that factor.
    method.risk = crate::practice::risk(MethodKind::PullOutside, case.assessment, case.site.wall_mm.value, 1.0);
    method.finish_quality = crate::practice::finish_quality(MethodKind::PullOutside, case.assessment, 1.0, false);
    out.0.push(method);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 8 mm of foot are 50.27 mm²; half of tin–lead's 40 N/mm² (solder makers' tables, from memory) on it hold 1005 N.
    #[test]
    fn a_foot_of_eight_millimetres_by_hand() {
        assert!((USUAL_FOOT_MM, LEAST_FOOT_MM) == (10.0, 4.0));
        assert!((holds_n(8.0) - 1005.3).abs() < 0.1);
        assert!((foot_that_holds_mm(1005.3) - 8.0).abs() < 1e-3);
        assert!(foot_that_holds_mm(100.0) < LEAST_FOOT_MM && foot_that_holds_mm(300.0) > LEAST_FOOT_MM);
    }
}
