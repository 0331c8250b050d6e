//! Bends that strip bears: the measured tables, and the strain on the outer fibre between their rows.
//!
//! A strip of a temper is bent by 90° round ever smaller radii; the sheet gives the least inside radius R over thickness
//! T that shows no crack, with the fold across the rolling direction (the *good way*: the outer fibre is stretched along
//! it) and with the fold along it (the *bad way*: stretched across it). The strip starts from its temper: what the table
//! counts is *added* strain, not that of the rolling.

use crate::{Alloy, Temper};
use units::Source;

/// How a fold lies to the direction of rolling or drawing. In a drawn tube that direction is the tube's axis: a fold that lies
/// round the tube stretches the wall along the axis (the good way), one that lies along the tube stretches it round the tube (the bad way).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The fold across the rolling direction: stretched along it.
    Good,
    /// The fold along the rolling direction: stretched across it.
    Bad,
}

/// A row of a bend table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendRow {
    /// Temper, Brown & Sharpe numbers hard.
    pub numbers_hard: f64,
    /// Least inside radius over thickness, good way; none where the sheet gives no limit: it folds flat.
    pub good: Option<f64>,
    /// The same, bad way.
    pub bad: Option<f64>,
}

/// A bend table.
#[derive(Clone, Copy, Debug)]
pub struct BendTable {
    /// The alloy that was bent.
    pub of: &'static str,
    /// Whether that is the alloy itself or the nearest that was bent.
    pub nearest: bool,
    /// Rows in rising temper.
    pub rows: &'static [BendRow],
    /// Fibre strain of the annealed metal, which no sheet lists.
    annealed: f64,
}

/// Source of the rows.
pub const TABLES: Source = Source::published(
    "a strip mill's alloy data sheets: least R/T of 90° bends of strip under 0.4 mm, 17.5 mm wide, good way and bad way (method: ASTM B820, ISO 7438)",
);

const fn row(numbers_hard: f64, good: f64, bad: f64) -> BendRow {
    BendRow { numbers_hard, good: Some(good), bad: Some(bad) }
}

static C26000: [BendRow; 6] = [
    BendRow { numbers_hard: 1.0, good: None, bad: Some(0.3) },
    row(2.0, 0.5, 0.5),
    row(3.0, 1.0, 1.3),
    row(4.0, 1.3, 1.8),
    row(6.0, 1.8, 3.0),
    row(8.0, 3.0, 5.0),
];
static C22000: [BendRow; 6] = [
    BendRow { numbers_hard: 1.0, good: None, bad: None },
    BendRow { numbers_hard: 2.0, good: None, bad: None },
    row(3.0, 0.5, 0.8),
    row(4.0, 0.5, 0.8),
    row(6.0, 1.0, 1.3),
    row(8.0, 1.5, 2.0),
];
static C24000: [BendRow; 6] = [
    BendRow { numbers_hard: 1.0, good: None, bad: None },
    row(2.0, 0.3, 0.5),
    row(3.0, 0.5, 1.0),
    row(4.0, 1.0, 1.5),
    row(6.0, 1.5, 2.8),
    row(8.0, 3.0, 4.5),
];
static C77000: [BendRow; 6] =
    [row(1.0, 0.8, 0.8), row(2.0, 1.0, 1.0), row(3.0, 1.5, 1.5), row(4.0, 2.0, 2.0), row(6.0, 2.5, 2.5), row(8.0, 3.0, 3.0)];

/// Fibre strain of a strip folded flat, R/T 0: ln 2 (closed form, [`outer_fibre_strain`]). A lower bound of what it bears.
const FLAT: f64 = std::f64::consts::LN_2;

/// Fibre strain of annealed nickel silver: its line from half over quarter hard ends at 0.37 there, folded flat it would be 0.69;
/// the geometric mean. Common practice, no source.
const ANNEALED_NICKEL_SILVER: f64 = 0.50;

/// True strain on the outer fibre of a bend of inside radius `radius_over_wall` wall thicknesses: ln(1 + 1/(2R/T + 1)) (closed
/// form: the fibre half a wall outside a middle that keeps its length).
pub fn outer_fibre_strain(radius_over_wall: f64) -> f64 {
    (1.0 / (2.0 * radius_over_wall.max(0.0) + 1.0)).ln_1p()
}

/// Inside radius over thickness of a bend whose outer fibre has this strain (the inverse of [`outer_fibre_strain`]).
pub fn radius_over_wall(fibre: f64) -> f64 {
    ((1.0 / fibre.max(1e-9).exp_m1() - 1.0) / 2.0).max(0.0)
}

impl Alloy {
    /// The bend table of this alloy, or of the nearest one that was bent: gold brass (C23000, 15 % zinc) takes that of low brass
    /// (C24000, 20 % zinc), nickel silver C75200 (18 Ni, 17 Zn) that of C77000 (18 Ni, 27 Zn). Both bear less than the alloy they stand for.
    pub fn bend_table(self) -> BendTable {
        match self {
            Self::YellowBrass => BendTable { of: "C26000", nearest: false, rows: &C26000, annealed: FLAT },
            Self::GoldBrass => BendTable { of: "C24000", nearest: true, rows: &C24000, annealed: FLAT },
            Self::RoseBrass => BendTable { of: "C22000", nearest: false, rows: &C22000, annealed: FLAT },
            Self::NickelSilver => BendTable { of: "C77000", nearest: true, rows: &C77000, annealed: ANNEALED_NICKEL_SILVER },
        }
    }

    /// Strain on the outer fibre of the tightest bend that the table allows: straight in its logarithm between the rows, in numbers
    /// hard.
    pub fn bend_limit(self, temper: Temper, way: Way) -> f64 {
        let table = self.bend_table();
        let n = temper.numbers();
        let fibre = |r: &BendRow| {
            match way {
                Way::Good => r.good,
                Way::Bad => r.bad,
            }
            .map_or(FLAT, outer_fibre_strain)
        };
        let mut before = (0.0, table.annealed);
        for r in table.rows {
            let here = (r.numbers_hard, fibre(r));
            if n <= here.0 {
                let part = (n - before.0) / (here.0 - before.0);
                return before.1 * (here.1 / before.1).powf(part);
            }
            before = here;
        }
        before.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rows_come_back() {
        for alloy in Alloy::ALL {
            for r in alloy.bend_table().rows {
                for (way, radius) in [(Way::Good, r.good), (Way::Bad, r.bad)] {
                    let limit = alloy.bend_limit(Temper(r.numbers_hard), way);
                    assert!((radius_over_wall(limit) - radius.unwrap_or(0.0)).abs() < 1e-9, "{alloy:?} {r:?}");
                }
            }
        }
    }

    #[test]
    fn between_two_rows_lies_their_geometric_mean() {
        let at = |n| Alloy::YellowBrass.bend_limit(Temper(n), Way::Bad);
        assert!((at(5.0) - (at(4.0) * at(6.0)).sqrt()).abs() < 1e-12);
    }
}
