//! A steel ball inside, worked by a magnet from outside: for thin soft walls and shallow dents.

use crate::bench::Case;
use crate::way::{RuledOut, Way};
use crate::{Method, ToolBody, ToolChoice};
use dent::Form;
use units::{Known, Origin, Source, Unit};

/// Diameter of the ball for which a magnet's pull is stated, mm: a smaller ball takes up less of the field,
/// in proportion to its cross-section. Own model, no source.
const FULL_BALL_MM: f64 = 25.4;
/// Largest steel ball that a hand leads with a magnet, mm: a larger one weighs more than half a kilogram and rolls off.
/// Common practice, no source.
const LARGEST_BALL_MM: f64 = 50.0;
/// Depth over diameter up to which a magnet is tried. Common practice, no source.
const DEEPEST: f64 = 0.04;
/// Passes over the dent that share the lift. Common practice, no source.
const PASSES: (f64, f64) = (25.0, 6.0);

/// Pull of a magnet on a ball through a wall, N: halves with each half distance of wall.
pub fn pull_through_n(pull_n: f64, half_distance_mm: f64, wall_mm: f64, ball_mm: f64) -> f64 {
    pull_n * 0.5f64.powf(wall_mm / half_distance_mm.max(1e-6)) * (ball_mm / FULL_BALL_MM).min(1.0).powi(2)
}

/// All magnets.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    let mut out = (Vec::new(), Vec::new());
    let magnets = case
        .tools_where(|_, b| if let ToolBody::Magnet { pull_n, half_distance_mm } = *b { Some((pull_n, half_distance_mm)) } else { None });
    let Some((magnet, (pull, half))) = magnets.into_iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0)) else {
        out.1.push(case.ruled_out(Method::Magnet, None, "no magnet on the rack"));
        return out;
    };
    let over = case.assessment.depth_over_diameter.value;
    if over > DEEPEST || matches!(case.assessment.form, Form::Sharp | Form::VShaped) {
        let why = format!(
            "a magnet's ball follows a shallow smooth dent only: this one is {:.0} % of the diameter deep and {}",
            100.0 * over,
            words(case.assessment.form)
        );
        out.1.push(case.ruled_out(Method::Magnet, None, why));
        return out;
    }
    let passes = Known::new("passes that share the lift", PASSES.0, PASSES.1, Unit::One, Origin::Assumed);
    let source = Source::from_memory(
        "lift force ∝ √lift (Wierzbicki & Suh, Int. J. Mech. Sci. 30, 1988), shared over the passes of common practice",
    );
    let force = case.force_at_hand("F = F(wall)/√n", source, passes, |f, n| f / n.max(1.0).sqrt());
    let wall = case.site.wall_mm.value;
    let rack = case.balls();
    for access in &case.accesses {
        let largest = case.passage_mm().min(access.clear_ball_mm.0).min(LARGEST_BALL_MM);
        let Some((ball, id)) = rack.iter().rev().find(|b| b.0 <= largest) else {
            out.1.push(case.ruled_out(Method::Magnet, Some(access), format!("no ball of {largest:.1} mm or less on the rack")));
            continue;
        };
        let gives = pull_through_n(pull, half, wall, *ball);
        if gives < force.value {
            out.1.push(case.ruled_out(
                Method::Magnet,
                Some(access),
                format!(
                    "{} pulls a {ball:.1} mm ball with {gives:.0} N through {wall:.2} mm of wall; {:.0} N are asked",
                    magnet.name, force.value
                ),
            ));
            continue;
        }
        let because = format!(
            "{} pulls a {ball:.1} mm ball with {gives:.0} N through {wall:.2} mm of wall, {:.0} N are asked in {:.0} passes; the ball rolls in from {}.",
            magnet.name, force.value, PASSES.0, access.path.entry.name
        );
        for opens in &access.opens {
            let tools = vec![magnet.id.clone(), id.clone()];
            let mut way = case.way(
                Method::Magnet,
                ToolChoice::Rack { tools },
                *ball,
                Some(access),
                opens.clone(),
                force.clone(),
                gives,
                because.clone(),
            );
            way.after = access.blocking(*ball).into_iter().map(|d| case.survey.dents[d].id.clone()).collect();
            out.0.push(way);
        }
    }
    out
}

fn words(form: Form) -> &'static str {
    match form {
        Form::Smooth => "smooth",
        Form::Rounded => "rounded",
        Form::Sharp => "sharp",
        Form::VShaped => "V-shaped",
    }
}
