//! What can drive a ball to a dent here, with what the way leaves of the hand's force: a push rod, a flexible shaft, a cable; each by
//! every way in, and each cable out at every end on the other side.

use crate::access::Access;
use crate::bench::{Case, keep_least};
use crate::drive_force::FRICTION;
use crate::opened::Opened;
use crate::openings::{FARTHEST_MM, union};
use crate::to_make::ToolPiece;
use crate::way::Leads;
use crate::way_force::{Carrier, LOCKED_N, Way};
use crate::{ToolBody, ToolId};
use units::text::{mm, newtons};
use units::{Text, text};

/// Straight pushes with a plain rod allow this much turn on the way, degrees.
const PUSH_TURN_DEG: f64 = 4.0;

/// A ball goes through with this much less than the bore, mm. Common practice, no source.
pub(super) const RUN_ROOM_MM: f64 = 0.05;

/// Axial force at which a push rod buckles over its length in the tube, N: Euler, both ends hinged, π²EI/l² (closed
/// form).
pub(super) fn buckles_at_n(diameter_mm: f64, length_mm: f64) -> f64 {
    let i = std::f64::consts::PI * diameter_mm.powi(4) / 64.0;
    std::f64::consts::PI.powi(2) * crate::rod_strength::ROD_E_MPA * i / length_mm.max(1.0).powi(2)
}

/// What drives the balls.
#[derive(Clone)]
pub struct Drive {
    pub tools: Vec<ToolId>,
    pub make: Vec<ToolPiece>,
    pub words: Text,
    /// What leads the force.
    pub leads: Leads,
    pub carrier: Carrier,
    /// The way of the force, from the dent out to the hand.
    pub way: Way,
    /// Where a cable leads out, and the largest ball that comes out there, mm.
    pub far: Option<(String, f64)>,
    /// What hand and tool give at the hand's end, N.
    pub limit_n: f64,
    /// What of it gets to the dent, N.
    pub dent_n: f64,
    /// The way by which the ball is drawn back, and with what.
    pub back: Way,
    pub back_with: Text,
    pub back_by: Carrier,
    pub opens: Vec<Vec<Opened>>,
}

impl Drive {
    /// The drive of a hand's limit over a way.
    pub(super) fn new(leads: Leads, carrier: Carrier, way: Way, limit_n: f64) -> Self {
        // A hair less: the force at the hand that follows from it is no more than the limit.
        let dent_n = way.trusted_at_dent(carrier, limit_n, FRICTION.0) * (1.0 - 1e-9);
        let back_with = match leads {
            Leads::PushRod => "the rod screwed to the ball",
            Leads::Shaft => "the shaft screwed to the ball",
            Leads::Cable => "a second cord on the ball",
            Leads::DriverBalls => "driver balls from the other end",
        };
        Self {
            tools: Vec::new(),
            make: Vec::new(),
            words: Text::default(),
            leads,
            carrier,
            back: way.clone(),
            way,
            far: None,
            limit_n,
            dent_n,
            back_with: back_with.into(),
            back_by: Carrier::Pulled,
            opens: Vec::new(),
        }
    }

    /// What there is for a ball that asks so much at the dent, and what that would be at the hand.
    pub fn gives(&self, asked_n: f64) -> Text {
        if self.dent_n > 0.99 * self.limit_n {
            return text!("{} are at hand", newtons(self.limit_n));
        }
        let hand_n = self.way.at_hand(self.carrier, asked_n, FRICTION.0);
        let turned = format!("{:.0}", self.way.turned_rad().to_degrees());
        if hand_n >= LOCKED_N {
            text!("and no push gets so much round {}° of bends: what pushes coils in the bore and locks", turned)
        } else if hand_n <= self.limit_n {
            text!("and a push of more than {} at the dent coils in the bore, too near to where it locks", newtons(self.dent_n))
        } else {
            text!("which is {} at the hand, round {}° of bends; {} are at hand", newtons(hand_n), turned, newtons(self.limit_n))
        }
    }

    /// What of the hand's force gets to the dent, where the way takes any: " (95 N at the dent, after 393° of bends)".
    pub fn loses(&self) -> Text {
        if self.dent_n > 0.99 * self.limit_n {
            return Text::default();
        }
        text!(", of which {} get to the dent round {}°", newtons(self.dent_n), format!("{:.0}", self.way.turned_rad().to_degrees()))
    }
}

/// What gives the force: the shop's press, where it has one that gives more, or the person.
struct Source<'t> {
    press: Option<(&'t crate::Tool, f64)>,
    /// Steady push of a hand, N.
    push_n: f64,
    /// What a person leans with, N: a rod's or a cable's end is in the vise, the instrument is leaned over the one and drawn along on
    /// the other with the body's weight. Common practice, no source.
    lean_n: f64,
}

