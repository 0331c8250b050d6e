//! Whether a rod gets to a dent, presses on its side, and lifts it to true: the pose solved at both ends of
//! the work, and the way in.
//!
//! At the start the head stands under the dent's bottom, at the end on the true wall, or past it by what springs back; both
//! poses must fit.
//! The way in: a body of constant curvature can slide along its own centre line, so the shank gets in
//! wherever the pose fits; only the head, thicker than the shank, must be led through as well. Where the head
//! fits along the pose's own line at every section, the rod slides straight in; where it does not, a pose is
//! sought for the head at that section with the rod free. That each such pose can be turned into the next is
//! not proved (quasi-static); what lies outside the tube before its mouth is not looked at.

use crate::access::{Access, CURVED_TOLERANCE_MM};
use crate::bench::Case;
use crate::body::{Body, Placement};
use crate::clearances::Ignore;
use crate::fits::{Fits, Jams, When};
use crate::method::Pose;
use crate::path::TOLERANCE_MM;
use crate::pose::{Best, Question, Tip};

/// Solves both poses for each clock that has to be reckoned with; the hardest one counts. Each rod is tried
/// once at an opening.
pub fn press(case: &Case, access: &Access, body: Body) -> Result<Fits, Jams> {
    press_past(case, access, body, 0.0)
}

/// The same where the head goes past true by `past_mm` at the end of the work. No further than the head is thicker than its
/// shank: the wall that gives there is the dent's, and the shank must not have to pass through what lies before it.
pub fn press_past(case: &Case, access: &Access, body: Body, past_mm: f64) -> Result<Fits, Jams> {
    access.asked.set(true);
    let past_mm = past_mm.clamp(0.0, (0.5 * (body.head_mm - body.tip_mm)).max(0.0));
    if let Some((_, _, known)) = access.tried.borrow().iter().find(|t| t.0 == body && t.1 == past_mm) {
        return known.clone();
    }
    let solve = || case.notes.rod(case.worked_as(), &access.path.entry.legs, (body, past_mm), || solve_press(case, access, body, past_mm));
    let found = hopeless(access, &body, past_mm).map_or_else(solve, Err);
    access.tried.borrow_mut().push((body, past_mm, found.clone()));
    found
}

/// Whether a rod already tried shows that this one cannot do better than jam: another shank changes every
/// clearance by the difference of the radii, another head moves the tip, and with it the whole rod, by the
/// difference of the heads' radii, and so does another method past true (closed form for bodies of one curvature). Also the
/// cheap bound of a curved body ([`bow_bound`]).
fn hopeless(access: &Access, body: &Body, past_mm: f64) -> Option<Jams> {
    let by_another = access.tried.borrow().iter().find_map(|(other, past, r)| {
        let jam = r.as_ref().err()?;
        let tip = 0.5 * (other.head_mm - body.head_mm).abs() + (past - past_mm).abs();
        let gain = 0.5 * (other.tip_mm - body.tip_mm) + tip;
        let same_kind = other.curvature == body.curvature && other.ends == body.ends && jam.when != When::OnTheWay;
        (same_kind && jam.lacks_mm > gain + 0.05).then(|| Jams { lacks_mm: (jam.lacks_mm - gain).max(0.05), ..*jam })
    });
    by_another.or_else(|| bow_bound(access, body)).or_else(|| {
        // A straight body needs a line of sight through every bend on the way.
        (body.curvature == 0.0).then(|| line_of_sight(access, body.tip_mm.min(body.butt_mm)).err()).flatten()
    })
}

/// A necessary condition for a body of even curvature: along a straight length or bend whose curvature
/// differs by Δκ, the body bows away from the axis by Δκ·l²/8 over a length l; half of that to either side must
/// find room beside the body (closed form for shallow arcs; half as much again is allowed for the rest).
fn bow_bound(access: &Access, body: &Body) -> Option<Jams> {
    if body.curvature == 0.0 {
        return None;
    }
    let tube = &access.path.tube;
    let mut from = 0.0;
    while from < access.u_mm {
        let to = tube.piece_end(from).min(access.u_mm);
        if to <= from {
            break;
        }
        let difference = (tube.curvature(0.5 * (from + to)) - body.curvature).abs();
        let bow = difference * (to - from) * (to - from) / 16.0;
        let clearance = 1.5 * (tube.widest_mm(from, to) - body.tip_mm / 2.0);
        if bow > clearance {
            return Some(Jams { at_mm: 0.5 * (from + to), lacks_mm: bow - clearance, when: When::OnTheWay });
        }
        from = to;
    }
    None
}

