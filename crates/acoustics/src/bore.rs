//! A bore as the sound meets it: radius against the way from the mouthpiece end, with its bends.

use thiserror::Error;

/// A point of a bore, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Way from the mouthpiece end.
    pub station_mm: f64,
    /// Inside diameter there. Two points at one station are a step.
    pub diameter_mm: f64,
}

/// A stretch that is bent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Where it begins, mm.
    pub from_mm: f64,
    /// Where it ends, mm.
    pub to_mm: f64,
    /// Radius of its center line, mm.
    pub radius_mm: f64,
}

/// A bore: straight lines between its points (cones).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Bore {
    /// The points in the order of their stations; at least two.
    pub points: Vec<Point>,
    /// Its bends in the order of their stations.
    pub bends: Vec<Bend>,
}

/// What a bore cannot be. `row` counts the points from 1.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum BoreError {
    /// Fewer than two points, or no length.
    #[error("a bore wants at least two points at different stations")]
    TooShort,
    /// A number that is none, or a diameter that is no diameter.
    #[error("point {row}: the diameter must be above 0 and at most 2000 mm")]
    Diameter {
        /// Which point.
        row: usize,
    },
    /// A station that goes back.
    #[error("point {row}: the stations must not go back")]
    Back {
        /// Which point.
        row: usize,
    },
    /// A bore longer than any.
    #[error("point {row}: the station must lie between −100 000 and 100 000 mm")]
    Station {
        /// Which point.
        row: usize,
    },
}

impl Bore {
    /// A bore from stations and diameters, mm.
    ///
    /// # Errors
    /// Where it cannot be; see [`BoreError`].
    pub fn new(points: impl IntoIterator<Item = (f64, f64)>) -> Result<Self, BoreError> {
        let points: Vec<Point> = points.into_iter().map(|(station_mm, diameter_mm)| Point { station_mm, diameter_mm }).collect();
        let bore = Self { points, bends: vec![] };
        bore.check()?;
        Ok(bore)
    }

    /// Whether it can be.
    ///
    /// # Errors
    /// Where it cannot be; see [`BoreError`].
    pub fn check(&self) -> Result<(), BoreError> {
        for (i, p) in self.points.iter().enumerate() {
            let row = i + 1;
            if !(p.station_mm.abs() <= 100_000.0) {
                return Err(BoreError::Station { row });
            }
            if !(p.diameter_mm > 0.0 && p.diameter_mm <= 2000.0) {
                return Err(BoreError::Diameter { row });
            }
            if i > 0 && p.station_mm < self.points[i - 1].station_mm {
                return Err(BoreError::Back { row });
            }
        }
        if self.length_mm() > 0.0 { Ok(()) } else { Err(BoreError::TooShort) }
    }

    /// Its length, mm; 0 of an empty one.
    pub fn length_mm(&self) -> f64 {
        match (self.points.first(), self.points.last()) {
            (Some(a), Some(b)) => b.station_mm - a.station_mm,
            _ => 0.0,
        }
    }

    /// Inside diameter at a station, mm; of a step the bell's side; beyond its ends the end's.
    pub fn diameter_at(&self, station_mm: f64) -> f64 {
        let after = self.points.partition_point(|p| p.station_mm <= station_mm);
        match (after.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(after)) {
            (Some(a), Some(b)) => {
                let part = (station_mm - a.station_mm) / (b.station_mm - a.station_mm);
                a.diameter_mm + part * (b.diameter_mm - a.diameter_mm)
            }
            (Some(p), None) | (None, Some(p)) => p.diameter_mm,
            (None, None) => f64::NAN,
        }
    }

    /// Another bore behind this one's mouthpiece end: the whole begins with `front`.
    #[must_use]
    pub fn after(&self, front: &Self) -> Self {
        let Some(shift) = front.points.last().zip(self.points.first()).map(|(a, b)| a.station_mm - b.station_mm) else {
            return self.clone();
        };
        let moved = self.points.iter().map(|p| Point { station_mm: p.station_mm + shift, ..*p });
        let bends = self.bends.iter().map(|b| Bend { from_mm: b.from_mm + shift, to_mm: b.to_mm + shift, ..*b });
        Self { points: front.points.iter().copied().chain(moved).collect(), bends: front.bends.iter().copied().chain(bends).collect() }
    }

    /// All lengths times a factor.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Self {
        let points = self.points.iter().map(|p| Point { station_mm: p.station_mm * by, diameter_mm: p.diameter_mm * by }).collect();
        let bends = self.bends.iter().map(|b| Bend { from_mm: b.from_mm * by, to_mm: b.to_mm * by, radius_mm: b.radius_mm * by }).collect();
        Self { points, bends }
    }
}
