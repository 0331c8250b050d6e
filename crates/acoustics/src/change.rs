//! What a dent, or what a repair leaves, does to the area of the bore.

use crate::bore::{Bore, Point};
use dent::geometry;
use std::f64::consts::PI;
use units::Source;

/// Source of the area at a dent.
pub const AREA: Source = Source::closed_form(
    "area in polar form ½∮(R − u)²dθ with u = d(x)·f(θ), as dent::geometry::area_left; along the tube d(x) = d·exp(−x²/2s²), s = width/4.292, or the measured profile",
);

/// A change of area over a stretch of the bore.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// A dent, or with a negative depth a bulge (what was pushed over true).
    Dent {
        /// Its middle, mm from the mouthpiece end of the bore.
        station_mm: f64,
        /// Deepest depth, mm; negative outwards.
        depth_mm: f64,
        /// Width along the tube where a tenth of the depth is left, mm.
        along_mm: f64,
        /// Width round the tube, as above, mm.
        across_mm: f64,
        /// Measured profile along the tube: distance from the middle, mm, and part of the deepest depth. Empty: a Gaussian.
        profile: Vec<(f64, f64)>,
    },
    /// A stretch whose bore is another all round: stretched by a ball too large, worn, reamed; or drawn in.
    Ring {
        /// Where it begins and ends, mm.
        from_mm: f64,
        /// See above.
        to_mm: f64,
        /// By how much the diameter is larger, mm.
        diameter_mm: f64,
    },
    /// A step that stands into the bore over part of the way round: an inside patch, a sleeve, solder that ran in.
    Step {
        /// Where it begins and ends, mm.
        from_mm: f64,
        /// See above.
        to_mm: f64,
        /// How far it stands into the bore, mm.
        height_mm: f64,
        /// How far it goes round, mm; the whole way where it is more than there is.
        across_mm: f64,
    },
}

impl Change {
    /// What is left of it: a part of its depth (a dent brought up to a tenth), or less than nothing (pushed over true).
    #[must_use]
    pub fn left(&self, part: f64) -> Self {
        let mut left = self.clone();
        match &mut left {
            Self::Dent { depth_mm, .. } => *depth_mm *= part,
            Self::Ring { diameter_mm, .. } => *diameter_mm *= part,
            Self::Step { height_mm, .. } => *height_mm *= part,
        }
        left
    }

    /// The stretch beyond which nothing is changed, mm.
    pub fn stretch(&self) -> (f64, f64) {
        match self {
            // At twice the half width an exponent of 9.2 is left: a ten-thousandth of the depth.
            Self::Dent { station_mm, along_mm, profile, .. } => match (profile.first(), profile.last()) {
                (Some(a), Some(b)) => (station_mm + a.0, station_mm + b.0),
                _ => (station_mm - along_mm, station_mm + along_mm),
            },
            Self::Ring { from_mm, to_mm, .. } | Self::Step { from_mm, to_mm, .. } => (from_mm.min(*to_mm), from_mm.max(*to_mm)),
        }
    }

    /// Area with it over the area without it, at a station of a bore of this diameter.
    pub fn area_factor(&self, diameter_mm: f64, at_mm: f64) -> f64 {
        let (from, to) = self.stretch();
        if !(at_mm >= from && at_mm <= to) {
            return 1.0;
        }
        let radius = diameter_mm / 2.0;
        let factor = match self {
            Self::Dent { station_mm, depth_mm, along_mm, across_mm, profile } => {
                let x = at_mm - station_mm;
                let part = if profile.is_empty() {
                    let s = along_mm / geometry::WIDTH_OVER_S;
                    (-x * x / (2.0 * s * s)).exp()
                } else {
                    line(profile, x)
                };
                // No dent is deeper than to the wall opposite, or wider than half round.
                let depth = (depth_mm * part).min(0.95 * diameter_mm);
                let across = across_mm.min(geometry::WIDEST_PART * PI * diameter_mm);
                let (i1, i2) = geometry::GAUSSIAN_MEANS;
                // As dent::geometry::area_left, which knows no bulge.
                1.0 - depth * across * (i1 - depth * i2 / (2.0 * radius)) / (PI * radius * radius)
            }
            Self::Ring { diameter_mm: by, .. } => ((diameter_mm + by).max(0.0) / diameter_mm).powi(2),
            Self::Step { height_mm, across_mm, .. } => {
                let h = height_mm.clamp(-radius, radius);
                let part = (across_mm / (PI * diameter_mm)).clamp(0.0, 1.0);
                // A ring of h over that part of the way round.
                1.0 - part * (1.0 - ((radius - h) / radius).powi(2))
            }
        };
        factor.max(0.01)
    }
}

