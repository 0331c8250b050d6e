//! A steel ball inside, worked by a magnet from outside: for thin soft walls and shallow dents.

use crate::bench::Case;
use crate::contact::Place;
use crate::method::{Method, Rejected};
use crate::strokes::{Head, Motion, within};
use crate::{MethodKind, ToolBody, ToolChoice};
use dent::Form;
use dent::stroke::Hold;
use units::text;
use units::text::{mm, newtons};

/// Diameter of the ball for which a magnet's pull is stated, mm: a smaller ball takes up less of the field,
/// in proportion to its cross-section. Own model, no source.
const FULL_BALL_MM: f64 = 25.4;
/// Largest steel ball that a hand leads with a magnet, mm: a larger one weighs more than half a kilogram and rolls off.
/// Common practice, no source.
const LARGEST_BALL_MM: f64 = 50.0;
/// Depth over diameter up to which a magnet is tried. Common practice, no source.
const DEEPEST: f64 = 0.04;

/// Pull of a magnet on a ball through a wall, N: halves with each half distance of wall.
pub fn pull_through_n(pull_n: f64, half_distance_mm: f64, wall_mm: f64, ball_mm: f64) -> f64 {
    pull_n * 0.5f64.powf(wall_mm / half_distance_mm.max(1e-6)) * (ball_mm / FULL_BALL_MM).min(1.0).powi(2)
}

/// All magnets.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    let magnets = case
        .tools_where(|_, b| if let ToolBody::Magnet { pull_n, half_distance_mm } = *b { Some((pull_n, half_distance_mm)) } else { None });
    let Some((magnet, (pull, half))) = magnets.into_iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0)) else {
        out.1.push(case.rejected(MethodKind::Magnet, None, "no magnet on the rack"));
        return out;
    };
    let over = case.assessment.depth_over_diameter.value;
    if over > DEEPEST || matches!(case.assessment.form, Form::Sharp | Form::VShaped) {
        let why = text!(
            "a magnet's ball follows a shallow smooth dent only: this one is {} % of the diameter deep and {}",
            format!("{:.0}", 100.0 * over),
            words(case.assessment.form)
        );
        out.1.push(case.rejected(MethodKind::Magnet, None, why));
        return out;
    }
    // It pulls through what stays on too.
    let wall = case.site.wall_mm.value + case.left_on.map_or(0.0, |l| l.thickness_mm.value);
    let rack = case.balls();
    for access in &case.accesses {
        let largest = case.passage_mm().min(access.clear_ball_mm.0).min(LARGEST_BALL_MM);
        let Some((ball, id)) = rack.iter().rev().find(|b| b.0 <= largest) else {
            out.1.push(case.rejected(MethodKind::Magnet, Some(access), text!("no ball of {} or less on the rack", mm(largest, 1))));
            continue;
        };
        let gives = pull_through_n(pull, half, wall, *ball);
        // The magnet's face rests on the wall round the dent and holds it, as a stake does.
        let working = match within(case, Head::new(*ball, Hold::Stake, Motion::Lines), gives) {
            Ok(w) => w,
            Err(weak) => {
                let who = text!("{} pulls a {} ball through {} of wall with", magnet.name, mm(*ball, 1), mm(wall, 2));
                out.1.push(case.rejected(MethodKind::Magnet, Some(access), text!("the dent {}", weak.words(case, &who, gives))));
                continue;
            }
        };
        let force = working.at_hand(case, "F = F(wall)·part, the part of the whole force that a pass of this lift needs", &[], |_| 1.0);
        let because = text!(
            "{} pulls a {} ball with {} through {} of wall, {} are asked: {}; the ball rolls in from {}.",
            magnet.name,
            mm(*ball, 1),
            newtons(gives),
            mm(wall, 2),
            newtons(force.value),
            working.words(),
            access.path.entry.name
        );
        for opens in &access.opens {
            let tools = vec![magnet.id.clone(), id.clone()];
            let method = case.method(
                MethodKind::Magnet,
                ToolChoice::Rack { tools },
                *ball,
                Some(access),
                opens.clone(),
                force.clone(),
                gives,
                because.clone(),
            );
            let mut method = case.with_strokes(method, working.strokes);
            method.contact = Some(Place::first(case, access).head(*ball, *ball, *ball, working.strokes.left_mm));
            method.after = access.blocking(*ball).into_iter().map(|d| case.survey.dents[d].id.clone()).collect();
            out.0.push(method);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 400 N, halved by each 1.5 mm: through 1.5 mm 200 N, through 3 mm 100 N; a ball of half the size a quarter.
    #[test]
    fn the_pull_halves_with_each_half_distance() {
        assert!((pull_through_n(400.0, 1.5, 1.5, 25.4) - 200.0).abs() < 1e-9);
        assert!((pull_through_n(400.0, 1.5, 3.0, 25.4) - 100.0).abs() < 1e-9);
        assert!((pull_through_n(400.0, 1.5, 1.5, 12.7) - 50.0).abs() < 1e-9);
        assert!((pull_through_n(400.0, 1.5, 1.5, 60.0) - 200.0).abs() < 1e-9);
    }

    /// A steel ball of 50 mm weighs π/6·5³ cm³·7.85 g = 0.51 kg (closed form): what a hand still leads.
    #[test]
    fn the_largest_ball_weighs_half_a_kilogram() {
        let kg = std::f64::consts::PI / 6.0 * (LARGEST_BALL_MM / 10.0).powi(3) * 7.85e-3;
        assert!((0.45..0.55).contains(&kg), "{kg}");
        assert!((FULL_BALL_MM, DEEPEST) == (25.4, 0.04));
    }
}
