//! One run of a pattern, from a few words.

use super::practice;
use crate::{Axis, Finish, Interpolation, Point, Profile, Role, Run, Segment};
use metal::Alloy;
use units::Origin;

/// A run in the making. What it does not say comes from [`practice`].
pub struct Tube {
    id: String,
    role: Role,
    segments: Vec<Segment>,
    /// Part of the length and bore, mm.
    bore: Vec<(f64, f64)>,
    between: Interpolation,
    /// Wall at both ends, mm; none: the instrument's.
    wall: Option<(f64, f64)>,
    alloy: Option<Alloy>,
}

impl Tube {
    pub fn new(id: impl Into<String>, role: Role) -> Self {
        Self { id: id.into(), role, segments: vec![], bore: vec![], between: Interpolation::Linear, wall: None, alloy: None }
    }

    pub fn straight(mut self, length_mm: f64) -> Self {
        self.segments.push(Segment::Straight { length_mm });
        self
    }

    /// A bend towards the marked line: radius, angle.
    pub fn bend(self, radius_mm: f64, angle_deg: f64) -> Self {
        self.bend_towards(radius_mm, angle_deg, 0.0)
    }

    pub fn bend_towards(mut self, radius_mm: f64, angle_deg: f64, plane_deg: f64) -> Self {
        self.segments.push(Segment::Bend { radius_mm, angle_deg, plane_deg });
        self
    }

    /// Cylinder or cone.
    pub fn bore(self, start_mm: f64, end_mm: f64) -> Self {
        self.bore_at(&[(0.0, start_mm), (1.0, end_mm)])
    }

    /// Bore at parts of the length, straight between them.
    pub fn bore_at(mut self, points: &[(f64, f64)]) -> Self {
        self.bore = points.to_vec();
        self
    }

    /// Bore at parts of the length, curved between them.
    pub fn flare(mut self, points: &[(f64, f64)]) -> Self {
        self.between = Interpolation::Monotone;
        self.bore_at(points)
    }

    pub fn wall(self, wall_mm: f64) -> Self {
        self.walls(wall_mm, wall_mm)
    }

    pub fn walls(mut self, start_mm: f64, end_mm: f64) -> Self {
        self.wall = Some((start_mm, end_mm));
        self
    }

    pub fn alloy(mut self, alloy: Alloy) -> Self {
        self.alloy = Some(alloy);
        self
    }

    /// The run, with the instrument's wall and finish where it has none of its own.
    pub fn build(self, wall_mm: f64, finish: Finish) -> Run {
        let tempers = self.tempers();
        let axis = Axis { segments: self.segments };
        let length = axis.length_mm();
        let profile = |points: &[(f64, f64)], spread: f64, relative: bool, between| {
            let point = |(part, value): &(f64, f64)| Point {
                at_mm: part * length,
                value: *value,
                sd: if relative { spread * value } else { spread },
                origin: Origin::Pattern,
            };
            Profile { points: points.iter().map(point).collect(), between }
        };
        let (w0, w1) = self.wall.unwrap_or((wall_mm, wall_mm));
        let walls = if w0 == w1 { vec![(0.0, w0)] } else { vec![(0.0, w0), (1.0, w1)] };
        Run {
            name: practice::name_of(&self.id),
            id: self.id.into(),
            role: self.role,
            bore_mm: profile(&self.bore, practice::BORE_SPREAD, true, self.between),
            wall_mm: profile(&walls, practice::WALL_SPREAD, true, Interpolation::Linear),
            temper: profile(&tempers, practice::TEMPER_SPREAD, false, Interpolation::Linear),
            alloy: self.alloy.unwrap_or_else(|| practice::alloy(self.role)),
            finish: practice::finish(self.role).unwrap_or(finish),
            axis,
            may_be_beryllium: false,
        }
    }

    /// Temper along the run: each straight length hard, each bend soft, changing over the quarter next to their meeting.
    fn tempers(&self) -> Vec<(f64, f64)> {
        if self.role == Role::BellFlare {
            return practice::BELL_TEMPER.to_vec();
        }
        let (hard, soft) = practice::temper(self.role);
        let length: f64 = self.segments.iter().map(|s| s.length_mm()).sum();
        let mut points = Vec::new();
        let mut from = 0.0;
        for s in &self.segments {
            let part = s.length_mm() / length;
            let value = if matches!(s, Segment::Bend { .. }) { soft } else { hard };
            points.push((from + 0.25 * part, value));
            points.push((from + 0.75 * part, value));
            from += part;
        }
        // One value all along needs one point.
        if points.iter().all(|p| p.1 == points[0].1) {
            points.truncate(1);
            points[0].0 = 0.0;
        }
        points
    }
}