impl Source<'_> {
    /// What it gives to a carrier, N, and how that is said.
    fn gives(&self, leads: Leads) -> (f64, &'static str) {
        let (by_hand, how) = match leads {
            Leads::PushRod | Leads::Cable | Leads::DriverBalls if self.lean_n > self.push_n => {
                (self.lean_n, "its end in the vise, by the body's weight")
            }
            _ => (self.push_n, "by hand"),
        };
        match self.press {
            Some((_, n)) if n > by_hand => (n, "by the press"),
            _ => (by_hand, how),
        }
    }

    /// The carrier's tool, and the press where it is what gives.
    fn tools_of(&self, leads: Leads, id: Option<&ToolId>) -> Vec<ToolId> {
        let (n, _) = self.gives(leads);
        id.cloned().into_iter().chain(self.press.filter(|p| p.1 >= n).map(|p| p.0.id.clone())).collect()
    }
}

/// What can drive balls here; or why nothing.
pub fn drives(case: &Case, access: &Access, passage: f64) -> Result<Vec<Drive>, Text> {
    let tube = &access.path.tube;
    let reach = access.u_mm + case.half_width_mm();
    let turned = tube.turned_deg(0.0, reach.min(tube.length_mm()));
    let way = Way::out_of(tube, reach);
    let presses = case.tools_where(|_, b| if let ToolBody::Press { limit_n, .. } = *b { Some(limit_n) } else { None });
    let press = presses.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let source = Source { press, push_n: case.rack.hand_push_n, lean_n: case.rack.lean_n };
    let mut found: Vec<Drive> = Vec::new();
    let mut why = Vec::new();
    if turned <= PUSH_TURN_DEG {
        match rod(case, &source, (reach, passage), &way) {
            Some(drive) => found.push(Drive { opens: access.opens.clone(), ..drive }),
            None => why.push(text!("no rod longer than {} to push with", mm(reach + 30.0, 0))),
        }
    }
    let shafts = shafts(case, &source, access, (reach, passage), &way, &mut why);
    let shaft_found = !shafts.is_empty();
    found.extend(shafts);
    found.extend(cables(case, &source, access, &mut why));
    if turned > PUSH_TURN_DEG {
        let drivers = driver_balls(case, &source, access, &found);
        found.extend(drivers);
    }
    if found.is_empty()
        || (!shaft_found && turned > PUSH_TURN_DEG && found.iter().all(|d| d.opens.iter().all(|o| !access.opens.contains(o))))
    {
        found.extend(shaft_to_make(&source, access, (reach, passage), way, &why));
    }
    if found.is_empty() {
        Err(text!(
            "nothing to drive a ball with: {}",
            if why.is_empty() { Text::from("no shaft, cable or push rod on the rack") } else { Text::join(&why, "; ") }
        ))
    } else {
        Ok(found)
    }
}

/// The thickest rod of the rack that is long enough.
fn rod(case: &Case, source: &Source, (reach, passage): (f64, f64), way: &Way) -> Option<Drive> {
    let rods = case.tools_where(|_, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, .. } if length_mm > reach + 30.0 && diameter_mm < passage => Some(diameter_mm),
        _ => None,
    });
    let (tool, diameter) = rods.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (most, how) = source.gives(Leads::PushRod);
    let n = most.min(buckles_at_n(diameter, reach));
    let words = text!("pushed with {} (up to {}, {})", tool.name, newtons(n), how);
    Some(Drive {
        tools: source.tools_of(Leads::PushRod, Some(&tool.id)),
        words,
        ..Drive::new(Leads::PushRod, Carrier::rod(diameter), way.clone(), n)
    })
}

/// The shafts of the rack that get there.
fn shafts(case: &Case, source: &Source, access: &Access, (reach, passage): (f64, f64), way: &Way, why: &mut Vec<Text>) -> Vec<Drive> {
    let tightest = access.path.tube.tightest_radius_mm(0.0, reach);
    let shafts = case.tools_where(|_, b| {
        if let ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, limit_n } = *b {
            Some((diameter_mm, length_mm, least_radius_mm, limit_n))
        } else {
            None
        }
    });
    let mut found = Vec::new();
    for (tool, (diameter, length, least, limit)) in &shafts {
        if *length < reach + 50.0 {
            why.push(text!("{} is {} long, {} wanted", tool.name, mm(*length, 0), mm(reach + 50.0, 0)));
        } else if tightest.is_some_and(|r| r < *least) {
            why.push(text!("{} goes round {}, the bend is {}", tool.name, mm(*least, 0), mm(tightest.unwrap_or(0.0), 0)));
        } else if *diameter >= passage {
            why.push(text!("{} is {} thick, {} are left under the dent", tool.name, mm(*diameter, 1), mm(passage, 1)));
        } else {
            let (most, how) = source.gives(Leads::Shaft);
            let n = limit.min(most);
            let drive = Drive::new(Leads::Shaft, Carrier::shaft(*diameter, *least), way.clone(), n);
            found.push(Drive {
                tools: source.tools_of(Leads::Shaft, Some(&tool.id)),
                words: text!("driven with {} (up to {}, {}{})", tool.name, newtons(n), how, drive.loses()),
                opens: access.opens.clone(),
                ..drive
            });
        }
    }
    found
}

