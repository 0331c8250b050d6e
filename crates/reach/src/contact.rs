//! Whether a tool touches what it works: from the dent as it lies to what is left of it, and over its whole length and width.
//!
//! Every method that works from inside carries a [`Contact`]: where its working surface stands when the work begins and when it ends,
//! and how much air is left between the surface and the wall where it works. A method whose tool does not touch is rejected with these
//! figures; what is drawn is what was solved here.
//!
//! Where a tool works at once decides what is measured. A head, a crown or a ball stands at one place and is moved from place to place:
//! there it must touch. A body over which the tube is drawn, or laid, works the whole dent without being moved round it: the air is
//! measured over all of the dent, and all round where the part runs in a moving fit (there the body must be the tube's own bore).

use crate::access::Access;
use crate::bench::Case;
use crate::fits::Fits;
use crate::method::Pose;
use crate::touch::{Touch, nearest_on_dent, nearest_wall};
use crate::touching::{Contact, Touching};
use crate::tube::{Narrowing, Tube};
use glam::DVec3;
use std::f64::consts::PI;
use units::text::mm;
use units::{Figure, Known, Source, Text, Unit, text};

/// Air that may stay between a tool and the wall where it works, mm: what is buffed out. Common practice, no source.
pub const AIR_MM: f64 = 0.15;
/// The same all round in a part that runs in a moving fit, mm of diameter: a slide mandrel is ground 0.05 to 0.10 mm under its tube's
/// bore. Common practice, no source.
pub const FIT_AIR_MM: f64 = 0.10;

impl Contact {
    /// Why the tool does not touch, where it does not.
    pub fn lacks(&self, case: &Case) -> Option<Text> {
        for (t, when) in [(&self.start, "when the work begins"), (&self.end, "at the end of the lift")] {
            if t.gap_mm.value > self.allowed_mm + 1e-6 {
                return Some(text!(
                    "it does not touch {}: {} of air between its {} and the wall, {} are allowed",
                    when,
                    mm(t.gap_mm.value, 2),
                    mm(t.round_mm, 2),
                    mm(self.allowed_mm, 2)
                ));
            }
        }
        // A fold is eased before its field moves: what it is eased over must go into what is open under it.
        let open = case.passage_mm() + crate::balls::largest_step_mm(case.bore_mm());
        (case.folded() && self.start.face_mm > open + 1e-6).then(|| {
            text!(
                "a fold is eased over a body that goes under it: {} broad, {} are open there",
                mm(self.start.face_mm, 1),
                mm(case.passage_mm(), 1)
            )
        })
    }
}

/// Air that is allowed in a case, mm.
pub fn allowed_mm(case: &Case) -> f64 {
    if case.runs_in_a_fit() { FIT_AIR_MM } else { AIR_MM }
}

/// Air under the middle of a crowned face that is flatter than the wall and stands on its edges, mm: the difference of the two arcs'
/// sagittas over the face (closed form).
pub fn bridged_mm(a: f64, crown_mm: f64, face_mm: f64) -> f64 {
    let sagitta = |r: f64| r - (r * r - 0.25 * face_mm * face_mm).max(0.0).sqrt();
    (sagitta(a.max(0.5 * face_mm)) - sagitta(crown_mm.max(0.5 * face_mm))).max(0.0)
}

/// Where the centre of a round head stands that is held against the dent's side at a station, `left_mm` of the dent standing in
/// (less than nothing: past true).
pub fn held(tube: &Tube, u_mm: f64, head_mm: f64, left_mm: f64) -> f64 {
    let (radius, head) = (tube.radius_mm(u_mm), 0.5 * head_mm);
    let room = tube.sphere_clearance_mm(u_mm, head).max(0.0);
    (radius - left_mm.max(0.0) - head).clamp(-room, room) - left_mm.min(0.0)
}

