//! A straight rod with a round head, held in the vise; the tube is led over it and leaned down, so that the
//! head lifts the dent from inside.

use crate::access::Access;
use crate::bench::Case;
use crate::body::Body;
use crate::contact;
use crate::fits::Fits;
use crate::method::{Method, Rejected};
use crate::opened::Opened;
use crate::press;
use crate::rod_strength::{VISE_GAP_MM, VISE_GRIP_MM, WIDEST_HEAD_MM, bears_n, bow_mm, bows_out_at_n, thinnest_mm};
use crate::stands::{self, Load, thinnest_made_mm};
use crate::strokes::{Head, Motion, TooWeak, Working, least, within};
use crate::to_make::ToolToMake;
use crate::{MethodKind, ToolBody, ToolChoice};
use dent::stroke::Hold;
use units::text::{mm, newtons};
use units::{Figure, Text, text};

/// Poses solved for one opening at most, best candidates first.
const MOST_TRIED: usize = 3;
/// The longest rod that is made, mm. Common practice, no source.
pub const LONGEST_MM: f64 = 900.0;

/// Part of the lean that reaches the head: the rest is lost in friction on the wall opposite. Common practice, no source.
const LEAN_AT_HEAD: f64 = 0.9;

/// Head of a rod: the tube is drawn over it line by line and leaned down, in the hands.
fn head(mm: f64) -> Head {
    Head::new(mm, Hold::Hand, Motion::Lines)
}

/// A rod that does it: its pose, how the dent is worked with it, and what it bears.
pub struct Found {
    /// The rod.
    pub body: Body,
    /// Its pose.
    pub fits: Fits,
    /// How it works.
    pub working: Working,
    /// What rod and person give at the hand, N.
    pub limit_n: f64,
    /// How far it bows under the working force, mm.
    pub bow_mm: f64,
}

impl Found {
    /// Force that bends the rod, N.
    pub fn at_head_n(&self) -> f64 {
        self.working.force_n / LEAN_AT_HEAD
    }

    /// The force at the hand.
    pub fn force(&self, case: &Case) -> Figure {
        self.working.at_hand(
            case,
            "F = F(wall)·part/0.9, the part of the whole force that a pass of this lift needs; 0.9 of the lean reaches the head",
            &[],
            |_| 1.0 / LEAN_AT_HEAD,
        )
    }

    /// What it does, for the reason.
    pub fn words(&self, free_mm: f64) -> Text {
        let bears = bears_n(self.body.tip_mm, free_mm).0;
        let past = self.working.strokes.past_true_mm;
        text!(
            "{}, {} each at the hand, where it bears {} and bows {}; the head goes {} past true",
            self.working.words(),
            newtons(self.working.force_n / LEAN_AT_HEAD),
            newtons(bears),
            mm(self.bow_mm, 2),
            mm(past, 2)
        )
    }
}

/// The least force at the hand with which one of these heads brings the dent back, and whether a person's lean is enough.
pub fn least_at_hand(case: &Case, access: &Access, rods: &[(&crate::Tool, Body)]) -> Result<f64, Text> {
    let passes = passes_mm(case, access);
    let widest = widest_head_mm(case, access).max(1.0);
    let heads = rods.iter().map(|r| r.1.head_mm).filter(|h| *h <= passes + 0.1).chain(HEAD_PARTS.map(|p| p * widest));
    let least = heads.map(|h| least(case, head(h))).min_by(|a, b| a.least_n.total_cmp(&b.least_n));
    let Some(least) = least else { return Err("no head passes".into()) };
    let lean = LEAN_AT_HEAD * case.rack.lean_n;
    if least.least_n > lean {
        Err(least.words(case, "a person leaning on it gives the head", lean))
    } else {
        Ok(least.least_n / LEAN_AT_HEAD)
    }
}

/// All straight rods.
pub fn methods(case: &Case) -> (Vec<Method>, Vec<Rejected>) {
    let mut out = (Vec::new(), Vec::new());
    for access in &case.accesses {
        if cannot_better(case, access, &out.0) {
            continue;
        }
        match one(case, access) {
            Ok(methods) => out.0.extend(methods),
            Err(why) => out.1.push(case.rejected(MethodKind::StraightRod, Some(access), why)),
        }
    }
    out
}

