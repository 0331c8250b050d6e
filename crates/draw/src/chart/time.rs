//! Time by setup, in working order.

use super::axis::{Axis, even};
use super::rows::{Rows, key, range};
use crate::canvas::{Canvas, Drawing, INK};

/// A setup.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeRow {
    /// Its number and what it is called.
    pub name: String,
    /// Minutes if all goes well, in the mean, and if it fights back.
    pub minutes: (f64, f64, f64),
    /// The mean as it is written everywhere.
    pub shown: String,
}

/// A row a setup; the bar from all going well to fighting back, the dot at the mean that the card says.
pub fn time_chart(rows: &[TimeRow], width_mm: f64) -> Drawing {
    let most = rows.iter().map(|r| r.minutes.2).fold(1.0, f64::max);
    // In hours where an hour does not hold it.
    let hours = most > 120.0;
    let unit = if hours { 60.0 } else { 1.0 };
    let (end, step) = even(most / unit, 6.0);
    let lie = Rows::of(width_mm, rows.iter().map(|r| r.name.as_str()), rows.iter().map(|r| r.shown.as_str()));
    let axis = Axis { from_mm: lie.from_mm, to_mm: lie.to_mm, most: end * unit, step: step * unit };
    let mut canvas = Canvas::new(width_mm, 0.0);
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let bottom = rows.len() as f64 * lie.row_mm() + 0.8;
    let after = axis.draw(&mut canvas, 0.0, bottom, &|v| {
        let number = format!("{:.1}", v / unit);
        let number = number.trim_end_matches('0').trim_end_matches('.');
        if v + 0.5 * step * unit >= end * unit { format!("{number} {}", if hours { "h" } else { "min" }) } else { number.to_owned() }
    });
    let mut top = 0.0;
    for r in rows {
        let y = lie.begin(&mut canvas, top, &r.name, &r.shown);
        let (least, mean, most) = r.minutes;
        range(&mut canvas, y, (axis.x(least), axis.x(most)), axis.x(mean), false, INK);
        top += lie.row_mm();
    }
    canvas.height_mm =
        key(&mut canvas, after, &["The bar runs from all going well to fighting back; the dot is the time the card says."]) + 1.2;
    canvas.finish("Time by setup, in working order")
}
