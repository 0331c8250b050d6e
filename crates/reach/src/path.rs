//! A way in as a tube in space: the runs from an opening to the run with the dent, one after another.
//!
//! Each run is laid on in the direction in which the tool goes: run backwards, a bend's clock changes its
//! sign and so does a dent's. How far two runs are turned against each other in their joint is not in the
//! survey: their marked lines are taken to meet.

use crate::openings::{Entry, Leg};
use crate::tube::{Narrowing, Section, Tube, turn};
use instrument::{End, Instrument, Interpolation, Run, Segment};

/// A dent's narrowing in its own run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DentPlace {
    /// Which dent (index in the survey).
    pub dent: usize,
    /// Its run (index in the instrument).
    pub run: usize,
    /// Station, mm.
    pub at_mm: f64,
    /// Clock, radians, where known.
    pub clock_rad: Option<f64>,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Half width along, mm.
    pub half_width_mm: f64,
}

/// A way in to a run.
#[derive(Clone, Debug)]
pub struct Path {
    /// The opening and the legs.
    pub entry: Entry,
    /// The tube from the opening to the far end of the run.
    pub tube: Tube,
    /// Where the run asked for begins, mm from the mouth.
    pub run_from_mm: f64,
    /// Length of the run asked for, mm.
    pub run_length_mm: f64,
    /// Which dent each of the tube's narrowings is (index in the survey).
    pub dent_of: Vec<usize>,
    /// Where each leg begins, mm from the mouth.
    pub leg_from_mm: Vec<f64>,
    /// Cross-sections for straight bodies, over the whole tube.
    pub sections: Vec<Section>,
}

/// Tolerance of the cross-sections' spacing, mm: what a body can come nearer to the wall between two of them.
/// Poses within it are settled by closer ones.
pub const TOLERANCE_MM: f64 = 0.05;

impl Path {
    /// Lays the legs one after another.
    pub fn new(instrument: &Instrument, entry: Entry, dents: &[DentPlace]) -> Self {
        let mut tube = Tube::default();
        let mut dent_of = Vec::new();
        let mut leg_from_mm = Vec::new();
        let mut narrowings = Vec::new();
        for leg in &entry.legs {
            let run = &instrument.runs[leg.run];
            let from = tube.length_mm();
            leg_from_mm.push(from);
            lay_axis(&mut tube, run, leg.enters);
            lay_bore(&mut tube, run, leg.enters, from);
            let length = run.axis.length_mm();
            for d in dents.iter().filter(|d| d.run == leg.run) {
                let (u, sign) = match leg.enters {
                    End::Start => (from + d.at_mm, 1.0),
                    End::Finish => (from + length - d.at_mm, -1.0),
                };
                // A dent of unknown clock stands on the marked line; its flat is as wide as any other's.
                let clock_rad = turn(sign * d.clock_rad.unwrap_or(0.0));
                dent_of.push(d.dent);
                narrowings.push(Narrowing { at_mm: u, clock_rad, depth_mm: d.depth_mm, half_width_mm: d.half_width_mm.max(0.5) });
            }
        }
        tube.dents = narrowings;
        let run_from_mm = leg_from_mm.last().copied().unwrap_or(0.0);
        let run_length_mm = tube.length_mm() - run_from_mm;
        let sections = tube.sections(tube.length_mm(), 0.0, TOLERANCE_MM);
        Self { entry, tube, run_from_mm, run_length_mm, dent_of, leg_from_mm, sections }
    }

    fn last(&self) -> Leg {
        // The walk in openings.rs begins with the run asked for: a path has at least that leg.
        self.entry.legs.last().copied().unwrap_or(Leg { run: 0, enters: End::Start })
    }

    /// Distance from the mouth of a station of the run asked for.
    pub fn u_of(&self, station_mm: f64) -> f64 {
        match self.last().enters {
            End::Start => self.run_from_mm + station_mm,
            End::Finish => self.run_from_mm + self.run_length_mm - station_mm,
        }
    }

    /// A clock of the run asked for, radians, in the tube's frame.
    pub fn clock_of(&self, clock_rad: f64) -> f64 {
        match self.last().enters {
            End::Start => turn(clock_rad),
            End::Finish => turn(-clock_rad),
        }
    }
}

fn lay_axis(tube: &mut Tube, run: &Run, enters: End) {
    let mut lay = |segment: &Segment, sign: f64| match *segment {
        Segment::Straight { length_mm } => tube.straight(length_mm),
        Segment::Bend { radius_mm, angle_deg, plane_deg } => tube.bend(radius_mm, angle_deg, sign * plane_deg),
    };
    match enters {
        End::Start => run.axis.segments.iter().for_each(|s| lay(s, 1.0)),
        End::Finish => run.axis.segments.iter().rev().for_each(|s| lay(s, -1.0)),
    }
}

fn lay_bore(tube: &mut Tube, run: &Run, enters: End, from_mm: f64) {
    // A monotone flare is laid as short cones: its own points and so many between each two.
    const BETWEEN: usize = 8;
    let length = run.axis.length_mm();
    let mut at: Vec<f64> = vec![0.0, length];
    let points = &run.bore_mm.points;
    at.extend(points.iter().map(|p| p.at_mm));
    if run.bore_mm.between == Interpolation::Monotone {
        for w in points.windows(2) {
            at.extend((1..BETWEEN).map(|i| w[0].at_mm + (w[1].at_mm - w[0].at_mm) * i as f64 / BETWEEN as f64));
        }
    }
    at.retain(|s| s.is_finite() && *s >= 0.0 && *s <= length);
    at.sort_by(f64::total_cmp);
    at.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut lay = |s: f64, u: f64| tube.bore_point(u, 0.5 * run.bore_at(s).value.max(0.0));
    match enters {
        End::Start => at.iter().for_each(|s| lay(*s, from_mm + s)),
        End::Finish => at.iter().rev().for_each(|s| lay(*s, from_mm + length - s)),
    }
}
