//! The likelihood that a crack starts, cold and after an anneal, against what is accepted.

use super::axis::{Axis, even};
use super::rows::{DOT_MM, Rows, dot, key};
use crate::canvas::{Canvas, Drawing, INK, Pen};

/// A dent.
#[derive(Clone, Debug, PartialEq)]
pub struct CrackRow {
    /// Its label.
    pub label: String,
    /// Worked cold.
    pub cold: f64,
    /// Worked after an anneal.
    pub annealed: f64,
    /// As the plan works it, in words.
    pub shown: String,
}

/// A row a dent: hollow cold, filled annealed, a line between them; the accepted likelihood a line through all rows.
pub fn crack_chart(rows: &[CrackRow], accepted: f64, width_mm: f64) -> Drawing {
    let most = rows.iter().map(|r| r.cold.max(r.annealed)).fold(1.3 * accepted, f64::max);
    let (end, step) = even(most.min(1.0), 5.0);
    let lie = Rows::of(width_mm, rows.iter().map(|r| r.label.as_str()), rows.iter().map(|r| r.shown.as_str()));
    let axis = Axis { from_mm: lie.from_mm + DOT_MM, to_mm: lie.to_mm, most: end, step };
    let mut canvas = Canvas::new(width_mm, 0.0);
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let bottom = rows.len() as f64 * lie.row_mm() + 0.8;
    let after = axis.draw(&mut canvas, 0.0, bottom, &|v| format!("{:.0} %", 100.0 * v));
    let x = axis.x(accepted);
    canvas.line((x, 0.0), (x, bottom), Pen::WIDE);
    let mut top = 0.0;
    for r in rows {
        let y = lie.begin(&mut canvas, top, &r.label, &r.shown);
        let (cold, annealed) = (axis.x(r.cold), axis.x(r.annealed));
        canvas.line((annealed, y), (cold, y), Pen::NARROW);
        dot(&mut canvas, (cold, y), true, INK);
        dot(&mut canvas, (annealed, y), false, INK);
        top += lie.row_mm();
    }
    let line = format!(
        "Hollow: worked cold. Filled: after an anneal. The line: {:.0} % is accepted. At the right: as the plan works it.",
        100.0 * accepted
    );
    canvas.height_mm = key(&mut canvas, after, &[&line]) + 1.2;
    canvas.finish("Likelihood of a crack, cold and after an anneal")
}