/// The wall of a case at the dent, on the way of an access.
pub struct Place<'t> {
    tube: &'t Tube,
    u_mm: f64,
    side: DVec3,
    clock_rad: f64,
    half_along_mm: f64,
    /// Half the angle over which the tool works the wall at once where it does not move, radians.
    half_angle: f64,
    depth_mm: f64,
    bore: Known,
    allowed_mm: f64,
}

const HELD: Source = Source::closed_form("distance of a sphere from the wall, reach::touch; bore as surveyed");
const LAID: Source = Source::closed_form("a round laid against the inside of a larger one: law of cosines, reach::contact");

impl<'t> Place<'t> {
    /// Of a dent, seen from an opening.
    pub fn of(case: &Case, access: &'t Access, clock_rad: f64) -> Self {
        let tube = &access.path.tube;
        let half_across = 0.5 * case.assessment.width_across_mm.value;
        let round = if case.runs_in_a_fit() { PI } else { half_across / (0.5 * case.bore_mm()).max(1e-6) };
        Self {
            tube,
            u_mm: access.u_mm,
            side: tube.frame(access.u_mm).clock(clock_rad),
            clock_rad,
            half_along_mm: case.half_width_mm(),
            half_angle: round.min(PI),
            depth_mm: case.depth_mm(),
            bore: case.run.bore_at(case.station_mm).named("bore at the dent"),
            allowed_mm: allowed_mm(case),
        }
    }

    /// Of the clock that the poses begin with.
    pub fn first(case: &Case, access: &'t Access) -> Self {
        Self::of(case, access, access.path.clock_of(case.clocks_rad.first().copied().unwrap_or(0.0)))
    }

    /// The same a little way along and round.
    pub fn moved(&self, along_mm: f64, round_rad: f64) -> Self {
        let (u_mm, clock_rad) = (self.u_mm + along_mm, self.clock_rad + round_rad);
        Self { u_mm, clock_rad, side: self.tube.frame(u_mm).clock(clock_rad), bore: self.bore.clone(), ..*self }
    }

    /// Where a head is held against the true wall: the station, the direction, how far from the axis.
    pub fn holds(&self, head_mm: f64) -> (f64, DVec3, f64) {
        (self.u_mm, self.side, self.held_mm(head_mm, 0.0))
    }

    fn dent(&self, depth_mm: f64) -> Narrowing {
        Narrowing { at_mm: self.u_mm, clock_rad: self.clock_rad, depth_mm, half_width_mm: self.half_along_mm }
    }

