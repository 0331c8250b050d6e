//! A mandrel that fills the bore: the tube is drawn over it and rubbed down on it, or (a casing, a slide) the
//! mandrel is driven in and lifts the dent with its rounded nose.
//!
//! It goes in thin end first and no further than the bore lets it at every station; under the dent it must
//! nearly fill the bore and cover the dent's whole width.

use crate::access::Access;
use crate::bench::Case;
use crate::body::Body;
use crate::clearances::Ignore;
use crate::contact::{self, Place};
use crate::drive_force::{FRICTION, axial_over_radial};
use crate::method::{Method, Rejected};
use crate::opened::Opened;
use crate::path::TOLERANCE_MM;
use crate::pose::{Question, Tip};
use crate::press;
use crate::stands::{BAR, LARGEST_TURNED_MM, Load};
use crate::straight_rod::LONGEST_MM;
use crate::strokes::{Head, Motion, Working, least, with_lift, within};
use crate::to_make::{ToolPiece, ToolToMake};
use crate::{MethodKind, ToolBody, ToolChoice};
use dent::stroke::Hold;
use units::text::{mm, newtons};
use units::{Figure, Known, Origin, Text, Unit, text};

/// A mandrel's diameter at its thin end and at its thick end, and its length, mm.
type Taper = (f64, f64, f64);

/// Least part of the bore that a mandrel must fill under the dent. Common practice, no source.
const LEAST_FILL: f64 = 0.93;
/// Room that it needs so that the tube can be drawn over it, mm of diameter. Common practice, no source.
pub const SLIDE_ROOM_MM: f64 = 0.05;
/// Beyond this turn on the way a straight mandrel is not tried, degrees.
const MOST_TURN_DEG: f64 = 12.0;
/// A tube that turns less counts as straight, degrees.
const STRAIGHT_DEG: f64 = 0.5;
/// How far a mandrel may be buried in the tube on a bar, mm. Common practice, no source.
const MOST_BURIED_MM: f64 = 450.0;
/// What a screw or arbor press on a bench gives, N. Common practice, no source.
const LARGEST_PRESS_N: f64 = 10_000.0;
/// Half angle of the rounded nose that lifts the dent, degrees. Common practice, no source.
const NOSE_DEG: f64 = 8.0;

/// Where a mandrel comes to lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// Its thin end, mm from the mouth.
    pub tip_mm: f64,
    /// Its diameter under the dent, mm.
    pub under_dent_mm: f64,
}

/// All mandrels.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    for access in &case.accesses {
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::Mandrel, Some(access), why)),
        }
    }
    out
}

/// Axial force of the nose over the radial force that it lifts the wall with.
fn nose(friction: f64) -> f64 {
    axial_over_radial(NOSE_DEG.to_radians(), friction.clamp(0.0, 0.9))
}

/// The axial force that leads a mandrel's nose past the dent.
fn force(case: &Case, working: &Working) -> Figure {
    let friction = Known::new("friction, greased steel on brass", FRICTION.0, FRICTION.1, Unit::One, Origin::Handbook);
    let formula = "F = F(wall)·part·[(tan α + μ)/(1 − μ tan α) + μ], α = 8°, the part of the whole force that a stroke of this lift needs; body with a nose on an incline with Coulomb friction on both walls";
    working.at_hand(case, formula, &[friction], |x| nose(x[0]))
}

