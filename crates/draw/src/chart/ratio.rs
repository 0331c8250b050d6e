//! Time taken over time planned, by the logarithm about one: twice as long and half as long lie equally far from the line.

use super::axis::under;
use super::rows::{Rows, WORDS, key, range};
use crate::canvas::{Canvas, Drawing, GREY, INK, Pen};

/// Fewer steps than this say little, and are drawn grey and hollow. Common practice, no source.
pub const FEW_STEPS: usize = 10;
/// A kind of step, or a person.
#[derive(Clone, Debug, PartialEq)]
pub struct RatioRow {
    /// Its name.
    pub name: String,
    /// How many steps were timed.
    pub steps: usize,
    /// Taken over planned: the lower quarter, the middle, the upper quarter.
    pub ratio: (f64, f64, f64),
}

/// A row each, on one axis.
pub fn ratio_chart(rows: &[RatioRow], width_mm: f64) -> Drawing {
    let rows: Vec<&RatioRow> = rows.iter().filter(|r| r.ratio.0 > 0.0 && r.ratio.2.is_finite()).collect();
    let far = rows.iter().map(|r| r.ratio.2.max(1.0 / r.ratio.0)).fold(1.0, f64::max);
    // A whole number of doublings, one at the least.
    let doublings = (far.log2() - 1e-9).ceil().clamp(1.0, 6.0);
    let counts: Vec<String> = rows.iter().map(|r| r.steps.to_string()).collect();
    let lie = Rows::of(width_mm, rows.iter().map(|r| r.name.as_str()), counts.iter().map(String::as_str).chain(["steps"]));
    let x = |ratio: f64| lie.from_mm + (0.5 + 0.5 * (ratio.log2() / doublings).clamp(-1.0, 1.0)) * (lie.to_mm - lie.from_mm);
    let mut canvas = Canvas::new(width_mm, 0.0);
    let head = 4.6;
    canvas.text((width_mm, 3.4), "steps", WORDS.end());
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    let bottom = head + rows.len() as f64 * lie.row_mm() + 0.8;
    let mut k = -doublings;
    while k <= doublings + 1e-9 {
        let at = x(k.exp2());
        canvas.line((at, head), (at, bottom), if k.abs() < 1e-9 { Pen::WIDE } else { Pen::NARROW.dashed("0.3 1.2") });
        // Halves below one, where every second would do on a narrow sheet.
        if doublings <= 3.0 || (k.abs() % 2.0) < 1e-9 {
            under(&mut canvas, at, bottom, &if k < 0.0 { format!("1/{:.0}", (-k).exp2()) } else { format!("{:.0}", k.exp2()) });
        }
        k += 1.0;
    }
    let mut top = head;
    for (r, count) in rows.iter().zip(&counts) {
        let y = lie.begin(&mut canvas, top, &r.name, count);
        let few = r.steps < FEW_STEPS;
        range(&mut canvas, y, (x(r.ratio.0), x(r.ratio.2)), x(r.ratio.1), few, if few { GREY } else { INK });
        top += lie.row_mm();
    }
    let line = format!(
        "1: as planned; 2: twice as long. The bar is the middle half, the dot the median; gray and hollow: fewer than {FEW_STEPS} steps."
    );
    canvas.height_mm = key(&mut canvas, bottom + 4.4, &[&line]) + 1.2;
    canvas.finish("Time taken over time planned")
}