    /// Where a sphere comes nearest to the wall, so much of the dent standing in.
    fn nearest(&self, centre: DVec3, u_mm: f64, round_mm: f64, depth_mm: f64) -> Option<Touch> {
        let r = 0.5 * round_mm;
        let wall = nearest_wall(self.tube, centre, u_mm, r);
        let dent = (depth_mm > 1e-6).then(|| nearest_on_dent(self.tube, &self.dent(depth_mm), centre, u_mm, r)).flatten();
        wall.into_iter().chain(dent).min_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm))
    }

    /// Air between a sphere and the wall there.
    fn nearest_mm(&self, centre: DVec3, u_mm: f64, round_mm: f64, depth_mm: f64) -> f64 {
        self.nearest(centre, u_mm, round_mm, depth_mm).map_or(f64::INFINITY, |t| t.distance_mm) - 0.5 * round_mm
    }

    fn figure(&self, formula: &'static str, source: Source, gap: impl Fn(f64) -> f64) -> Figure {
        Figure::derive(Unit::Mm, formula, source, std::slice::from_ref(&self.bore), |x| gap(x[0]).max(0.0))
    }

    /// How far from the axis, towards the dent, the centre of a round head stands that is held against it: [`held`], and no further than
    /// where it meets the dent's own flanks (in a flare they stand further in on the narrow side).
    pub fn held_mm(&self, head_mm: f64, left_mm: f64) -> f64 {
        let straight = held(self.tube, self.u_mm, head_mm, left_mm);
        let at = self.tube.frame(self.u_mm).at;
        let short = |offset: f64| self.nearest_mm(at + self.side * offset, self.u_mm, head_mm, left_mm);
        if left_mm <= 0.0 || short(straight) >= -0.01 {
            return straight;
        }
        // Back from the dent, step by step, to the first place where it is free; where it is free nowhere, to the freest.
        const STEPS: usize = 60;
        let step = (0.1 * head_mm).max(left_mm) / STEPS as f64;
        let mut freest = (short(straight), straight);
        for i in 1..=STEPS {
            let at = straight - step * i as f64;
            let free = short(at);
            if free > freest.0 {
                freest = (free, at);
            }
            if free >= 0.0 {
                break;
            }
        }
        freest.1
    }

    /// A head of `head_mm` whose surface is a crown of `round_mm` over `face_mm`, held against the dent's side.
    fn headed(&self, (head_mm, round_mm, face_mm): (f64, f64, f64), left_mm: f64) -> Touching {
        let at = self.tube.frame(self.u_mm).at;
        let centre = at + self.side * self.held_mm(head_mm, left_mm);
        let bridged = bridged_mm(self.tube.radius_mm(self.u_mm), 0.5 * round_mm, face_mm);
        let touch = self.nearest(centre, self.u_mm, head_mm, left_mm);
        let gap = touch.map_or(f64::INFINITY, |t| t.distance_mm - 0.5 * head_mm).max(0.0) + bridged;
        // A crown touches where a head of its face's breadth does, its arm tilted so that it looks there; its centre lies deeper.
        let faces = touch.map_or(self.side, |t| t.towards);
        let centre = centre - faces * (0.5 * (round_mm - head_mm));
        let gap_mm = self.figure("least |wall − center| − radius, and the air under a crown that stands on its edges", HELD, |_| gap);
        Touching {
            centre_mm: centre.to_array(),
            faces: faces.to_array(),
            round_mm,
            face_mm,
            depth_mm: left_mm,
            gap_mm,
            line_mm: Vec::new(),
        }
    }

    /// A head, a crown or a loose ball that is moved from place to place.
    pub fn head(&self, head_mm: f64, round_mm: f64, face_mm: f64, left_mm: f64) -> Contact {
        let shape = (head_mm, round_mm, face_mm);
        let depth = self.depth_mm.min(2.0 * self.tube.radius_mm(self.u_mm) - head_mm).max(0.0);
        Contact { start: self.headed(shape, depth), end: self.headed(shape, left_mm), allowed_mm: self.allowed_mm }
    }

    /// A train: the first ball where it comes to lie against the dent, the last one where it passes under it.
    pub fn train(&self, first_mm: f64, last_mm: f64) -> Contact {
        // Against the wall opposite, away from the dent; before the mouth as at the mouth.
        let resting = |u: f64, ball: f64| {
            let f = self.tube.frame(u.max(0.0));
            let room = self.tube.sphere_clearance_mm(u.max(0.0), 0.5 * ball).max(0.0);
            f.at + f.along * u.min(0.0) - f.clock(self.clock_rad) * room
        };
        let short = |u: f64| {
            let near = nearest_on_dent(self.tube, &self.dent(self.depth_mm), resting(u, first_mm), u, 0.5 * first_mm);
            near.map_or(f64::INFINITY, |t| t.distance_mm) - 0.5 * first_mm
        };
        let (mut before, mut on) = (self.u_mm - self.half_along_mm - first_mm, self.u_mm);
        for _ in 0..40 {
            let mid = 0.5 * (before + on);
            if short(mid) > 0.0 { before = mid } else { on = mid }
        }
        let start_gap = short(before);
        let start = Touching {
            centre_mm: resting(before, first_mm).to_array(),
            faces: self.side.to_array(),
            round_mm: first_mm,
            face_mm: first_mm,
            depth_mm: self.depth_mm,
            gap_mm: self.figure("distance of the first ball from the dent's flank, lying against the wall opposite", HELD, |_| start_gap),
            line_mm: Vec::new(),
        };
        let promised = (2.0 * self.tube.radius_mm(self.u_mm) - last_mm).clamp(0.0, self.depth_mm);
        // What the ball leaves of the dent at a station: as much as goes under it there.
        let leaves = |u: f64| {
            let centre = resting(u, last_mm);
            let goes = |depth: f64| self.nearest_mm(centre, u, last_mm, depth) >= -0.01;
            let (mut lo, mut hi) = (0.0, self.depth_mm);
            if !goes(lo) {
                return None;
            }
            for _ in 0..16 {
                let mid = 0.5 * (lo + hi);
                if goes(mid) { lo = mid } else { hi = mid }
            }
            Some((lo, u))
        };
        let r = 0.5 * last_mm;
        // Under the dent in a cylinder; in a taper it seats where the bore is B·cos φ, further towards the wide end.
        let near = |l: &(f64, f64)| l.0 <= promised + 0.02;
        let places = || (-12..=12).map(|i| (self.u_mm + r * f64::from(i) / 12.0).clamp(0.0, self.tube.length_mm()));
        let under = leaves(self.u_mm).filter(near).or_else(|| places().filter_map(leaves).min_by(|a, b| a.0.total_cmp(&b.0)));
        let (left, seat) = under.unwrap_or((f64::INFINITY, self.u_mm));
        let end = Touching {
            centre_mm: resting(seat, last_mm).to_array(),
            faces: self.side.to_array(),
            round_mm: last_mm,
            face_mm: last_mm,
            depth_mm: left.min(self.depth_mm),
            gap_mm: self.figure("what stands under the last ball beyond bore − ball", HELD, |_| left - promised),
            line_mm: Vec::new(),
        };
        Contact { start, end, allowed_mm: self.allowed_mm }
    }

    /// A body that is opened all round: from where it meets the dent to the true bore.
    pub fn opened(&self, passage_mm: f64) -> Contact {
        let frame = self.tube.frame(self.u_mm);
        let bore = 2.0 * self.tube.radius_mm(self.u_mm);
        let none = || self.figure("opened until it touches all round", HELD, |_| 0.0);
        let meets = frame.at - self.side * (0.5 * (bore - passage_mm));
        let one = |centre: DVec3, round_mm: f64, depth_mm: f64| Touching {
            centre_mm: centre.to_array(),
            faces: self.side.to_array(),
            round_mm,
            face_mm: round_mm,
            depth_mm,
            gap_mm: none(),
            line_mm: Vec::new(),
        };
        Contact { start: one(meets, passage_mm, self.depth_mm), end: one(frame.at, bore, 0.0), allowed_mm: self.allowed_mm }
    }
}

