//! A quantity that changes along a run: bore, wall, temper.

use serde::{Deserialize, Serialize};
use units::Origin;

/// How the quantity runs between its points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Interpolation {
    /// Straight between points (cylinder, cone).
    #[default]
    Linear,
    /// Monotone cubic (a flare). Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980), from memory.
    Monotone,
}

/// A value at a station.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Station, mm along the axis from the run's mouthpiece end.
    pub at_mm: f64,
    /// The value there, in the profile's unit.
    pub value: f64,
    /// One standard deviation, in the profile's unit.
    pub sd: f64,
    /// Where the value comes from.
    pub origin: Origin,
}

/// A quantity against the station: at least one point, in rising order of station. Constant beyond
/// its first and last point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// The points, in rising order of station.
    pub points: Vec<Point>,
    /// How the quantity runs between them.
    pub between: Interpolation,
}

impl Profile {
    /// The same value everywhere.
    pub fn constant(value: f64, sd: f64, origin: Origin) -> Self {
        Self { points: vec![Point { at_mm: 0.0, value, sd, origin }], between: Interpolation::Linear }
    }

    /// The value at a station, with its standard deviation and the less trusted origin of the points on either side.
    /// A profile without points gives NaN: `check::problems` refuses it.
    pub fn at(&self, at_mm: f64) -> Point {
        let Some((i, part)) = self.interval(at_mm) else {
            return match (self.points.first(), self.points.last()) {
                (Some(first), Some(last)) => Point { at_mm, ..if at_mm < first.at_mm { *first } else { *last } },
                _ => Point { at_mm, value: f64::NAN, sd: f64::NAN, origin: Origin::Assumed },
            };
        };
        let (a, b) = (self.points[i], self.points[i + 1]);
        let value = match self.between {
            Interpolation::Linear => a.value + (b.value - a.value) * part,
            Interpolation::Monotone => self.hermite(i, part).0,
        };
        Point { at_mm, value, sd: a.sd + (b.sd - a.sd) * part, origin: a.origin.max(b.origin) }
    }

    /// The slope at a station, per mm.
    pub fn slope_at(&self, at_mm: f64) -> f64 {
        let Some((i, part)) = self.interval(at_mm) else { return 0.0 };
        match self.between {
            Interpolation::Linear => self.secant(i),
            Interpolation::Monotone => self.hermite(i, part).1,
        }
    }

    /// Least and greatest value on a stretch of stations (exact: the profile is monotone between its points).
    pub fn range_between(&self, from_mm: f64, to_mm: f64) -> (f64, f64) {
        let (from, to) = (from_mm.min(to_mm), from_mm.max(to_mm));
        let inside = self.points.iter().filter(|p| p.at_mm > from && p.at_mm < to).map(|p| p.value);
        inside
            .chain([self.at(from).value, self.at(to).value])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
    }

    /// The interval that holds a station, and the part of it that lies before the station; none beyond the ends.
    fn interval(&self, at_mm: f64) -> Option<(usize, f64)> {
        let i = self.points.windows(2).position(|w| at_mm >= w[0].at_mm && at_mm <= w[1].at_mm && w[1].at_mm > w[0].at_mm)?;
        Some((i, (at_mm - self.points[i].at_mm) / (self.points[i + 1].at_mm - self.points[i].at_mm)))
    }

    fn secant(&self, i: usize) -> f64 {
        let (a, b) = (self.points[i], self.points[i + 1]);
        let dx = b.at_mm - a.at_mm;
        if dx > 0.0 { (b.value - a.value) / dx } else { 0.0 }
    }

    /// Slope at a point by Fritsch & Carlson in Butland's harmonic form: zero at a turn, else the weighted harmonic mean
    /// of the secants on either side, which keeps every interval monotone.
    fn tangent(&self, i: usize) -> f64 {
        let last = self.points.len() - 1;
        if i == 0 {
            return self.secant(0);
        }
        if i == last {
            return self.secant(last - 1);
        }
        let (d0, d1) = (self.secant(i - 1), self.secant(i));
        if d0 * d1 <= 0.0 {
            return 0.0;
        }
        let (h0, h1) = (self.points[i].at_mm - self.points[i - 1].at_mm, self.points[i + 1].at_mm - self.points[i].at_mm);
        let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
        (w0 + w1) / (w0 / d0 + w1 / d1)
    }

    /// Value and slope of the cubic on an interval.
    fn hermite(&self, i: usize, t: f64) -> (f64, f64) {
        let (a, b) = (self.points[i], self.points[i + 1]);
        let h = b.at_mm - a.at_mm;
        let (m0, m1) = (self.tangent(i) * h, self.tangent(i + 1) * h);
        let (t2, t3) = (t * t, t * t * t);
        let value = (2.0 * t3 - 3.0 * t2 + 1.0) * a.value + (t3 - 2.0 * t2 + t) * m0 + (3.0 * t2 - 2.0 * t3) * b.value + (t3 - t2) * m1;
        let slope = ((6.0 * t2 - 6.0 * t) * (a.value - b.value) + (3.0 * t2 - 4.0 * t + 1.0) * m0 + (3.0 * t2 - 2.0 * t) * m1) / h;
        (value, slope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn profile(points: &[(f64, f64)], between: Interpolation) -> Profile {
        let points = points.iter().map(|(at_mm, value)| Point { at_mm: *at_mm, value: *value, sd: 0.1, origin: Origin::Pattern }).collect();
        Profile { points, between }
    }

    #[test]
    fn a_cone_is_straight_between_its_ends_and_constant_beyond() {
        let cone = profile(&[(0.0, 10.0), (100.0, 20.0)], Interpolation::Linear);
        assert_eq!(cone.at(25.0).value, 12.5);
        assert_eq!(cone.at(-5.0).value, 10.0);
        assert_eq!(cone.at(500.0).value, 20.0);
        assert_eq!(cone.slope_at(50.0), 0.1);
        assert_eq!(cone.slope_at(500.0), 0.0);
    }

    #[test]
    fn a_cubic_through_a_line_is_the_line() {
        let line = profile(&[(0.0, 1.0), (1.0, 3.0), (4.0, 9.0)], Interpolation::Monotone);
        for x in [0.3, 1.0, 2.7, 3.9] {
            assert!((line.at(x).value - (1.0 + 2.0 * x)).abs() < 1e-12);
            assert!((line.slope_at(x) - 2.0).abs() < 1e-12);
        }
    }

    #[test]
    fn the_less_trusted_origin_wins() {
        let mut p = profile(&[(0.0, 1.0), (1.0, 2.0)], Interpolation::Linear);
        p.points[0].origin = Origin::Measured;
        assert_eq!(p.at(0.5).origin, Origin::Pattern);
    }

    proptest! {
        #[test]
        fn a_flare_never_leaves_its_points(steps in proptest::collection::vec((0.1..50.0_f64, 0.0..30.0_f64), 1..10), part in 0.0..1.0_f64) {
            let mut points = vec![(0.0, 5.0)];
            for (dx, dy) in &steps {
                let (x, y) = points[points.len() - 1];
                points.push((x + dx, y + dy));
            }
            let length = points[points.len() - 1].0;
            let flare = profile(&points, Interpolation::Monotone);
            let x = part * length;
            let v = flare.at(x).value;
            let i = points.iter().rposition(|p| p.0 <= x).unwrap().min(points.len() - 2);
            prop_assert!(v >= points[i].1 - 1e-9 && v <= points[i + 1].1 + 1e-9);
            prop_assert!(flare.slope_at(x) >= -1e-9);
        }
    }
}
