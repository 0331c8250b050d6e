//! Scales and their bars.

use crate::canvas::{Canvas, INK, P, Pen, Type};
use units::LengthUnit;
use units::length::MM_PER_INCH;

/// The scales used: mm of the thing for one mm of paper. The usual steps of ISO 5455 (from memory).
const STEPS: [f64; 13] = [0.2, 0.5, 1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 20.0, 25.0, 40.0, 50.0];

/// The largest usual scale at which a thing fits the paper: mm of the thing for one mm of paper.
pub fn fitting(thing_mm: P, paper_mm: P, largest: f64) -> f64 {
    let fits = |k: &f64| *k >= largest && thing_mm.0 / k <= paper_mm.0 && thing_mm.1 / k <= paper_mm.1;
    STEPS.into_iter().find(fits).unwrap_or_else(|| {
        let needed = (thing_mm.0 / paper_mm.0).max(thing_mm.1 / paper_mm.1);
        if needed.is_finite() { (needed / 50.0).ceil().max(1.0) * 50.0 } else { 50.0 }
    })
}

/// A scale in words: `1:5`, `2:1`.
pub fn words(scale: f64) -> String {
    if scale >= 1.0 { format!("1:{}", round(scale)) } else { format!("{}:1", round(1.0 / scale)) }
}

fn round(x: f64) -> String {
    let text = format!("{x:.1}");
    text.trim_end_matches(".0").to_owned()
}

/// A scale bar from its lower left corner, about `about_mm` of paper long. Returns its length on paper with its words.
pub fn bar(canvas: &mut Canvas, at: P, scale: f64, about_mm: f64, unit: LengthUnit) -> f64 {
    let (length_mm, label) = bar_length(about_mm * scale, unit);
    let paper = length_mm / scale;
    for i in 0..4 {
        let x = at.0 + paper * f64::from(i) / 4.0;
        let fill = if i % 2 == 0 { INK } else { "#ffffff" };
        canvas.rect((x, at.1 - 1.2), (paper / 4.0, 1.2), fill, Pen::NARROW);
    }
    let text = format!("{label}   scale {}", words(scale));
    canvas.text((at.0 + paper + 1.2, at.1), &text, Type::SMALL);
    paper + 1.2 + Type::SMALL.width_mm(&text)
}

/// A round length near one wanted, in the unit chosen.
fn bar_length(wanted_mm: f64, unit: LengthUnit) -> (f64, String) {
    let nice: &[(f64, &str)] = match unit {
        LengthUnit::Mm => &[
            (2.0, "2 mm"),
            (5.0, "5 mm"),
            (10.0, "10 mm"),
            (20.0, "20 mm"),
            (50.0, "50 mm"),
            (100.0, "100 mm"),
            (200.0, "200 mm"),
            (500.0, "500 mm"),
        ],
        LengthUnit::Inch => &[
            (MM_PER_INCH / 8.0, "1/8 in"),
            (MM_PER_INCH / 4.0, "1/4 in"),
            (MM_PER_INCH / 2.0, "1/2 in"),
            (MM_PER_INCH, "1 in"),
            (2.0 * MM_PER_INCH, "2 in"),
            (4.0 * MM_PER_INCH, "4 in"),
            (8.0 * MM_PER_INCH, "8 in"),
            (20.0 * MM_PER_INCH, "20 in"),
        ],
    };
    let closest = nice.iter().min_by(|a, b| ((a.0 / wanted_mm).ln().abs()).total_cmp(&(b.0 / wanted_mm).ln().abs()));
    closest.map_or((10.0, "10 mm".to_owned()), |(mm, words)| (*mm, (*words).to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_fitting_scale_is_taken() {
        assert_eq!(fitting((880.0, 30.0), (178.0, 40.0), 1.0), 5.0);
        assert_eq!(fitting((880.0, 400.0), (178.0, 40.0), 1.0), 10.0);
        assert_eq!(fitting((40.0, 12.0), (178.0, 40.0), 0.5), 0.5);
        assert_eq!(fitting((9000.0, 12.0), (178.0, 40.0), 1.0), 100.0);
        assert_eq!((words(2.5), words(0.5), words(4.0)), ("1:2.5".to_owned(), "2:1".to_owned(), "1:4".to_owned()));
    }
}
