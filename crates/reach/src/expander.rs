//! An expanding plug: split jaws that a cone draws apart, turned out inside a straight cylindrical tube (a slide, a
//! casing, a ferrule, a receiver).
//!
//! It works all round at once. First its jaws lift the dent; then they meet the whole bore, and turned further the tube
//! yields all round. Its cone must hold whichever is more. What a tube has been stretched is not taken back: it is
//! turned out to true and what the ring springs back, no further.

use crate::access::Access;
use crate::bench::Case;
use crate::drive_force::FRICTION;
use crate::method::{Method, Rejected};
use crate::stands::Load;
use crate::to_make::ToolToMake;
use crate::{MethodKind, Tool, ToolBody, ToolChoice};
use instrument::{Finish, Role};
use std::f64::consts::PI;
use units::text::{mm, newtons};
use units::{Figure, Known, Origin, Source, Text, Unit, text};

/// Half angle of the cone that draws the jaws apart, degrees. Common practice, no source: steep enough to let go again.
pub const CONE_DEG: f64 = 12.0;
/// The tube may grow wider over the jaws by this much, mm of diameter. Common practice, no source: more, and one end of
/// the jaws stretches the tube while the other does not touch it.
const CYLINDRICAL_MM: f64 = 0.1;
/// How near to a wanted diameter a screw is turned by feel and caliper, mm, one standard deviation. Common practice, no
/// source.
pub const TURNED_TO_MM: f64 = 0.01;
/// Part of a moving fit's clearance that the tube may miss true by. Common practice, no source.
const OF_CLEARANCE: f64 = 0.5;
/// A split plug opens by this part of its shut size at most. Common practice, no source.
const OPENS: f64 = 0.25;
/// Length of the jaws of a plug that is made, mm. Common practice, no source.
const JAWS_MM: f64 = 12.0;
/// The furthest from the tube's end that a plug is made for, mm. Common practice, no source: its draw bar springs.
const FURTHEST_MM: f64 = 250.0;
/// Pull of the strongest screw that is made for one, N. From memory of ISO 898-1: proof load of M8 in class 8.8 about
/// 21 kN; half of it on a screw that is turned again and again (common practice).
const STRONGEST_N: f64 = 10_000.0;
/// A person's rule of the trade: on a hand slide the last resort. The risk is so many times the usual. Common practice
/// (trade fact: expander on a hand slide, last resort).
const HAND_SLIDE_RISK: f64 = 3.0;

/// Radial force of all jaws together that makes a long tube yield all round, N: p·w = (σ₀t/R)·(w + 2√(Rt)) a length of
/// circumference, R the mean radius, w the jaws' length.
///
/// Closed form, upper bound: hinge circles at the jaws' edges and at √(Rt) beyond them, hoop at yield between;
/// N₀ = σ₀t, M₀ = σ₀t²/4. For w → ∞ it is the thin ring's p = σ₀t/R, for w → 0 Drucker's line load 2σ₀t√(t/R) (from memory:
/// limit analysis of cylindrical shells, 1953).
pub fn jaws_n(flow_mpa: f64, wall_mm: f64, mean_radius_mm: f64, jaws_mm: f64) -> f64 {
    2.0 * PI * flow_mpa * wall_mm * (jaws_mm + 2.0 * (mean_radius_mm * wall_mm).max(0.0).sqrt())
}

/// Pull on the cone that holds a radial force of the jaws, N: F = T·N/(1 − μT), T = tan(α + arctan μ).
///
/// Closed form: a cone of half angle α under jaws with Coulomb friction, which slide outwards on an end plate with the
/// same friction. Infinite where it locks.
pub fn screw_n(radial_n: f64, half_angle_deg: f64, friction: f64) -> f64 {
    let t = (half_angle_deg.to_radians() + friction.max(0.0).atan()).tan();
    let left = 1.0 - friction * t;
    if left <= 0.0 || t <= 0.0 { f64::INFINITY } else { radial_n * t / left }
}

/// What the plug is opened past the true bore so that the tube springs back to it, mm of diameter: D·σ₀/E (closed form:
/// elastic hoop strain of a ring at yield).
pub fn past_true_mm(flow_mpa: f64, e_mpa: f64, mean_diameter_mm: f64) -> f64 {
    mean_diameter_mm * flow_mpa / e_mpa.max(1.0)
}

/// All expanding plugs.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    if let Some(why) = not_here(case) {
        out.1.push(case.rejected(MethodKind::Expander, None, why));
        return out;
    }
    for access in &case.accesses {
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::Expander, Some(access), why)),
        }
    }
    out
}

