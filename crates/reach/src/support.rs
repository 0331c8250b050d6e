//! What can be held under a dent while it is worked from outside: a mandrel, a bell stake, the head of a rod, or a
//! dolly in the hand.
//!
//! It need not fill the bore: the tube is laid on it and turned, and it stands under the dent only. Its crown must be
//! no flatter than the wall round it (a flatter one stands on its edges) and not much rounder (a rounder one prints).

use crate::access::Access;
use crate::bench::Case;
use crate::body::Body;
use crate::contact::{self, Place};
use crate::mandrel;
use crate::method::Pose;
use crate::press;
use crate::rod_strength::{VISE_GAP_MM, VISE_GRIP_MM, WIDEST_HEAD_MM, bears_n};
use crate::stands::{Load, thinnest_made_mm};
use crate::straight_rod::{LONGEST_MM, size_rod, widest_head_mm};
use crate::to_make::ToolPiece;
use crate::tool_words::tool_words;
use crate::touching::Contact;
use crate::{ToolBody, ToolId};
use units::text::{mm, newtons};
use units::{Text, text};

/// A support under the dent.
pub struct Support {
    /// The tool of the rack; none where it has to be made.
    pub tool: Option<ToolId>,
    /// What to make.
    pub make: Option<ToolPiece>,
    /// In words.
    pub words: Text,
    /// Breadth of its face or its diameter under the dent, mm.
    pub size_mm: f64,
    /// Diameter of the round that its face is part of, mm: how well it gives the bore's shape back.
    pub round_mm: f64,
    /// What it bears, N.
    pub bears_n: f64,
    /// Dents that must be true first.
    pub after: Vec<usize>,
    /// Its pose, where one was solved.
    pub pose: Option<Pose>,
    /// How its face stands under the dent.
    pub stands: Stands,
}

/// How a support's face stands under the dent.
pub enum Stands {
    /// A head or a crown, held against the wall at a clock (radians, in the tube's frame), and its centre line when the work begins,
    /// where one was solved.
    Head(f64, Vec<[f64; 3]>),
    /// A mandrel (thin end, thick end, length), its thin end so far from the mouth, mm.
    Laid((f64, f64, f64), f64),
}

impl Support {
    /// Where it touches, `left_mm` of the dent staying.
    pub fn contact(&self, case: &Case, access: &Access, left_mm: f64) -> Contact {
        match &self.stands {
            Stands::Head(clock_rad, line) => {
                // The pose was solved for a head of the face's breadth.
                let head = self.pose.as_ref().map_or(self.size_mm, |p| p.head_mm).min(self.round_mm);
                let face = self.size_mm.min(self.round_mm);
                let mut contact = Place::of(case, access, *clock_rad).head(head, self.round_mm, face, left_mm);
                contact.start.line_mm.clone_from(line);
                contact
            }
            Stands::Laid(taper, tip) => Place::first(case, access).mandrel(*taper, *tip, self.size_mm, self.size_mm).0,
        }
    }
}

/// How the support is struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Steadily, by a roller or burnisher.
    Steady,
    /// By blows: a loose dolly holds against them by its own weight.
    Blows,
}

/// Least round of a support's face, as a part of the bore that a tool has to fill. Common practice, no source: a
/// rounder one prints its shape.
const LEAST_ROUND: f64 = 0.40;
/// A support that is this part of the bore to fill gives its shape back as well as any ([`crate::practice::finish_quality`]).
pub const FULL: f64 = 0.95;
/// Bore that an arm with a dolly in its hand wants, mm. Common practice, no source.
const ARM_MM: f64 = 95.0;
/// How far an arm reaches into a bell, mm. Common practice, no source.
const ARM_REACH_MM: f64 = 550.0;
/// What a dolly holds against blows by its weight, N. Common practice, no source: about a kilogram of steel.
const DOLLY_HOLDS_N: f64 = 1000.0;
/// A mandrel on a bench horse and a stake in the vise are held against this many times what a person leans. Common
/// practice, no source.
const HORSE: f64 = 4.0;
/// Most turn on the way to a straight support held in the bell, degrees.
const ARM_TURN_DEG: f64 = 15.0;