fn solve_press(case: &Case, access: &Access, body: Body, past_mm: f64) -> Result<Fits, Jams> {
    let passage = case.passage_mm();
    if body.head_mm > passage {
        return Err(Jams { at_mm: access.u_mm, lacks_mm: body.head_mm - passage, when: When::Pressing });
    }
    let (sections, tolerance) = if body.curvature > 0.0 {
        (access.curved_sections(), CURVED_TOLERANCE_MM)
    } else {
        (access.path.sections.as_slice(), TOLERANCE_MM)
    };
    let tube = &access.path.tube;
    let radius = tube.radius_mm(access.u_mm);
    let frame = tube.frame(access.u_mm);
    let mut hardest: Option<Fits> = None;
    for clock in &case.clocks_rad {
        let clock_rad = access.path.clock_of(*clock);
        let side = frame.clock(clock_rad);
        let place = crate::contact::Place::of(case, access, clock_rad);
        // `lift` is what the wall still lacks; less than nothing where the head stands past true: there the wall gives.
        let ask = |lift: f64, ignore: Ignore| {
            let offset = side * place.held_mm(body.head_mm, lift);
            Question { tube, sections, tip_mm: access.u_mm, body, tip: Tip::Held(offset), ignore }
        };
        let decide = |q: &Question, near: Option<&Placement>| {
            let best = near.map_or_else(|| q.best(), |n| q.best_from(n))?;
            Some(q.fits(best, tolerance))
        };
        let depth = case.depth_mm().min(2.0 * radius - body.head_mm);
        let jam = |b: Best| Jams { at_mm: b.tightest_mm, lacks_mm: tolerance - b.clearance_mm, when: When::Pressing };
        let nowhere = Jams { at_mm: access.u_mm, lacks_mm: 0.0, when: When::Pressing };
        let mut asked = ask(-past_mm, access.target.map_or(Ignore::None, Ignore::One));
        let Some((mut fits_so, mut end)) = decide(&asked, None) else { return Err(nowhere) };
        let mut after = Vec::new();
        if !fits_so && asked.sections.iter().any(|s| s.flats.iter().any(|f| Some(f.dent) != access.target)) {
            // With the other dents true?
            let clear = ask(-past_mm, Ignore::All);
            if let Some((true, b)) = decide(&clear, None) {
                after = in_the_way(&clear, &b.placement, access);
                (fits_so, end, asked) = (true, b, clear);
            }
        }
        if !fits_so {
            return Err(jam(end));
        }
        let start = ask(depth, if after.is_empty() { Ignore::None } else { Ignore::All });
        let Some((fits_at_start, start)) = decide(&start, Some(&end.placement)) else { return Err(nowhere) };
        if !fits_at_start {
            return Err(jam(start));
        }
        lead_in(&asked, &end.placement, &mut after, access)?;
        for (along_mm, round_rad) in edges(case, access, &body) {
            let (u_mm, side, held) = place.moved(along_mm, round_rad).holds(body.head_mm);
            let ignore = if after.is_empty() { access.target.map_or(Ignore::None, Ignore::One) } else { Ignore::All };
            let q = Question { tube, sections, tip_mm: u_mm, body, tip: Tip::Held(side * held), ignore };
            if let Err(Some(b)) = q.fits_from(&end.placement) {
                return Err(Jams { when: When::AtTheEdge, ..jam(b) });
            }
        }
        let (least, at) = if start.clearance_mm < end.clearance_mm {
            (start.clearance_mm, start.tightest_mm)
        } else {
            (end.clearance_mm, end.tightest_mm)
        };
        // Close by the mouth there is no section before the head: the bore over the head is all the room there is.
        let least = least.min(2.0 * radius - body.head_mm);
        let fits = Fits {
            pose: pose(&body, &end.placement, access.u_mm, least, at),
            start_line_mm: line(&body, &start.placement, access.u_mm),
            after,
            clock_rad,
        };
        if hardest.as_ref().is_none_or(|h| fits.pose.least_clearance_mm < h.pose.least_clearance_mm) {
            hardest = Some(fits);
        }
    }
    hardest.ok_or(Jams { at_mm: 0.0, lacks_mm: 0.0, when: When::Pressing })
}