/// How the nose works, and what leads it: the person's lean or, where that is not enough, the shop's press; else a press of
/// so many newtons to buy. Rubbed down and led in by turns, a stroke lifts a part of the depth.
fn led_by(case: &Case, lean_n: f64, press_n: Option<f64>) -> Result<(Working, f64, Option<f64>), Text> {
    let head = Head::new(case.bore_mm(), Hold::Mandrel, Motion::Whole);
    let over = nose(FRICTION.0);
    let wanted = within(case, head, f64::INFINITY).map_err(|w| w.words(case, "a press gives", LARGEST_PRESS_N))?;
    let axial = wanted.force_n * over;
    if axial <= lean_n {
        return Ok((wanted, lean_n, None));
    }
    let most = press_n.map_or(lean_n, |p| p.max(lean_n));
    if let Ok(working) = within(case, head, most / over) {
        return Ok((working, most, None));
    }
    let weak = least(case, head);
    let stronger = (weak.least_n * over / 500.0).ceil() * 500.0;
    if stronger > LARGEST_PRESS_N {
        return Err(text!(
            "the nose needs {} past the dent, a bench press gives {}",
            newtons(weak.least_n * over),
            newtons(LARGEST_PRESS_N)
        ));
    }
    let working =
        within(case, head, stronger / over).unwrap_or_else(|_| with_lift(case, head, case.depth_mm() / crate::strokes::MOST_PASSES));
    Ok((working, stronger, Some(stronger)))
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let tube = &access.path.tube;
    let end = access.u_mm + case.half_width_mm();
    let turned = tube.turned_deg(0.0, end.min(tube.length_mm()));
    if turned > MOST_TURN_DEG {
        return Err(format!("the tube turns {turned:.0}° on the way: a mandrel is straight").into());
    }
    if access.u_mm > LONGEST_MM {
        return Err(text!("{} from the opening is further than a mandrel is held", mm(access.u_mm, 0)));
    }
    let bore = case.bore_mm();
    let narrow = access.clear_ball_mm;
    if narrow.0 < LEAST_FILL * bore {
        return Err(text!(
            "it would have to pass {} of bore, {} in, to fill {}: a mandrel enters from the wide end",
            mm(narrow.0, 1),
            mm(narrow.1, 0),
            mm(bore, 1)
        ));
    }
    let deep = case.depth_mm() / bore;
    if deep > 0.35 {
        return Err(format!("the dent takes {:.0} % of the bore: no mandrel's nose gets under it", 100.0 * deep).into());
    }
    // Leaned on by hand; where that is not enough the press leads it in, where the shop has one.
    let lean = case.rack.lean_n;
    let press = case.tools_where(|_, b| if let ToolBody::Press { limit_n, .. } = *b { Some(limit_n) } else { None });
    let press = press.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).filter(|p| p.1 > lean);
    let most = press.as_ref().map_or(lean, |p| p.1);
    let (working, limit, stronger) = led_by(case, lean, press.as_ref().map(|p| p.1))?;
    let force = force(case, &working);
    let press = press.filter(|_| stronger.is_none() && limit > lean);
    let with: Vec<crate::ToolId> = press.iter().map(|p| p.0.id.clone()).collect();
    let mut nearest = Text::from("no mandrel on the rack");
    let mut best: Option<(&crate::Tool, Seat, Taper)> = None;
    for (tool, (small, large, length)) in case.tools_where(|t, b| match *b {
        ToolBody::Mandrel { small_mm, large_mm, length_mm } => Some((small_mm - t.wear_mm, large_mm - t.wear_mm, length_mm)),
        _ => None,
    }) {
        match seat(case, access, (small, large, length)) {
            Ok(s) if best.as_ref().is_none_or(|b| s.under_dent_mm > b.1.under_dent_mm) => best = Some((tool, s, (small, large, length))),
            Ok(_) => {}
            Err(why) => nearest = text!("{} {}", tool.name, why),
        }
    }
    let (tool, body, seat, words) = match best {
        Some((tool, s, body)) => {
            if turned > STRAIGHT_DEG {
                lies(access, body, s)?;
            }
            (
                ToolChoice::Rack { tools: std::iter::once(tool.id.clone()).chain(with).collect() },
                body,
                s,
                text!("{} fills {} of {} under the dent", tool.name, mm(s.under_dent_mm, 1).bare(), mm(bore, 1)),
            )
        }
        None => {
            let (make, body, s) = to_make(case, access, &nearest)?;
            if turned > STRAIGHT_DEG {
                lies(access, body, s)?;
            }
            let words = text!("no mandrel on the rack does it ({}); a {} would", nearest, make.words());
            (ToolChoice::ToMake { make, with }, body, s, words)
        }
    };
    let press = stronger.map(|limit_n| ToolPiece {
        load: None,
        body: ToolBody::Press { limit_n, travel_mm: Some((2.0 * case.half_width_mm() + 40.0).ceil()) },
        because: text!("the nose needs {} past the dent, {} are at hand", newtons(force.value), newtons(most)),
    });
    let tool = match tool {
        ToolChoice::ToMake { make, with } => {
            let load = Load::steady(force.value, 0.0);
            let pieces: Result<Vec<ToolPiece>, Text> = make.pieces.into_iter().map(|p| p.under(load)).collect();
            ToolChoice::ToMake { make: ToolToMake { pieces: pieces? }, with }
        }
        rack => rack,
    };
    let tool = match (press, tool) {
        (None, tool) => tool,
        (Some(press), ToolChoice::Rack { tools }) => ToolChoice::ToMake { make: ToolToMake { pieces: vec![press] }, with: tools },
        (Some(press), ToolChoice::ToMake { mut make, with }) => {
            make.pieces.push(press);
            ToolChoice::ToMake { make, with }
        }
    };
    let because = text!(
        "{}, entered from {}, {} in. {}. To push it past the dent takes {}.",
        words,
        access.path.entry.name,
        mm(access.u_mm, 0),
        working.words(),
        newtons(force.value)
    );
    // Its nose is under the dent first, as thick there as what is open.
    let nose_mm = case.passage_mm().min(seat.under_dent_mm);
    let (contact, pose) = Place::first(case, access).mandrel(body, seat.tip_mm, seat.under_dent_mm, nose_mm);
    let after: Vec<_> = access.blocking(seat.under_dent_mm).iter().map(|d| case.survey.dents[*d].id.clone()).collect();
    Ok(access
        .opens
        .iter()
        .map(|opens: &Vec<Opened>| {
            let method = case.method(
                MethodKind::Mandrel,
                tool.clone(),
                seat.under_dent_mm,
                Some(access),
                opens.clone(),
                force.clone(),
                limit,
                because.clone(),
            );
            let mut method = case.with_strokes(method, working.strokes);
            if case.left_on.is_some() {
                // No thicker than the bore, and nothing is rubbed down on it: what springs back stays.
                let sprung = working.strokes.past_true_mm;
                method.because += text!(" Nothing is rubbed down on it under what stays on: the {} that spring back stay.", mm(sprung, 2));
                method.stays_mm += sprung;
                method.finish_quality = (method.finish_quality * (1.0 - sprung / case.depth_mm())).clamp(0.05, 0.99);
            }
            method.after = after.clone();
            (method.contact, method.pose) = (Some(contact.clone()), Some(pose.clone()));
            method
        })
        .collect())
}