/// Whether a rod already found, for which less has to be opened, has as large a head as any that could come in
/// here: what only the head decides (truth, risk) cannot be bettered then.
fn cannot_better(case: &Case, access: &Access, found: &[Method]) -> bool {
    let clearance = case.passage_mm().min(access.clear_ball_mm.0);
    let largest = case
        .tools_where(|t, b| match *b {
            ToolBody::StraightRod { head_mm, length_mm, .. } if length_mm > access.u_mm => Some(head_mm - t.wear_mm),
            _ => None,
        })
        .into_iter()
        .map(|h| h.1)
        .filter(|h| *h <= clearance)
        .fold(0.0, f64::max);
    let good = |w: &Method| w.size_mm >= largest - 1e-9 && w.after.is_empty() && matches!(w.tool, ToolChoice::Rack { .. });
    access.opens.iter().all(|o| found.iter().any(|w| good(w) && w.opens.iter().all(|x| o.contains(x))))
}

fn one(case: &Case, access: &Access) -> Result<Vec<Method>, Text> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    if reach + VISE_GAP_MM + VISE_GRIP_MM > LONGEST_MM {
        return Err(text!("{} from the opening is further than a rod is worked ({} with its grip)", mm(reach, 0), mm(LONGEST_MM, 0)));
    }
    let rods = case.tools_where(|t, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } => Some(Body::straight_rod(diameter_mm, length_mm, head_mm - t.wear_mm)),
        _ => None,
    });
    let asked = least_at_hand(case, access, &rods)?;
    let thinnest = thinnest_mm(asked, free);
    press::thread(access, thinnest)
        .map_err(|j| text!("no straight rod that bears {} ({}) gets there: it {}", newtons(asked), mm(thinnest, 1), j.words()))?;
    let on_rack = if rods.is_empty() { Err("no straight rod on the rack".into()) } else { pick(case, access, rods, VISE_GRIP_MM) };
    let why_rack = match on_rack {
        Ok((tool, found)) => {
            let because = text!(
                "rod {} with head {} reaches {} from {}. It has {} to spare at its tightest, {} in. {}.",
                mm(found.body.tip_mm, 1),
                mm(found.body.head_mm, 1),
                mm(reach, 0),
                access.path.entry.name,
                mm(found.fits.pose.least_clearance_mm, 2),
                mm(found.fits.pose.tightest_at_mm, 0),
                found.words(free)
            );
            return Ok(finish_found(case, access, MethodKind::StraightRod, ToolChoice::Rack { tools: vec![tool] }, &found, because));
        }
        Err(why) => why,
    };
    if !case.worth_making(access) {
        return Err(text!("{}; another tool of the rack reaches it, so none is made", why_rack));
    }
    // Nothing on the rack: what would do?
    let length = ((free + VISE_GRIP_MM) / 10.0).ceil() * 10.0;
    let found = size_working_rod(case, access, |shank, head| Body::straight_rod(shank, length, head))
        .map_err(|why| text!("{}; {}", why_rack, why))?;
    let body = found.body;
    let make = ToolToMake::one_under(
        ToolBody::StraightRod { diameter_mm: body.tip_mm, length_mm: body.length_mm, head_mm: body.head_mm },
        text!(
            "{}. The dent lies {} in and needs at least {}: a rod under {} would bend. The head passes the {} left under the dent.",
            why_rack,
            mm(reach, 0),
            newtons(asked),
            mm(thinnest, 1),
            mm(case.passage_mm(), 1)
        ),
        Load::steady(found.working.force_n / LEAN_AT_HEAD, free),
    )?;
    let because = text!("no rod on the rack does it: {}. A {} would: {}.", why_rack, make.words(), found.words(free));
    Ok(finish_found(case, access, MethodKind::StraightRod, ToolChoice::ToMake { make, with: Vec::new() }, &found, because))
}

/// The methods of a rod that was found.
pub fn finish_found(case: &Case, access: &Access, kind: MethodKind, tool: ToolChoice, found: &Found, because: Text) -> Vec<Method> {
    let left = found.working.strokes.left_mm;
    let methods = finish(case, access, kind, tool, (&found.body, left), found.fits.clone(), &found.force(case), found.limit_n, because);
    methods.into_iter().map(|w| case.with_strokes(w, found.working.strokes)).collect()
}