/// Why no plug is turned out at this place, whatever the opening.
fn not_here(case: &Case) -> Option<Text> {
    if let Some(radius) = case.bend_mm {
        return Some(text!("its jaws are straight and the tube is bent there (radius {})", mm(radius, 0)));
    }
    if case.dent.crack.is_some() {
        return Some("a cracked tube opens at its crack before it grows".into());
    }
    // What of the fit is lost if it misses.
    let doubt = doubt_mm(case);
    let tight = case.clearances_mm().into_iter().min_by(f64::total_cmp)?;
    (doubt > OF_CLEARANCE * tight).then(|| {
        text!("turned by hand it comes within {} of true nine times in ten. Only half of the fit's {} may be missed, and a stretched tube cannot be shrunk again", mm(doubt, 3), mm(tight, 3))
    })
}

/// How far nine in ten miss the true diameter, mm: the hand's turn and what the spring-back is not known by.
fn doubt_mm(case: &Case) -> f64 {
    let flow = case.flow();
    let spring = past_true_mm(flow.sd, case.e_mpa(), case.bore_mm() + case.site.wall_mm.value);
    units::figure::Z90 * TURNED_TO_MM.hypot(spring)
}

/// The pull that the plug's cone asks.
fn force(case: &Case, jaws_mm: f64) -> Figure {
    let more = [
        case.flow(),
        case.site.wall_mm.clone().named("wall at the dent"),
        Known::new("friction, greased steel on steel", FRICTION.0, FRICTION.1, Unit::One, Origin::Handbook),
    ];
    let bore = case.bore_mm();
    let source = Source::closed_form(
        "the greater of the dent's force on its jaw and the jaw opposite, and hoop yield of a long tube over the jaws (upper bound with hinge circles); cone with Coulomb friction, reach::expander",
    );
    case.force_with(
        "F = T·N/(1 − μT), T = tan(12° + arctan μ), N = max(2 F(wall), 2π σ₀ t (w + 2√(Rt)))",
        source,
        &more,
        move |x| {
            let (inside, flow, wall, mu) = (x[0], x[1], x[2].max(0.0), x[3].clamp(0.0, 0.9));
            screw_n((2.0 * inside).max(jaws_n(flow, wall, 0.5 * (bore + wall), jaws_mm)), CONE_DEG, mu)
        },
    )
}

/// What a plug of the rack or one to make has to do here.
struct Asked {
    /// It is opened to this, mm.
    open_mm: f64,
    /// Shut, it passes under the dent and on the way, mm.
    passes_mm: f64,
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let tube = &access.path.tube;
    let (u, bore) = (access.u_mm, case.bore_mm());
    let turned = tube.turned_deg(0.0, u);
    if turned > 1.0 {
        return Err(format!("the tube turns {turned:.0}° on the way: its draw bar is straight").into());
    }
    let half = 0.5 * JAWS_MM;
    let wider = (2.0 * (tube.radius_mm((u + half).min(tube.length_mm())) - tube.radius_mm((u - half).max(0.0)))).abs();
    if wider > CYLINDRICAL_MM {
        return Err(text!(
            "the bore changes by {} under its jaws: it stretches the narrow end before it touches the wide one",
            mm(wider, 2)
        ));
    }
    let flow = case.flow();
    let past = past_true_mm(flow.value, case.e_mpa(), bore + case.site.wall_mm.value);
    let asked = Asked { open_mm: bore + past, passes_mm: case.passage_mm().min(access.clear_ball_mm.0) };
    let found = on_rack(case, access, &asked);
    let (choice, shut_mm, force, limit, words) = match found {
        Ok((tool, shut, limit, force)) => {
            (ToolChoice::Rack { tools: vec![tool.id.clone()] }, shut, force, limit, text!("{} goes in at {}", tool.name, mm(shut, 1)))
        }
        Err(why) => {
            if !case.worth_making(access) {
                return Err(text!("{}; another tool of the rack reaches it, so none is made", why));
            }
            let (make, shut, limit, force) = to_make(case, access, &asked, &why)?;
            let words = text!("no expander on the rack does it ({}); an {} would", why, make.words());
            (ToolChoice::ToMake { make, with: Vec::new() }, shut, force, limit, words)
        }
    };
    let mut because = text!(
        "{} from {}, {} in. Turn it out to {}: {} past the true {}, which springs back. Its screw pulls {}. Turned too far it stretches the tube.",
        words,
        access.path.entry.name,
        mm(u, 0),
        mm(asked.open_mm, 2),
        mm(past, 2),
        mm(bore, 2),
        newtons(force.value)
    );
    let hand_slide = matches!(case.site.role, Role::HandSlideInner | Role::HandSlideOuter);
    if hand_slide {
        because += " On a hand slide it is the last resort.";
    }
    if case.site.finish == Finish::ChromePlate {
        because += " The plate outside crazes where the tube is stretched.";
    }
    if !case.site.fits.is_empty() && case.clearances_mm().is_empty() {
        because += " The fit's clearance is not measured: gauge it before the screw is turned.";
    }
    let after: Vec<_> = access.blocking(shut_mm).iter().map(|d| case.survey.dents[*d].id.clone()).collect();
    Ok(access
        .opens
        .iter()
        .map(|opens| {
            let mut method =
                case.method(MethodKind::Expander, choice.clone(), bore, Some(access), opens.clone(), force.clone(), limit, because.clone());
            if hand_slide || case.site.finish == Finish::ChromePlate {
                method.risk = (method.risk * HAND_SLIDE_RISK).min(0.9);
            }
            method.after = after.clone();
            method.contact = Some(crate::contact::Place::first(case, access).opened(asked.passes_mm));
            method
        })
        .collect())
}

