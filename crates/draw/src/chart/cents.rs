//! By how many cents each note is off: as it came in and after the work, against what nobody hears.

use super::axis::{even, under};
use super::rows::{DOT_MM, Rows, dot, key};
use crate::canvas::{Canvas, Drawing, GREY, INK, Pen};

/// A note.
#[derive(Clone, Debug, PartialEq)]
pub struct CentsRow {
    /// Its name.
    pub note: String,
    /// Cents as it came in.
    pub now: f64,
    /// Cents after the work.
    pub after: f64,
    /// Both in words.
    pub shown: String,
}

/// Half the width of the band about nought, cents: what the look draws beside every note.
pub const BAND_CENTS: f64 = 5.0;

/// A row a note: a stem from nought, hollow as it came in, filled after the work; flat to the left, sharp to the right.
pub fn cents_chart(rows: &[CentsRow], width_mm: f64) -> Drawing {
    let most = rows.iter().flat_map(|r| [r.now.abs(), r.after.abs()]).filter(|v| v.is_finite()).fold(1.2 * BAND_CENTS, f64::max);
    let (end, step) = even(most, 3.0);
    let lie = Rows::of(width_mm, rows.iter().map(|r| r.note.as_str()), rows.iter().map(|r| r.shown.as_str()));
    let (from, to) = (lie.from_mm + DOT_MM, lie.to_mm);
    let x = |v: f64| from + (0.5 + 0.5 * (if v.is_finite() { v } else { 0.0 } / end).clamp(-1.0, 1.0)) * (to - from);
    let mut canvas = Canvas::new(width_mm, 0.0);
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let bottom = rows.len() as f64 * lie.row_mm() + 0.8;
    for edge in [-BAND_CENTS, BAND_CENTS] {
        canvas.line((x(edge), 0.0), (x(edge), bottom), Pen::NARROW);
    }
    canvas.line((x(0.0), 0.0), (x(0.0), bottom), Pen::WIDE);
    let mut value = -end;
    while value <= end + 1e-9 {
        if value.abs() > 1e-9 {
            canvas.line((x(value), 0.0), (x(value), bottom), Pen::new(0.25, GREY).dashed("0.3 1.2"));
        }
        under(&mut canvas, x(value), bottom, &format!("{value:+.0}").replace("+0", "0"));
        value += step;
    }
    let mut top = 0.0;
    for r in rows {
        let y = lie.begin(&mut canvas, top, &r.note, &r.shown);
        canvas.line((x(0.0), y), (x(r.now), y), Pen::NARROW);
        dot(&mut canvas, (x(r.now), y), true, INK);
        dot(&mut canvas, (x(r.after), y), false, INK);
        top += lie.row_mm();
    }
    let line = format!(
        "Cents: flat to the left, sharp to the right. Hollow: as it came in. Filled: after the work. The narrow lines: {BAND_CENTS:.0} cents either way."
    );
    canvas.height_mm = key(&mut canvas, bottom + 4.4, &[&line]) + 1.2;
    canvas.finish("Cents that each note is off, as it came in and after the work")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flat_lies_left_of_nought_and_twice_as_far_is_twice_as_far() {
        let row = |note: &str, now: f64| CentsRow { note: note.to_owned(), now, after: 0.0, shown: String::new() };
        let svg = cents_chart(&[row("F4", -14.0), row("C5", 7.0)], 160.0).svg;
        let cx: Vec<f64> = svg.split("cx=\"").skip(1).map(|s| s.split('"').next().unwrap_or("").parse().unwrap_or(f64::NAN)).collect();
        // Now and after, row by row.
        let [flat, nought, sharp, same] = cx[..] else { panic!("{cx:?}") };
        assert!((nought - same).abs() < 1e-6 && flat < nought && sharp > nought);
        assert!(((nought - flat) - 2.0 * (sharp - nought)).abs() < 0.05, "{cx:?}");
    }
}
