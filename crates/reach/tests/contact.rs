//! Every tool touches what it works: over random surveys of all patterns the distance between tool and wall is measured again here, on
//! a wall of points laid by this file's own walk along the axis (nothing of the crate's geometry is asked), at the beginning, through
//! the lift and at its end.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

mod common;
use common::*;
use fixtures::{Dice, creased, dents_anywhere};
use glam::DVec3;
use instrument::{Dent, End, Instrument, Kind, Run, Segment, Survey};
use reach::{Contact, Method, MethodKind, Passage, ToolBody, ToolChoice, Touching};
use std::f64::consts::PI;
use units::{Known, Origin, Unit};

/// What the wall of points and the stations' spacing may differ by, mm.
const GRID_MM: f64 = 0.06;

/// A cross-section of the wall: where it is, its directions, its inside radius.
struct Ring {
    u: f64,
    at: DVec3,
    normal: DVec3,
    binormal: DVec3,
    radius: f64,
}

fn turned(v: DVec3, about: DVec3, by: f64) -> DVec3 {
    // Rodrigues.
    let (s, c) = by.sin_cos();
    v * c + about.cross(v) * s + about * about.dot(v) * (1.0 - c)
}

/// The wall along a passage, ring by ring, from the opening to the far end of the last run.
fn walk(instrument: &Instrument, passage: &Passage, step: f64, keep: impl Fn(f64) -> bool) -> (Vec<Ring>, f64) {
    let (mut at, mut along, mut normal) = (DVec3::ZERO, DVec3::X, DVec3::Y);
    let mut u = 0.0;
    let mut rings = Vec::new();
    let mut dent_at = 0.0;
    for (i, part) in passage.parts.iter().enumerate() {
        let run: &Run = instrument.runs.iter().find(|r| r.id == part.run).unwrap();
        let length = run.length_mm();
        let forth = part.enters == End::Start;
        let from = u;
        if i + 1 == passage.parts.len() {
            dent_at = if forth { from + part.to_mm } else { from + length - part.to_mm };
        }
        let mut segments: Vec<&Segment> = run.axis.segments.iter().collect();
        if !forth {
            segments.reverse();
        }
        for s in segments {
            let (long, bend) = match *s {
                Segment::Straight { length_mm } => (length_mm, None),
                Segment::Bend { radius_mm, angle_deg, plane_deg } => {
                    (radius_mm * angle_deg.to_radians(), Some((radius_mm, if forth { plane_deg } else { -plane_deg })))
                }
            };
            let n = (long / step).ceil().max(1.0) as usize;
            let each = long / n as f64;
            for _ in 0..n {
                if keep(u) {
                    let station = if forth { u - from } else { length - (u - from) };
                    let radius = 0.5 * run.bore_at(station.clamp(0.0, length)).value;
                    rings.push(Ring { u, at, normal, binormal: along.cross(normal), radius });
                }
                match bend {
                    None => at += along * each,
                    Some((r, plane)) => {
                        let (s, c) = plane.to_radians().sin_cos();
                        let towards = normal * c + along.cross(normal) * s;
                        let axis = along.cross(towards).normalize();
                        let angle = each / r;
                        // The chord of a small arc.
                        at += turned(along, axis, 0.5 * angle) * (2.0 * r * (0.5 * angle).sin());
                        along = turned(along, axis, angle).normalize();
                        normal = turned(normal, axis, angle);
                        normal = (normal - along * normal.dot(along)).normalize();
                    }
                }
                u += each;
            }
        }
    }
    (rings, dent_at)
}

/// The dent on the wall of points.
struct Wall {
    rings: Vec<Ring>,
    at: f64,
    clock: f64,
    half_along: f64,
    half_across: f64,
}

impl Wall {
    fn of(survey: &Survey, dent: &Dent, a: &dent::Assessment, passage: &Passage) -> Self {
        let (_, at) = walk(&survey.instrument, passage, 5.0, |_| false);
        let half_along = (0.5 * a.width_along_mm.value).max(0.5);
        let bore = survey.instrument.run(&dent.run).unwrap().bore_at(passage.parts.last().unwrap().to_mm).value;
        let reach = half_along + 1.2 * bore + 4.0;
        let step = (half_along / 60.0).clamp(0.05, 0.25);
        let (rings, at) = walk(&survey.instrument, passage, step, |u| (u - at).abs() <= reach);
        let sign = if passage.parts.last().unwrap().enters == End::Start { 1.0 } else { -1.0 };
        let clock = sign * dent.clock_deg.as_ref().map_or(0.0, |c| c.value.to_radians());
        Self { rings, at, clock, half_along, half_across: 0.5 * a.width_across_mm.value }
    }

