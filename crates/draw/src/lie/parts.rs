//! The pieces of the instrument's map: places, runs laid out, and the pen that lays them.

use instrument::{End, Run, Segment};
use std::f64::consts::FRAC_PI_2;

/// A place on the map, mm; x to the right, y down.
pub type P = (f64, f64);

/// A run on the map.
#[derive(Debug)]
pub struct Part<'a> {
    /// The run.
    pub run: &'a Run,
    /// In the order of the run's own stations.
    pub at: Vec<Place>,
}

/// A station of a run on the map.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The station, mm.
    pub at_mm: f64,
    /// Where it lies, mm.
    pub point: P,
    /// Towards clock 0.
    pub side: P,
    /// Half the outside diameter, mm.
    pub half_mm: f64,
}

/// Where the pen stands and whither it draws.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub point: P,
    pub heading: f64,
}

impl Pen {
    pub(super) fn forward(&mut self, mm: f64) {
        self.point.0 += mm * self.heading.cos();
        self.point.1 += mm * self.heading.sin();
    }
}

/// Draws a tube that is entered by one of its ends.
pub(super) fn tube<'a>(run: &'a Run, enters: End, pen: &mut Pen) -> Part<'a> {
    let backwards = enters == End::Finish;
    let mut segments = run.axis.segments.clone();
    if backwards {
        segments.reverse();
    }
    let length = run.length_mm();
    let mut gone = 0.0;
    let mut at = Vec::new();
    let mut mark = |pen: &Pen, gone: f64| {
        let at_mm = if backwards { length - gone } else { gone };
        let inner = pen.heading + if backwards { -FRAC_PI_2 } else { FRAC_PI_2 };
        at.push(Place { at_mm, point: pen.point, side: (inner.cos(), inner.sin()), half_mm: run.outside_diameter_at(at_mm) / 2.0 });
    };
    mark(pen, 0.0);
    for segment in segments {
        let steps = match segment {
            Segment::Straight { .. } => 40,
            Segment::Bend { angle_deg, .. } => {
                if angle_deg > 60.0 {
                    32
                } else {
                    12
                }
            }
        };
        let step = segment.length_mm() / f64::from(steps);
        // Backwards through a bend that turns left is a turn to the right.
        let turn = match segment {
            Segment::Bend { radius_mm, plane_deg, .. } if radius_mm > 0.0 => {
                step / radius_mm * plane_deg.to_radians().cos() * if backwards { -1.0 } else { 1.0 }
            }
            _ => 0.0,
        };
        for _ in 0..steps {
            pen.heading += turn / 2.0;
            pen.forward(step);
            pen.heading += turn / 2.0;
            gone += step;
            mark(pen, gone);
        }
    }
    if backwards {
        at.reverse();
    }
    Part { run, at }
}
