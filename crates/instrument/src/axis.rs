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

/// A place on an axis with its directions: right-handed, orthonormal. `normal` is carried along without turning about
/// the tangent (rotation-minimising), so it always points to the run's marked line (clock 0); `binormal` points to
/// clock 90, seen in the direction of travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Position, mm.
    pub position: [f64; 3],
    /// Direction of travel.
    pub tangent: [f64; 3],
    /// Towards clock 0.
    pub normal: [f64; 3],
    /// Towards clock 90.
    pub binormal: [f64; 3],
}

impl Frame {
    /// The origin, travelling along x, marked line towards z, clock 90 towards −y.
    pub const ORIGIN: Self = Self { position: [0.0; 3], tangent: [1.0, 0.0, 0.0], normal: [0.0, 0.0, 1.0], binormal: [0.0, -1.0, 0.0] };

    /// The direction of a clock angle (degrees) from the axis.
    pub fn towards(&self, clock_deg: f64) -> [f64; 3] {
        let (s, c) = clock_deg.to_radians().sin_cos();
        add(scale(self.normal, c), scale(self.binormal, s))
    }

    /// The frame at the end of a part of a segment: `along_mm` from its start.
    fn advance(&self, segment: Segment, along_mm: f64) -> Self {
        match segment {
            Segment::Straight { .. } => Self { position: add(self.position, scale(self.tangent, along_mm)), ..*self },
            Segment::Bend { radius_mm, plane_deg, .. } if radius_mm > 0.0 => {
                let inward = self.towards(plane_deg);
                let axis = cross(self.tangent, inward);
                let angle = along_mm / radius_mm;
                let (s, c) = angle.sin_cos();
                let position = add(self.position, add(scale(self.tangent, radius_mm * s), scale(inward, radius_mm * (1.0 - c))));
                let turn = |v| rotate(v, axis, s, c);
                Self { position, tangent: turn(self.tangent), normal: turn(self.normal), binormal: turn(self.binormal) }
            }
            Segment::Bend { .. } => *self,
        }
    }
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

    /// The frame at a station, starting from [`Frame::ORIGIN`]; stations beyond the ends give the ends.
    pub fn frame_at(&self, at_mm: f64) -> Frame {
        self.frame_from(Frame::ORIGIN, at_mm)
    }

    /// The frame at a station of this axis when it starts at `start`.
    pub fn frame_from(&self, start: Frame, at_mm: f64) -> Frame {
        let mut frame = start;
        let mut left = at_mm.max(0.0);
        for segment in &self.segments {
            let length = segment.length_mm();
            frame = frame.advance(*segment, left.min(length));
            left -= length;
            if left <= 0.0 {
                break;
            }
        }
        frame
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

fn add(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

fn scale(a: [f64; 3], k: f64) -> [f64; 3] {
    a.map(|x| x * k)
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// Rodrigues' rotation about a unit axis.
fn rotate(v: [f64; 3], axis: [f64; 3], sin: f64, cos: f64) -> [f64; 3] {
    add(add(scale(v, cos), scale(cross(axis, v), sin)), scale(axis, dot(axis, v) * (1.0 - cos)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_half_turn_comes_back_two_radii_away() {
        let axis = Axis { segments: vec![Segment::Bend { radius_mm: 50.0, angle_deg: 180.0, plane_deg: 0.0 }] };
        let end = axis.frame_at(axis.length_mm());
        assert!((end.position[2] - 100.0).abs() < 1e-9 && end.position[0].abs() < 1e-9);
        assert!((end.tangent[0] + 1.0).abs() < 1e-12);
    }

    #[test]
    fn four_quarter_turns_close() {
        let quarter = Segment::Bend { radius_mm: 30.0, angle_deg: 90.0, plane_deg: 77.0 };
        let axis = Axis { segments: vec![quarter; 4] };
        let end = axis.frame_at(axis.length_mm());
        for (got, want) in end.position.iter().chain(&end.tangent).zip([0.0, 0.0, 0.0, 1.0, 0.0, 0.0]) {
            assert!((got - want).abs() < 1e-9);
        }
    }

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

    proptest! {
        #[test]
        fn frames_stay_orthonormal(pieces in proptest::collection::vec((1.0..200.0_f64, 5.0..300.0_f64, 1.0..180.0_f64, 0.0..360.0_f64), 1..8), part in 0.0..1.0_f64) {
            let segments = pieces.iter().flat_map(|(l, r, a, p)| [
                Segment::Straight { length_mm: *l },
                Segment::Bend { radius_mm: *r, angle_deg: *a, plane_deg: *p },
            ]).collect();
            let axis = Axis { segments };
            let f = axis.frame_at(axis.length_mm() * part);
            for v in [f.tangent, f.normal, f.binormal] { prop_assert!((dot(v, v) - 1.0).abs() < 1e-9); }
            prop_assert!(dot(f.tangent, f.normal).abs() < 1e-9);
            let b = cross(f.tangent, f.normal);
            for (got, want) in b.iter().zip(f.binormal) { prop_assert!((got - want).abs() < 1e-9); }
        }
    }
}