/// The best support at an opening for a working force; or why there is none.
pub fn best(case: &Case, access: &Access, force_n: f64, work: Work) -> Result<Support, Text> {
    let fill = case.bore_to_fill_mm();
    let good = |s: &Support| (s.round_mm / fill).min(1.0);
    let mut found: Option<Support> = None;
    let mut why = Text::default();
    let full = |s: &Support| good(s) >= FULL && s.after.is_empty();
    let poseless: [&dyn Fn() -> Result<Support, Text>; 2] = [&|| mandrel(case, access, force_n), &|| dolly(case, access, force_n, work)];
    // Those that ask a pose only where the others do not fill.
    let posed: [&dyn Fn() -> Result<Support, Text>; 2] = [&|| stake(case, access, force_n), &|| rod(case, access, force_n)];
    for try_one in poseless.into_iter().chain(posed) {
        if found.as_ref().is_some_and(full) {
            break;
        }
        match try_one() {
            Ok(s) if found.as_ref().is_none_or(|f| good(&s) > good(f) + 1e-9) => found = Some(s),
            Ok(_) => {}
            Err(e) if !e.is_empty() => why = e,
            Err(_) => {}
        }
    }
    match found {
        Some(f) => Ok(f),
        None if !case.worth_making(access) => Err(text!("{}; another tool of the rack reaches it, so none is made", why)),
        None => make(case, access, force_n, work == Work::Blows).map_err(|e| if why.is_empty() { e } else { text!("{}; {}", why, e) }),
    }
}

/// A stake of the rack under the dent, or one to make: what a dent is raised on.
pub fn under(case: &Case, access: &Access, force_n: f64) -> Result<Support, Text> {
    match stake(case, access, force_n) {
        Ok(s) => Ok(s),
        Err(why) => {
            let why = if why.is_empty() { Text::from("no stake on the rack has a crown that suits the wall") } else { why };
            if !case.worth_making(access) {
                return Err(text!("{}; another tool of the rack reaches it, so none is made", why));
            }
            let made = make(case, access, force_n, true).map_err(|e| text!("{}; {}", why, e))?;
            // In a bore where a round head on a rod would be turned, that rod is leaned on, not struck over.
            let is_stake = made.make.as_ref().is_some_and(|m| matches!(m.body, ToolBody::Stake { .. }));
            if is_stake { Ok(made) } else { Err(text!("{}; in a bore of {} a rod's head does it", why, mm(case.bore_mm(), 0))) }
        }
    }
}