/// Straight lines through points in order; nought beyond them.
fn line(points: &[(f64, f64)], x: f64) -> f64 {
    points
        .windows(2)
        .find(|w| x >= w[0].0 && x <= w[1].0 && w[1].0 > w[0].0)
        .map_or(0.0, |w| w[0].1 + (w[1].1 - w[0].1) * (x - w[0].0) / (w[1].0 - w[0].0))
}

/// Steps over a change.
const STEPS: usize = 48;

impl Bore {
    /// The bore with changes in it: round, of the area that is left.
    #[must_use]
    pub fn changed(&self, changes: &[Change]) -> Self {
        if changes.is_empty() {
            return self.clone();
        }
        let mut stations: Vec<f64> = Vec::new();
        let mut steps: Vec<f64> = Vec::new();
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else { return self.clone() };
        for change in changes {
            let (from, to) = change.stretch();
            let count = if matches!(change, Change::Dent { .. }) { STEPS } else { 1 };
            stations.extend((0..=count).map(|i| from + (to - from) * i as f64 / count as f64));
            if count == 1 {
                steps.extend([from, to]);
            }
        }
        stations.retain(|s| *s >= first.station_mm && *s <= last.station_mm);
        stations.sort_by(f64::total_cmp);
        stations.dedup();
        let factor = |d: f64, s: f64| changes.iter().map(|c| c.area_factor(d, s)).product::<f64>();
        let mut points: Vec<Point> = Vec::with_capacity(self.points.len() + stations.len() + steps.len());
        let own = self.points.iter().map(|p| (p.station_mm, Some(p.diameter_mm)));
        let mut all: Vec<(f64, Option<f64>)> = own.chain(stations.into_iter().map(|s| (s, None))).collect();
        // A stable sort: a point of the bore keeps its place before what falls on it.
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Two sides of a step, a millionth of a millimeter apart.
        const SIDE: f64 = 1e-6;
        for (s, own) in all {
            let diameter = own.unwrap_or_else(|| self.diameter_at(s));
            let mut push = |side: f64| {
                let at = Point { station_mm: s, diameter_mm: diameter * factor(diameter, s + side).sqrt() };
                if points.last() != Some(&at) {
                    points.push(at);
                }
            };
            if steps.iter().any(|x| (x - s).abs() < SIDE) {
                push(-SIDE);
                push(SIDE);
            } else {
                push(0.0);
            }
        }
        Self { points, bends: self.bends.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dent_leaves_the_area_that_the_assessment_says() {
        let dent = Change::Dent { station_mm: 50.0, depth_mm: 2.0, along_mm: 20.0, across_mm: 10.0, profile: vec![] };
        let said = geometry::area_left(12.0, 2.0, 10.0, geometry::GAUSSIAN_MEANS);
        assert!((dent.area_factor(12.0, 50.0) - said).abs() < 1e-12);
        assert_eq!(dent.area_factor(12.0, 90.0), 1.0);
        let bulge = Change::Dent { station_mm: 50.0, depth_mm: -0.1, along_mm: 20.0, across_mm: 10.0, profile: vec![] };
        assert!(bulge.area_factor(12.0, 50.0) > 1.0);
    }

    #[test]
    fn a_bore_with_a_ring_in_it_has_the_ring() {
        let bore = Bore::new([(0.0, 10.0), (100.0, 10.0)]).unwrap();
        let wide = bore.changed(&[Change::Ring { from_mm: 40.0, to_mm: 60.0, diameter_mm: 0.5 }]);
        wide.check().unwrap();
        assert!((wide.diameter_at(50.0) - 10.5).abs() < 1e-9);
        assert!((wide.diameter_at(39.0) - 10.0).abs() < 1e-9 && (wide.diameter_at(61.0) - 10.0).abs() < 1e-9);
        let all_round = Change::Step { from_mm: 0.0, to_mm: 1.0, height_mm: 0.3, across_mm: 1e9 };
        assert!((all_round.area_factor(10.0, 0.5) - (9.4_f64 / 10.0).powi(2)).abs() < 1e-12);
    }

    #[test]
    fn a_measured_profile_goes_before_the_gaussian() {
        let profile = vec![(-5.0, 0.0), (0.0, 1.0), (10.0, 0.0)];
        let dent = Change::Dent { station_mm: 0.0, depth_mm: 1.0, along_mm: 15.0, across_mm: 8.0, profile };
        let half = geometry::area_left(12.0, 0.5, 8.0, geometry::GAUSSIAN_MEANS);
        assert!((dent.area_factor(12.0, 5.0) - half).abs() < 1e-12 && (dent.area_factor(12.0, -2.5) - half).abs() < 1e-12);
    }
}
