//! Where no hand gives a ball the pull that it asks: a screw press to buy, whose spindle draws the ball through on a cable.

use super::drives::Drive;
use crate::access::Access;
use crate::bench::{Case, keep_least};
use crate::drive_force::FRICTION;
use crate::opened::Opened;
use crate::openings::union;
use crate::to_make::ToolPiece;
use crate::way::Leads;
use crate::way_force::{Carrier, Way};
use crate::{ToolBody, ToolId};
use units::text::newtons;
use units::{Text, text};

/// Presses to buy come in steps of this, N, as one for a mandrel does. Common practice, no source.
const STEP_N: f64 = 500.0;
/// The strongest pull on a cable through a tube, N. Common practice, no source: the rope for it is 6.5 mm thick, and nobody threads a
/// thicker one through a brass instrument.
const MOST_N: f64 = 5000.0;
/// What a cable is longer than its way, mm: its stop, and its hold in the press.
const HOLD_MM: f64 = 100.0;
/// Travel that the press wants beyond the dent's length, mm, as for a mandrel. Common practice, no source.
const TRAVEL_MM: f64 = 40.0;

/// Drives by a press to buy out at each end on the other side, the weakest press first; for each end with what must be opened.
pub fn pressed<'c>(case: &'c Case, access: &'c Access) -> impl Iterator<Item = Vec<Drive>> + 'c {
    let beyond = case.accesses.iter().filter(|a| a.side() != access.side());
    beyond.map(move |far| {
        let mut opens: Vec<Vec<Opened>> = access.opens.iter().flat_map(|a| far.opens.iter().map(|b| union(a, b))).collect();
        keep_least(&mut opens);
        let sizes = 1..=(MOST_N / STEP_N) as usize;
        let stronger = sizes.map(|i| STEP_N * i as f64).filter(|n| *n > case.rack.lean_n);
        stronger.map(|n| Drive { opens: opens.clone(), ..one(case, access, far, n) }).collect()
    })
}

fn one(case: &Case, access: &Access, far: &Access, n: f64) -> Drive {
    let wanted_mm = access.u_mm + far.u_mm + HOLD_MM;
    let cables = case.tools_where(|_, b| match *b {
        ToolBody::Cable { length_mm, limit_n } if length_mm >= wanted_mm && limit_n >= n => Some(limit_n),
        _ => None,
    });
    let cable = cables.into_iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let way = Way::out_of(&far.path.tube, far.u_mm + case.half_width_mm());
    let drive = Drive::new(Leads::Cable, Carrier::Pulled, way, n);
    let name = far.path.entry.name.clone();
    let why = text!("a person gives {}, and that is not enough", newtons(case.rack.lean_n));
    let travel_mm = Some((2.0 * case.half_width_mm() + TRAVEL_MM).ceil());
    let mut make = vec![ToolPiece::new(ToolBody::Press { limit_n: n, travel_mm }, why)];
    if cable.is_none() {
        let length_mm = (wanted_mm / 100.0).ceil() * 100.0;
        let why = text!("no cable on the rack is so long and bears {}", newtons(n));
        make.push(ToolPiece::new(ToolBody::Cable { length_mm, limit_n: n }, why));
    }
    let tools: Vec<ToolId> = cable.iter().map(|c| c.0.id.clone()).collect();
    let words: Text = match &cable {
        Some((tool, _)) => text!("drawn by a press to buy, on {}, out at {} (up to {}{})", tool.name, name, newtons(n), drive.loses()),
        None => text!("drawn by a press to buy, on a cable to buy, out at {} (up to {}{})", name, newtons(n), drive.loses()),
    };
    Drive {
        tools,
        make,
        words,
        far: Some((name, far.clear_ball_mm.0)),
        back: Way::out_of(&access.path.tube, access.u_mm + case.half_width_mm()),
        back_with: text!("a second cord on the ball led out at {}", access.path.entry.name),
        ..drive
    }
}

/// Why the cable would pull in the inside of a bend on its way, where it would: over the dent's own length it presses as much as moves
/// the wall, taken as at the dent (as for a column of driver balls on the outside).
pub fn presses_in(case: &Case, drive: &Drive, dent_n: f64) -> Option<Text> {
    let (n_per_mm, radius_mm) = drive.way.presses(drive.carrier, dent_n, FRICTION.0)?;
    let on_the_wall_n = n_per_mm * 2.0 * case.half_width_mm();
    (on_the_wall_n > case.force_n()).then(|| {
        text!(
            "the cable that draws it would press {} on the inside of the bend of {}: that dents the wall there",
            units::text::newtons_per_mm(n_per_mm),
            units::text::mm(radius_mm, 0)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is common practice, said once more so that nobody changes it by a slip; the rope for the strongest pull: √(5000/116.8) mm.
    #[test]
    fn practice() {
        assert!((STEP_N, MOST_N, HOLD_MM, TRAVEL_MM) == (500.0, 5000.0, 100.0, 40.0));
        assert!((crate::way::rope_mm(MOST_N) - 6.54).abs() < 0.01);
    }
}
