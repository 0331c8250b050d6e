//! The axis of a run: a chain of straight lengths and circular bends in space.

use serde::{Deserialize, Serialize};

/// One piece of an axis.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum Segment {
    /// A straight length.
    Straight {
        /// Length, mm.
        length_mm: f64,
    },
    /// A circular bend.
    Bend {
        /// Radius of the centre line, mm.
        radius_mm: f64,
        /// Angle turned, degrees, positive.
        angle_deg: f64,
        /// Plane of the bend: the angle about the direction of travel, from the run's marked line,
        /// towards which the tube turns. Bends in one plane that turn the same way share it; a bend
        /// back in the same plane differs by 180.
        plane_deg: f64,
    },
}

impl Segment {
    /// Length along the centre line, mm.
    pub fn length_mm(self) -> f64 {
        match self {
            Segment::Straight { length_mm } => length_mm,
            Segment::Bend { radius_mm, angle_deg, .. } => radius_mm * angle_deg.to_radians(),
        }
    }
}

/// The axis of a run, from its mouthpiece end to its bell end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Axis {
    /// The pieces, in order.
    pub segments: Vec<Segment>,
}

impl Axis {
    /// One straight length.
    pub fn straight(length_mm: f64) -> Self {
        Self { segments: vec![Segment::Straight { length_mm }] }
    }

    /// Length, mm.
    pub fn length_mm(&self) -> f64 {
        self.segments.iter().map(|s| s.length_mm()).sum()
    }

    /// The segment at a station, with the station of its start; none for an empty axis.
    pub fn segment_at(&self, at_mm: f64) -> Option<(Segment, f64)> {
        let mut start = 0.0;
        let mut found = None;
        for segment in &self.segments {
            found = Some((*segment, start));
            start += segment.length_mm();
            if at_mm < start {
                break;
            }
        }
        found
    }

    /// Radius of the centre line at a station, mm; none where it is straight.
    pub fn bend_at(&self, at_mm: f64) -> Option<f64> {
        match self.segment_at(at_mm)?.0 {
            Segment::Straight { .. } => None,
            Segment::Bend { radius_mm, .. } => Some(radius_mm),
        }
    }

    /// The tightest radius on a stretch of stations, mm; none where the stretch is straight.
    pub fn tightest_between(&self, from_mm: f64, to_mm: f64) -> Option<f64> {
        let (from, to) = (from_mm.min(to_mm), from_mm.max(to_mm));
        let mut start = 0.0;
        let mut tightest: Option<f64> = None;
        for segment in &self.segments {
            let end = start + segment.length_mm();
            if let Segment::Bend { radius_mm, .. } = segment
                && end > from
                && start < to
            {
                tightest = Some(tightest.map_or(*radius_mm, |r| r.min(*radius_mm)));
            }
            start = end;
        }
        tightest
    }

    /// The part of the length that is bent, 0 to 1, with the tightest radius, mm.
    pub fn bent_part(&self) -> (f64, Option<f64>) {
        let bent: f64 = self.segments.iter().filter(|s| matches!(s, Segment::Bend { .. })).map(|s| s.length_mm()).sum();
        let length = self.length_mm();
        (if length > 0.0 { bent / length } else { 0.0 }, self.tightest_between(0.0, length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_segment_of_a_station_is_found() {
        let axis = Axis {
            segments: vec![Segment::Straight { length_mm: 10.0 }, Segment::Bend { radius_mm: 20.0, angle_deg: 90.0, plane_deg: 0.0 }],
        };
        assert_eq!(axis.bend_at(5.0), None);
        assert_eq!(axis.bend_at(12.0), Some(20.0));
        assert_eq!(axis.tightest_between(0.0, 9.0), None);
        assert_eq!(axis.tightest_between(0.0, 11.0), Some(20.0));
        assert_eq!(Axis { segments: vec![] }.bend_at(1.0), None);
    }
}