/// The cables of the rack, out at each end on the other side. Where one end needs no more opened than another and takes less of
/// the pull, the other is left out.
fn cables(case: &Case, source: &Source, access: &Access, why: &mut Vec<Text>) -> Vec<Drive> {
    let mut found: Vec<Drive> = Vec::new();
    let beyond: Vec<&Access> = case.accesses.iter().filter(|a| a.side() != access.side()).collect();
    for (tool, (length, limit)) in
        case.tools_where(|_, b| if let ToolBody::Cable { length_mm, limit_n } = *b { Some((length_mm, limit_n)) } else { None })
    {
        if beyond.is_empty() {
            let blocked = case.blocked.first().cloned().unwrap_or_else(|| "it is not".into());
            why.push(text!("{} needs the tube open at its other end too: {}", tool.name, blocked));
            continue;
        }
        let (most, how) = source.gives(Leads::Cable);
        let n = limit.min(most);
        let own = found.len();
        for far in &beyond {
            let whole = access.u_mm + far.u_mm;
            if whole + 100.0 > length {
                why.push(text!("{} is {} long, {} wanted", tool.name, mm(length, 0), mm(whole + 100.0, 0)));
                continue;
            }
            let mut opens: Vec<Vec<Opened>> = access.opens.iter().flat_map(|a| far.opens.iter().map(|b| union(a, b))).collect();
            keep_least(&mut opens);
            let drive = Drive::new(Leads::Cable, Carrier::Pulled, Way::out_of(&far.path.tube, far.u_mm + case.half_width_mm()), n);
            // Ends come nearest first: what is opened for them grows less towards the ends of the tube.
            let worse = |a: &Drive, opens: &[Opened]| {
                a.dent_n >= drive.dent_n * (1.0 - 1e-9) && a.opens.iter().any(|o| o.iter().all(|x| opens.contains(x)))
            };
            opens.retain(|o| !found[own..].iter().any(|d| worse(d, o)));
            if opens.is_empty() {
                continue;
            }
            let name = far.path.entry.name.clone();
            found.push(Drive {
                tools: source.tools_of(Leads::Cable, Some(&tool.id)),
                words: text!("pulled on {} out at {} (up to {}, {}{})", tool.name, name, newtons(n), how, drive.loses()),
                far: Some((name, far.clear_ball_mm.0)),
                back: Way::out_of(&access.path.tube, access.u_mm + case.half_width_mm()),
                back_with: text!("a second cord on the ball led out at {}", access.path.entry.name),
                opens,
                ..drive
            });
        }
    }
    found
}

/// Least diameter of a driver ball over the bore that it runs in. Common practice, no source: smaller ones ride over each other.
const LEAST_DRIVER: f64 = 0.85;
/// Most driver balls in a column. Common practice, no source.
const MOST_DRIVERS: usize = 10;

/// A column of the rack's balls round the bend from where a straight rod reaches, and what pushes it back from an end on the other side:
/// nothing draws a ball back through a column. Only where it gives the dent more than what was found with no more opened.
fn driver_balls(case: &Case, source: &Source, access: &Access, found: &[Drive]) -> Vec<Drive> {
    let mut drives: Vec<Drive> = Vec::new();
    let Some(near) = column(case, source, access) else { return drives };
    for far in case.accesses.iter().filter(|a| a.side() != access.side()) {
        let Some(back) = column(case, source, far) else { continue };
        let mut opens: Vec<Vec<Opened>> = access.opens.iter().flat_map(|a| far.opens.iter().map(|b| union(a, b))).collect();
        keep_least(&mut opens);
        let stronger = |d: &Drive, o: &[Opened]| d.dent_n >= 0.95 * near.dent_n && d.opens.iter().any(|x| x.iter().all(|x| o.contains(x)));
        opens.retain(|o| !found.iter().chain(&drives).any(|d| stronger(d, o)));
        if opens.is_empty() {
            continue;
        }
        drives.push(Drive {
            far: Some((far.path.entry.name.clone(), far.clear_ball_mm.0)),
            back_with: text!("a column of driver balls from {}", far.path.entry.name),
            back_by: back.carrier,
            back: back.way.clone(),
            opens,
            ..near.clone()
        });
    }
    drives
}

