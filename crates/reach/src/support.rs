//! What can be held under a dent while it is worked from outside: a mandrel, or the head of a rod.

use crate::bench::{Access, Case};
use crate::body::Body;
use crate::mandrel;
use crate::press;
use crate::rod_strength::{VISE_GAP_MM, VISE_GRIP_MM, bears_n};
use crate::way::Pose;
use crate::{ToolBody, ToolId};

/// A support under the dent.
pub struct Support {
    /// The tool.
    pub tool: ToolId,
    /// In words.
    pub words: String,
    /// Its size under the dent, mm.
    pub size_mm: f64,
    /// What it bears, N.
    pub bears_n: f64,
    /// Dents that must be true first.
    pub after: Vec<usize>,
    /// Its pose, where one was solved.
    pub pose: Option<Pose>,
}

/// Least part of the bore that a support must fill. Common practice, no source.
const LEAST_FILL: f64 = 0.55;

/// The best support at an opening for a working force; or why there is none.
pub fn best(case: &Case, access: &Access, force_n: f64) -> Result<Support, String> {
    let least = LEAST_FILL * case.bore_to_fill_mm();
    let passage = case.passage_mm();
    let mut why = "no mandrel or rod on the rack to hold under it".to_owned();
    let turned = access.path.tube.turned_deg(0.0, (access.u_mm + case.half_width_mm()).min(access.path.tube.length_mm()));
    if turned < 0.5 {
        let mandrels = case.tools_where(|t, b| match *b {
            ToolBody::Mandrel { small_mm, large_mm, length_mm } => Some((small_mm - t.wear_mm, large_mm - t.wear_mm, length_mm)),
            _ => None,
        });
        let mut found: Option<Support> = None;
        for (tool, size) in mandrels {
            match mandrel::seat(case, access, size) {
                Ok(seat) if found.as_ref().is_none_or(|f| seat.under_dent_mm > f.size_mm) => {
                    found = Some(Support {
                        tool: tool.id.clone(),
                        words: format!("over {} ({:.1} mm under the dent)", tool.name, seat.under_dent_mm),
                        size_mm: seat.under_dent_mm,
                        bears_n: 4.0 * case.rack.lean_n,
                        after: access.blocking(seat.under_dent_mm),
                        pose: None,
                    });
                }
                Ok(_) => {}
                Err(e) => why = format!("{} {e}", tool.name),
            }
        }
        if let Some(f) = found {
            return Ok(f);
        }
    }
    let free = access.u_mm + VISE_GAP_MM;
    let mut rods = case.tools_where(|t, b| match *b {
        ToolBody::StraightRod { diameter_mm, length_mm, head_mm } if length_mm >= free + VISE_GRIP_MM => {
            Some(Body::straight_rod(diameter_mm, length_mm, head_mm - t.wear_mm))
        }
        _ => None,
    });
    rods.retain(|(_, b)| {
        b.head_mm <= passage && b.head_mm <= access.clear_ball_mm.0 && b.head_mm >= least && bears_n(b.tip_mm, free).0 >= force_n
    });
    if let Some(thinnest) = rods.iter().map(|r| r.1.tip_mm).min_by(f64::total_cmp) {
        press::thread(access, thinnest)
            .map_err(|j| format!("no rod of the rack gets under it: the thinnest that could hold {}", j.words()))?;
    }
    rods.sort_by(|a, b| b.1.head_mm.total_cmp(&a.1.head_mm));
    for (tool, body) in rods.into_iter().take(2) {
        match press::press(case, access, body) {
            Ok(fits) => {
                return Ok(Support {
                    tool: tool.id.clone(),
                    words: format!("over the {:.1} mm head of {}", body.head_mm, tool.name),
                    size_mm: body.head_mm,
                    bears_n: bears_n(body.tip_mm, free).0,
                    after: fits.after,
                    pose: Some(fits.pose),
                });
            }
            Err(jam) => why = format!("{} {}", tool.name, jam.words()),
        }
    }
    Err(why)
}