/// The plug of the rack that does it: the tool, its shut size, what it bears, its pull.
fn on_rack<'t>(case: &Case<'t>, access: &Access, asked: &Asked) -> Result<(&'t Tool, f64, f64, Figure), Text> {
    let mut why = Text::from("no expander on the rack");
    let plugs = case.tools_where(|t, b| match *b {
        ToolBody::Expander { smallest_mm, largest_mm, jaws_mm, length_mm, limit_n } => {
            Some((smallest_mm - t.wear_mm, largest_mm - t.wear_mm, jaws_mm, length_mm, limit_n))
        }
        _ => None,
    });
    for (tool, (shut, wide, jaws, length, limit)) in plugs {
        let force = force(case, jaws);
        if length < access.u_mm + 0.5 * jaws {
            why = text!("{} goes {} in, {} wanted", tool.name, mm(length, 0), mm(access.u_mm + 0.5 * jaws, 0));
        } else if shut > asked.passes_mm {
            why = text!("{} is {} shut, {} pass", tool.name, mm(shut, 1), mm(asked.passes_mm, 1));
        } else if wide < asked.open_mm {
            why = text!("{} opens to {}, {} wanted", tool.name, mm(wide, 1), mm(asked.open_mm, 2));
        } else if force.value > limit {
            why = text!("{}: its screw bears {}, {} are asked", tool.name, newtons(limit), newtons(force.value));
        } else {
            return Ok((tool, shut, limit, force));
        }
    }
    Err(why)
}

/// The plug that would do it.
fn to_make(case: &Case, access: &Access, asked: &Asked, why: &Text) -> Result<(ToolToMake, f64, f64, Figure), Text> {
    if access.u_mm > FURTHEST_MM {
        return Err(text!("{}; {} in is further than one is made for ({})", why, mm(access.u_mm, 0), mm(FURTHEST_MM, 0)));
    }
    // Half a millimetre of room to go in, whole tenths.
    let shut = ((asked.passes_mm - 0.3) * 10.0).floor() / 10.0;
    let wide = (asked.open_mm * 10.0).ceil() / 10.0 + 0.2;
    if shut <= 0.0 || wide > (1.0 + OPENS) * shut {
        return Err(text!(
            "{}; {} pass under the dent, and a split plug of that size opens to {}, {} wanted",
            why,
            mm(asked.passes_mm, 1),
            mm((1.0 + OPENS) * shut.max(0.0), 1),
            mm(wide, 1)
        ));
    }
    let force = force(case, JAWS_MM);
    let limit = (force.value / 500.0).ceil() * 500.0;
    if limit > STRONGEST_N {
        return Err(text!("{}; the ring needs {} of its screw, {} is the most", why, newtons(force.value), newtons(STRONGEST_N)));
    }
    let length = ((access.u_mm + JAWS_MM) / 10.0).ceil() * 10.0;
    let make = ToolToMake::one_under(
        ToolBody::Expander { smallest_mm: shut, largest_mm: wide, jaws_mm: JAWS_MM, length_mm: length, limit_n: limit },
        text!(
            "{}. Shut it passes the {} left under the dent; open it takes the bore to {}.",
            why,
            mm(asked.passes_mm, 1),
            mm(asked.open_mm, 2)
        ),
        Load::steady(limit, 0.0),
    )
    .map_err(|e| text!("{}; {}", why, e))?;
    Ok((make, shut, limit, force))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steeper_cone_and_more_friction_ask_more() {
        assert!(screw_n(1000.0, 12.0, 0.15) > screw_n(1000.0, 6.0, 0.15));
        assert!(screw_n(1000.0, 12.0, 0.2) > screw_n(1000.0, 12.0, 0.1));
        assert!(screw_n(1000.0, 80.0, 0.5).is_infinite());
    }

    /// What is common practice, said once more so that nobody changes it by a slip; the screw's limit is half of an M8's proof
    /// load (from memory of ISO 898-1: 36.6 mm² at 580 N/mm²).
    #[test]
    fn practice() {
        assert!((CYLINDRICAL_MM, TURNED_TO_MM, OF_CLEARANCE, OPENS) == (0.1, 0.01, 0.5, 0.25));
        assert!((JAWS_MM, FURTHEST_MM, HAND_SLIDE_RISK) == (12.0, 250.0, 3.0));
        assert!((STRONGEST_N / (0.5 * 36.6 * 580.0) - 1.0).abs() < 0.1);
    }
}
