//! Burnished from inside: a polished round nose on a bar in the vise; the tube is pressed down on it and rubbed to and
//! fro over the place. For shallow dings and small ridges, above all in slides and casings, where nothing may be
//! annealed, hammered or driven through. Deeper dents are roughed out first.

use crate::access::Access;
use crate::bench::Case;
use crate::body::Body;
use crate::method::{Method, Rejected};
use crate::rod_strength::{VISE_GAP_MM, VISE_GRIP_MM, bears_n, bow_mm, thinnest_mm};
use crate::stands::{Load, thinnest_made_mm};
use crate::straight_rod::{LONGEST_MM, finish, pick_where, size_rod};
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice, press, rub};
use dent::Form;
use dent::stroke::{self, Hold};
use units::text::{mm, newtons};
use units::{Text, ThreePoint, text};

/// Depth over the bore up to which a dent is rubbed out. Common practice, no source: a deeper one is roughed out first
/// (trade: rough out most of a dent before burnishing).
pub const DEEPEST: f64 = 0.08;
/// Longest dent that is rubbed out, mm. Common practice, no source: over a longer one the tube is led over a mandrel.
pub const LONGEST_DENT_MM: f64 = 40.0;
/// Part of the depth that one rub lifts at most. Common practice, no source: more, and the nose leaves a furrow.
pub const MOST_LIFT: f64 = 0.10;
/// Part of a person's lean that reaches the nose. Common practice, no source.
const LEAN_AT_NOSE: f64 = 0.9;
/// Rubs a minute. Common practice, no source: one a second, with a look between.
const RUBS_A_MINUTE: f64 = 50.0;
/// The nose presses with no more than this part of what its bar bears: it slides. Common practice, no source.
const OF_BAR: f64 = 0.8;
/// A nose fills no more than this part of the bore: it has to rock. Common practice, no source.
const NOSE: f64 = 0.9;

/// All burnishing.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    if let Some(why) = not_here(case) {
        out.1.push(case.rejected(MethodKind::Burnishing, None, why));
        return out;
    }
    for access in &case.accesses {
        // Found already with no more opened than here: another mouth adds nothing.
        let settled = |o: &Vec<crate::Opened>| {
            out.0
                .iter()
                .any(|w: &Method| matches!(w.tool, ToolChoice::Rack { .. }) && w.after.is_empty() && w.opens.iter().all(|x| o.contains(x)))
        };
        if access.opens.iter().all(settled) {
            continue;
        }
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::Burnishing, Some(access), why)),
        }
    }
    out
}

/// Why it is not rubbed out, whatever the opening.
fn not_here(case: &Case) -> Option<Text> {
    let over = case.depth_mm() / case.bore_mm().max(1e-6);
    if over > DEEPEST {
        return Some(text!(
            "{} % of the bore deep: roughed out first, up to {} % is rubbed out",
            format!("{:.0}", 100.0 * over),
            format!("{:.0}", 100.0 * DEEPEST)
        ));
    }
    if case.assessment.width_along_mm.value > LONGEST_DENT_MM {
        return Some(text!(
            "{} long: over more than {} a small nose leaves waves",
            mm(case.assessment.width_along_mm.value, 0),
            mm(LONGEST_DENT_MM, 0)
        ));
    }
    (case.assessment.form == Form::VShaped).then(|| "a fold is not rubbed out: it is eased first".into())
}

/// A bar with its nose, and how it is rubbed.
struct Rub {
    stroke: stroke::Stroke,
    force: units::Figure,
    limit_n: f64,
}