/// Where else than under its middle the head has to press, mm along and radians round: at the dent's near and far edge and at both
/// sides, as far as the tube goes. In a straight tube, which is shifted and turned on the rod, one place is as good as another.
fn edges(case: &Case, access: &Access, body: &Body) -> Vec<(f64, f64)> {
    let (u, half, head) = (access.u_mm, case.half_width_mm(), 0.5 * body.head_mm);
    let tube = &access.path.tube;
    if tube.turned_deg(0.0, (u + half).min(tube.length_mm())) < 0.5 {
        return Vec::new();
    }
    let last = if body.curvature > 0.0 { access.curved_to_mm() } else { tube.length_mm() };
    let along = [-half, half].into_iter().filter(|x| u + x > head && u + x <= last).map(|x| (x, 0.0));
    let half_round = 0.5 * case.assessment.width_across_mm.value / tube.radius_mm(u).max(1e-6);
    let round = [-half_round, half_round].into_iter().filter(|_| half_round < 1.5).map(|r| (0.0, r));
    along.chain(round).collect()
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
        if let Err(Some(b)) = free.fits_somewhere() {
            return Err(Jams { at_mm: b.tightest_mm, lacks_mm: -b.clearance_mm, when: When::OnTheWay });
        }
    }
    Ok(())
}

/// Its centre line from the tip outwards, as far as it is drawn.
fn line(body: &Body, placement: &Placement, u_mm: f64) -> Vec<[f64; 3]> {
    const POINTS: usize = 24;
    let shown = body.length_mm.min(u_mm + 60.0);
    let n = if body.curvature > 0.0 { POINTS } else { 1 };
    (0..=n).map(|i| placement.at(body.curvature, shown * i as f64 / n as f64).0.to_array()).collect()
}

/// The pose as it is reported and drawn.
fn pose(body: &Body, placement: &Placement, u_mm: f64, least_mm: f64, at_mm: f64) -> Pose {
    Pose {
        centre_line_mm: line(body, placement, u_mm),
        diameter_mm: body.tip_mm.max(body.butt_mm),
        head_mm: body.head_mm,
        least_clearance_mm: least_mm,
        tightest_at_mm: at_mm,
    }
}

/// A necessary condition for every straight rod at an opening, whatever its head and the dent's side: a bar of
/// the thinnest shank that could bear the force, its end anywhere under the dent, all dents true.
pub fn thread(access: &Access, shank_mm: f64) -> Result<(), Jams> {
    line_of_sight(access, shank_mm)?;
    access.asked.set(true);
    if let Some((_, jam)) = access.stout.get().filter(|s| shank_mm >= s.0) {
        return Err(jam);
    }
    if shank_mm <= access.slim.get() || access.path.tube.turned_deg(0.0, access.u_mm) < 0.5 {
        return Ok(());
    }
    let body = Body::straight_rod(shank_mm, access.u_mm + 100.0, shank_mm);
    let q = Question {
        tube: &access.path.tube,
        sections: &access.path.sections,
        tip_mm: access.u_mm,
        body,
        tip: Tip::Free,
        ignore: Ignore::All,
    };
    match q.fits_somewhere() {
        Err(Some(b)) => {
            let jam = Jams { at_mm: b.tightest_mm, lacks_mm: -b.clearance_mm, when: When::OnTheWay };
            access.stout.set(Some((shank_mm, jam)));
            Err(jam)
        }
        _ => {
            access.slim.set(access.slim.get().max(shank_mm));
            Ok(())
        }
    }
}

/// A necessary condition that is cheap: a straight line through a bend of radius R and bore radius a spans at
/// most 2·arccos[(R − a + w)/(R + a)] of it (closed form). Returns where it fails.
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
                return Err(Jams { at_mm: 0.5 * (from + to), lacks_mm: lacks, when: When::OnTheWay });
            }
        }
        if to <= from {
            break;
        }
        from = to;
    }
    Ok(())
}