/// How a mandrel is laid under the dent.
#[derive(Clone, Debug)]
pub struct Laid {
    /// Largest air between it and the true wall over the dent, mm.
    pub air_mm: f64,
    /// Its axis' distance from the tube's towards the dent at the dent, mm, and how that changes along the tube.
    offset_mm: f64,
    slope: f64,
    /// Least room on the side opposite, mm, and where.
    opposite: (f64, f64),
}

impl Place<'_> {
    /// Lays a mandrel (thin end, thick end, length; thin end at `tip_mm` from the mouth) against the dent's side, tilted as far as the
    /// tube lets it. `wider_mm`: the tube's bore taken so much wider.
    pub fn lay(&self, (small, large, length): (f64, f64, f64), tip_mm: f64, wider_mm: f64) -> Laid {
        let radius = |x: f64| 0.5 * (small + (large - small) * ((tip_mm - x) / length).clamp(0.0, 1.0));
        let bore = |x: f64| self.tube.radius_mm(x) + 0.5 * wider_mm;
        let (u, half) = (self.u_mm, self.half_along_mm);
        let (from, to) = ((tip_mm - length).max(0.0), tip_mm.min(self.tube.length_mm()));
        let over: Vec<f64> = (0..=8).map(|i| (u - half + 0.25 * half * f64::from(i)).clamp(from, to)).collect();
        let inner = self.tube.bore_points().iter().map(|p| p.0).filter(|x| *x > from && *x < to);
        let all: Vec<f64> = over.iter().copied().chain(inner).chain([from, to]).collect();
        let room = |x: f64| bore(x) - radius(x);
        // How far the tube's own axis lies off the straight line through the dent: towards the dent, and at right angles to that.
        let frame = self.tube.frame(u);
        let across = frame.along.cross(self.side);
        let bent = |x: f64| {
            let off = self.tube.frame(x).at - frame.at - frame.along * (x - u);
            (off.dot(self.side), off.dot(across))
        };
        let tilt = {
            let side = |x: f64| room(x) + bent(x).0;
            (side((u + half).min(to)) - side((u - half).max(from))) / (2.0 * half).max(1e-6)
        };
        let laid = |slope: f64| {
            // Between these its axis may lie at a station, so that the body stays inside the bore.
            let between = |x: f64| {
                let (towards, beside) = bent(x);
                let half = (room(x).powi(2) - beside * beside).max(0.0).sqrt();
                let fits = room(x) >= beside.abs() - 1e-9;
                (towards - half - slope * (x - u), if fits { towards + half - slope * (x - u) } else { f64::NEG_INFINITY })
            };
            let offset = all.iter().map(|x| between(*x).1).fold(f64::INFINITY, f64::min);
            let opposite = all.iter().map(|x| (offset - between(*x).0, *x)).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, u));
            let air = |x: f64, angle: f64| {
                let (towards, beside) = bent(x);
                let (e, f) = (offset + slope * (x - u) - towards, -beside);
                let (s, c) = angle.sin_cos();
                (bore(x) * c - e).hypot(bore(x) * s - f) - radius(x)
            };
            let angles = [0.0, self.half_angle, -self.half_angle];
            let most = over.iter().flat_map(|x| angles.map(|angle| air(*x, angle))).fold(0.0, f64::max);
            (opposite.0 >= -1e-6).then_some(Laid { air_mm: most, offset_mm: offset, slope, opposite })
        };
        let flat = Laid { air_mm: f64::INFINITY, offset_mm: 0.0, slope: 0.0, opposite: (0.0, u) };
        [0.0, 0.5, 1.0].into_iter().filter_map(|k| laid(k * tilt)).min_by(|a, b| a.air_mm.total_cmp(&b.air_mm)).unwrap_or(flat)
    }

    /// Its contact and its pose. `start`: the diameter that stands under the dent when the work begins.
    pub fn mandrel(&self, taper: (f64, f64, f64), tip_mm: f64, under_mm: f64, start_mm: f64) -> (Contact, Pose) {
        let laid = self.lay(taper, tip_mm, 0.0);
        let frame = self.tube.frame(self.u_mm);
        let radius = self.tube.radius_mm(self.u_mm);
        let at = |x: f64| frame.at + frame.along * (x - self.u_mm) + self.side * (laid.offset_mm + laid.slope * (x - self.u_mm));
        let formula = "greatest √(a² + e² − 2ae cos θ) − r over the dent's length and width, the body laid against the wall";
        let gap_mm = self.figure(formula, LAID, |bore| {
            // In a bore so narrow that it does not go in there is no air.
            let air = self.lay(taper, tip_mm, bore - self.bore.value).air_mm;
            if air.is_finite() || bore >= self.bore.value { air } else { 0.0 }
        });
        let end = Touching {
            centre_mm: at(self.u_mm).to_array(),
            faces: self.side.to_array(),
            round_mm: under_mm,
            face_mm: under_mm,
            depth_mm: 0.0,
            gap_mm,
            line_mm: Vec::new(),
        };
        let before = frame.at + self.side * (radius - self.depth_mm - 0.5 * start_mm);
        let start_gap = (2.0 * radius - self.depth_mm - start_mm).min(0.0).abs();
        let start = Touching {
            centre_mm: before.to_array(),
            faces: self.side.to_array(),
            round_mm: start_mm,
            face_mm: start_mm,
            depth_mm: self.depth_mm,
            gap_mm: self.figure("the tube drawn down on it: the dent's bottom lies on it", LAID, |_| start_gap),
            line_mm: Vec::new(),
        };
        let ends = [tip_mm, tip_mm - taper.2].map(|x| at(x).to_array());
        let pose = Pose {
            centre_line_mm: ends.to_vec(),
            diameter_mm: taper.0.max(taper.1),
            head_mm: taper.0.min(taper.1),
            least_clearance_mm: laid.opposite.0.max(0.0),
            tightest_at_mm: laid.opposite.1,
        };
        (Contact { start, end, allowed_mm: self.allowed_mm }, pose)
    }
}

