//! A rod bent to the tube's curve, with a round head, held in the vise. Its strength and its bow are those of a straight rod of
//! the same length: the arm of the force is never longer than that, so it is never weaker (closed form: an arc's chord).

use crate::access::Access;
use crate::bench::Case;
use crate::body::Body;
use crate::method::{Method, Rejected};
use crate::rod_strength::{VISE_GAP_MM, thinnest_mm};
use crate::stands::Load;
use crate::straight_rod::{LONGEST_MM, finish_found, least_at_hand, pick, size_working_rod};
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice};
use units::text::{mm, newtons};
use units::{Text, text};

/// Length of a bent rod beyond the mouth, mm. Common practice, no source.
const GRIP_MM: f64 = 40.0;
/// Bends smaller than this are left to straight rods, degrees.
const LEAST_TURN_DEG: f64 = 8.0;

/// All curved rods.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    for access in &case.accesses {
        if access.path.tube.turned_deg(0.0, access.u_mm) < LEAST_TURN_DEG {
            continue;
        }
        // Nobody bends a rod where a straight one reaches.
        if case.reached_by(access, |m| m == MethodKind::StraightRod) {
            continue;
        }
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::CurvedRod, Some(access), why)),
        }
    }
    out
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    let turned = access.path.tube.turned_deg(0.0, reach);
    if turned > 190.0 {
        return Err(format!("the tube turns {turned:.0}° on the way: no rod is bent so far").into());
    }
    if free + GRIP_MM > LONGEST_MM {
        return Err(text!("{} from the opening is further than a rod is worked ({} with its grip)", mm(reach, 0), mm(LONGEST_MM, 0)));
    }
    let rods = case.tools_where(|t, b| match *b {
        ToolBody::CurvedRod { diameter_mm, length_mm, radius_mm, head_mm } => {
            Some(Body::curved_rod(diameter_mm, length_mm, radius_mm, head_mm - t.wear_mm))
        }
        _ => None,
    });
    let asked = least_at_hand(case, access, &rods)?;
    let on_rack = if rods.is_empty() { Err("no curved rod on the rack".into()) } else { pick(case, access, rods, GRIP_MM) };
    let why_rack = match on_rack {
        Ok((tool, found)) => {
            let because = text!(
                "rod {} bent to {} with head {} follows the bend ({}°) to {} from {} with {} to spare at its tightest, {} in; {}.",
                mm(found.body.tip_mm, 1),
                mm(1.0 / found.body.curvature, 0),
                mm(found.body.head_mm, 1),
                format!("{:.0}", turned),
                mm(reach, 0),
                access.path.entry.name,
                mm(found.fits.pose.least_clearance_mm, 2),
                mm(found.fits.pose.tightest_at_mm, 0),
                found.words(free)
            );
            return Ok(finish_found(case, access, MethodKind::CurvedRod, ToolChoice::Rack { tools: vec![tool] }, &found, because));
        }
        Err(why) => why,
    };
    if !case.worth_making(access) {
        return Err(text!("{}; another tool of the rack reaches it, so none is made", why_rack));
    }
    let thinnest = thinnest_mm(asked, free);
    let length = ((free + GRIP_MM) / 10.0).ceil() * 10.0;
    let Some(tightest) = access.path.tube.tightest_radius_mm(0.0, reach) else { return Err(why_rack) };
    let mut why = Text::default();
    // The bend's own radius, then flatter where straight lengths lie before it.
    for radius in [tightest, tightest * 1.4] {
        let radius = (radius / 5.0).round().max(4.0) * 5.0;
        match size_working_rod(case, access, |shank, head| Body::curved_rod(shank, length, radius, head)) {
            Ok(found) => {
                let body = found.body;
                let make = ToolToMake::one_under(
                    ToolBody::CurvedRod { diameter_mm: body.tip_mm, length_mm: body.length_mm, radius_mm: radius, head_mm: body.head_mm },
                    text!(
                        "{}. It must follow {}° of bend to {} and bear at least {}: not under {}.",
                        why_rack,
                        format!("{:.0}", turned),
                        mm(reach, 0),
                        newtons(asked),
                        mm(thinnest, 1)
                    ),
                    Load::steady(found.at_head_n(), free),
                )?;
                let because = text!("no curved rod on the rack does it: {}. A {} would: {}.", why_rack, make.words(), found.words(free));
                return Ok(finish_found(
                    case,
                    access,
                    MethodKind::CurvedRod,
                    ToolChoice::ToMake { make, with: Vec::new() },
                    &found,
                    because,
                ));
            }
            Err(e) => why = e,
        }
    }
    Err(text!("{}; {}", why_rack, why))
}
