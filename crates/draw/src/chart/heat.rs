//! How hot the tube gets along itself in one heat, with what its neighbors bear.

use super::axis::{even, under};
use super::rows::{WORDS, dot};
use crate::canvas::{Canvas, Drawing, INK, P, Pen};
use units::LengthUnit;
use units::length::MM_PER_INCH;

/// Height of the picture without its words, mm.
const HIGH_MM: f64 = 28.0;

/// A neighbor that could melt.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatMark {
    /// Its number in the table.
    pub number: usize,
    /// From the flame along the tube, mm; below zero towards the mouthpiece.
    pub x_mm: f64,
    /// How hot it gets: least, middle and most, °C.
    pub degc: (f64, f64, f64),
    /// Where its solder begins to melt, °C.
    pub melts_degc: f64,
}

/// One heat.
#[derive(Clone, Copy, Debug)]
pub struct HeatView<'a> {
    /// Along the heated tube: from the flame, mm, and how hot, °C.
    pub along: &'a [P],
    /// What the flame brings it to, °C.
    pub target_degc: f64,
    /// Its neighbors.
    pub marks: &'a [HeatMark],
    /// Unit of the stations; degrees Fahrenheit go with inches.
    pub unit: LengthUnit,
}

/// The curve of the heated tube, a dot with its range for each neighbor, and a tick where each neighbor's solder melts.
pub fn heat_chart(view: &HeatView, width_mm: f64) -> Drawing {
    let mut canvas = Canvas::new(width_mm, 0.0);
    let inches = view.unit == LengthUnit::Inch;
    let (degrees_unit, length_unit) = if inches { ("°F", "in") } else { ("°C", "mm") };
    let per_unit = if inches { MM_PER_INCH } else { 1.0 };
    let xs = || view.along.iter().map(|p| p.0).chain(view.marks.iter().map(|m| m.x_mm));
    let (low, high) = (xs().fold(-10.0, f64::min), xs().fold(10.0, f64::max));
    let hottest = view.marks.iter().map(|m| m.melts_degc.max(m.degc.2)).fold(view.target_degc, f64::max);
    let shown = |c: f64| if inches { 1.8 * c + 32.0 } else { c };
    let (end, step) = even(shown(hottest), 5.0);
    let left = WORDS.width_mm(&format!("{end:.0} {}", degrees_unit)) + 1.5;
    let (top, bottom) = (5.4, 5.4 + HIGH_MM);
    let x = |mm: f64| left + (mm - low) / (high - low) * (width_mm - left - 3.0);
    let y = |degc: f64| bottom - (shown(degc) / end).clamp(0.0, 1.0) * HIGH_MM;
    let mut value = 0.0;
    while value <= end + 1e-9 {
        let at = bottom - value / end * HIGH_MM;
        canvas.line((left, at), (width_mm, at), if value > 0.0 { Pen::NARROW.dashed("0.3 1.2") } else { Pen::NARROW });
        let words = if value + 0.5 * step >= end { format!("{value:.0} {}", degrees_unit) } else { format!("{value:.0}") };
        canvas.text((left - 1.0, at + 1.05), &words, WORDS.end());
        value += step;
    }
    // Stations about the flame, in even steps of the paper's unit.
    let reach = (-low).max(high) / per_unit;
    // As many as have room for their numbers.
    let widest = WORDS.width_mm(&format!("{reach:.1}")) + 2.0;
    let room = ((x(reach * per_unit) - x(0.0)) / widest).floor().clamp(1.0, 4.0);
    let (_, step) = even(reach, room);
    let mut value = 0.0;
    while value <= reach + 1e-9 {
        for side in [-1.0, 1.0] {
            let mm = side * value * per_unit;
            if (side < 0.0 && value == 0.0) || mm < low - 1e-9 || mm > high + 1e-9 {
                continue;
            }
            canvas.line((x(mm), bottom), (x(mm), bottom + 1.0), Pen::NARROW);
            let number = format!("{value:.1}");
            // Clear of the zero of the other axis, which stands beside the corner.
            under(&mut canvas, x(mm), bottom + 1.4, number.trim_end_matches('0').trim_end_matches('.'));
        }
        value += step;
    }
    canvas.line((x(0.0), y(view.target_degc)), (x(0.0), bottom), Pen::PLANE);
    let curve: Vec<P> = view.along.iter().map(|p| (x(p.0), y(p.1))).collect();
    canvas.polyline(&curve, Pen::WIDE);
    for m in view.marks {
        let at = x(m.x_mm);
        canvas.line((at, y(m.degc.0)), (at, y(m.degc.2)), Pen::WIDE);
        dot(&mut canvas, (at, y(m.degc.1)), false, INK);
        canvas.line((at - 2.2, y(m.melts_degc)), (at + 2.2, y(m.melts_degc)), Pen::WIDE);
    }
    numbers(&mut canvas, view.marks, &x, &y, top);
    canvas.text((width_mm, bottom + 8.8), &format!("{length_unit} from the flame"), WORDS.end());
    canvas.height_mm = bottom + 10.0;
    canvas.finish("How hot the tube gets along itself, with what its neighbors bear")
}

/// What the signs of every heat's chart mean, told once.
pub const HEAT_KEY: &str = "Across: how far from the flame along the tube, the mouthpiece end to the left. The curve is the heated tube. A dot with its bar is a neighbor, nine times in ten. The tick above it, with its number, is where its solder begins to melt.";

/// The neighbors' numbers over their ticks, set apart where ticks stand close.
fn numbers(canvas: &mut Canvas, marks: &[HeatMark], x: &dyn Fn(f64) -> f64, y: &dyn Fn(f64) -> f64, top: f64) {
    let mut order: Vec<&HeatMark> = marks.iter().collect();
    order.sort_by(|a, b| a.x_mm.total_cmp(&b.x_mm));
    let wide = order.iter().map(|m| WORDS.width_mm(&m.number.to_string())).fold(0.0, f64::max) + 0.8;
    let wanted: Vec<f64> = order.iter().map(|m| x(m.x_mm)).collect();
    let placed = crate::labels::spread(&wanted, wide, wide / 2.0, canvas.width_mm - wide / 2.0);
    for (m, px) in order.iter().zip(placed) {
        canvas.line((px, top - 1.4), (x(m.x_mm), y(m.melts_degc) - 0.4), Pen::NARROW);
        canvas.text((px, top - 2.0), &m.number.to_string(), WORDS.middle());
    }
}