/// Push at which a ball of a column bulges the outside of a bend, N, where the wall gives way under `wall_n`: N = 2F·sin(δ/2), sin(δ/2) =
/// d/(2R) (closed form: two chords of one ball's length each).
fn presses_out_n(wall_n: f64, ball_mm: f64, radius_mm: f64) -> f64 {
    wall_n * radius_mm / ball_mm
}

/// A straight rod and the balls before it, from one end.
fn column(case: &Case, source: &Source, access: &Access) -> Option<Drive> {
    let tube = &access.path.tube;
    let straight = tube.straight_until_mm(0.0).min(access.u_mm);
    let reach = access.u_mm + case.half_width_mm();
    // They are all of one size, near enough, and the dent's own ball is one more.
    let bore = access.clear_ball_mm.0;
    let balls: Vec<&(f64, ToolId)> =
        case.balls().iter().filter(|b| b.0 <= bore - RUN_ROOM_MM && b.0 >= LEAST_DRIVER * 2.0 * tube.widest_mm(straight, reach)).collect();
    let smallest = balls.first()?.0;
    let count = ((access.u_mm - straight) / smallest).ceil() as usize;
    if straight <= 0.0 || count == 0 || count > MOST_DRIVERS || balls.len() < count + 1 {
        return None;
    }
    let rods = case.tools_where(|_, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } if length_mm > straight + 30.0 && head_mm < bore => Some(diameter_mm),
        _ => None,
    });
    let (tool, diameter) = rods.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (most, how) = source.gives(Leads::DriverBalls);
    let n = most.min(buckles_at_n(diameter, straight));
    // Each ball turns the force by its own size over the radius and presses that on the outside of the bend: no more than moves the
    // wall there, taken as at the dent.
    let n = tube.tightest_radius_mm(straight, reach).map_or(n, |r| n.min(presses_out_n(case.force_n(), smallest, r)));
    let drive = Drive::new(Leads::DriverBalls, Carrier::Column { ball_mm: smallest }, Way::between(tube, reach, straight), n);
    let mut tools = source.tools_of(Leads::DriverBalls, Some(&tool.id));
    tools.extend(balls.iter().rev().take(count + 1).map(|b| b.1.clone()));
    Some(Drive {
        words: text!(
            "driven with {} driver balls of {} or more before {} (up to {}, {}{})",
            count.to_string(),
            units::text::mm(smallest, 2),
            tool.name,
            newtons(n),
            how,
            drive.loses()
        ),
        tools,
        ..drive
    })
}

/// A flexible shaft that would do it, where the bend is not tighter than shafts are made.
fn shaft_to_make(source: &Source, access: &Access, (reach, passage): (f64, f64), way: Way, why: &[Text]) -> Option<Drive> {
    let radius = access.path.tube.tightest_radius_mm(0.0, reach).unwrap_or(500.0);
    let length = ((reach + 80.0) / 50.0).ceil() * 50.0;
    // Common practice, no source: a shaft of diameter d goes round about 6 d and bears about 25 N per mm² of core.
    let diameter = (passage * 0.6).min(radius / 6.0).min(12.0);
    if diameter < 4.0 || length > FARTHEST_MM {
        return None;
    }
    let diameter = (diameter * 2.0).floor() / 2.0;
    let bears = 8.0 * diameter * diameter;
    let least = (6.0 * diameter).min(radius).floor();
    let make = ToolPiece {
        load: None,
        body: ToolBody::FlexibleShaft { diameter_mm: diameter, length_mm: length, least_radius_mm: least, limit_n: bears.floor() },
        because: text!(
            "{}. It must reach {} and pass {} under the dent.",
            if why.is_empty() { Text::from("no shaft on the rack") } else { Text::join(why, "; ") },
            mm(reach, 0),
            mm(passage, 1)
        ),
    };
    let drive = Drive::new(Leads::Shaft, Carrier::shaft(diameter, least), way, bears.min(source.gives(Leads::Shaft).0));
    Some(Drive {
        tools: source.tools_of(Leads::Shaft, None),
        words: text!("driven with a {}{}", make.words(), drive.loses()),
        make: vec![make],
        opens: access.opens.clone(),
        ..drive
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: balls of 10 mm round 20 mm: each turns by 2·asin(0.25) = 28.96° and presses with 2F·0.25 = F/2.
    #[test]
    fn a_driver_ball_on_the_outside_of_a_bend() {
        assert!((presses_out_n(400.0, 10.0, 20.0) - 800.0).abs() < 1e-9);
        let turned = 2.0 * f64::asin(10.0 / 40.0);
        assert!((2.0 * 800.0 * (0.5 * turned).sin() - 400.0).abs() < 1e-9);
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((PUSH_TURN_DEG, LEAST_DRIVER, MOST_DRIVERS) == (4.0, 0.85, 10));
    }
}