/// A mandrel on the bench horse, the tube laid on its upper side.
fn mandrel(case: &Case, access: &Access, force_n: f64) -> Result<Support, Text> {
    let end = (access.u_mm + case.half_width_mm()).min(access.path.tube.length_mm());
    if access.path.tube.turned_deg(0.0, end) > 0.5 {
        return Err(Text::default());
    }
    let least = LEAST_ROUND * case.bore_to_fill_mm();
    let mut why = Text::default();
    let mut found: Option<Support> = None;
    for (tool, size) in case.tools_where(|t, b| match *b {
        ToolBody::Mandrel { small_mm, large_mm, length_mm } => Some((small_mm - t.wear_mm, large_mm - t.wear_mm, length_mm)),
        _ => None,
    }) {
        match mandrel::lay(case, access, size, case.passage_mm()) {
            Ok(seat) if seat.under_dent_mm < least => {
                why = text!("{} has {} under the dent, {} wanted", tool.name, mm(seat.under_dent_mm, 1), mm(least, 1));
            }
            Ok(seat) if contact::no_fit(case, seat.under_dent_mm).is_some() => {
                why = text!("{} {}", tool.name, contact::no_fit(case, seat.under_dent_mm).unwrap_or_default());
            }
            Ok(seat) if Place::first(case, access).lay(size, seat.tip_mm, 0.0).air_mm > contact::allowed_mm(case) + 1e-9 => {
                let air = Place::first(case, access).lay(size, seat.tip_mm, 0.0).air_mm;
                why = text!(
                    "{} ({} under the dent, bore {}) leaves up to {} of air over the dent's width, {} allowed",
                    tool.name,
                    mm(seat.under_dent_mm, 2),
                    mm(case.bore_mm(), 2),
                    mm(air, 2),
                    mm(contact::allowed_mm(case), 2)
                );
            }
            Ok(seat) if mandrel_bears_n(case, access, seat, size) < force_n => {
                why = text!("{} bends on its bar against {} {} in", tool.name, newtons(force_n), mm(access.u_mm, 0));
            }
            Ok(seat) if found.as_ref().is_none_or(|f| seat.under_dent_mm > f.size_mm) => {
                found = Some(Support {
                    tool: Some(tool.id.clone()),
                    make: None,
                    words: text!("over {} ({} under the dent)", tool.name, mm(seat.under_dent_mm, 1)),
                    size_mm: seat.under_dent_mm,
                    round_mm: seat.under_dent_mm,
                    bears_n: mandrel_bears_n(case, access, seat, size),
                    after: access.blocking(seat.under_dent_mm),
                    pose: Some(Place::first(case, access).mandrel(size, seat.tip_mm, seat.under_dent_mm, seat.under_dent_mm).1),
                    stands: Stands::Laid(size, seat.tip_mm),
                });
            }
            Ok(_) => {}
            Err(e) => why = text!("{} {}", tool.name, e),
        }
    }
    found.ok_or(why)
}

/// What a mandrel bears: on the bench horse, or buried in the tube on a bar.
fn mandrel_bears_n(case: &Case, access: &Access, seat: mandrel::Seat, (small, large, length): (f64, f64, f64)) -> f64 {
    /// Diameter of the bar over that of the mandrel's thin end. Common practice, no source.
    const BAR: f64 = 0.8;
    let buried = seat.tip_mm > length;
    let thickness = if buried { BAR * small } else { 0.5 * (small + large) };
    bears_n(thickness, access.u_mm + VISE_GAP_MM).0.min(HORSE * case.rack.lean_n)
}

/// Whether a crown suits the wall: its round, or nothing. One that is flatter stands on the edges of its face.
fn crown(case: &Case, crown_mm: f64, face_mm: f64) -> Option<f64> {
    let round = 2.0 * crown_mm;
    let touches = contact::bridged_mm(0.5 * case.bore_mm(), crown_mm, face_mm) <= contact::allowed_mm(case);
    (touches && contact::no_fit(case, round).is_none() && round >= LEAST_ROUND * case.bore_to_fill_mm()).then_some(round)
}

/// A dolly held in the hand, the arm in the bell.
fn dolly(case: &Case, access: &Access, force_n: f64, work: Work) -> Result<Support, Text> {
    let bears_n = if work == Work::Blows { DOLLY_HOLDS_N } else { case.rack.hand_push_n };
    let mut dollies = case.tools_where(|t, b| match *b {
        ToolBody::Dolly { crown_radius_mm, face_mm } => crown(case, crown_radius_mm, face_mm).map(|round| (round, face_mm - t.wear_mm)),
        _ => None,
    });
    dollies.sort_by(|a, b| b.1.0.total_cmp(&a.1.0));
    let Some((tool, (round_mm, face))) = dollies.into_iter().next() else { return Err(Text::default()) };
    let narrow = access.ball_mm;
    if narrow < ARM_MM || access.u_mm > ARM_REACH_MM || access.path.tube.turned_deg(0.0, access.u_mm) > ARM_TURN_DEG {
        return Err(Text::default());
    }
    if force_n > bears_n {
        return Err(text!("{} in the hand holds {}, {} are asked", tool.name, newtons(bears_n), newtons(force_n)));
    }
    Ok(Support {
        tool: Some(tool.id.clone()),
        make: None,
        words: text!("over {} held in the hand (crown radius {})", tool.name, mm(0.5 * round_mm, 0)),
        size_mm: face,
        round_mm,
        bears_n,
        after: Vec::new(),
        pose: None,
        stands: Stands::Head(access.path.clock_of(case.clocks_rad.first().copied().unwrap_or(0.0)), Vec::new()),
    })
}