/// How far a mandrel goes in, all dents true, and that it fills the bore under the dent.
pub fn seat(case: &Case, access: &Access, body: Taper) -> Result<Seat, Text> {
    let seat = lay(case, access, body, f64::INFINITY)?;
    let bore = 2.0 * access.path.tube.radius_mm(access.u_mm);
    let air = Place::first(case, access).lay(body, seat.tip_mm, 0.0).air_mm;
    let allowed = contact::allowed_mm(case);
    if seat.under_dent_mm < LEAST_FILL * bore || air > allowed + 1e-9 {
        return Err(text!(
            "fills {} of {} under the dent: up to {} of air between it and the wall there, {} allowed",
            mm(seat.under_dent_mm, 2).bare(),
            mm(bore, 2),
            mm(air.min(bore), 2),
            mm(allowed, 2)
        ));
    }
    Ok(seat)
}

/// How far a mandrel goes in, the other dents true, and its diameter under the dent, no more than `passage_mm`.
pub fn lay(case: &Case, access: &Access, (small, large, length): Taper, passage_mm: f64) -> Result<Seat, Text> {
    let tube = &access.path.tube;
    let (u, half) = (access.u_mm, case.half_width_mm());
    let bore_end = tube.length_mm();
    let at = |tip: f64, x: f64| small + (large - small) * ((tip - x) / length).clamp(0.0, 1.0);
    // At every place the mandrel must be thinner than the bore by the room to slide.
    let first = (u + half).min(bore_end);
    // Its thin end goes no further than the next bend.
    let last = (first + length).min(tube.straight_until_mm(first).max(first)).min(bore_end);
    // The bore at each place, read once: the search asks for it again and again.
    let bore_at = |x: f64| (x, 2.0 * tube.radius_mm(x) - SLIDE_ROOM_MM + 1e-9);
    let points = tube.bore_points().iter().filter(|p| p.0 <= last).map(|p| bore_at(p.0));
    let places: Vec<(f64, f64)> = points.chain([0.0, u - half, u, first].map(bore_at)).collect();
    // What lies before its thick end, the whole of it has to pass.
    let fits =
        |tip: f64| at(tip, u) <= passage_mm && at(tip, tip) <= bore_at(tip).1 && places.iter().all(|p| p.0 > tip || at(tip, p.0) <= p.1);
    if !fits(first) {
        if at(first, u) > passage_mm {
            return Err(text!("is too thick: {}, {} are left under the dent", mm(at(first, u), 1), mm(passage_mm, 1)));
        }
        return Err(text!("is too thick: {} under the dent's far edge, bore {}", mm(at(first, u), 1), mm(2.0 * tube.radius_mm(u), 1)));
    }
    let (mut lo, mut hi) = (first, last);
    if fits(hi) {
        lo = hi;
    } else {
        for _ in 0..22 {
            let mid = 0.5 * (lo + hi);
            if fits(mid) { lo = mid } else { hi = mid }
        }
    }
    // A cylinder gains nothing by going further than past the dent.
    let tip = if large > small { lo } else { lo.min((u + half + 10.0).min(bore_end)) };
    if tip - length > u - half {
        return Err(text!("is too short: {} do not cover the dent", mm(length, 0)));
    }
    if tip - length > MOST_BURIED_MM {
        return Err(text!("would lie {} inside, past its bar's reach", mm(tip - length, 0)));
    }
    Ok(Seat { tip_mm: tip, under_dent_mm: at(tip, u) })
}

