//! Whether a rod gets to a dent, presses on its side, and lifts it to true: the pose solved at both ends of
//! the work, and the way in.
//!
//! At the start the head stands under the dent's bottom, at the end on the true wall; both poses must fit.
//! The way in: a body of constant curvature can slide along its own centre line, so the shank gets in
//! wherever the pose fits; only the head, thicker than the shank, must be led through as well. Where the head
//! fits along the pose's own line at every section, the rod slides straight in; where it does not, a pose is
//! sought for the head at that section with the rod free. That each such pose can be turned into the next is
//! not proved (quasi-static); what lies outside the tube before its mouth is not looked at.

use crate::bench::{Access, Case};
use crate::body::{Body, Placement};
use crate::pose::{Best, Ignore, Question, Tip};
use crate::way::Pose;

/// A rod that works.
#[derive(Clone, Debug)]
pub struct Fits {
    /// Its pose at the start of the work.
    pub pose: Pose,
    /// Dents that must be true first.
    pub after: Vec<usize>,
}

/// Where and by how much it does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jams {
    /// From the mouth, mm.
    pub at_mm: f64,
    /// What it lacks, mm.
    pub lacks_mm: f64,
    /// Whether it jams on its way in rather than when it presses.
    pub on_the_way: bool,
}

impl Jams {
    /// In words.
    pub fn words(&self) -> String {
        let when = if self.on_the_way { "jams on its way in" } else { "jams" };
        format!("{when} {:.0} mm from the opening, {:.1} mm short of room", self.at_mm, self.lacks_mm.max(0.05))
    }
}

/// Margin that a pose must keep beyond the sections' own tolerance, mm.
const MARGIN_MM: f64 = crate::path::TOLERANCE_MM;

/// Solves both poses for each clock that has to be reckoned with; the hardest one counts.
pub fn press(case: &Case, access: &Access, body: Body) -> Result<Fits, Jams> {
    let head = body.head_mm / 2.0;
    let passage = case.passage_mm();
    if body.head_mm > passage {
        return Err(Jams { at_mm: access.u_mm, lacks_mm: body.head_mm - passage, on_the_way: false });
    }
    let sections = if body.curvature > 0.0 { access.curved_sections() } else { &access.path.sections };
    let tube = &access.path.tube;
    let radius = tube.radius_mm(access.u_mm);
    let frame = tube.frame(access.u_mm);
    let room = tube.room_for_sphere_mm(access.u_mm, head).max(0.0);
    let mut hardest: Option<Fits> = None;
    for clock in &case.clocks_rad {
        let side = frame.clock(access.path.clock_of(*clock));
        let solve = |lift: f64, ignore: Ignore| {
            let offset = side * (radius - lift - head).clamp(-room, room);
            let q = Question { tube, sections, tip_mm: access.u_mm, body, tip: Tip::Held(offset), ignore };
            q.best().map(|b| (b, q))
        };
        let depth = case.depth_mm().min(2.0 * radius - body.head_mm);
        let jam = |b: Option<Best>| {
            let b = b.map_or((access.u_mm, 0.0), |b| (b.tightest_mm, b.clearance_mm));
            Jams { at_mm: b.0, lacks_mm: MARGIN_MM - b.1, on_the_way: false }
        };
        let as_it_is = access.target.map_or(Ignore::None, Ignore::One);
        let Some((mut end, mut asked)) = solve(0.0, as_it_is) else { return Err(jam(None)) };
        let mut after = Vec::new();
        if end.clearance_mm < MARGIN_MM && tube.dents.len() > 1 {
            // With the other dents true?
            if let Some((b, q)) = solve(0.0, Ignore::All) {
                if b.clearance_mm >= MARGIN_MM {
                    after = in_the_way(&q, &b.placement, access);
                    (end, asked) = (b, q);
                }
            }
        }
        if end.clearance_mm < MARGIN_MM {
            return Err(jam(Some(end)));
        }
        let ignore = if after.is_empty() { Ignore::None } else { Ignore::All };
        let Some((start, _)) = solve(depth, ignore) else { return Err(jam(None)) };
        if start.clearance_mm < MARGIN_MM {
            return Err(jam(Some(start)));
        }
        lead_in(&asked, &end.placement, &mut after, access)?;
        let (least, at) = if start.clearance_mm < end.clearance_mm {
            (start.clearance_mm, start.tightest_mm)
        } else {
            (end.clearance_mm, end.tightest_mm)
        };
        let fits = Fits { pose: pose(&body, &start.placement, access.u_mm, least, at), after };
        if hardest.as_ref().is_none_or(|h| fits.pose.least_clearance_mm < h.pose.least_clearance_mm) {
            hardest = Some(fits);
        }
    }
    hardest.ok_or(Jams { at_mm: 0.0, lacks_mm: 0.0, on_the_way: false })
}