    /// The wall's points where so much of the dent stands in: a raised cosine along and round.
    fn points(&self, depth: f64, all_round: bool) -> impl Iterator<Item = (f64, f64, DVec3)> + '_ {
        let cosine = |x: f64| if x.abs() >= 1.0 { 0.0 } else { 0.5 * (1.0 + (PI * x).cos()) };
        self.rings.iter().flat_map(move |ring| {
            let half = if all_round { PI } else { (self.half_across / ring.radius).min(PI) };
            let n = 120;
            (0..=n).map(move |k| {
                let off = -half + 2.0 * half * f64::from(k) / f64::from(n);
                let low = depth * cosine((ring.u - self.at) / self.half_along) * cosine(off * ring.radius / self.half_across.max(0.5));
                let (s, c) = (self.clock + off).sin_cos();
                (ring.u - self.at, off, ring.at + (ring.normal * c + ring.binormal * s) * (ring.radius - low))
            })
        })
    }

    /// Least distance between the working surface and the wall, so much of the dent standing in.
    fn gap(&self, t: &Touching, centre: DVec3, depth: f64, ring_mm: f64) -> f64 {
        let (r, faces, round, face) = (0.5 * t.round_mm, DVec3::from_array(t.faces), t.round_mm, t.face_mm);
        // A crown is round over its face only.
        let within = if face < round - 1e-6 { (face / round).clamp(0.0, 1.0).asin().cos() } else { -1.0 };
        self.points(depth, true)
            .filter(|p| p.0.abs() <= ring_mm)
            .map(|(_, _, w)| w - centre)
            .filter(|d| within < 0.0 || d.normalize().dot(faces) >= within)
            .map(|d| d.length() - r)
            .fold(f64::INFINITY, f64::min)
    }
}

/// A random survey: one to three dents anywhere on any pattern, some of them creased, some without a clock.
fn random(dice: &mut Dice) -> Survey {
    use Kind::*;
    let kinds = [Trumpet, Cornet, Flugelhorn, Trombone, Horn, AltoHorn, Baritone, Euphonium, Tuba, Sousaphone, Bugle];
    let instrument = fixtures::pattern(kinds[dice.below(kinds.len())]);
    let count = 1 + dice.below(3);
    let dents = dents_anywhere(dice, &instrument, count, |dice, bore, of| {
        let depth = dice.between(0.02, 0.3) * bore.min(60.0);
        let (along, across) = (dice.between(0.5, 1.4) * bore.min(50.0), dice.between(0.4, 1.0) * bore.min(50.0));
        let clock_deg = Some(Known::new("clock", dice.between(0.0, 360.0), 5.0, Unit::Deg, Origin::Measured));
        let d = Dent { clock_deg, ..of(depth, along, across) };
        if dice.below(5) == 0 { creased(d) } else { d }
    });
    fixtures::survey(instrument, dents)
}

fn taper_of(method: &Method, rack: &reach::Rack) -> Option<(f64, f64, f64)> {
    let of = |b: &ToolBody, wear: f64| match *b {
        ToolBody::Mandrel { small_mm, large_mm, length_mm } => Some((small_mm - wear, large_mm - wear, length_mm)),
        _ => None,
    };
    let on_rack =
        |ids: &[reach::ToolId]| ids.iter().find_map(|id| rack.tools.iter().find(|t| t.id == *id).and_then(|t| of(&t.body, t.wear_mm)));
    match &method.tool {
        ToolChoice::Rack { tools } => on_rack(tools),
        ToolChoice::ToMake { make, with } => make.pieces.iter().find_map(|p| of(&p.body, 0.0)).or_else(|| on_rack(with)),
    }
}