/// A stake in the vise.
fn stake(case: &Case, access: &Access, force_n: f64) -> Result<Support, Text> {
    let free = access.u_mm + VISE_GAP_MM;
    let mut why = Text::default();
    let mut found = Vec::new();
    for (tool, (round, face, arm, length)) in case.tools_where(|t, b| match *b {
        ToolBody::Stake { crown_radius_mm, face_mm, diameter_mm, length_mm } => {
            crown(case, crown_radius_mm, face_mm).map(|round| (round, face_mm - t.wear_mm, diameter_mm, length_mm))
        }
        _ => None,
    }) {
        if length < free {
            why = text!("{} is {} long, {} wanted", tool.name, mm(length, 0), mm(free, 0));
        } else if bears_n(arm, free).0 < force_n {
            why = text!("{} bears {} at {}, {} are asked", tool.name, newtons(bears_n(arm, free).0), mm(free, 0), newtons(force_n));
        } else {
            found.push((tool, round, Body::straight_rod(arm, length + VISE_GRIP_MM, face.max(arm))));
        }
    }
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (tool, round_mm, body) in found.into_iter().take(2) {
        match press::press(case, access, body) {
            Ok(fits) => {
                return Ok(Support {
                    tool: Some(tool.id.clone()),
                    make: None,
                    words: text!("over {} (crown radius {}) in the vise", tool.name, mm(0.5 * round_mm, 0)),
                    size_mm: body.head_mm,
                    round_mm,
                    bears_n: bears_n(body.tip_mm, free).0.min(HORSE * case.rack.lean_n),
                    after: fits.after,
                    pose: Some(fits.pose),
                    stands: Stands::Head(fits.clock_rad, fits.start_line_mm),
                });
            }
            Err(jam) => why = text!("{} {}", tool.name, jam.words()),
        }
    }
    Err(why)
}

/// The round head of a straight rod in the vise.
fn rod(case: &Case, access: &Access, force_n: f64) -> Result<Support, Text> {
    let least = LEAST_ROUND * case.bore_to_fill_mm();
    let passage = case.passage_mm();
    let free = access.u_mm + VISE_GAP_MM;
    let mut rods = case.tools_where(|t, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } if length_mm >= free + VISE_GRIP_MM => {
            Some(Body::straight_rod(diameter_mm, length_mm, head_mm - t.wear_mm))
        }
        _ => None,
    });
    rods.retain(|(_, b)| {
        contact::no_fit(case, b.head_mm).is_none()
            && b.head_mm <= passage
            && b.head_mm <= access.clear_ball_mm.0
            && b.head_mm >= least
            && bears_n(b.tip_mm, free).0 >= force_n
    });
    let Some(thinnest) = rods.iter().map(|r| r.1.tip_mm).min_by(f64::total_cmp) else {
        return Err("no stake or rod's head on the rack is round and long enough to hold under it".into());
    };
    press::thread(access, thinnest).map_err(|j| text!("no rod of the rack gets under it: the thinnest that could hold {}", j.words()))?;
    let mut why = Text::default();
    rods.sort_by(|a, b| b.1.head_mm.total_cmp(&a.1.head_mm));
    for (tool, body) in rods.into_iter().take(2) {
        match press::press(case, access, body) {
            Ok(fits) => {
                return Ok(Support {
                    tool: Some(tool.id.clone()),
                    make: None,
                    words: text!("over the {} head of {}", mm(body.head_mm, 1), tool.name),
                    size_mm: body.head_mm,
                    round_mm: body.head_mm,
                    bears_n: bears_n(body.tip_mm, free).0.min(HORSE * case.rack.lean_n),
                    after: fits.after,
                    pose: Some(fits.pose),
                    stands: Stands::Head(fits.clock_rad, fits.start_line_mm),
                });
            }
            Err(jam) => why = text!("{} {}", tool.name, jam.words()),
        }
    }
    Err(why)
}

