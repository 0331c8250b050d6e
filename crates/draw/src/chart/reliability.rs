//! What was said against what came: for each likelihood the share of jobs that held, with the interval that chance alone leaves it.

use super::rows::{WORDS, dot, key};
use crate::canvas::{Canvas, Drawing, GREY, INK, Pen};

/// A likelihood that was said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReliabilityPoint {
    /// What was said, 0 to 1.
    pub said: f64,
    /// The share that held.
    pub held: f64,
    /// Its interval.
    pub interval: (f64, f64),
}

/// The longest side of the square, mm.
const MOST_MM: f64 = 70.0;

/// A square with its diagonal: on it lies what holds as often as it was said. `few` draws it grey.
pub fn reliability_chart(points: &[ReliabilityPoint], few: bool, width_mm: f64) -> Drawing {
    let mut canvas = Canvas::new(width_mm, 0.0);
    let left = WORDS.width_mm("100 %") + 2.0;
    let side = (width_mm - left - 4.0).min(MOST_MM);
    let top = 7.0;
    let x = |p: f64| left + p.clamp(0.0, 1.0) * side;
    let y = |p: f64| top + (1.0 - p.clamp(0.0, 1.0)) * side;
    for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let pen = if tick > 0.0 { Pen::NARROW.dashed("0.3 1.2") } else { Pen::NARROW };
        canvas.line((x(0.0), y(tick)), (x(1.0), y(tick)), pen);
        canvas.line((x(tick), y(0.0)), (x(tick), y(1.0)), pen);
        let words = format!("{:.0} %", 100.0 * tick);
        canvas.text((left - 1.2, y(tick) + 1.05), &words, WORDS.end());
        let half = WORDS.width_mm(&words) / 2.0;
        canvas.text((x(tick).min(width_mm - half), y(0.0) + 4.0), &words, WORDS.middle());
    }
    canvas.line((x(0.0), y(0.0)), (x(1.0), y(1.0)), Pen::NARROW);
    canvas.text((0.0, 3.4), "held", WORDS);
    canvas.text((x(0.5), y(0.0) + 8.0), "said", WORDS.middle());
    let colour = if few { GREY } else { INK };
    for p in points {
        canvas.line((x(p.said), y(p.interval.0)), (x(p.said), y(p.interval.1)), Pen::new(0.5, colour));
        dot(&mut canvas, (x(p.said), y(p.held)), few, colour);
    }
    let line = "Dot: share of jobs done within the time of that likelihood. Bar: where the true share lies with 90 % confidence. On the diagonal it is as said; below it jobs take longer.";
    canvas.height_mm = key(&mut canvas, y(0.0) + 9.0, &[line]) + 1.2;
    canvas.finish("Said and held")
}