/// What the points say of a contact: where it fails.
fn fails(wall: &Wall, method: &Method, contact: &Contact, taper: Option<(f64, f64, f64)>) -> Option<String> {
    let centre = |t: &Touching| DVec3::from_array(t.centre_mm);
    let allowed = contact.allowed_mm + GRID_MM;
    let moments = [&contact.start, &contact.end];
    for (t, when) in moments.iter().zip(["start", "end"]) {
        // A mandrel is round in the section under the dent only.
        let ring = if taper.is_some() { 0.3 } else { f64::INFINITY };
        let gap = wall.gap(t, centre(t), t.depth_mm, ring);
        if gap > allowed || gap < -GRID_MM {
            return Some(format!("{when}: {gap:.3} between a round of {:.2} and the wall, depth {:.2}", t.round_mm, t.depth_mm));
        }
        if t.gap_mm.value > contact.allowed_mm + 1e-6 {
            return Some(format!("{when}: it says itself that it does not touch: {:.3}", t.gap_mm.value));
        }
    }
    // A crown that has to look elsewhere at the end than at the beginning (a flare) is tilted meanwhile.
    let looks = |t: &Touching| DVec3::from_array(t.faces);
    let tilted = contact.start.face_mm < contact.start.round_mm - 1e-6 && looks(&contact.start).dot(looks(&contact.end)) < 0.999;
    let moves = matches!(method.kind, MethodKind::StraightRod | MethodKind::CurvedRod | MethodKind::Magnet | MethodKind::Burnishing)
        || (taper.is_none() && matches!(method.kind, MethodKind::Rolling | MethodKind::Hammering | MethodKind::Raising));
    if moves && !tilted {
        let (a, b) = (&contact.start, &contact.end);
        for k in [0.25, 0.5, 0.75] {
            let depth = a.depth_mm + (b.depth_mm - a.depth_mm) * k;
            let gap = wall.gap(a, centre(a).lerp(centre(b), k), depth, f64::INFINITY);
            // Pressed on by hand it follows the wall; on a straight line between its ends it keeps so near.
            if gap > allowed + 0.05 * a.depth_mm || gap < -GRID_MM - 0.05 * a.depth_mm {
                return Some(format!("{k} of the lift: {gap:.3} between a round of {:.2} and the wall, depth {depth:.2}", a.round_mm));
            }
        }
    }
    // A body that the tube is drawn over: the air over all of the dent, along its own axis.
    if let (Some((small, large, length)), Some(pose)) = (taper, &method.pose)
        && matches!(method.kind, MethodKind::Mandrel | MethodKind::Rolling | MethodKind::Hammering)
    {
        let (tip, butt) = (DVec3::from_array(pose.centre_line_mm[0]), DVec3::from_array(pose.centre_line_mm[1]));
        let along = (butt - tip).normalize();
        for (x, off, w) in wall.points(0.0, false) {
            if x.abs() > wall.half_along {
                continue;
            }
            let s = (w - tip).dot(along);
            let air = (w - tip - along * s).length() - 0.5 * (small + (large - small) * (s / length).clamp(0.0, 1.0));
            if air > allowed || air < -GRID_MM {
                return Some(format!("{air:.3} of air {x:.1} along and {off:.2} rad round from the dent's middle"));
            }
        }
    }
    None
}

#[test]
fn every_tool_touches_what_it_works_over_300_random_surveys() {
    let surveys: usize = std::env::var("SURVEYS").ok().and_then(|n| n.parse().ok()).unwrap_or(300);
    let mut dice = Dice(13);
    let (mut seen, mut none) = ([0_usize; 13], Vec::new());
    let mut wrong = Vec::new();
    for n in 0..surveys {
        let survey = random(&mut dice);
        let assessments = dent::assess_all(&survey);
        let rack = if n % 3 == 0 { fixtures::rack() } else { rack() };
        for answer in reach::methods(&survey, &assessments, &rack) {
            let dent = survey.dent(&answer.dent).unwrap();
            let a = assessments.iter().find(|a| a.dent == answer.dent).unwrap();
            let mut done: Vec<(&Contact, &reach::MethodKind)> = Vec::new();
            for method in answer.methods.iter().chain(&answer.after_anneal) {
                seen[method.kind as usize] += 1;
                let Some(contact) = &method.contact else {
                    if method.kind != MethodKind::PullOutside {
                        none.push(format!("{:?}", method.kind));
                    }
                    continue;
                };
                if done.contains(&(contact, &method.kind)) {
                    continue;
                }
                done.push((contact, &method.kind));
                let wall = Wall::of(&survey, dent, a, method.passage.as_ref().unwrap());
                if let Some(why) = fails(&wall, method, contact, taper_of(method, &rack)) {
                    wrong.push(format!(
                        "survey {n} {:?} {} at {:?} {:?} of {:.2}: {why}",
                        survey.instrument.kind, dent.run, dent.at_mm, method.kind, method.size_mm
                    ));
                }
            }
        }
    }
    eprintln!("{seen:?}");
    assert!(none.is_empty(), "without a contact: {none:?}");
    assert!(wrong.is_empty(), "{} do not touch, of {seen:?}:\n{}", wrong.len(), wrong[..wrong.len().min(40)].join("\n"));
    // Each kind that these racks can do was seen.
    assert!(seen.iter().filter(|n| **n > 0).count() >= 8, "{seen:?}");
}