/// The stake or rod's head that would hold under it.
fn make(case: &Case, access: &Access, force_n: f64, blows: bool) -> Result<Support, Text> {
    /// Breadth of a stake's face over the dent's smaller width. Common practice, no source.
    const FACE: f64 = 1.2;
    if case.runs_in_a_fit() {
        return Err("a part that runs in a moving fit needs a body of its own bore: none is made to be held under it".into());
    }
    let free = access.u_mm + VISE_GAP_MM;
    if free + VISE_GRIP_MM > LONGEST_MM {
        return Err(text!("{} from the opening is further than a stake is held", mm(access.u_mm, 0)));
    }
    let widest = widest_head_mm(case, access);
    let crowned = case.bore_mm() > WIDEST_HEAD_MM / LEAST_ROUND;
    let thinnest = thinnest_made_mm(force_n, free, if crowned { 0.0 } else { widest.max(0.0) }, blows);
    let load = Load { blows, ..Load::steady(force_n, free) };
    press::thread(access, thinnest)
        .map_err(|j| text!("no stake that bears {} ({}) gets there: it {}", newtons(force_n), mm(thinnest, 1), j.words()))?;
    let length = ((free + VISE_GRIP_MM) / 10.0).ceil() * 10.0;
    let least = LEAST_ROUND * case.bore_to_fill_mm();
    if crowned {
        let crown_mm = (0.5 * case.bore_mm() * 0.95 / 5.0).floor() * 5.0;
        let narrower = case.assessment.width_along_mm.value.min(case.assessment.width_across_mm.value);
        let face = ((FACE * narrower).clamp(25.0, 80.0) / 5.0).round() * 5.0;
        let shank = (thinnest * 2.0).ceil() / 2.0;
        let fits = press::press(case, access, Body::straight_rod(shank, length, face.min(widest).max(shank)))
            .map_err(|j| text!("a stake strong enough ({}) {}", mm(shank, 1), j.words()))?;
        let because = text!(
            "no support on the rack suits the wall's {} of radius {} from the opening",
            mm(0.5 * case.bore_mm(), 0),
            mm(access.u_mm, 0)
        );
        let body = ToolBody::Stake { crown_radius_mm: crown_mm, face_mm: face, diameter_mm: shank, length_mm: length };
        let words = tool_words(&body);
        return Ok(Support {
            tool: None,
            words: text!("over a {}", words),
            make: Some(ToolPiece::new(body, because).under(load)?),
            size_mm: face,
            round_mm: 2.0 * crown_mm,
            bears_n: bears_n(shank, free).0.min(HORSE * case.rack.lean_n),
            after: fits.after,
            pose: Some(fits.pose),
            stands: Stands::Head(fits.clock_rad, fits.start_line_mm),
        });
    }
    let (body, fits) = size_rod(case, access, thinnest, widest, |shank, head| Body::straight_rod(shank, length, head))?;
    if body.head_mm < least {
        return Err(text!("a head of {} is all that gets there, {} wanted to hold under it", mm(body.head_mm, 1), mm(least, 1)));
    }
    let rod = ToolBody::StraightRod { diameter_mm: body.tip_mm, length_mm: body.length_mm, head_mm: body.head_mm };
    let because = text!("no support on the rack holds under it {} from the opening against {}", mm(access.u_mm, 0), newtons(force_n));
    Ok(Support {
        tool: None,
        words: text!("over the head of a {}", tool_words(&rod)),
        make: Some(ToolPiece::new(rod, because).under(load)?),
        size_mm: body.head_mm,
        round_mm: body.head_mm,
        bears_n: bears_n(body.tip_mm, free).0.min(HORSE * case.rack.lean_n),
        after: fits.after,
        pose: Some(fits.pose),
        stands: Stands::Head(fits.clock_rad, fits.start_line_mm),
    })
}
