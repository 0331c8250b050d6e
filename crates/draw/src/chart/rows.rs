//! What the charts share: where rows stand, how a range is drawn, the line of words below.

use crate::canvas::{Canvas, P, Pen, Type};

/// Type of a chart.
pub(super) const WORDS: Type = Type { size: 3.0, bold: false, ..Type::TEXT };
/// Radius of a dot, mm.
pub(super) const DOT_MM: f64 = 1.0;
/// From this width on a row's name stands beside its bar and not above it, mm.
const BESIDE_MM: f64 = 120.0;
/// Height of a row with its name beside the bar, and above it, mm.
const ROW_MM: (f64, f64) = (4.6, 8.4);

/// Where the rows of a chart stand: the names at the left or above, the bars on one axis, the values at the right.
pub(super) struct Rows {
    width_mm: f64,
    beside: bool,
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
}

impl Rows {
    /// Room for these names and values.
    pub(super) fn of<'a>(width_mm: f64, names: impl Iterator<Item = &'a str>, values: impl Iterator<Item = &'a str>) -> Self {
        let widest = |all: &mut dyn Iterator<Item = &'a str>| all.map(|w| WORDS.width_mm(w)).fold(0.0, f64::max);
        let (mut names, mut values) = (names, values);
        let (name_mm, value_mm) = (widest(&mut names), widest(&mut values));
        let short = name_mm < 0.25 * width_mm;
        let beside = short || width_mm >= BESIDE_MM;
        let from_mm = if beside { name_mm.min(0.5 * width_mm) + 3.0 } else { DOT_MM + 0.5 };
        Self { width_mm, beside, from_mm, to_mm: (width_mm - value_mm - 3.0).max(from_mm + 10.0) }
    }

    pub(super) fn row_mm(&self) -> f64 {
        if self.beside { ROW_MM.0 } else { ROW_MM.1 }
    }

    /// A row's name and value; returns the y of its bar.
    pub(super) fn begin(&self, canvas: &mut Canvas, top: f64, name: &str, value: &str) -> f64 {
        let y = top + self.row_mm() - ROW_MM.0 / 2.0;
        let at = if self.beside { y + 1.05 } else { top + 3.1 };
        let room = if self.beside { self.from_mm - 3.0 } else { self.width_mm };
        canvas.text((0.0, at), &cut(name, room), WORDS);
        canvas.text((self.width_mm, y + 1.05), value, WORDS.end());
        y
    }
}

/// A name that is too long for its column, cut with an ellipsis; the table has it whole.
fn cut(name: &str, room_mm: f64) -> String {
    if WORDS.width_mm(name) <= room_mm + 0.01 {
        return name.to_owned();
    }
    let mut kept: String = name.to_owned();
    while !kept.is_empty() && WORDS.width_mm(&kept) + WORDS.width_mm("…") > room_mm {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

/// A range as the look draws it: a bar between its ends, a dot at its middle.
pub(super) fn range(canvas: &mut Canvas, y: f64, ends: (f64, f64), middle: f64, hollow: bool, colour: &'static str) {
    canvas.line((ends.0, y), (ends.1, y), Pen::new(0.5, colour));
    dot(canvas, (middle, y), hollow, colour);
}

pub(super) fn dot(canvas: &mut Canvas, at: P, hollow: bool, colour: &'static str) {
    canvas.circle(at, DOT_MM, if hollow { "#ffffff" } else { colour }, Pen::new(0.5, colour));
}

/// A line of words under a chart: what its signs mean.
pub(super) fn key(canvas: &mut Canvas, top: f64, lines: &[&str]) -> f64 {
    let mut y = top;
    let width_mm = canvas.width_mm;
    for words in lines.iter().flat_map(|l| crate::canvas::wrapped(l, width_mm, WORDS)) {
        y += 4.0;
        canvas.text((0.0, y), &words, WORDS);
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_to_its_column() {
        assert_eq!(cut("Bell", 40.0), "Bell");
        let short = cut("Second branch of the valve section: 12 dents", 30.0);
        assert!(short.ends_with('…') && WORDS.width_mm(&short) <= 30.0, "{short}");
    }
}