/// A method for each set of things to open; with the body what it leaves of the dent, mm.
#[allow(clippy::too_many_arguments)]
pub fn finish(
    case: &Case,
    access: &Access,
    kind: MethodKind,
    tool: ToolChoice,
    (body, left_mm): (&Body, f64),
    fits: Fits,
    force: &Figure,
    limit_n: f64,
    because: Text,
) -> Vec<Method> {
    let one = |opens: &Vec<Opened>| {
        let mut method =
            case.method(kind, tool.clone(), body.head_mm, Some(access), opens.clone(), force.clone(), limit_n, because.clone());
        method.after = fits.after.iter().map(|d| case.survey.dents[*d].id.clone()).collect();
        method.pose = Some(fits.pose.clone());
        method.contact = Some(contact::of_rod(case, access, &fits, left_mm));
        method
    };
    access.opens.iter().map(one).collect()
}

/// Works the dent with a rod that lies there: lean, rod and the room for its bow decide the force that it may get.
fn works(case: &Case, access: &Access, body: Body) -> Result<Found, Text> {
    let free = access.u_mm + VISE_GAP_MM;
    let (bears, how) = bears_n(body.tip_mm, free);
    let lean = case.rack.lean_n;
    let limit_n = bears.min(lean);
    let weak = |w: TooWeak, limit: f64, what: &Text| w.words(case, what, LEAN_AT_HEAD * limit);
    let what = if bears < lean { text!("the rod {} past", how) } else { "a person leaning on it gives the head".into() };
    let first = within(case, head(body.head_mm), LEAN_AT_HEAD * limit_n).map_err(|w| weak(w, limit_n, &what))?;
    let mut fits = press::press_past(case, access, body, first.strokes.past_true_mm).map_err(|jam| jam.words())?;
    let clearance = fits.pose.least_clearance_mm;
    let limit_n = limit_n.min(bows_out_at_n(clearance, body.tip_mm, free));
    let what = text!("its bow takes up the {} of room at", mm(clearance, 2));
    let working = within(case, head(body.head_mm), LEAN_AT_HEAD * limit_n).map_err(|w| weak(w, limit_n, &what))?;
    let bow_mm = bow_mm(working.force_n / LEAN_AT_HEAD, body.tip_mm, free);
    fits.pose.least_clearance_mm = (clearance - bow_mm).max(0.0);
    Ok(Found { body, fits, working, limit_n, bow_mm })
}

/// The best of some rods at one opening: the largest head that passes, is strong enough and lies there.
pub fn pick(case: &Case, access: &Access, rods: Vec<(&crate::Tool, Body)>, grip_mm: f64) -> Result<(crate::ToolId, Found), Text> {
    let asked = |b: &Body| least(case, head(b.head_mm)).least_n / LEAN_AT_HEAD;
    pick_where(case, access, rods, grip_mm, asked, |body| works(case, access, body).map(|f| (f.fits.after.is_empty(), f)))
}

/// The same for what `does` says of a rod (whether nothing has to be true first, and what comes of it), where it must bear
/// what is `asked` of it, N.
pub fn pick_where<T>(
    case: &Case,
    access: &Access,
    rods: Vec<(&crate::Tool, Body)>,
    grip_mm: f64,
    asked: impl Fn(&Body) -> f64,
    does: impl Fn(Body) -> Result<(bool, T), Text>,
) -> Result<(crate::ToolId, T), Text> {
    let reach = access.u_mm;
    let free = reach + VISE_GAP_MM;
    let passage = case.passage_mm();
    let mut nearest = Text::default();
    let mut candidates = Vec::new();
    for (tool, body) in rods {
        let long_enough = reach + VISE_GAP_MM + grip_mm;
        let (bears, how) = bears_n(body.tip_mm, free);
        let narrow = access.clear_ball_mm;
        let asked = asked(&body);
        if body.length_mm < long_enough {
            nearest = text!("{} is {} long, {} wanted", tool.name, mm(body.length_mm, 0), mm(long_enough, 0));
        } else if body.head_mm > passage {
            nearest = text!("{}: head {}, {} left under the dent", tool.name, mm(body.head_mm, 1), mm(passage, 1));
        } else if body.head_mm > narrow.0 {
            nearest = text!("{}: head {}, bore {} {} in", tool.name, mm(body.head_mm, 1), mm(narrow.0, 1), mm(narrow.1, 0));
        } else if bears < asked {
            nearest = text!("{} {}: at least {} asked, {} borne at {}", tool.name, how, newtons(asked), newtons(bears), mm(free, 0));
        } else {
            candidates.push((tool, body));
        }
    }
    candidates.sort_by(|a, b| b.1.head_mm.total_cmp(&a.1.head_mm).then(b.1.tip_mm.total_cmp(&a.1.tip_mm)));
    let mut fallback: Option<(crate::ToolId, T)> = None;
    for (tool, body) in
        candidates.iter().take(MOST_TRIED).chain(candidates.iter().skip(MOST_TRIED).min_by(|a, b| a.1.tip_mm.total_cmp(&b.1.tip_mm)))
    {
        match does(*body) {
            Ok((true, found)) => return Ok((tool.id.clone(), found)),
            Ok((false, found)) => {
                fallback.get_or_insert((tool.id.clone(), found));
            }
            Err(why) => nearest = text!("{} {}", tool.name, why),
        }
    }
    fallback.ok_or(nearest)
}