/// The contact of a rod that was found.
pub fn of_rod(case: &Case, access: &Access, fits: &Fits, left_mm: f64) -> Contact {
    let head = fits.pose.head_mm;
    let mut contact = Place::of(case, access, fits.clock_rad).head(head, head, head, left_mm);
    contact.start.line_mm.clone_from(&fits.start_line_mm);
    contact
}

/// Why a round does not suit a part that runs in a moving fit, where it does not: there a body of the tube's own bore is asked.
pub fn no_fit(case: &Case, round_mm: f64) -> Option<Text> {
    let air = case.bore_mm() - round_mm;
    (case.runs_in_a_fit() && air > FIT_AIR_MM + 1e-9).then(|| {
        text!(
            "has {} in a bore of {}: {} of air. A part that slides or turns needs a tool of its own bore, with {} of air at most",
            mm(round_mm, 2),
            mm(case.bore_mm(), 2),
            mm(air, 2),
            mm(FIT_AIR_MM, 2)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(tube: &Tube, at_mm: f64, (half_along_mm, half_across_mm): (f64, f64), depth_mm: f64, fit: bool) -> Place<'_> {
        let radius = tube.radius_mm(at_mm);
        Place {
            tube,
            u_mm: at_mm,
            side: tube.frame(at_mm).clock(0.0),
            clock_rad: 0.0,
            half_along_mm,
            half_angle: if fit { PI } else { half_across_mm / radius },
            depth_mm,
            bore: Known::new("bore", 2.0 * radius, 0.02, Unit::Mm, units::Origin::Measured),
            allowed_mm: if fit { FIT_AIR_MM } else { AIR_MM },
        }
    }

    fn cylinder(bore_mm: f64) -> Tube {
        let mut tube = Tube::default();
        tube.straight(300.0);
        tube.bore_point(0.0, 0.5 * bore_mm);
        tube.bore_point(300.0, 0.5 * bore_mm);
        tube
    }

    fn near(a: f64, b: f64, by: f64) {
        assert!((a - b).abs() < by, "{a} is not {b}");
    }

    /// By hand, the instance that was found: a mandrel of 13.4 mm in a hand slide of 14.28 mm (13.88 under the ding) leaves
    /// 14.28 − 13.4 = 0.88 mm opposite, one of 15.4 in its outer of 15.9 half a millimetre; a slide mandrel 0.08 under its bore is
    /// one, at 0.12 it is not.
    #[test]
    fn a_slide_asks_its_own_bore() {
        for (bore, mandrel, air, touches) in
            [(14.28, 13.4, 0.88, false), (15.9, 15.4, 0.5, false), (14.28, 14.20, 0.08, true), (14.28, 14.16, 0.12, false)]
        {
            let tube = cylinder(bore);
            let p = place(&tube, 100.0, (6.0, 5.0), 0.4, true);
            let (c, _) = p.mandrel((mandrel, mandrel, 120.0), 160.0, mandrel, mandrel.min(bore - 0.4));
            near(c.end.gap_mm.value, air, 1e-6);
            assert_eq!(c.end.gap_mm.value <= c.allowed_mm, touches, "{mandrel} in {bore}");
            // The bore is known to 0.02 mm: so is the air.
            near((c.end.gap_mm.high - c.end.gap_mm.low) / (2.0 * units::figure::Z90), 0.02, 1e-3);
        }
    }

    /// Closed form: two circles that touch from inside leave, a half width c round from where they touch, about c²/2·(1/r − 1/a): a
    /// mandrel of 18.2 in a bore of 19 mm, 4 mm round: 8·(0.10989 − 0.10526) = 0.037 mm; over 8 mm 0.147; over 9 mm 0.19.
    #[test]
    fn elsewhere_it_is_laid_on_one_side() {
        let tube = cylinder(19.0);
        let air = |half: f64| place(&tube, 100.0, (6.0, half), 0.8, false).lay((18.2, 18.2, 120.0), 160.0, 0.0).air_mm;
        near(air(4.0), 0.037, 0.003);
        near(air(8.0), 8.0 * 8.0 / 2.0 * (1.0 / 9.1 - 1.0 / 9.5), 0.012);
        assert!(air(6.0) <= AIR_MM && air(8.0) <= AIR_MM && air(9.5) > AIR_MM, "{} {}", air(8.0), air(9.5));
        // Half of what may stay, and it would not do over 8 mm; half as much again, and it would over 9.5.
        assert!(air(8.0) > 0.5 * AIR_MM && air(9.5) < 1.5 * AIR_MM);
    }

    /// Closed form: a face of 60 mm crowned to 73.5 mm in a bell of 70 mm radius stands on its edges, 30²/2·(1/70 − 1/73.5) = 0.31 mm off
    /// in the middle (the arcs' sagittas: 6.754 − 6.402 = 0.352); a rounder one touches in its middle.
    #[test]
    fn a_flat_crown_stands_on_its_edges() {
        let sagitta = |r: f64| r - (r * r - 900.0_f64).sqrt();
        near(bridged_mm(70.0, 73.5, 60.0), sagitta(70.0) - sagitta(73.5), 1e-9);
        near(bridged_mm(70.0, 73.5, 60.0), 0.352, 0.005);
        near(bridged_mm(70.0, 66.5, 60.0), 0.0, 1e-12);
        assert!(bridged_mm(70.0, 71.0, 60.0) < AIR_MM && bridged_mm(70.0, 72.0, 60.0) > AIR_MM);
    }

    /// C: the first ball of a train touches the dent's flank where the raised cosine leaves the ball's own height free: 12 mm in a bore
    /// of 14 mm past a dent 4 mm deep: (0.5·(1 + cos πx))·4 = 2 at x = ½, or a little before, for the flank is steep there. The last ball
    /// leaves bore − ball.
    #[test]
    fn a_train_touches_from_its_first_ball_to_its_last() {
        let tube = cylinder(14.0);
        let c = place(&tube, 150.0, (10.0, 5.0), 4.0, false).train(12.0, 13.75);
        let x = c.start.centre_mm[0];
        assert!((140.0..=145.0).contains(&x), "{x}");
        near(c.start.gap_mm.value, 0.0, 0.01);
        near(c.end.depth_mm, 0.25, 0.02);
        near(c.end.gap_mm.value, 0.0, 0.02);
        near(c.end.centre_mm[1], -0.125, 1e-6);
    }

    /// What is common practice, said once more so that nobody changes it by a slip.
    #[test]
    fn practice() {
        assert!((AIR_MM, FIT_AIR_MM) == (0.15, 0.10));
    }
}
