//! Yield, tensile strength and elongation by alloy and temper: the tables, and the values between their rows.

use crate::{Alloy, Temper, Value};
use units::Source;

/// A row of a strength table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Temper, Brown & Sharpe numbers hard.
    pub numbers_hard: f64,
    /// 0.2 % yield strength, N/mm²; none where the source gives none.
    pub yield_mpa: Option<f64>,
    /// Lower and upper limit of the tensile strength, N/mm².
    pub tensile_mpa: (f64, f64),
    /// Elongation in 51 mm, %; none where the source gives none.
    pub elongation_percent: Option<f64>,
}

/// A strength table and where its columns come from.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    /// Rows in rising temper.
    pub rows: &'static [Row],
    /// Source of yield and elongation.
    pub source: &'static Source,
    /// Source of the tensile strength.
    pub source_tensile: &'static Source,
}

const fn row(numbers_hard: f64, yield_mpa: Option<f64>, low: f64, high: f64, elongation_percent: Option<f64>) -> Row {
    Row { numbers_hard, yield_mpa, tensile_mpa: (low, high), elongation_percent }
}

static YELLOW_SOURCE: Source = Source::published("C26000 strip: a strip mill's data sheet to ASTM B36");
static YELLOW: [Row; 7] = [
    row(0.0, Some(145.0), 310.0, 420.0, Some(53.0)),
    row(1.0, Some(230.0), 340.0, 405.0, Some(46.0)),
    row(2.0, Some(350.0), 395.0, 460.0, Some(30.0)),
    row(3.0, Some(425.0), 440.0, 510.0, Some(16.0)),
    row(4.0, Some(495.0), 490.0, 560.0, Some(10.0)),
    row(6.0, Some(570.0), 570.0, 635.0, Some(3.0)),
    row(8.0, Some(595.0), 625.0, 690.0, Some(1.0)),
];

/// N/mm² in one ksi (exact inch and pound, closed form).
const KSI: f64 = 6.894_757;

static ROSE_SOURCE: Source = Source::published("C22000 strip: a metals stockist's limits table to ASTM B36");
static ROSE_TENSILE: Source =
    Source::from_memory("C22000 tensile limits: ASTM B36 (annealed: ASM Handbook vol. 2 nominal ± 10 %); the stockist's table has none");
static ROSE: [Row; 7] = [
    row(0.0, Some(12.0 * KSI), 235.0, 285.0, Some(47.0)),
    row(1.0, Some(33.0 * KSI), 275.0, 345.0, Some(27.0)),
    row(2.0, Some(47.0 * KSI), 325.0, 395.0, Some(12.0)),
    row(3.0, Some(54.0 * KSI), 360.0, 425.0, Some(6.0)),
    row(4.0, Some(58.0 * KSI), 395.0, 455.0, Some(4.0)),
    row(6.0, Some(63.0 * KSI), 440.0, 495.0, Some(2.0)),
    row(8.0, None, 475.0, 530.0, None),
];

static GOLD_SOURCE: Source = Source::from_memory("C23000: ASM Handbook vol. 2");
static GOLD_TENSILE: Source = Source::from_memory("C23000 tensile limits: ASTM B36 (annealed: ASM Handbook vol. 2 nominal ± 10 %)");
static GOLD: [Row; 7] = [
    row(0.0, Some(70.0), 245.0, 300.0, Some(47.0)),
    row(1.0, Some(270.0), 305.0, 370.0, Some(25.0)),
    row(2.0, Some(340.0), 350.0, 420.0, Some(12.0)),
    row(3.0, None, 395.0, 460.0, None),
    row(4.0, Some(395.0), 435.0, 495.0, Some(5.0)),
    row(6.0, Some(420.0), 495.0, 550.0, Some(4.0)),
    row(8.0, Some(435.0), 540.0, 590.0, Some(3.0)),
];

static NICKEL_SILVER_SOURCE: Source = Source::from_memory("C75200: ASM Handbook vol. 2");
static NICKEL_SILVER_TENSILE: Source = Source::from_memory("C75200 tensile: ASM Handbook vol. 2 nominal, limits taken as ± 8 %");
static NICKEL_SILVER: [Row; 4] = [
    row(0.0, Some(170.0), 368.0, 432.0, Some(37.0)),
    row(1.0, Some(345.0), 414.0, 486.0, Some(20.0)),
    row(2.0, Some(427.0), 469.0, 551.0, Some(8.0)),
    row(4.0, Some(510.0), 538.0, 632.0, Some(3.0)),
];

/// How values between and beyond the rows are made.
pub const INTERPOLATION: Source = Source::common_practice(
    "linear between table rows in Brown & Sharpe numbers hard; beyond an alloy's last row, its last value in the proportion in which yellow brass goes on, with twice the scatter",
);

/// How scatter is read from the tables.
pub const SCATTER: Source = Source::common_practice(
    "tensile limits taken as ± 2 sd; yield sd 10 % of its value, 20 % when annealed (grain size), straight between over the first number; elongation sd 20 % of its value, at least 0.4 points but no more than half of it",
);

