//! Pulled from outside by a stud soldered on: the last resort where nothing reaches. It marks, it needs heat
//! and it does not come true.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::stands::Load;
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

/// How far a stud draws the wall round it, mm: they stand a thumb's breadth apart. Common practice, no source.
const STUD_FIELD_MM: f64 = 15.0;
/// More studs than this are not drawn true on one bridge. Common practice, no source.
const MOST_STUDS: u32 = 4;
/// A stud draws a little more than its field before a second one is set. Common practice, no source.
const ALONE: f64 = 1.5;

/// Studs for a dent or a fold of a length.
fn studs_for(longest_mm: f64) -> u32 {
    if longest_mm <= ALONE * STUD_FIELD_MM { 1 } else { (longest_mm / STUD_FIELD_MM).ceil().min(1000.0) as u32 }
}

/// Studs to turn, each under its share.
fn made(foot_mm: f64, because: Text, each_n: f64, count: u32) -> Result<ToolToMake, Text> {
    ToolToMake::one_under(ToolBody::PullStud { foot_mm }, because, Load { count, ..Load::steady(each_n, 0.0) })
}

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
    // A fold or a wide dent is not drawn at one place, its middle a peak and the rest left: studs in a row share it, on one bridge.
    let crease = case.dent.crease.as_ref().and_then(|c| c.length_mm.as_ref()).map_or(0.0, |k| k.value);
    let longest = case.assessment.width_along_mm.value.max(case.assessment.width_across_mm.value).max(crease);
    let count = studs_for(longest);
    if count > MOST_STUDS {
        let why = text!(
            "{} long: {} studs, one every {}, and more than {} are not drawn true on one bridge",
            mm(longest, 0),
            count,
            mm(STUD_FIELD_MM, 0),
            MOST_STUDS
        );
        out.1.push(case.rejected(MethodKind::PullOutside, None, why));
        return out;
    }
    // A stud pulls at one place, with nothing that moves on: the whole force, as a head of its foot's size asks it.
    let working = with_lift(case, Head::new(case.half_width_mm(), Hold::Hand, Motion::Whole), case.depth_mm());
    let foot = dent::force::head_factor(case.force_case(), USUAL_FOOT_MM).force;
    let force = working.at_hand(case, "F = F(wall)·part·(foot's factor), the whole depth in one pull at one place", &[], |_| foot);
    let studs = case.tools_where(|_, b| if let ToolBody::PullStud { foot_mm } = *b { Some(foot_mm) } else { None });

    let each = force.value / f64::from(count);
    let found = studs.iter().filter(|s| holds_n(s.1) >= each).min_by(|a, b| a.1.total_cmp(&b.1));
    let (tool, foot, words) = match found {
        Some((tool, foot)) if count == 1 => (ToolChoice::Rack { tools: vec![tool.id.clone()] }, *foot, Text::from(tool.name.as_str())),
        // One is on the rack, the others are turned like it.
        Some((tool, foot)) => {
            let why = text!("{} is one, a row of {} is wanted; each holds {}", tool.name, count, newtons(holds_n(*foot)));
            match made(*foot, why, each, count - 1) {
                Ok(make) => (
                    ToolChoice::ToMake { make, with: vec![tool.id.clone()] },
                    *foot,
                    text!("{} and {} like it in a row", tool.name, count - 1),
                ),
                Err(e) => {
                    out.1.push(case.rejected(MethodKind::PullOutside, None, e));
                    return out;
                }
            }
        }
        None => {
            let foot = (foot_that_holds_mm(each)).ceil().max(LEAST_FOOT_MM);
            let narrower = case.assessment.width_along_mm.value.min(case.assessment.width_across_mm.value);
            let why = match studs.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
                Some((t, f)) => text!("{} holds {}, {} are asked", t.name, newtons(holds_n(*f)), newtons(each)),
                None => "no pull stud on the rack".into(),
            };
            let made = if foot > narrower.max(LEAST_FOOT_MM) {
                Err(text!("{}; a foot of {} that holds {} is wider than the dent ({})", why, mm(foot, 0), newtons(each), mm(narrower, 0)))
            } else {
                made(foot, text!("{}; a soldered foot of {} holds {}", why, mm(foot, 0), newtons(holds_n(foot))), each, count)
            };
            match made {
                Ok(make) => {
                    let words = if count == 1 { make.words() } else { text!("a row of {} ({})", count, make.words()) };
                    (ToolChoice::ToMake { make, with: Vec::new() }, foot, words)
                }
                Err(e) => {
                    out.1.push(case.rejected(MethodKind::PullOutside, None, e));
                    return out;
                }
            }
        }
    };
    // A slide hammer or a pull bridge gives what the foot holds.
    let limit = f64::from(count) * holds_n(foot);
    let how =
        if count == 1 { Text::from("at one place with the slide hammer") } else { text!("together on a bridge, {} each", newtons(each)) };
    let because = text!(
        "last resort, from outside: {} soldered on holds {}. To pull the dent out {} takes {}. The heat burns the finish and softens the wall, and the dent does not come quite true.",
        words,
        newtons(limit),
        how,
        newtons(force.value)
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
        assert!((USUAL_FOOT_MM, LEAST_FOOT_MM, STUD_FIELD_MM, MOST_STUDS, ALONE) == (10.0, 4.0, 15.0, 4, 1.5));
        assert!((holds_n(8.0) - 1005.3).abs() < 0.1);
        assert!((foot_that_holds_mm(1005.3) - 8.0).abs() < 1e-3);
        assert!(foot_that_holds_mm(100.0) < LEAST_FOOT_MM && foot_that_holds_mm(300.0) > LEAST_FOOT_MM);
    }

    /// The instance that was found: a bow creased over 43 mm is not drawn by one stud. Three share its 627 N, 209 each; 61 mm are more
    /// than a bridge draws, 22 mm are drawn by one.
    #[test]
    fn a_fold_asks_a_row() {
        assert_eq!([22.0, 43.0, 60.0, 61.0].map(studs_for), [1, 3, 4, 5]);
        let make = made(5.0, Text::default(), 627.0 / 3.0, 3).unwrap();
        assert_eq!(make.pieces[0].words().metric(), "3 × pull stud with a 5 mm foot");
    }
}