/// How a bar of this thickness rubs here; or why it does not.
fn rub_with(case: &Case, free_mm: f64, shank_mm: f64, nose_mm: f64) -> Result<Rub, Text> {
    let (bears, how) = bears_n(shank_mm, free_mm);
    let limit_n = (OF_BAR * bears).min(LEAN_AT_NOSE * case.rack.lean_n);
    let stroke = rub::within(case, nose_mm, Hold::Hand, limit_n, MOST_LIFT).map_err(|least| {
        text!(
            "every rub springs back under {}; a bar of {} {} above {}, {} press the nose",
            newtons(least),
            mm(shank_mm, 1),
            how,
            newtons(bears),
            newtons(limit_n)
        )
    })?;
    let force = rub::force(case, &stroke);
    Ok(Rub { stroke, force, limit_n })
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    if free + VISE_GRIP_MM > LONGEST_MM {
        return Err(text!("{} from the opening is further than a bar is worked ({} with its grip)", mm(reach, 0), mm(LONGEST_MM, 0)));
    }
    let bars = case.tools_where(|t, b| match *b {
        ToolBody::Burnisher { diameter_mm, length_mm, head_mm } => Some(Body::straight_rod(diameter_mm, length_mm, head_mm - t.wear_mm)),
        _ => None,
    });
    let none = bars.is_empty();
    let mut why = if none { "no inside burnisher on the rack".into() } else { Text::default() };
    // The thickest bar whose nose goes in rubs hardest; those that bear nothing of use are left out with their reason.
    let strong: Vec<_> = bars
        .into_iter()
        .filter(|(_, b)| match rub_with(case, free, b.tip_mm, b.head_mm) {
            Ok(_) => true,
            Err(e) => {
                why = e;
                false
            }
        })
        .collect();
    // The bar bows under the rub: for that there must be room beside it.
    let lies = |body: Body| {
        let mut fits = press::press(case, access, body).map_err(|jam| jam.words())?;
        let bow = bow_mm(rub_with(case, free, body.tip_mm, body.head_mm)?.force.value, body.tip_mm, free);
        let clearance = fits.pose.least_clearance_mm;
        if bow > clearance {
            return Err(text!("bows {} under the rub, {} are free beside it", mm(bow, 2), mm(clearance, 2)));
        }
        fits.pose.least_clearance_mm = clearance - bow;
        Ok((fits.after.is_empty(), (body, fits)))
    };
    let found = if strong.is_empty() { Err(why) } else { pick_where(case, access, strong, VISE_GRIP_MM, |_| 0.0, lies) };
    let (tool, body, fits, words) = match found {
        Ok((tool, (body, fits))) => {
            let words = text!("bar {} with a {} nose", mm(body.tip_mm, 1), mm(body.head_mm, 1));
            (ToolChoice::Rack { tools: vec![tool] }, body, fits, words)
        }
        Err(why) => {
            if !case.worth_making(access) {
                return Err(text!("{}; another tool of the rack reaches it, so none is made", why));
            }
            let (make, body, fits) = to_make(case, access, &why)?;
            let words = text!("no burnisher on the rack does it ({}); an {} would. It", why, make.words());
            (ToolChoice::ToMake { make, with: Vec::new() }, body, fits, words)
        }
    };
    let Rub { stroke, force, limit_n } = rub_with(case, free, body.tip_mm, body.head_mm)?;
    let rubs = stroke::strokes(&stroke);
    let because = text!(
        "{} reaches {} from {}. Pressed with {}, each rub lifts {}: about {} rubs. Nothing is heated, hammered or driven through. Polish marks stay inside.",
        words,
        mm(reach, 0),
        access.path.entry.name,
        newtons(force.value),
        mm(stroke.lift_mm, 3),
        text!("{}", format!("{:.0}", rubs))
    );
    let mut methods = finish(case, access, MethodKind::Burnishing, tool, (&body, 0.0), fits, &force, limit_n, because);
    let minutes = rubs / RUBS_A_MINUTE;
    for method in &mut methods {
        method.minutes = method.minutes.plus(ThreePoint::new(0.5 * minutes, minutes, 2.0 * minutes));
        method.strokes = Some(rub::summary(case, &stroke, rubs));
    }
    Ok(methods)
}

/// The bar that would do it: strong enough for a rub that stays, with the largest nose that goes under the dent.
fn to_make(case: &Case, access: &Access, why: &Text) -> Result<(ToolToMake, Body, crate::fits::Fits), Text> {
    let free = access.u_mm + VISE_GAP_MM;
    let length = ((free + VISE_GRIP_MM) / 10.0).ceil() * 10.0;
    let widest = (case.passage_mm() - 0.1).min(access.clear_ball_mm.0 - 0.2).min(NOSE * case.bore_mm());
    let s = crate::case_stroke::stroke(case, widest, Hold::Hand);
    let asked = stroke::force_part(&stroke::Stroke { lift_mm: 0.5 * MOST_LIFT * s.depth_mm, ..s }).force_part * case.force_n();
    if asked > LEAN_AT_NOSE * case.rack.lean_n {
        return Err(text!(
            "{}; a rub that stays needs {}, a person leans {} on the nose",
            why,
            newtons(asked),
            newtons(LEAN_AT_NOSE * case.rack.lean_n)
        ));
    }
    let thinnest = thinnest_mm(asked / OF_BAR, free).max(thinnest_made_mm(asked, free, 0.0, false));
    let (body, fits) = size_rod(case, access, thinnest, widest, |shank, nose| Body::straight_rod(shank, length, nose))
        .map_err(|e| text!("{}; {}", why, e))?;
    let make = ToolToMake::one_under(
        ToolBody::Burnisher { diameter_mm: body.tip_mm, length_mm: length, head_mm: body.head_mm },
        text!(
            "{}. The ding lies {} in; a rub that stays needs {}: a bar under {} would spring away.",
            why,
            mm(access.u_mm, 0),
            newtons(asked),
            mm(thinnest, 1)
        ),
        Load::steady(asked, free),
    )?;
    Ok((make, body, fits))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((DEEPEST, LONGEST_DENT_MM, MOST_LIFT) == (0.08, 40.0, 0.10));
        assert!((LEAN_AT_NOSE, RUBS_A_MINUTE, OF_BAR, NOSE) == (0.9, 50.0, 0.8, 0.9));
    }
}
