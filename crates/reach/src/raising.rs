//! Raised on a stake: the tube or bell is laid with the dent over a crowned stake that stands inside, and the metal
//! round the dent is struck down with a mallet, so that the stake lifts the dent; planished afterwards. For bells and
//! wide open tubes, where a stake goes in and its crown suits the wall.

use crate::bench::Case;
use crate::method::{Method, Rejected};
use crate::support;
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice, rub};
use dent::Form;
use dent::stroke::{self, Hold, Stroke};
use units::text::{mm, newtons};
use units::{Figure, Text, ThreePoint, text};

/// Energy of a mallet's blow, J: 0.25 kg at 3 m/s. Common practice, no source (closed form ½mv²).
pub const BLOW_J: f64 = 1.1;
/// Part of it that goes into the wall; the rest stays in mallet, stake and bench. Common practice, no source.
pub const INTO_WALL: f64 = 0.5;
/// More blows than this are not struck round one dent: the metal stretches and rings thin. Common practice, no source.
pub const MOST_BLOWS: u32 = 400;
/// Blows a minute, with turning and looking. Common practice, no source.
const BLOWS_A_MINUTE: f64 = 30.0;
/// Narrower bores are raised with a rod's head, not a stake, mm. Common practice, no source.
pub const LEAST_BORE_MM: f64 = 60.0;
/// Room for a mallet's swing outside, mm. Common practice, no source.
const SWING_MM: f64 = 90.0;

/// Fewest blows that bring a depth back, each of the same lift; none where the wall springs back from every blow.
///
/// A blow pays for the lift that stays and for what springs back: W = F·(d/n + ½·s), F the force at that lift, s the
/// spring-back at that force, F/F₀ of the one at the full force (closed form: elastic energy ½·F·s).
pub fn blows(stroke: &Stroke, force_n: f64, springs_mm: f64, blow_j: f64) -> Option<u32> {
    (1..=MOST_BLOWS).find(|n| {
        let lift_mm = stroke.depth_mm / f64::from(*n);
        let part = stroke::force_part(&Stroke { lift_mm, ..*stroke }).force_part;
        part * force_n * (lift_mm + 0.5 * part * springs_mm) / 1000.0 <= blow_j && stroke::lift_within(stroke, part).is_some()
    })
}

/// How much the wall thins where it is raised, as a part: what was stretched round the dent does not all go back. The
/// stretch of a shallow arc, ½·(d/L)² with L half its shorter width (closed form), at constant volume.
pub fn thins(depth_mm: f64, width_mm: f64) -> f64 {
    0.5 * (2.0 * depth_mm / width_mm.max(1e-6)).powi(2)
}

/// All raising.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    let (stroke, n, force) = match blow(case) {
        Ok(b) => b,
        Err(why) => {
            out.1.push(case.rejected(MethodKind::Raising, None, why));
            return out;
        }
    };
    for access in &case.accesses {
        match support::under(case, access, force.value) {
            Ok(s) => {
                let narrower = case.assessment.width_along_mm.value.min(case.assessment.width_across_mm.value);
                let because = text!(
                    "laid {} from {}, {} in, and struck down round the dent. About {} light mallet blows ({}) lift it {} each, and the stake takes {}. Planish it afterward. The wall thins by about {} %.",
                    s.words,
                    access.path.entry.name,
                    mm(access.u_mm, 0),
                    n,
                    format!("{BLOW_J:.1} J"),
                    mm(stroke.lift_mm, 2),
                    newtons(force.value),
                    format!("{:.0}", 100.0 * thins(case.depth_mm(), narrower))
                );
                let hammer = case.tools_where(|_, b| matches!(b, ToolBody::Hammer { .. }).then_some(()));
                let planish = hammer.first().map(|h| h.0.id.clone());
                let tools: Vec<_> = s.tool.clone().into_iter().chain(planish).collect();
                let choice = match s.make.clone() {
                    Some(piece) => ToolChoice::ToMake { make: ToolToMake { pieces: vec![piece] }, with: tools },
                    None => ToolChoice::Rack { tools },
                };
                let fill = (s.round_mm / case.bore_to_fill_mm().max(1e-6)).min(1.0);
                let minutes = f64::from(n) / BLOWS_A_MINUTE;
                for opens in &access.opens {
                    let mut method = case.method(
                        MethodKind::Raising,
                        choice.clone(),
                        s.size_mm,
                        Some(access),
                        opens.clone(),
                        force.clone(),
                        s.bears_n,
                        because.clone(),
                    );
                    method.minutes = method.minutes.plus(ThreePoint::new(0.5 * minutes, minutes, 2.0 * minutes));
                    method.strokes = Some(rub::summary(case, &stroke, f64::from(n)));
                    method.risk = crate::practice::risk(MethodKind::Raising, case.assessment, case.site.wall_mm.value, fill);
                    method.finish_quality =
                        crate::practice::finish_quality(MethodKind::Raising, case.assessment, fill, case.runs_in_a_fit());
                    method.after = s.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
                    method.pose = s.pose.clone();
                    method.contact = Some(s.contact(case, access, 0.0));
                    out.0.push(method);
                }
            }
            Err(why) => out.1.push(case.rejected(MethodKind::Raising, Some(access), why)),
        }
    }
    out
}

/// The blow that raises it: the stroke, how many, and what the stake takes; or why it is not raised.
fn blow(case: &Case) -> Result<(Stroke, u32, Figure), Text> {
    if case.bore_mm() < LEAST_BORE_MM {
        return Err(text!("a bore of {} takes no stake: under {} a rod's head does it", mm(case.bore_mm(), 0), mm(LEAST_BORE_MM, 0)));
    }
    if case.assessment.form == Form::VShaped {
        return Err("a fold splits over a stake: it is eased first".into());
    }
    if let Some(why) = case.outside_closed(SWING_MM) {
        return Err(why);
    }
    // The stake's crown is about the wall's own: as wide a head as the bore.
    let stroke = crate::case_stroke::stroke(case, case.bore_to_fill_mm(), Hold::Stake);
    let n = blows(&stroke, case.force_n(), case.assessment.overpush_mm.value, INTO_WALL * BLOW_J)
        .ok_or_else(|| format!("the wall springs back from every blow of {BLOW_J:.1} J, or asks more than {MOST_BLOWS} of them"))?;
    let stroke = Stroke { lift_mm: stroke.depth_mm / f64::from(n), ..stroke };
    let force = rub::force(case, &stroke);
    Ok((stroke, n, force))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((BLOWS_A_MINUTE, LEAST_BORE_MM, SWING_MM) == (30.0, 60.0, 90.0));
    }
}
