//! Times before and after: for each kind the range that was taken for usual, hollow, and the one that was learned, filled, on one axis from
//! zero.

use super::axis::{Axis, even};
use super::rows::{DOT_MM, Rows, key, range};
use crate::canvas::{Canvas, Drawing, GREY, INK};

/// A kind of step.
#[derive(Clone, Debug, PartialEq)]
pub struct BeforeAfterRow {
    /// Its name.
    pub name: String,
    /// Before, minutes: least, middle, most of eight in ten.
    pub before: (f64, f64, f64),
    /// After.
    pub after: (f64, f64, f64),
    /// What it rests on, in words.
    pub shown: String,
    /// Whether that is little.
    pub few: bool,
}

/// How far the two bars of a row lie above and below its middle, mm.
const APART_MM: f64 = 1.25;

/// A row a kind.
pub fn before_after_chart(rows: &[BeforeAfterRow], width_mm: f64) -> Drawing {
    let most = rows.iter().map(|r| r.before.2.max(r.after.2)).fold(0.0, f64::max);
    let (end, step) = even(most, 5.0);
    let lie = Rows::of(width_mm, rows.iter().map(|r| r.name.as_str()), rows.iter().map(|r| r.shown.as_str()));
    let axis = Axis { from_mm: lie.from_mm + DOT_MM, to_mm: lie.to_mm, most: end, step };
    let mut canvas = Canvas::new(width_mm, 0.0);
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let bottom = rows.len() as f64 * lie.row_mm() + 0.8;
    let after = axis.draw(&mut canvas, 0.0, bottom, &|v| format!("{v:.0}"));
    let mut top = 0.0;
    for r in rows {
        let y = lie.begin(&mut canvas, top, &r.name, &r.shown);
        let mut bar = |y: f64, t: (f64, f64, f64), hollow: bool, colour| {
            range(&mut canvas, y, (axis.x(t.0), axis.x(t.2)), axis.x(t.1), hollow, colour)
        };
        bar(y - APART_MM, r.before, true, GREY);
        bar(y + APART_MM, r.after, false, if r.few { GREY } else { INK });
        top += lie.row_mm();
    }
    let line =
        "Minutes, eight in ten. Hollow: before. Filled: as learned; gray where it rests on fewer than 10 steps. At the right: steps.";
    canvas.height_mm = key(&mut canvas, after, &[line]) + 1.2;
    canvas.finish("Times before and as learned")
}
