//! A straight rod with a round head, held in the vise; the tube is led over it and leaned down, so that the
//! head lifts the dent from inside.

use crate::bench::{Access, Case};
use crate::body::Body;
use crate::press::{self, Fits};
use crate::rod_strength::{VISE_GAP_MM, VISE_GRIP_MM, bears_n, thinnest_mm};
use crate::way::{Opened, RuledOut, ToolToMake, Way};
use crate::{Method, ToolBody, ToolChoice};
use units::{Figure, Known, Origin, Source, Unit};

/// Poses solved for one opening at most, best candidates first.
const MOST_TRIED: usize = 3;
/// The longest rod that is made, mm. Common practice, no source.
pub const LONGEST_MM: f64 = 900.0;

/// Pushes over which a rod's head brings the depth back, from the rim inwards. Common practice, no source.
const PUSHES: (f64, f64) = (25.0, 8.0);
/// Part of the lean that reaches the head. Common practice, no source.
const LEAN_AT_HEAD: f64 = 0.9;

/// The force at the hand on a rod held in the vise: the head lifts the dent push by push from its rim inwards, and
/// the force goes with the root of what one push lifts.
pub fn force_on_rod(case: &Case) -> Figure {
    let pushes = Known::new("pushes over which the depth is brought back", PUSHES.0, PUSHES.1, Unit::One, Origin::Assumed);
    let source = Source::from_memory(
        "lift force ∝ √lift (Wierzbicki & Suh, Int. J. Mech. Sci. 30, 1988), shared over the pushes of common practice; 0.9 of the lean reaches the head",
    );
    case.force_at_hand("F = F(wall)/(0.9·√n)", source, pushes, |f, n| f / (LEAN_AT_HEAD * n.max(1.0).sqrt()))
}

/// All straight rods.
pub fn ways(case: &Case) -> (Vec<Way>, Vec<RuledOut>) {
    let mut out = (Vec::new(), Vec::new());
    for access in &case.accesses {
        if cannot_better(case, access, &out.0) {
            continue;
        }
        match one(case, access) {
            Ok(ways) => out.0.extend(ways),
            Err(why) => out.1.push(case.ruled_out(Method::StraightRod, Some(access), why)),
        }
    }
    out
}

/// Whether a rod already found, for which less has to be opened, has as large a head as any that could come in
/// here: what only the head decides (truth, risk) cannot be bettered then.
fn cannot_better(case: &Case, access: &Access, found: &[Way]) -> bool {
    let room = case.passage_mm().min(access.clear_ball_mm.0);
    let largest = case
        .tools_where(|t, b| match *b {
            ToolBody::StraightRod { head_mm, length_mm, .. } if length_mm > access.u_mm => Some(head_mm - t.wear_mm),
            _ => None,
        })
        .into_iter()
        .map(|h| h.1)
        .filter(|h| *h <= room)
        .fold(0.0, f64::max);
    let good = |w: &Way| w.size_mm >= largest - 1e-9 && w.after.is_empty() && matches!(w.tool, ToolChoice::Rack { .. });
    access.opens.iter().all(|o| found.iter().any(|w| good(w) && w.opens.iter().all(|x| o.contains(x))))
}

fn one(case: &Case, access: &Access) -> Result<Vec<Way>, String> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    let force = force_on_rod(case);
    let asked = force.value;
    let lean = case.rack.lean_n;
    if reach + VISE_GAP_MM + VISE_GRIP_MM > LONGEST_MM {
        return Err(format!("{reach:.0} mm from the opening is further than a rod is worked ({LONGEST_MM:.0} mm with its grip)"));
    }
    if asked > lean {
        return Err(format!("the wall asks {asked:.0} N on the rod, a person leans {lean:.0} N"));
    }
    let thinnest = thinnest_mm(asked, free);
    press::thread(access, thinnest)
        .map_err(|j| format!("no straight rod that bears {asked:.0} N ({thinnest:.1} mm) gets there: it {}", j.words()))?;
    let found = best_on_rack(case, access, asked);
    if let Ok((tool, body, fits)) = found {
        let (bears, _) = bears_n(body.tip_mm, free);
        let because = format!(
            "rod {:.1} mm with head {:.1} mm reaches {reach:.0} mm from {}; it lies with {:.2} mm to spare at its tightest, {:.0} mm in; it bears {bears:.0} N, {asked:.0} N asked.",
            body.tip_mm, body.head_mm, access.path.entry.name, fits.pose.least_clearance_mm, fits.pose.tightest_at_mm
        );
        return Ok(finish(
            case,
            access,
            Method::StraightRod,
            ToolChoice::Rack { tools: vec![tool] },
            &body,
            fits,
            &force,
            bears.min(lean),
            because,
        ));
    }
    let why_rack = found.err().unwrap_or_default();
    if !case.worth_making(access) {
        return Err(format!("{why_rack}; another tool of the rack reaches it, so none is made"));
    }
    // Nothing on the rack: what would do?
    let (body, fits) = to_make(case, access, thinnest).map_err(|why| format!("{why_rack}; {why}"))?;
    let (bears, _) = bears_n(body.tip_mm, free);
    let make = ToolToMake {
        body: ToolBody::StraightRod { diameter_mm: body.tip_mm, length_mm: body.length_mm, head_mm: body.head_mm },
        words: format!("rod {:.1} mm, {:.0} mm long, head {:.1} mm", body.tip_mm, body.length_mm, body.head_mm),
        because: format!(
            "{why_rack}. The dent lies {reach:.0} mm in and asks {asked:.0} N: a rod under {thinnest:.1} mm would not bear it; the head passes the {:.1} mm left under the dent.",
            case.passage_mm()
        ),
    };
    let because = format!("no rod on the rack does it: {why_rack}. A rod {} would.", make.words);
    Ok(finish(
        case,
        access,
        Method::StraightRod,
        ToolChoice::ToMake { make, with: Vec::new() },
        &body,
        fits,
        &force,
        bears.min(lean),
        because,
    ))
}