/// Where the tube bends on the way: whether the mandrel lies where it is seated, and whether it is led there. It is stiff and goes
/// round a bend only within its clearance, which is why no force is lost on its way: a pose is sought for it on its own in
/// every place that it is led through, half its length apart, and for the bar behind it where it is buried.
fn lies(access: &Access, (small, large, length): Taper, seat: Seat) -> Result<(), Text> {
    let tube = &access.path.tube;
    let body = Body::mandrel(small, large.max(small), length);
    let held = |b: crate::pose::Best| {
        text!(
            "the bend holds a mandrel of {} back {} in, {} short of room",
            mm(seat.under_dent_mm, 1),
            mm(b.tightest_mm, 0),
            mm((-b.clearance_mm).max(0.01), 2)
        )
    };
    let ask =
        |tip_mm: f64, body: Body| Question { tube, sections: &access.path.sections, tip_mm, body, tip: Tip::Free, ignore: Ignore::All };
    let q = ask(seat.tip_mm, body);
    match q.best().map(|b| q.fits(b, TOLERANCE_MM)) {
        Some((true, _)) => {}
        Some((false, b)) => return Err(held(b)),
        None => return Err("the mandrel cannot be placed".into()),
    }
    // Where it is led through a straight length its own bore lets it pass.
    let step = 0.5 * length;
    let places = (1..).map(|i| seat.tip_mm - step * f64::from(i)).take_while(|tip| *tip > 0.0);
    for tip in places.filter(|tip| tube.turned_deg((tip - length).max(0.0), *tip) > STRAIGHT_DEG) {
        if let Err(Some(b)) = ask(tip, body).fits_somewhere() {
            return Err(held(b));
        }
    }
    if seat.tip_mm > length {
        press::thread(access, BAR * small).map_err(|j| text!("its bar of {} {}", mm(BAR * small, 1), j.words()))?;
    }
    Ok(())
}

/// A mandrel tapered like the run.
fn to_make(case: &Case, access: &Access, nearest: &Text) -> Result<(ToolToMake, Taper, Seat), Text> {
    let tube = &access.path.tube;
    let (u, half) = (access.u_mm, case.half_width_mm());
    let tip = (u + half + 10.0).min(tube.length_mm());
    let working = (2.0 * half + 40.0).max(60.0).min(tip);
    let length = (working / 5.0).ceil() * 5.0;
    let butt = (tip - length).max(0.0);
    // Down to the twentieth of a millimetre below the bore at both ends, and under the bore between.
    let size = |d: f64| ((d - SLIDE_ROOM_MM) * 20.0).floor() / 20.0;
    let mut small = size(2.0 * tube.radius_mm(tip).min(tube.radius_mm(u)));
    let mut large = size(2.0 * tube.radius_mm(butt)).max(small);
    let mut less = 0.05;
    for _ in 0..30 {
        match seat(case, access, (small, large, length)) {
            Ok(_) if large > LARGEST_TURNED_MM => {
                return Err(text!(
                    "{}; one of {} is thicker than the {} that a bench turns",
                    nearest,
                    mm(large, 0),
                    mm(LARGEST_TURNED_MM, 0)
                ));
            }
            Ok(seat) => {
                // It is turned to the hundredth that it is told with.
                let rounded = |d: f64| (d * 100.0).round() / 100.0;
                let body = ToolBody::Mandrel { small_mm: rounded(small), large_mm: rounded(large), length_mm: length };
                let because = text!(
                    "{}. It follows the bore ({} at the dent) with {} to slide and covers the dent's {}.",
                    nearest,
                    mm(2.0 * tube.radius_mm(u), 2),
                    mm(SLIDE_ROOM_MM, 2),
                    mm(2.0 * half, 0)
                );
                return Ok((ToolToMake::one(body, because), (small, large, length), seat));
            }
            // A flare bends away from the straight taper: take a little off.
            Err(_) => {
                large = (large - less).max(small);
                if large <= small {
                    small -= less;
                }
                less *= 1.2;
            }
        }
        if small <= 0.0 {
            break;
        }
    }
    Err(text!("{}; no straight taper fills {} % of the bore under the dent", nearest, format!("{:.0}", 100.0 * LEAST_FILL)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: tan 8° = 0.14054; (0.14054 + 0.15)/(1 − 0.02108) + 0.15 = 0.44680; without friction the incline alone.
    #[test]
    fn a_nose_of_eight_degrees_by_hand() {
        assert!(
            (LEAST_FILL, SLIDE_ROOM_MM, MOST_TURN_DEG, MOST_BURIED_MM, LARGEST_PRESS_N, STRAIGHT_DEG)
                == (0.93, 0.05, 12.0, 450.0, 10_000.0, 0.5)
        );
        assert!((nose(FRICTION.0) - 0.4468).abs() < 1e-4);
        assert!((nose(0.0) - 0.14054).abs() < 1e-5);
    }
}