/// Other dents whose flats a placement runs into, by index in the survey.
fn in_the_way(q: &Question, placement: &Placement, access: &Access) -> Vec<usize> {
    let mut hit: Vec<usize> = q
        .offsets(placement)
        .iter()
        .flat_map(|(i, s, o)| {
            let r = q.body.radius_mm(*s);
            q.sections[*i].flats.iter().filter(move |f| f.limit_mm - o.dot(f.side) < r).map(|f| f.dent)
        })
        .filter(|d| Some(*d) != access.target)
        .map(|d| access.path.dent_of[d])
        .collect();
    hit.sort_unstable();
    hit.dedup();
    hit
}

/// Leads the head in: along the pose's own line where it fits, else with the rod free.
fn lead_in(q: &Question, placement: &Placement, after: &mut Vec<usize>, access: &Access) -> Result<(), Jams> {
    let head = q.body.head_mm / 2.0;
    if q.body.head_mm <= q.body.tip_mm {
        return Ok(());
    }
    for d in access.blocking(q.body.head_mm) {
        if !after.contains(&d) {
            after.push(d);
        }
    }
    let ignore = if after.is_empty() { q.ignore } else { Ignore::All };
    let mut last_free = f64::INFINITY;
    for (i, _, o) in q.offsets(placement) {
        let section = &q.sections[i];
        let fits_here = o.length() + head <= section.radius_mm
            && (ignore == Ignore::All || section.flats.iter().all(|f| Some(f.dent) == access.target || f.limit_mm - o.dot(f.side) >= head));
        if fits_here || section.u_mm < head || last_free - section.u_mm < section.radius_mm {
            continue;
        }
        last_free = section.u_mm;
        let free = Question { tip: Tip::Free, tip_mm: section.u_mm, ignore, tube: q.tube, sections: q.sections, body: q.body };
        if let Some(b) = free.best() {
            if b.clearance_mm < 0.0 {
                return Err(Jams { at_mm: b.tightest_mm, lacks_mm: -b.clearance_mm, on_the_way: true });
            }
        }
    }
    Ok(())
}

/// The pose as it is reported and drawn.
fn pose(body: &Body, placement: &Placement, u_mm: f64, least_mm: f64, at_mm: f64) -> Pose {
    const POINTS: usize = 24;
    let shown = body.length_mm.min(u_mm + 60.0);
    let n = if body.curvature > 0.0 { POINTS } else { 1 };
    let centre_line_mm = (0..=n).map(|i| placement.at(body.curvature, shown * i as f64 / n as f64).0.to_array()).collect();
    Pose {
        centre_line_mm,
        diameter_mm: body.tip_mm.max(body.butt_mm),
        head_mm: body.head_mm,
        least_clearance_mm: least_mm,
        tightest_at_mm: at_mm,
    }
}

/// A necessary condition that is cheap: a straight line through a bend of radius R and bore radius a spans at
/// most 2·arccos[(R − a + w)/(R + a)] of it (C, check-values.md). Returns where it fails.
pub fn line_of_sight(access: &Access, width_mm: f64) -> Result<(), Jams> {
    let mut from = 0.0;
    let tube = &access.path.tube;
    while from < access.u_mm {
        let to = tube.piece_end(from).min(access.u_mm);
        let curvature = tube.curvature(0.5 * (from + to));
        if curvature > 0.0 {
            let radius = 1.0 / curvature;
            let a = tube.widest_mm(from, to);
            let turned = (to - from) / radius;
            let cosine = ((radius - a + width_mm) / (radius + a)).clamp(-1.0, 1.0);
            if turned > 2.0 * cosine.acos() + 1e-6 {
                // The sagitta that it lacks over the bend's angle.
                let lacks = radius - a + width_mm - (radius + a) * (turned / 2.0).cos().max(-1.0);
                return Err(Jams { at_mm: 0.5 * (from + to), lacks_mm: lacks, on_the_way: true });
            }
        }
        if to <= from {
            break;
        }
        from = to;
    }
    Ok(())
}