/// A way for each set of things to open.
#[allow(clippy::too_many_arguments)]
pub fn finish(
    case: &Case,
    access: &Access,
    method: Method,
    tool: ToolChoice,
    body: &Body,
    fits: Fits,
    force: &Figure,
    limit_n: f64,
    because: String,
) -> Vec<Way> {
    let mut all = Vec::new();
    for opens in &access.opens {
        let opens: Vec<Opened> = opens.clone();
        let mut way = case.way(method, tool.clone(), body.head_mm, Some(access), opens, force.clone(), limit_n, because.clone());
        way.after = fits.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
        way.pose = Some(fits.pose.clone());
        all.push(way);
    }
    all
}

/// The rods of the rack that could do it, largest head first; the first that fits.
fn best_on_rack(case: &Case, access: &Access, asked: f64) -> Result<(crate::ToolId, Body, Fits), String> {
    let rods = case.tools_where(|t, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => Some(Body::straight_rod(diameter_mm, length_mm, head_mm - t.wear_mm)),
        _ => None,
    });
    if rods.is_empty() {
        return Err("no straight rod on the rack".into());
    }
    pick(case, access, asked, rods, VISE_GRIP_MM)
}

/// The best of some rods at one opening.
pub fn pick(
    case: &Case,
    access: &Access,
    asked: f64,
    rods: Vec<(&crate::Tool, Body)>,
    grip_mm: f64,
) -> Result<(crate::ToolId, Body, Fits), String> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    let passage = case.passage_mm();
    let mut nearest = String::new();
    let mut candidates = Vec::new();
    for (tool, body) in rods {
        let long_enough = reach + VISE_GAP_MM + grip_mm;
        let (bears, how) = bears_n(body.tip_mm, free);
        let narrow = access.clear_ball_mm;
        if body.length_mm < long_enough {
            nearest = format!("{} is {:.0} mm long, {long_enough:.0} mm wanted", tool.name, body.length_mm);
        } else if body.head_mm > passage {
            nearest = format!("{}: head {:.1} mm, {passage:.1} mm left under the dent", tool.name, body.head_mm);
        } else if body.head_mm > narrow.0 {
            nearest = format!("{}: head {:.1} mm, bore {:.1} mm {:.0} mm in", tool.name, body.head_mm, narrow.0, narrow.1);
        } else if bears < asked {
            nearest = format!("{} {how}: {asked:.0} N asked, {bears:.0} N borne at {free:.0} mm", tool.name);
        } else {
            candidates.push((tool, body));
        }
    }
    candidates.sort_by(|a, b| b.1.head_mm.total_cmp(&a.1.head_mm).then(b.1.tip_mm.total_cmp(&a.1.tip_mm)));
    let mut fallback: Option<(crate::ToolId, Body, Fits)> = None;
    for (tool, body) in
        candidates.iter().take(MOST_TRIED).chain(candidates.iter().skip(MOST_TRIED).min_by(|a, b| a.1.tip_mm.total_cmp(&b.1.tip_mm)))
    {
        match press::press(case, access, *body) {
            Ok(fits) if fits.after.is_empty() => return Ok((tool.id.clone(), *body, fits)),
            Ok(fits) => {
                fallback.get_or_insert((tool.id.clone(), *body, fits));
            }
            Err(jam) => nearest = format!("{} {}", tool.name, jam.words()),
        }
    }
    fallback.ok_or(nearest)
}

/// The rod that would do it.
fn to_make(case: &Case, access: &Access, thinnest: f64) -> Result<(Body, Fits), String> {
    let length = ((access.u_mm + VISE_GAP_MM + VISE_GRIP_MM) / 10.0).ceil() * 10.0;
    let widest = (case.passage_mm() - 0.1).min(access.clear_ball_mm.0 - 0.2);
    size_rod(case, access, thinnest, widest, |shank, head| Body::straight_rod(shank, length, head))
}

/// The largest head for which a strong enough shank fits; sizes in half millimetres.
pub fn size_rod(case: &Case, access: &Access, thinnest: f64, widest: f64, body: impl Fn(f64, f64) -> Body) -> Result<(Body, Fits), String> {
    let shank = (thinnest * 2.0).ceil() / 2.0;
    if shank > widest {
        return Err(format!("the strength asks for a {shank:.1} mm rod, and {:.1} mm is all that passes", widest.max(0.0)));
    }
    let mut why = String::new();
    for part in [0.8, 0.5] {
        let head = ((widest * part * 2.0).floor() / 2.0).max(shank);
        match press::press(case, access, body(shank, head)) {
            Ok(fits) => return Ok((body(shank, head), fits)),
            Err(jam) => why = format!("a rod strong enough ({shank:.1} mm) {}", jam.words()),
        }
    }
    Err(why)
}