/// The largest head that passes, mm.
fn passes_mm(case: &Case, access: &Access) -> f64 {
    (case.passage_mm() - 0.1).min(access.clear_ball_mm.0 - 0.2)
}

/// The largest head of a rod to make, mm: what passes, and no more than is turned on a rod.
pub fn widest_head_mm(case: &Case, access: &Access) -> f64 {
    passes_mm(case, access).min(WIDEST_HEAD_MM)
}

/// Heads tried for a rod to make, as parts of the largest that passes. Common practice, no source.
const HEAD_PARTS: [f64; 2] = [0.8, 0.5];

/// The rod to make: the largest head with which a shank that bears the work fits. Sizes in half millimetres.
pub fn size_working_rod(case: &Case, access: &Access, body: impl Fn(f64, f64) -> Body) -> Result<Found, Text> {
    let free = access.u_mm + VISE_GAP_MM;
    let widest = widest_head_mm(case, access);
    let mut why = Text::default();
    for part in HEAD_PARTS {
        let size = ((widest * part * 2.0).floor() / 2.0).max(1.0);
        // For the lift that is wanted where the lean gives it; thinner, for smaller lifts, where that does not fit.
        let wanted = within(case, head(size), LEAN_AT_HEAD * case.rack.lean_n);
        let forces = wanted.map(|w| w.force_n).into_iter().chain([least(case, head(size)).least_n * SPARE]);
        for force_n in forces {
            let shank = (thinnest_made_mm(force_n / LEAN_AT_HEAD, free, size, false) * 2.0).ceil() / 2.0;
            if shank > widest {
                why = text!("the strength needs a {} rod, and {} is all that passes", mm(shank, 1), mm(widest.max(0.0), 1));
                continue;
            }
            match works(case, access, body(shank, size.max(shank))) {
                Ok(found) => {
                    let of = ToolBody::StraightRod { diameter_mm: shank, length_mm: found.body.length_mm, head_mm: found.body.head_mm };
                    match stands::fails(&of, &Load::steady(found.working.force_n / LEAN_AT_HEAD, free)) {
                        None => return Ok(found),
                        Some(e) => why = e,
                    }
                }
                Err(e) => why = text!("a rod strong enough ({}) {}", mm(shank, 1), e),
            }
        }
    }
    Err(why)
}

/// How much more than the least force a rod to make bears. Common practice, no source.
const SPARE: f64 = 1.1;

/// The largest head for which a strong enough shank fits; sizes in half millimetres.
pub fn size_rod(case: &Case, access: &Access, thinnest: f64, widest: f64, body: impl Fn(f64, f64) -> Body) -> Result<(Body, Fits), Text> {
    let shank = (thinnest * 2.0).ceil() / 2.0;
    if shank > widest {
        return Err(text!("the strength needs a {} rod, and {} is all that passes", mm(shank, 1), mm(widest.max(0.0), 1)));
    }
    let mut why = Text::default();
    for part in HEAD_PARTS {
        let head = ((widest * part * 2.0).floor() / 2.0).max(shank);
        match press::press(case, access, body(shank, head)) {
            Ok(fits) => return Ok((body(shank, head), fits)),
            Err(jam) => why = text!("a rod strong enough ({}) {}", mm(shank, 1), jam.words()),
        }
    }
    Err(why)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((LONGEST_MM, LEAN_AT_HEAD, SPARE, HEAD_PARTS) == (900.0, 0.9, 1.1, [0.8, 0.5]));
        assert_eq!(MOST_TRIED, 3);
    }
}
