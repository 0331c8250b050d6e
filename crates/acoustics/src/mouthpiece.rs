//! A mouthpiece: cup, throat, backbore, and how far it goes into its receiver.

use crate::bore::Bore;
use instrument::Kind;
use units::Source;

/// Source of [`Mouthpiece::usual`].
pub const USUAL: Source = Source::common_practice(
    "mouthpieces of the middle of each kind's range: cup, throat, backbore and shank in round figures; nobody measured the customer's",
);

/// A mouthpiece, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mouthpiece {
    /// Diameter of the cup at the rim.
    pub cup_mm: f64,
    /// Depth of the cup to the throat.
    pub depth_mm: f64,
    /// Diameter of the throat.
    pub throat_mm: f64,
    /// Length of the throat.
    pub throat_length_mm: f64,
    /// Length of the backbore.
    pub backbore_mm: f64,
    /// Diameter at the end of the backbore.
    pub end_mm: f64,
    /// How far its shank goes into the receiver: so much of the receiver's bore is filled by it.
    pub inserted_mm: f64,
}

impl Mouthpiece {
    /// A usual one for a kind of instrument. See [`USUAL`].
    pub fn usual(kind: Kind) -> Self {
        let of = |cup_mm, depth_mm, throat_mm, throat_length_mm, backbore_mm, end_mm, inserted_mm| Self {
            cup_mm,
            depth_mm,
            throat_mm,
            throat_length_mm,
            backbore_mm,
            end_mm,
            inserted_mm,
        };
        match kind {
            Kind::Trumpet | Kind::Bugle | Kind::Other => of(16.5, 10.5, 3.7, 5.0, 72.0, 8.9, 24.0),
            Kind::Cornet => of(16.5, 12.0, 3.8, 5.0, 50.0, 8.0, 22.0),
            Kind::Flugelhorn => of(16.5, 15.0, 4.2, 5.0, 50.0, 8.0, 22.0),
            Kind::Horn => of(17.5, 28.0, 4.6, 4.0, 34.0, 7.2, 22.0),
            Kind::AltoHorn => of(18.5, 19.0, 4.7, 5.0, 44.0, 8.4, 24.0),
            Kind::Trombone | Kind::Baritone | Kind::Euphonium => of(25.5, 23.0, 6.5, 5.0, 50.0, 10.8, 30.0),
            Kind::Tuba | Kind::Sousaphone => of(32.5, 34.0, 8.2, 6.0, 62.0, 13.2, 32.0),
        }
    }

    /// Its bore, from the rim's plane to the shank's end. The cup is a bowl: half an ellipse, which holds 2/3 of its cylinder.
    pub fn bore(&self) -> Bore {
        let mut points = Vec::new();
        const BOWL: usize = 24;
        for i in 0..=BOWL {
            let part = i as f64 / BOWL as f64;
            let d = self.throat_mm.max(self.cup_mm * (1.0 - part * part).max(0.0).sqrt());
            points.push((part * self.depth_mm, d));
        }
        let mut at = self.depth_mm + self.throat_length_mm;
        points.push((at, self.throat_mm));
        at += self.backbore_mm;
        points.push((at, self.end_mm));
        let points = points.into_iter().map(|(station_mm, diameter_mm)| crate::bore::Point { station_mm, diameter_mm }).collect();
        Bore { points, bends: vec![] }
    }

    /// The bore with the mouthpiece in it. `receiver` is whether the bore begins with a receiver that its shank fills.
    pub fn in_front_of(&self, bore: &Bore, receiver: bool) -> Bore {
        if receiver { bore.without_first(self.inserted_mm).after(&self.bore()) } else { bore.after(&self.bore()) }
    }
}

impl Bore {
    /// Without the first so many millimeters.
    #[must_use]
    pub(crate) fn without_first(&self, mm: f64) -> Self {
        let Some(first) = self.points.first() else { return self.clone() };
        let from = (first.station_mm + mm.max(0.0)).min(first.station_mm + 0.9 * self.length_mm());
        let cut = crate::bore::Point { station_mm: from, diameter_mm: self.diameter_at(from) };
        let points = std::iter::once(cut).chain(self.points.iter().copied().filter(|p| p.station_mm > from)).collect();
        let bends = self.bends.iter().copied().filter(|b| b.to_mm > from).collect();
        Self { points, bends }
    }
}