impl Alloy {
    /// The strength table of this alloy.
    pub fn strength_table(self) -> Table {
        match self {
            Self::YellowBrass => Table { rows: &YELLOW, source: &YELLOW_SOURCE, source_tensile: &YELLOW_SOURCE },
            Self::GoldBrass => Table { rows: &GOLD, source: &GOLD_SOURCE, source_tensile: &GOLD_TENSILE },
            Self::RoseBrass => Table { rows: &ROSE, source: &ROSE_SOURCE, source_tensile: &ROSE_TENSILE },
            Self::NickelSilver => Table { rows: &NICKEL_SILVER, source: &NICKEL_SILVER_SOURCE, source_tensile: &NICKEL_SILVER_TENSILE },
        }
    }

    /// 0.2 % yield strength, N/mm².
    pub fn yield_mpa(self, temper: Temper) -> Value {
        let n = temper.numbers();
        let (value, beyond) = self.column(n, |r| r.yield_mpa);
        // Grain size moves the yield of annealed metal far more than that of rolled metal.
        let relative = 0.10 + 0.10 * (1.0 - n).max(0.0);
        Value::new(value, value * relative * if beyond { 2.0 } else { 1.0 })
    }

    /// Tensile strength, N/mm²: the middle of the published limits.
    pub fn tensile_mpa(self, temper: Temper) -> Value {
        let n = temper.numbers();
        let (value, beyond) = self.column(n, |r| Some((r.tensile_mpa.0 + r.tensile_mpa.1) / 2.0));
        let (range, _) = self.column(n, |r| Some(r.tensile_mpa.1 - r.tensile_mpa.0));
        Value::new(value, range / 4.0 * if beyond { 2.0 } else { 1.0 })
    }

    /// Elongation in 51 mm, as a fraction.
    pub fn elongation(self, temper: Temper) -> Value {
        let (percent, beyond) = self.column(temper.numbers(), |r| r.elongation_percent);
        let value = percent / 100.0;
        Value::new(value, (0.2 * value).max(0.004_f64.min(0.5 * value)) * if beyond { 2.0 } else { 1.0 })
    }

    /// A column of the table at `n` numbers hard, and whether that lies beyond the alloy's own rows.
    fn column(self, n: f64, get: impl Fn(&Row) -> Option<f64> + Copy) -> (f64, bool) {
        let (value, last) = interpolate(self.strength_table().rows, n, get);
        if n <= last {
            return (value, false);
        }
        let (here, _) = interpolate(&YELLOW, n, get);
        let (there, _) = interpolate(&YELLOW, last, get);
        (value * here / there, true)
    }
}

/// Straight-line interpolation over the rows that have the value; the last such row's temper comes with it.
fn interpolate(rows: &[Row], n: f64, get: impl Fn(&Row) -> Option<f64>) -> (f64, f64) {
    let mut before: Option<(f64, f64)> = None;
    let mut result = None;
    for (x, y) in rows.iter().filter_map(|r| get(r).map(|y| (r.numbers_hard, y))) {
        if result.is_none() && x >= n {
            result = Some(match before {
                Some((x0, y0)) => y0 + (y - y0) * (n - x0) / (x - x0),
                None => y,
            });
        }
        before = Some((x, y));
    }
    let (last_x, last_y) = before.unwrap_or((0.0, 0.0));
    (result.unwrap_or(last_y), last_x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_come_back_as_published() {
        for alloy in Alloy::ALL {
            for r in alloy.strength_table().rows {
                if let Some(y) = r.yield_mpa {
                    assert!((alloy.yield_mpa(Temper(r.numbers_hard)).value - y).abs() < 1e-9);
                }
                if let Some(a) = r.elongation_percent {
                    assert!((alloy.elongation(Temper(r.numbers_hard)).value - a / 100.0).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn harder_is_stronger_and_less_ductile_everywhere() {
        for alloy in Alloy::ALL {
            for i in 0..80 {
                let (a, b) = (Temper(f64::from(i) / 10.0), Temper(f64::from(i + 1) / 10.0));
                assert!(alloy.yield_mpa(b).value > alloy.yield_mpa(a).value, "{alloy:?} {i}");
                assert!(alloy.elongation(b).value < alloy.elongation(a).value, "{alloy:?} {i}");
                assert!(alloy.tensile_mpa(b).value > alloy.yield_mpa(b).value, "{alloy:?} {i}");
            }
        }
    }

    #[test]
    fn beyond_its_rows_the_scatter_doubles() {
        let inside = Alloy::NickelSilver.yield_mpa(Temper(4.0));
        let beyond = Alloy::NickelSilver.yield_mpa(Temper(6.0));
        assert!((inside.sd / inside.value - 0.10).abs() < 1e-9);
        assert!((beyond.sd / beyond.value - 0.20).abs() < 1e-9);
        assert!((beyond.value - 510.0 * 570.0 / 495.0).abs() < 1e-9);
    }
}
